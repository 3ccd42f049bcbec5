"""A figure of a trace: what was measured, from which rows."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.derive.measure import Measure


@dataclass(frozen=True)
class Figure:
    """`rows` are the first and last row of the log that the figure came from, the first data row being 1."""

    name: str
    measure: Measure
    rows: tuple[int, int]

    def told(self) -> str:
        """A line for the person."""
        m = self.measure
        return f"{self.name}: {m.value:.1f} ± {m.sd:.1f} {m.unit} (rows {self.rows[0]} to {self.rows[1]}; {m.formula})"
