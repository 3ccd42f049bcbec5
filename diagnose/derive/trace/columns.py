"""Which column of a log is what, in which unit: by its name, else by its values, and always shown."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.derive.measure import CannotJudge

# Ordered: the first meaning that matches a name takes it. A name is split at every non-letter and at camel-case humps.
_MEANINGS: tuple[tuple[str, str], ...] = (
    ("outlet", r"\b(outlet|radiator out|rad out|lower hose|coolant.* (out|2)|ect ?2|return)\b"),
    ("fan", r"\b(fan|fans|fan state|fan duty|luefter|ventilator)\b"),
    ("ambient", r"\b(ambient|outside|outdoor|aat|oat|aussentemperatur)\b"),
    ("intake", r"\b(intake|inlet air|iat|charge air|ansaugluft|air temp|manifold air)\b"),
    (
        "coolant",
        r"\b(coolant|ect|clt|engine temp(erature)?|water temp(erature)?|cooling water|ect ?1|motortemperatur|kuehlmittel\w*)\b",
    ),
    ("speed", r"\b(speed|vss|velocity|kph|km h|kmh|mph|geschwindigkeit)\b"),
    ("rpm", r"\b(rpm|revs|engine speed|drehzahl|tach|tacho)\b"),
    ("load", r"\b(load|last)\b"),
    ("time", r"\b(time|timestamp|date|datetime|seconds|sec|secs|s|elapsed|ms|zeit|uhrzeit|run time|t)\b"),
)
_NOT = {  # names that a pattern would wrongly take
    "coolant": r"\b(pressure|level|flow|fan)\b",
    "speed": r"\b(wind|fan|engine|pump)\b",
    "fan": r"\b(blower|cabin)\b",
    "intake": r"\b(pressure|humidity|flow)\b",
    "load": r"\b(torque|battery|alternator)\b",
}
_PLAIN = {ord("ü"): "ue", ord("ä"): "ae", ord("ö"): "oe", ord("ß"): "ss"}
_HEX = re.compile(r"^\s*(?:pid|service 01|mode 01)?[ _-]*(?:0x)?(?:01[ ]?)?([0-9a-f]{2})(?:[ _-]*(?:raw|hex|bytes?))?\s*$", re.I)
_HEX_MEANS = {0x05: "coolant", 0x67: "coolant", 0x0C: "rpm", 0x0D: "speed", 0x0F: "intake", 0x46: "ambient", 0x04: "load"}
MEANINGS: tuple[str, ...] = tuple(name for name, _ in _MEANINGS)


@dataclass(frozen=True)
class Column:
    """What a column was taken for. `guessed` says that the unit was not written and came from the values or from custom."""

    index: int
    header: str
    meaning: str
    unit: str
    guessed: bool = False
    pid: int | None = None

    def told(self) -> str:
        """A line for the person: `"ECT (°F)": coolant temperature in degF`."""
        how = f", bytes of SAE J1979 parameter {self.pid:02X}" if self.pid is not None else ", unit guessed" if self.guessed else ""
        return f'"{self.header.strip()}": {self.meaning} in {self.unit or "(none)"}{how}'


def _words(header: str) -> str:
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", header)
    spaced = spaced.lower().translate(_PLAIN)
    spaced = re.sub(r"[\(\[].*?[\)\]]", " ", spaced)
    return " ".join(re.findall(r"[a-z]+|\d+", spaced))


def meaning(header: str) -> str | None:
    """What a column of this name holds, or None.

    >>> [meaning(h) for h in ("Engine Coolant Temperature (°F)", "ECT_degC", "vehicleSpeed", "Engine speed", "IAT", "oil temp")]
    ['coolant', 'coolant', 'speed', 'rpm', 'intake', None]
    """
    words = _words(header)
    for name, pattern in _MEANINGS:
        refused = _NOT.get(name)
        if re.search(pattern, words) and not (refused and re.search(refused, words)):
            return name
    bare = re.fullmatch(r"\s*[\(\[](.*)[\)\]]\s*", header)
    return meaning(bare.group(1)) if bare else None


def unit(header: str, what: str) -> str | None:
    """Unit written in the header, or None.

    >>> [unit(h, "coolant") for h in ("ECT (°F)", "coolant_temp_c", "Coolant [K]", "coolant")]
    ['degF', 'degC', 'K', None]
    >>> [unit(h, "speed") for h in ("Speed (mph)", "speed_kmh")]
    ['mph', 'km/h']
    """
    text = header.lower().replace("º", "°")
    if what in ("coolant", "ambient", "intake", "outlet"):
        for found, pattern in (
            ("degF", r"°\s*f\b|deg\.?\s*f\b|fahrenheit|[\(\[_ ]f[\)\]]?\s*$"),
            ("degC", r"°\s*c\b|deg\.?\s*c\b|celsius|[\(\[_ ]c[\)\]]?\s*$"),
            ("K", r"kelvin|[\(\[_]k[\)\]]?\s*$"),
        ):
            if re.search(pattern, text):
                return found
    if what == "speed":
        return (
            "mph"
            if "mph" in text or "mi/h" in text
            else "km/h"
            if re.search(r"km\s*/?\s*h|kph", text)
            else "m/s"
            if "m/s" in text
            else None
        )
    if what == "time":
        return "ms" if re.search(r"\bms\b|_ms|milli", text) else "min" if re.search(r"[\(\[_ ]min(utes)?\b", text) else None
    return None


def map_header(header: Sequence[str], units: Sequence[str] | None = None) -> tuple[Column, ...]:
    """Map the cells of a header row (and the row of units below it, if there is one) to meanings; the first column of a meaning wins.

    >>> [c.told() for c in map_header(["time", "ECT (°F)", "Speed"])]
    ['"time": time in s, unit guessed', '"ECT (°F)": coolant in degF', '"Speed": speed in km/h, unit guessed']
    """
    taken: dict[str, Column] = {}
    for index, name in enumerate(header):
        whole = f"{name} ({units[index].strip()})" if units is not None and index < len(units) and units[index].strip() else name
        hexed = _HEX.match(name)
        pid = int(hexed.group(1), 16) if hexed and int(hexed.group(1), 16) in _HEX_MEANS else None
        what = _HEX_MEANS[pid] if pid is not None else meaning(name)
        if what is None or what in taken:
            continue
        custom = {"speed": "km/h", "time": "s", "rpm": "rpm", "load": "%", "fan": ""}.get(what, "degC")
        written = custom if pid is not None or what in ("rpm", "load", "fan") else unit(whole, what)
        taken[what] = Column(index, name, what, written or custom, written is None, pid)
    return tuple(sorted(taken.values(), key=lambda c: c.index))


def required(columns: Sequence[Column], header: Sequence[str]) -> None:
    """Raise CannotJudge unless time and coolant temperature are there; the message says what was there and what names are understood."""
    have = {c.meaning for c in columns}
    missing = [m for m in ("time", "coolant") if m not in have]
    if missing:
        names = {"time": "time, timestamp, seconds, elapsed (ms)", "coolant": "coolant, ECT, CLT, engine temp, water temp, 0105"}
        raise CannotJudge(
            f"no column for {' and '.join(missing)} among: {', '.join(h.strip() for h in header) or '(nothing)'}. "
            + "; ".join(f"{m} may be called {names[m]}" for m in missing)
        )


def guess_temperature(high: float, what: str = "coolant") -> str:
    """Unit of a temperature column that does not say: `high` is its third quartile, as logged.

    No cooling system runs for a quarter of a log above 130 °C; one in °F does. A kelvin log is above 250 throughout. Common practice.

    >>> guess_temperature(90), guess_temperature(194), guess_temperature(363)
    ('degC', 'degF', 'K')
    """
    if high > 255:
        return "K"
    return "degF" if high > (130 if what == "coolant" else 55) else "degC"


FACTORS: Mapping[str, tuple[float, float]] = {  # unit -> (factor, offset) to °C, km/h or s
    "degC": (1.0, 0.0),
    "degF": (5 / 9, -160 / 9),
    "K": (1.0, -273.15),
    "km/h": (1.0, 0.0),
    "mph": (1.609344, 0.0),
    "m/s": (3.6, 0.0),
    "s": (1.0, 0.0),
    "ms": (0.001, 0.0),
    "min": (60.0, 0.0),
}
