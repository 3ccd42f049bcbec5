"""One trip of a log: from one engine start to the next stop, as arrays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from diagnose.derive.measure import CannotJudge

Array = NDArray[np.float64]
Rows = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Trip:
    """Samples in time order. `rows`: row of the log, the first data row being 1. `seconds` ascend. `coolant` [°C], NaN where missing.

    `columns` may hold speed [km/h], rpm [1/min], ambient, intake and outlet [°C], fan [0..1], load [%].
    `continued` says that the engine did not start with this trip: the log was cut, or starts warm after a stop.
    """

    rows: Rows
    seconds: Array
    coolant: Array
    columns: Mapping[str, Array] = field(default_factory=dict)
    continued: bool = False

    def __post_init__(self) -> None:
        n = len(self.seconds)
        if any(len(a) != n for a in (self.rows, self.coolant, *self.columns.values())):
            raise CannotJudge("the columns of a trip must have equal length")
        if n and not bool(np.all(np.diff(self.seconds) > 0)):
            raise CannotJudge("the times of a trip must ascend")

    @classmethod
    def of(cls, seconds: Array, coolant: Array, columns: Mapping[str, Array] | None = None) -> Trip:
        """A trip from plain arrays; rows are counted from 1.

        >>> len(Trip.of(np.arange(3.0), np.array([20.0, 21.0, 22.0])).rows)
        3
        """
        return cls(np.arange(1, len(seconds) + 1), np.asarray(seconds, dtype=float), np.asarray(coolant, dtype=float), dict(columns or {}))

    def part(self, first: int, last: int, continued: bool) -> Trip:
        """Samples `first` to `last` - 1 as a trip of their own."""
        cut = slice(first, last)
        return Trip(self.rows[cut], self.seconds[cut], self.coolant[cut], {k: v[cut] for k, v in self.columns.items()}, continued)
