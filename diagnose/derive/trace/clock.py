"""Times of a log: seconds, milliseconds, epoch, clock times with or without a date, to seconds."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from math import nan

_DATE_FORMATS = (
    "%Y-%m-%d",
    "%d.%m.%Y",
    "%d.%m.%y",
    "%Y/%m/%d",
    "%Y.%m.%d",
    "%d/%m/%Y",
    "%m/%d/%Y",
    "%d-%m-%Y",
    "%d-%b-%Y",
    "%b %d %Y",
)
_EPOCH = date(2000, 1, 1).toordinal()


class Clock:
    """Parses cells to seconds; remembers the dates and minutes it has seen, so that a million cells take about a second."""

    def __init__(self) -> None:
        self._days: dict[str, float] = {}
        self._minutes: dict[str, float] = {}

    def seconds(self, cells: Sequence[str]) -> list[float]:
        """Seconds of each cell, NaN where it is not a time. A clock without a date counts from midnight.

        >>> Clock().seconds(["00:01:02.5", "2024-03-01T00:00:10Z", "01.03.2024 00:00:11", "1:02 PM", "?"])
        [62.5, 762566410.0, 762566411.0, 46920.0, nan]
        """
        return [self._one(cell) for cell in cells]

    def _one(self, cell: str) -> float:
        text = cell.strip().replace(",", ".")
        head, gap, tail = text.partition("T" if "T" in text and ":" in text else " ")
        if ":" in head:
            return self._time(head, tail)
        if not gap:
            return nan
        if ":" not in tail:
            return nan
        clock, _, suffix = tail.partition(" ")
        return self._day(head) + self._time(clock, suffix)

    def _day(self, text: str) -> float:
        if text not in self._days:
            self._days[text] = _ordinal(text)
        return self._days[text]

    def _time(self, clock: str, suffix: str) -> float:
        key = clock[:5] + suffix
        minute, _, rest = clock[3:].partition(":") if clock[1:2] != ":" else clock[2:].partition(":")
        base = self._minutes.get(key)
        try:
            if base is None:
                hour = int(clock.partition(":")[0])
                half = suffix.strip().lower()[:2]
                hour = hour % 12 + 12 * (half == "pm") if half in ("am", "pm") else hour
                base = self._minutes[key] = 3600.0 * hour + 60.0 * int(minute[:2])
            for sign in "Z+-":
                rest = rest.partition(sign)[0]
            return base + (float(rest) if rest else 0.0)
        except ValueError:
            return nan


def _ordinal(text: str) -> float:
    for pattern in _DATE_FORMATS:
        try:
            return 86400.0 * (datetime.strptime(text, pattern).toordinal() - _EPOCH)
        except ValueError:
            continue
    return nan
