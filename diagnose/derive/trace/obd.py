"""SAE J1979 (ISO 15031-5) service 01: data bytes to values, for the parameters that concern cooling."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnose.derive.measure import CannotJudge

SOURCE = "SAE J1979 / ISO 15031-5 service 01"


@dataclass(frozen=True)
class Parameter:
    """One parameter: how many data bytes it has, what they mean, in which unit."""

    name: str
    length: int
    unit: str
    formula: str
    value: Callable[[bytes], float]


PARAMETERS: dict[int, Parameter] = {
    0x04: Parameter("load", 1, "%", "A*100/255", lambda b: b[0] * 100 / 255),
    0x05: Parameter("coolant", 1, "degC", "A-40", lambda b: b[0] - 40.0),
    0x0B: Parameter("manifold pressure", 1, "kPa", "A", lambda b: float(b[0])),
    0x0C: Parameter("rpm", 2, "rpm", "(256A+B)/4", lambda b: (256 * b[0] + b[1]) / 4),
    0x0D: Parameter("speed", 1, "km/h", "A", lambda b: float(b[0])),
    0x0F: Parameter("intake", 1, "degC", "A-40", lambda b: b[0] - 40.0),
    0x10: Parameter("air flow", 2, "g/s", "(256A+B)/100", lambda b: (256 * b[0] + b[1]) / 100),
    0x11: Parameter("throttle", 1, "%", "A*100/255", lambda b: b[0] * 100 / 255),
    0x1F: Parameter("run time", 2, "s", "256A+B", lambda b: float(256 * b[0] + b[1])),
    0x21: Parameter("distance with warning lamp on", 2, "km", "256A+B", lambda b: float(256 * b[0] + b[1])),
    0x30: Parameter("warm-ups since codes cleared", 1, "count", "A", lambda b: float(b[0])),
    0x31: Parameter("distance since codes cleared", 2, "km", "256A+B", lambda b: float(256 * b[0] + b[1])),
    0x33: Parameter("barometric pressure", 1, "kPa", "A", lambda b: float(b[0])),
    0x42: Parameter("module voltage", 2, "V", "(256A+B)/1000", lambda b: (256 * b[0] + b[1]) / 1000),
    0x46: Parameter("ambient", 1, "degC", "A-40", lambda b: b[0] - 40.0),
    0x5C: Parameter("oil", 1, "degC", "A-40", lambda b: b[0] - 40.0),
}


def decode(pid: int, data: bytes) -> float:
    """Value of the data bytes `data` of parameter `pid`, in `PARAMETERS[pid].unit`.

    Raises CannotJudge if the parameter is not known here or the number of bytes is wrong. Source: SAE J1979 service 01.

    >>> decode(0x05, bytes.fromhex("82")), decode(0x0C, bytes.fromhex("0C80"))
    (90.0, 800.0)
    """
    known = PARAMETERS.get(pid)
    if known is None:
        raise CannotJudge(f"parameter {pid:02X} is not read here; known: {', '.join(f'{p:02X}' for p in PARAMETERS)} and 67")
    if len(data) != known.length:
        raise CannotJudge(f"parameter {pid:02X} ({known.name}) has {known.length} data byte(s), not {len(data)}")
    return known.value(data)


def coolant_pair(data: bytes) -> tuple[float | None, float | None]:
    """Parameter 67: coolant temperature of two sensors [degC]; None where the support bit says that there is none.

    Source: SAE J1979 service 01; the byte layout is from memory. Raises CannotJudge unless there are three bytes.

    >>> coolant_pair(bytes.fromhex("038278"))
    (90.0, 80.0)
    """
    if len(data) != 3:
        raise CannotJudge(f"parameter 67 (coolant, two sensors) has 3 data bytes, not {len(data)}")
    first, second = data[1] - 40.0, data[2] - 40.0
    return (first if data[0] & 1 else None, second if data[0] & 2 else None)


def cell(pid: int, text: str) -> float:
    """Value of a logged cell of hex: data bytes alone ("82"), or the whole answer ("41 05 82"). Coolant of parameter 67: sensor 1.

    >>> cell(0x05, "0x82"), cell(0x05, "41 05 82"), cell(0x0C, "0c 80")
    (90.0, 90.0, 800.0)
    """
    try:
        data = bytes.fromhex(text.strip().lower().removeprefix("0x").replace(" ", ""))
    except ValueError:
        raise CannotJudge(f"not hexadecimal bytes: {text!r}") from None
    expected = 3 if pid == 0x67 else PARAMETERS[pid].length if pid in PARAMETERS else len(data)
    if len(data) == expected + 2 and data[:2] == bytes((0x41, pid)):
        data = data[2:]
    if pid != 0x67:
        return decode(pid, data)
    first, second = coolant_pair(data)
    chosen = first if first is not None else second
    if chosen is None:
        raise CannotJudge("parameter 67 says that neither coolant sensor is fitted")
    return chosen
