"""A temperature read on a surface: by contact, or by infrared with what the surface makes of it."""

from __future__ import annotations

from diagnose.case.observation import Observation
from diagnose.derive.infrared import SURFACES, infrared
from diagnose.derive.measure import CannotJudge, Measure

INFRARED = ("infrared", "infrared_thermometer", "ir_thermometer", "infrared_gun", "thermal_camera", "pyrometer")
_ALIKE = {
    "bare_metal": "bare aluminium", "metal": "bare aluminium", "aluminium": "oxidised aluminium", "iron": "cast iron",
    "brass": "bare brass", "hose": "rubber", "matt_tape": "tape", "black_tape": "tape", "painted": "paint",
}  # fmt: skip
_UNSAID_SD = 8.0
"""Infrared on a surface that nobody named [K]: half a bare housing would be far worse. Source: estimate."""
_AROUND_C = 25.0


def is_infrared(observation: Observation) -> bool:
    """Whether it was read with an infrared thermometer."""
    return observation.instrument in INFRARED


def spot(observation: Observation, shown_c: float, contact_sd: float = 3.0, usual_surface: str | None = None) -> Measure:
    """The temperature behind a reading [°C]. `usual_surface` is what such a reading is taken on where nobody says.

    CannotJudge for infrared on bare metal, and for a surface that is not known.
    """
    if not is_infrared(observation):
        return Measure(shown_c, contact_sd, "degC", "as read", "reading")
    name = observation.surface or usual_surface
    if name is None:
        return Measure(shown_c, _UNSAID_SD, "degC", "infrared, surface not said", "estimate")
    surface = _ALIKE.get(name, name.replace("_", " "))
    if surface not in SURFACES:
        raise CannotJudge(f"what an infrared reading on '{surface}' is worth is not known; known are: {', '.join(SURFACES)}")
    around = observation.ambient if observation.ambient is not None else _AROUND_C
    found = infrared(shown_c, surface, around)
    return Measure(found.value, (found.sd**2 + contact_sd**2) ** 0.5, "degC", found.formula, found.source)


def worth(observation: Observation) -> str:
    """What must be told of an infrared reading whose surface was not named; empty otherwise."""
    if not is_infrared(observation) or observation.surface:
        return ""
    return (
        "Infrared, and on what was not said: bare metal reads tens of kelvin too cold. Matt tape on the spot, wait a minute, read the tape."
    )
