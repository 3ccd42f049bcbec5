"""What an observation's number amounts to: a figure with its uncertainty, and from it a likelihood for each band."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from diagnose.case.case import Case
from diagnose.case.observation import Observation
from diagnose.derive.measure import Measure, bands
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding


@dataclass(frozen=True)
class Derived:
    """One observation turned into one finding's likelihoods (by severity), or a sentence why it cannot be judged.

    `likelihood` is empty where nothing can be said; `measure` is the figure behind it, where there is one.
    """

    about: int
    finding: str
    likelihood: tuple[float, ...] = ()
    measure: Measure | None = None
    cannot: str = ""
    notes: tuple[str, ...] = field(default_factory=tuple)


@dataclass(frozen=True)
class Asked:
    """What a figure function is given: the observation and its place, the case, the knowledge, the finding it feeds."""

    about: int
    observation: Observation
    case: Case
    knowledge: Knowledge
    finding: Finding


Figure = Callable[[Asked], Derived]


def banded(asked: Asked, measure: Measure, notes: tuple[str, ...] = ()) -> Derived:
    """Likelihoods of the finding's bands from a figure: the limit's own spread and the figure's both make the slope."""
    edges = [(edge.at, edge.spread) for edge in asked.finding.edges]
    along = bands(measure.value, measure.sd, edges)
    return Derived(asked.about, asked.finding.id, asked.finding.severity(along), measure, notes=notes)


def cannot(asked: Asked, why: str) -> Derived:
    """Nothing can be said, and why."""
    return Derived(asked.about, asked.finding.id, cannot=why)
