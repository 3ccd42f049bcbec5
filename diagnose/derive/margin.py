"""Margins: how many kelvin the mix is away from freezing at the coldest place and from boiling at the hottest running."""

from __future__ import annotations

from diagnose.derive.measure import Measure

COLDEST_ALLOWANCE_K = 5.0
"""Colder than the coldest on record by this: wind, altitude, a colder winter. Source: common practice, no source."""

MAKER_SD_K = 0.5
"""A maker's minimum is rounded: -37 °C stands where the standard asks for -36.4. Source: ASTM D4985 clause 1.1, SAE J814."""


def freezing_limit(coldest_c: float | None = None, maker_minimum_c: float | None = None) -> float:
    """The freezing point [°C] that the mix must reach: the colder of (coldest place less 5 K) and the maker's minimum.

    ValueError when both are missing.

    >>> freezing_limit(-20.0), freezing_limit(-20.0, -37.0), freezing_limit(maker_minimum_c=-25.0)
    (-25.0, -37.0, -25.0)
    """
    limits = [] if coldest_c is None else [coldest_c - COLDEST_ALLOWANCE_K]
    limits += [] if maker_minimum_c is None else [maker_minimum_c]
    if not limits:
        raise ValueError("give the coldest place, the maker's minimum, or both")
    return min(limits)


def freezing_margin(freezing: Measure, coldest_c: float | None = None, maker_minimum_c: float | None = None) -> Measure:
    """Margin against freezing [K]: the limit less the freezing point; positive is protected.

    >>> m = freezing_margin(Measure(-30.0, 1.5, "degC"), coldest_c=-20.0)
    >>> m.value, round(m.sd, 2)
    (5.0, 1.58)
    """
    limit = freezing_limit(coldest_c, maker_minimum_c)
    words = f"{limit:.0f} °C required (coldest place less {COLDEST_ALLOWANCE_K:.0f} K, or the maker's minimum) less the freezing point"
    return Measure(limit - freezing.value, (freezing.sd**2 + MAKER_SD_K**2) ** 0.5, "K", words, freezing.source)


def boiling_margin(boiling: Measure, hottest_running_c: float, running_sd: float = 2.0) -> Measure:
    """Margin against boiling [K]: the boiling point at this cap and altitude less the hottest running temperature [°C].

    `running_sd` [K] is how well that temperature is known. A map-controlled thermostat runs at 105 °C and more by design.

    >>> boiling_margin(Measure(129.0, 1.5, "degC"), 110.0).value
    19.0
    """
    words = "boiling point under this cap at this altitude less the hottest running temperature"
    return Measure(boiling.value - hottest_running_c, (boiling.sd**2 + running_sd**2) ** 0.5, "K", words, boiling.source)
