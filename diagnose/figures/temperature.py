"""The engine's running temperature against nominal, and where its thermostat opened against its stamp."""

from __future__ import annotations

from diagnose.case.observation import Observation
from diagnose.case.vehicle import Vehicle
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.figures.derived import Asked, Derived, along, banded
from diagnose.figures.series import series, single, unique
from diagnose.figures.spot import spot, worth

_WAX_C, _WAX_SD = 88.0, 4.0
"""Nominal of a plain wax thermostat whose stamp is not known [°C]. Source: common practice, no source (82 to 95)."""
_STAMP_SD = 2.0
_MAP_LOW_C, _MAP_HIGH_C, _MAP_SD = 85.0, 105.0, 3.0
"""A map-controlled thermostat runs anywhere between, by load [°C]. Source: common practice, no source (105 °C and more is normal)."""
_MAP_SHARE = 0.25
"""How many vehicles whose thermostat is not known have a map-controlled one. Source: estimate."""
_SD = {"gauge": 6.0, "needle": 6.0, "scan_tool": 2.0, "log": 2.0, "logger": 2.0, "thermometer": 2.0, "pot": 2.0, "hand": 8.0, "hose": 6.0}
_NEEDLE = "A needle is often flattened: steady in the middle proves nothing."
_NOT_WARM = ("cold", "warming", "cranking")


def running(asked: Asked) -> Derived:
    """Running temperature over nominal [K]. What a map-controlled thermostat does by design counts as nominal."""
    observation, vehicle = asked.observation, asked.case.vehicle
    if observation.engine in _NOT_WARM:
        raise CannotJudge("the running temperature is read with the engine warmed through and driven on")
    shown = _shown(observation)
    read = spot(observation, shown, _SD.get(observation.instrument or "", 2.0))
    needle = (
        _NEEDLE if observation.instrument in ("gauge", "needle") or (vehicle.gauge == "needle" and observation.instrument is None) else ""
    )
    notes = [needle, worth(observation)]
    if observation.usual is not None:
        return banded(asked, _over(read, observation.usual, _STAMP_SD, "over what it usually shows"), unique(notes))
    if vehicle.thermostat in ("map", "rotary"):
        words = f"A map-controlled thermostat or valve runs at {_MAP_LOW_C:.0f} to {_MAP_HIGH_C:.0f} °C by design."
        return banded(asked, _over_map(read), unique([*notes, words]))
    if vehicle.thermostat_opens is not None:
        nominal, nominal_sd = vehicle.thermostat_opens, _STAMP_SD
    else:
        nominal, nominal_sd = _WAX_C, _WAX_SD
        notes.append(f"The thermostat's figure is not known: taken as {_WAX_C:.0f} ± {_WAX_SD:.0f} °C.")
    wax = _over(read, nominal, nominal_sd, "over the thermostat's figure")
    if vehicle.thermostat == "wax" or vehicle.thermostat_opens is not None:
        return banded(asked, wax, unique(notes))
    plain, mapped = along(asked, wax), along(asked, _over_map(read))
    mixed = tuple((1.0 - _MAP_SHARE) * a + _MAP_SHARE * b for a, b in zip(plain, mapped, strict=True))
    notes.append("Plain or map-controlled thermostat is not known: with a map-controlled one 105 °C and more is normal.")
    return Derived(asked.about, asked.finding.id, asked.finding.severity(mixed), wax, notes=unique(notes))


def _shown(observation: Observation) -> float:
    if isinstance(observation.answer, dict):
        values = sorted(series(observation, "degC").values())
        return values[len(values) // 2]  # the middle one: a fan's swing has both ends in it
    return single(observation, "degC")


def _over(read: Measure, nominal: float, nominal_sd: float, words: str) -> Measure:
    return Measure(read.value - nominal, (read.sd**2 + nominal_sd**2) ** 0.5, "K", words, "reading; nominal: vehicle's manual or estimate")


def _over_map(read: Measure) -> Measure:
    nearest = min(max(read.value, _MAP_LOW_C), _MAP_HIGH_C)
    return _over(read, nearest, _MAP_SD, f"outside {_MAP_LOW_C:.0f} to {_MAP_HIGH_C:.0f} °C of a map-controlled thermostat")


def opening(asked: Asked) -> Derived:
    """Temperature at which the thermostat opened, less its stamp [K]."""
    observation, vehicle = asked.observation, asked.case.vehicle
    _plain_wax(vehicle)
    assert vehicle.thermostat_opens is not None
    read = spot(observation, single(observation, "degC"), _SD.get(observation.instrument or "", 3.0))
    felt = "By the hose: it warms a little after the thermostat has opened." if observation.instrument in ("hose", "hand") else ""
    measure = _over(read, vehicle.thermostat_opens, 1.0, "opened at less the figure stamped on it")
    tolerance = "A sound plain wax thermostat starts within 3 K of its stamp and is fully open 12 K above it."
    return banded(asked, measure, unique([felt, worth(observation), tolerance]))


def _plain_wax(vehicle: Vehicle) -> None:
    if vehicle.thermostat == "map":
        raise CannotJudge("a map-controlled thermostat opens where its heater makes it: the stamp alone judges nothing")
    if vehicle.thermostat == "rotary":
        raise CannotJudge("a rotary valve has no opening temperature of its own: it stands where the control turns it")
    if vehicle.thermostat_opens is None:
        raise CannotJudge("the figure stamped on the thermostat is not known (thermostat_opens of the vehicle)")
