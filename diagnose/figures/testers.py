"""One reading of the coolant's strength, by the instrument that took it: what concentration it means in a given glycol."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.case.observation import Observation
from diagnose.case.quantity import parse
from diagnose.derive import instrument as accuracy
from diagnose.derive.density import concentration_from_gravity
from diagnose.derive.floater import concentration_from_float
from diagnose.derive.freezing import concentration_from_freezing
from diagnose.derive.glycol import Glycol, kind
from diagnose.derive.identity import Identity
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.derive.mixture import concentration_from_strip
from diagnose.derive.refraction import concentration_from_index, concentration_from_scale
from diagnose.derive.sample import Sample, identify_sample
from diagnose.figures.derived import Asked

FLOATS = ("float", "float_tester", "hydrometer", "ball_tester", "balls", "antifreeze_tester")
REFRACTOMETERS = ("refractometer", "hand_refractometer", "digital_refractometer", "optical_tester")
STRIPS = ("strip", "strips", "test_strip", "test_strips")
BENCH = ("laboratory", "lab", "cooling_curve", "freezing_bench")
GLYCOLS: dict[str, Glycol] = {"ethylene": "eg", "propylene": "pg"}
WORDS: dict[Glycol, str] = {"eg": "ethylene glycol", "pg": "propylene glycol"}
_UNSAID_SD = 10.0
"""How far a sample may be from 20 °C where nobody said its temperature [K]. Source: estimate."""
_PLAIN_SD = 4.0
"""A freezing point that came from nobody knows what instrument [K]. Source: estimate: as good as a float."""
_ANY_SD = 0.04
"""A percentage from an unknown instrument or a label, as concentrate fraction. Source: estimate."""


@dataclass(frozen=True)
class Tester:
    """One observation as a reading: `what` (float, refractometer, strip, bench, gravity, index, percent, unsaid) and its number."""

    asked: Asked
    what: str
    value: float

    @property
    def observation(self) -> Observation:
        """The observation behind it."""
        return self.asked.observation

    @property
    def at(self) -> float:
        """Temperature of the sample [°C]: as given, else 20."""
        given = self.observation.sample_temperature
        return accuracy.SETTLED_AT if given is None else given

    @property
    def scale(self) -> Glycol | None:
        """The scale that was read, where it was said."""
        return GLYCOLS.get(self.observation.scale or "")


def tester(asked: Asked) -> Tester:
    """What kind of reading this is. Raises InputError for a number that cannot be read."""
    observation = asked.observation
    answer = observation.answer
    values = list(answer.values()) if isinstance(answer, dict) else [answer]
    name = asked.reading.id if asked.reading else ""
    unit = {"specific_gravity": "SG", "refractive_index": "", "glycol_percent": "vol %"}.get(name, "degC")
    value = sum(parse(v, unit) for v in values) / len(values)
    what = {"specific_gravity": "gravity", "refractive_index": "index", "glycol_percent": "percent"}.get(name) or _by(
        observation.instrument
    )
    return Tester(asked, what, value)


def _by(instrument: str | None) -> str:
    kinds = (("float", FLOATS), ("refractometer", REFRACTOMETERS), ("strip", STRIPS), ("bench", BENCH))
    return next((what for what, words in kinds if instrument in words), "unsaid")


def concentration(t: Tester, glycol: Glycol) -> Measure:
    """Glycol volume fraction that this reading means in `glycol`. CannotJudge where it means none."""
    known = t.observation.sample_temperature is not None
    compensated = t.observation.compensated == "yes"
    if t.what == "float":
        if t.scale == "pg":
            raise CannotJudge("a float cannot measure propylene glycol, whatever its scale: the weight hardly changes with concentration")
        return concentration_from_float(t.value, glycol, t.at, compensated, temperature_sd=3.0 if known else _UNSAID_SD)
    if t.what == "gravity":
        return concentration_from_gravity(t.value, glycol, t.at, temperature_sd=2.0 if known else _UNSAID_SD)
    if t.what == "index":
        at = accuracy.SETTLED_AT if compensated else t.at
        return concentration_from_index(t.value, glycol, at, temperature_sd=1.0 if known or compensated else _UNSAID_SD / 2.0)
    if t.what == "refractometer":
        if t.scale is None and glycol == "pg":
            raise CannotJudge("a refractometer has two scales, and propylene glycol needs its own: say which one was read")
        corrected = t.observation.compensated != "no"  # nearly every hand instrument of today corrects itself
        return concentration_from_scale(t.value, t.scale or "eg", glycol, t.at, corrected)
    return _by_scale_of(t, glycol)


def _by_scale_of(t: Tester, glycol: Glycol) -> Measure:
    """Strips, bench figures, percentages and readings from no known instrument: good for the glycol that their card was made for."""
    if t.scale is not None and t.scale != glycol:
        raise CannotJudge(f"it was read on the scale for {WORDS[t.scale]}, and the coolant is {WORDS[glycol]}")
    if t.what == "percent":
        sd = accuracy.STRIP.sd if _by(t.observation.instrument) == "strip" else _ANY_SD
        return concentration_from_strip(t.value / 100.0, glycol, sd)
    if t.what == "bench":
        return concentration_from_freezing(t.value, glycol, accuracy.BENCH_FREEZING.sd)
    if t.what == "strip":
        found = concentration_from_freezing(t.value, glycol, 0.5)
        sd = accuracy.STRIP.sd * kind(glycol).concentrate
        return Measure(found.value, (found.sd**2 + sd**2) ** 0.5, found.unit, found.formula, accuracy.STRIP.source)
    if glycol == "pg":
        raise CannotJudge("say what it was read with: a float is no use in propylene glycol, a refractometer only on its own scale")
    return concentration_from_freezing(t.value, glycol, _PLAIN_SD)


def identity(testers: list[Tester]) -> Identity:
    """Which glycol two of these instruments together show: a weight and a refraction. CannotJudge without both."""
    weight = next((t for t in testers if t.what in ("gravity", "float")), None)
    light = next((t for t in testers if t.what == "index" or (t.what == "refractometer" and t.scale)), None)
    if weight is None or light is None:
        raise CannotJudge("a float or a specific gravity and a refractometer on a named scale are needed to tell the glycol")
    return identify_sample(
        Sample(
            float_c=weight.value if weight.what == "float" else None,
            float_temperature_c=weight.at,
            float_compensated=weight.observation.compensated == "yes",
            gravity=weight.value if weight.what == "gravity" else None,
            gravity_temperature_c=weight.at,
            scale_c=light.value if light.what == "refractometer" else None,
            scale=light.scale or "eg",
            scale_temperature_c=light.at,
            scale_compensated=light.observation.compensated != "no",
            index=light.value if light.what == "index" else None,
            index_temperature_c=accuracy.SETTLED_AT if light.observation.compensated == "yes" else light.at,
        )
    )
