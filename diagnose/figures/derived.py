"""What an observation's number amounts to: a figure with its uncertainty, and from it a likelihood for each band."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from diagnose.case.case import Case
from diagnose.case.observation import Observation
from diagnose.derive.measure import CannotJudge, Measure, bands
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Reading


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
    """What a figure function is given: the observation and its place, the case, the knowledge, the finding it feeds.

    `reading` is the entry of readings.yaml that it came by (None: the finding itself was answered with a number).
    """

    about: int
    observation: Observation
    case: Case
    knowledge: Knowledge
    finding: Finding
    reading: Reading | None = None

    def to(self, part: str) -> Asked | None:
        """The same observation, asked for another finding that its reading feeds; None where the knowledge feeds none."""
        name = self.reading.feeds.get(part) if self.reading else None
        return replace(self, finding=self.knowledge.findings[name]) if name else None


Figure = Callable[[Asked], Derived | list[Derived]]
Together = Callable[[Sequence[Asked]], list[Derived]]


def banded(asked: Asked, measure: Measure, notes: tuple[str, ...] = ()) -> Derived:
    """Likelihoods of the finding's bands from a figure: the limit's own spread and the figure's both make the slope."""
    return Derived(asked.about, asked.finding.id, asked.finding.severity(along(asked, measure)), measure, notes=notes)


def along(asked: Asked, measure: Measure) -> tuple[float, ...]:
    """Likelihoods of the finding's bands in the order of the number, low to high."""
    edges = [(edge.at, edge.spread) for edge in asked.finding.edges]
    return bands(measure.value, measure.sd, edges)


def at_least(asked: Asked, bound: Measure, notes: tuple[str, ...] = ()) -> Derived:
    """A reading that only bounds the figure from below: every band above the bound explains it as well as the next."""
    shares, reached, total = along(asked, bound), [], 0.0
    for share in shares:
        total += share
        reached.append(min(1.0, total))
    return Derived(asked.about, asked.finding.id, asked.finding.severity(tuple(reached)), bound, notes=notes)


def yes_no(asked: Asked, chance: float, measure: Measure | None = None, notes: tuple[str, ...] = ()) -> Derived:
    """A yes/no finding from the chance (0 to 1) that the reading speaks for yes; never quite certain, 0.02 either way."""
    sure = min(0.98, max(0.02, chance))
    return Derived(asked.about, asked.finding.id, (1.0 - sure, sure), measure, notes=notes)


def cannot(asked: Asked, why: str, notes: tuple[str, ...] = ()) -> Derived:
    """Nothing can be said, and why, as a sentence."""
    text = why.strip()
    text = text[:1].upper() + text[1:]
    return Derived(asked.about, asked.finding.id, cannot=text if text.endswith((".", "?", "!")) else text + ".", notes=notes)


def judged(asked: Asked | None, figure: Callable[[Asked], Derived]) -> list[Derived]:
    """One finding's result, a refusal turned into words; nothing where the knowledge feeds no such finding."""
    if asked is None:
        return []
    try:
        return [figure(asked)]
    except CannotJudge as why:
        return [cannot(asked, str(why))]
