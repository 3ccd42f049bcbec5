"""All that follows from a case: the models behind the console page and the JSON document."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class Part(BaseModel):
    """Frozen, plain data."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Figure(Part):
    """A figure worked out from a reading: value ± one standard deviation."""

    value: float
    sd: float
    unit: str
    formula: str
    source: str


class Understood(Part):
    """One observation and what it amounts to."""

    observation: int = Field(description="position in the case, from 0")
    of: str
    answer: str
    finding: str
    name: str
    level: str = Field(description="present, absent, unsure, silent (nothing was said) or cannot_judge")
    band: str
    trust: float = Field(description="0 to 1: how far it is believed in its circumstances")
    reasons: list[str]
    figure: Figure | None = None


class Weight(Part):
    """What one finding adds: natural log-odds, positive for, negative against."""

    finding: str
    name: str
    weight: float
    said: str


class Arrow(Part):
    """One step of the causal story."""

    cause: str
    sign: str
    text: str
    because: str
    source: str
    where: str


class Candidate(Part):
    """One fault or harmless cause with its chance."""

    id: str
    name: str
    kind: str = Field(description="fault or harmless")
    chance: float
    said: str
    before: float = Field(description="chance before anything was found")
    accounts: float = Field(description="chance that it is there and needed for what was found: orders the list")
    urgency: str


class RepairStep(Part):
    """A repair that would follow, and how to prove it."""

    id: str
    name: str
    hours: float
    parts_in_hours: tuple[float, float]
    cost: str
    do_with_it: list[str]
    prove: str
    cautions: list[str]


class Leader(Part):
    """A leading explanation told in full."""

    id: str
    name: str
    mechanism: str
    evidence_for: list[Weight]
    evidence_against: list[Weight]
    story: list[list[Arrow]]
    told_apart: str
    nearest: list[str]
    drive: str
    if_left: str
    repairs: list[RepairStep]


class Outcome(Part):
    """What one result of a test would mean."""

    finding: str
    result: str
    chance: float
    then: str


class Procedure(Part):
    """A proposed test."""

    id: str
    name: str
    why: str
    minutes: float
    cost: str
    tools: list[str]
    skill: str
    engine: str
    how: list[str]
    cautions: list[str]
    outcomes: list[Outcome]
    gain: float = Field(description="expected bits about which leader is right")


class Closed(Part):
    """A test that would tell something but is not offered, and why."""

    id: str
    name: str
    why: str


class Sentence(Part):
    """Something to be said, and the rules behind it."""

    text: str
    rules: list[str]
    because: list[str]


class Fired(Part):
    """A rule that fired: what it matched and concluded."""

    rule: str
    phase: str
    matched: list[str]
    concluded: list[str]
    because: str
    source: str


class Effect(Part):
    """Something that physically happens, with its chance."""

    id: str
    name: str
    chance: float


class PlanResult(Part):
    """What one result of a planned step would mean, and what would then be done."""

    result: str
    chance: float
    means: str
    then: str


class PlanStep(Part):
    """One step of the plan: a test, a repair with its proof, or stopping."""

    kind: str = Field(description="test, repair or stop")
    id: str
    name: str
    why: str
    minutes: float
    cost: str
    results: list[PlanResult]
    together: list[str] = Field(default=[], description="what is done with it, in its cost already")
    shared: list[str] = Field(default=[], description="places that stand open from an earlier step: opened and paid once")
    waits: list[str] = Field(default=[], description="what an earlier step left behind that must be waited out first; the wait is paid")


class Ask(Part):
    """The next test worth its price that is beyond the money agreed for tests: to be asked for, not done."""

    id: str
    name: str
    minutes: float
    cost: str
    agreed: str
    left: str = Field(description="what is left of the money agreed")
    saves: str = Field(description="what the plan with it is expected to cost less, its price taken off")
    results: list[PlanResult]
    text: str


class Plan(Part):
    """The course of least expected cost from here; costs in hours of labour worth."""

    steps: list[PlanStep] = Field(description="the first step, and what follows while each result is the likeliest one")
    end: str = Field(description="when to stop testing, and why")
    expected_hours: float
    untested_hours: float = Field(description="expected cost of the best repairs in the best order without another test")
    least_hours: float = Field(description="no course of action can cost less on average")
    exact: bool
    method: str
    changes: list[str] = Field(description="this answer would change if …")
    expected: str = Field(default="", description="expected_hours as it is said: money where a labour rate is set")
    untested: str = Field(default="", description="untested_hours as it is said")
    least: str = Field(default="", description="least_hours as it is said")
    ask: Ask | None = None


class Proven(Part):
    """What became of a repair that was done."""

    repair: str
    name: str
    state: str = Field(description="confirmed, unproven, reopened, or second_fault: trouble goes on for another reason")
    text: str
    on: str = Field(default="", description="the day, where it was given")
    found: list[str] = Field(default=[], description="what was then seen to be really wrong")
    feedback: str = Field(default="", description="where that stood in this tool's list before")
    voided: list[str] = Field(default=[], description="findings from before that it made void")
    aged: list[str] = Field(default=[], description="findings from before that count only a little now")


class Assessment(Part):
    """Everything that can be said about a case. Chances are rounded; lists are sorted; nothing depends on the clock."""

    format: str = "assessment 1"
    title: str
    invented: bool
    complaint: str
    urgency: str
    urgency_because: list[Sentence]
    drive: list[Sentence]
    verdict: str = Field(description="nothing_wrong, harmless, likely, unproven or nothing_known")
    headline: str
    understood: list[Understood]
    ranking: list[Candidate]
    beside: list[Candidate] = Field(description="likely weaknesses that account for nothing that was found")
    leaders: list[Leader]
    effects: list[Effect]
    unexplained: list[str]
    disagrees: list[str]
    masks: list[str] = Field(description="leaders that explain what would speak for another fault, so that one may hide the other")
    cautions: list[Sentence]
    notes: list[Sentence]
    next: list[Procedure]
    not_now: list[Closed]
    plan: Plan | None = None
    after_repair: list[Proven] = []
    together: list[list[str]]
    rules_fired: list[Fired]
    exact: bool
    method: str
