"""Air pressure with altitude: the 1976 standard atmosphere, troposphere only."""

from __future__ import annotations

from diagnose.derive.measure import CannotJudge, Measure

LOWEST_M, HIGHEST_M = -500.0, 11_000.0
WEATHER_SD_BAR = 0.01
"""Day-to-day spread of the air pressure at one place [bar]. Source: estimate."""

SOURCE = "US Standard Atmosphere 1976 (ISO 2533), troposphere"


def air_pressure(altitude_m: float) -> float:
    """Absolute air pressure [bar] at an altitude above sea level [m], -500 to 11,000 m.

    Formula: 1.01325 · (1 - 0.0065·H / 288.15)^5.25588, H the geopotential altitude. CannotJudge outside the range.

    >>> round(air_pressure(0), 5), round(air_pressure(1609.344), 4)
    (1.01325, 0.8343)
    """
    if not LOWEST_M <= altitude_m <= HIGHEST_M:
        raise CannotJudge(f"altitude {altitude_m:.0f} m is outside {LOWEST_M:.0f} to {HIGHEST_M:.0f} m")
    geopotential = 6_356_766.0 * altitude_m / (6_356_766.0 + altitude_m)
    return float(1.01325 * (1.0 - 0.0065 * geopotential / 288.15) ** 5.255876)


def air_pressure_measure(altitude_m: float) -> Measure:
    """Air pressure [bar absolute] with the weather's spread.

    >>> air_pressure_measure(0).sd
    0.01
    """
    return Measure(air_pressure(altitude_m), WEATHER_SD_BAR, "bar", "air pressure at this altitude, weather as spread", SOURCE)
