"""The coolant mix: every reading of one sample together, to its margins against freezing and boiling, and which glycol it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.case.vehicle import Vehicle
from diagnose.derive.boiling import boiling_measure
from diagnose.derive.floater import propylene_bounds
from diagnose.derive.freezing import freezing_measure
from diagnose.derive.glycol import Glycol, kind
from diagnose.derive.instrument import BENCH_FREEZING, SETTLED_AT
from diagnose.derive.margin import MAKER_SD_K, boiling_margin, freezing_limit, freezing_margin
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.derive.mixture import combine
from diagnose.figures.derived import Asked, Derived, at_least, banded, cannot, judged, yes_no
from diagnose.figures.hottest import hottest_running
from diagnose.figures.series import unique
from diagnose.figures.testers import GLYCOLS, WORDS, Tester, concentration, identity, tester

_SURE = 0.8
"""From this likelihood two instruments name the glycol. Source: estimate."""
_COLDEST_UNKNOWN = "how cold the place gets is not known (lowest_ambient of the vehicle), so whether that is enough cannot be said"


def mix(group: Sequence[Asked]) -> list[Derived]:
    """Margins from all readings of one day, combined by their accuracy: each reading carries the same figure, which counts once."""
    testers = [tester(asked) for asked in group]
    vehicle = group[0].case.vehicle
    glycol, kinds, told = _glycol(testers, vehicle)
    if glycol is None:
        return kinds + [d for t in testers for d in _unknown_glycol(t, vehicle, told)]
    used: list[tuple[Tester, Measure]] = []
    out: list[Derived] = list(kinds)
    for t in testers:
        try:
            used.append((t, concentration(t, glycol)))
        except CannotJudge as why:
            out += _refused(t, glycol, str(why), vehicle)
    if not used:
        return out
    try:
        together = combine([m for _, m in used])
    except CannotJudge as why:
        return out + [cannot(t.asked, str(why)) for t, _ in used]
    notes = unique([told, _words(used, together, glycol), *(_circumstances(t, glycol) for t, _ in used)])
    margins = _margins(used[0][0].asked, together, glycol, vehicle, notes)  # one figure, worked out once, told with every reading
    return out + [replace(d, about=t.asked.about) for t, _ in used for d in margins]


def _glycol(testers: list[Tester], vehicle: Vehicle) -> tuple[Glycol | None, list[Derived], str]:
    """The glycol to reckon with; what the instruments say of it as a finding; and a sentence where it was not simply known."""
    said = GLYCOLS.get(vehicle.glycol or "")
    try:
        who = identity(testers)
    except CannotJudge:
        return said, [], "" if said else "Which glycol it is, is not known."
    likely: Glycol | None = "eg" if who.eg > _SURE else "pg" if who.pg > _SURE else None
    words = (
        f"Weight and refraction together: {who.eg:.0%} for ethylene glycol, {who.pg:.0%} for propylene, {who.unclear:.0%} neither alone."
    )
    kinds: list[Derived] = []
    if said:
        own = who.eg if said == "eg" else who.pg
        for asked in (t.asked.to("kind") for t in testers if t.what in ("float", "gravity", "refractometer", "index")):
            kinds += [yes_no(asked, 1.0 - own, who.excess, (words,))] if asked else []
        if likely in (None, said):
            return (said if own > 1.0 - _SURE else None), kinds, words
    return likely, kinds, words


def _unknown_glycol(t: Tester, vehicle: Vehicle, told: str) -> list[Derived]:
    """Both readings of the scale and no verdict; a freezing point measured by freezing needs no glycol."""
    if t.what == "bench":
        return judged(
            t.asked, lambda a: _frost(a, Measure(t.value, BENCH_FREEZING.sd, "degC", "frozen", BENCH_FREEZING.source), vehicle, ())
        )
    both = []
    glycols: tuple[Glycol, Glycol] = ("eg", "pg")
    for glycol in glycols:
        try:
            freezing = freezing_measure(concentration(t, glycol), glycol)
            both.append(f"{freezing.value:.0f} °C if it is {kind(glycol).name}")
        except CannotJudge:
            both.append(f"no figure if it is {kind(glycol).name}")
    return [cannot(t.asked, f"{told} It freezes at {', '.join(both)}: no verdict. Float and refractometer on the same sample tell which")]


def _refused(t: Tester, glycol: Glycol, why: str, vehicle: Vehicle) -> list[Derived]:
    """A reading that gives no concentration may still bound it: a float in propylene glycol, or a mix stronger than any table."""
    if glycol == "pg" and t.what == "float" and t.scale != "pg":
        return [_bounded(t, why, vehicle)]
    out = [cannot(t.asked, why)]
    strong, most = t.asked.to("strong"), kind(glycol).concentrate
    heavier = (t.what == "gravity" and t.value > 1.078 and glycol == "eg") or (t.what in ("float", "refractometer") and t.value < -51.0)
    if strong and heavier:
        bound = Measure(58.0 / most, 2.0, "vol %", "more than the tables serve", "CRC and ASHRAE tables end at 60 % concentrate")
        out.append(at_least(strong, bound, ("Stronger than the scale: mix the sample one to one with water and read it again.",)))
    return out


def _bounded(t: Tester, why: str, vehicle: Vehicle) -> Derived:
    at = SETTLED_AT if t.observation.compensated == "yes" else t.at
    try:
        bound = propylene_bounds(t.value, at)
    except CannotJudge as impossible:
        return cannot(t.asked, str(impossible))
    only = f"{why}. It only says: freezes at {bound.warmest_c:.0f} °C or colder"
    if vehicle.lowest_ambient is None:
        return cannot(t.asked, f"{only}; {_COLDEST_UNKNOWN}")
    need = freezing_limit(vehicle.lowest_ambient)
    least = Measure(need - bound.warmest_c, MAKER_SD_K, "K", "least margin that this float leaves in propylene glycol", "Nakanishi 1967")
    return at_least(t.asked, least, (only[:1].upper() + only[1:] + ".",))


def _margins(asked: Asked, mixed: Measure, glycol: Glycol, vehicle: Vehicle, notes: tuple[str, ...]) -> list[Derived]:
    factor = kind(glycol).concentrate
    share = Measure(100.0 * mixed.value / factor, 100.0 * mixed.sd / factor, "vol %", "concentrate in the mix", mixed.source)
    out = judged(asked, lambda a: _frost(a, freezing_measure(mixed, glycol), vehicle, notes))
    out += judged(asked.to("strong"), lambda a: banded(a, share, notes))
    return out + judged(asked.to("boiling"), lambda a: _boil(a, mixed, glycol, vehicle))


def _frost(asked: Asked, freezing: Measure, vehicle: Vehicle, notes: tuple[str, ...]) -> Derived:
    words = f"It freezes at {freezing.value:.0f} ± {freezing.sd:.1f} °C"
    if vehicle.lowest_ambient is None:
        return cannot(asked, f"{words}; {_COLDEST_UNKNOWN}", notes)
    return banded(asked, freezing_margin(freezing, vehicle.lowest_ambient), (*notes, f"{words}."))


def _boil(asked: Asked, mixed: Measure, glycol: Glycol, vehicle: Vehicle) -> Derived:
    if vehicle.cap_rating is None:
        raise CannotJudge("the cap's specified pressure is not known (cap_rating of the vehicle), so the boiling point cannot be said")
    boiling = boiling_measure(mixed, glycol, vehicle.cap_rating, vehicle.altitude or 0.0)
    hottest, told = hottest_running(asked.case)
    margin = boiling_margin(boiling, hottest.value, hottest.sd)
    height = f"at {vehicle.altitude:.0f} m" if vehicle.altitude is not None else "at sea level, for the altitude is not known"
    words = f"It boils at {boiling.value:.0f} ± {boiling.sd:.1f} °C under {vehicle.cap_rating:.2f} bar {height}."
    return banded(asked, margin, (words, told, "Only if the cap holds its pressure."))


def _words(used: list[tuple[Tester, Measure]], together: Measure, glycol: Glycol) -> str:
    factor = kind(glycol).concentrate
    each = ", ".join(f"{t.what} {t.value:g} means {m.value / factor:.0%}" for t, m in used)
    mean = f"; together {together.value / factor:.0%} ± {together.sd / factor:.0%}" if len(used) > 1 else f" ± {together.sd / factor:.0%}"
    return f"As {WORDS[glycol]}, in parts of concentrate: {each}{mean}."


def _circumstances(t: Tester, glycol: Glycol) -> str:
    if t.what == "refractometer" and t.scale is None:
        return "Which scale of the refractometer was read was not said: taken as that for ethylene glycol."
    if t.what == "float" and glycol == "pg":
        return "A float for ethylene glycol hardly measures propylene glycol: use a refractometer on its propylene scale."
    if t.what == "unsaid":
        return "What it was read with was not said: taken to be no better than a float."
    if t.observation.sample_temperature is None and t.observation.compensated != "yes" and t.what in ("float", "gravity", "index"):
        return "The sample's temperature was not said: taken as 20 ± 10 °C. Hot coolant reads too weak on a float."
    return ""
