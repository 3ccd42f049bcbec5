"""The shape of everything in knowledge/: pydantic models, one a kind. Chance words become numbers while reading."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, model_validator

from diagnose.case.fields import Strict, Word
from diagnose.knowledge.condition import ALL_FIELDS, VEHICLE_FIELDS, Test, tests_of

URGENCIES = ("none", "next_service", "this_week", "do_not_drive_far", "stop_now")
PLACES = (
    "history", "neck", "coolant", "bubbles", "exhaust", "oil", "outside", "cabin", "dash", "radiator_and_fan", "pump_and_belt",
    "electrics", "cylinders", "road",
)  # fmt: skip
ENGINES = ("cold", "warm", "opened_running", "loaded", "off", "any")
Id = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Sentence = Annotated[str, AfterValidator(lambda text: " ".join(text.split())), Field(min_length=2)]
Urgency = Literal["none", "next_service", "this_week", "do_not_drive_far", "stop_now"]
YesWord = Annotated[Literal["yes", "no"], Word]


def _number(scale: str, value: Any, info: ValidationInfo) -> Any:
    scales: Mapping[str, Mapping[str, float]] = (info.context or {}).get("chances") or {}
    words = dict(scales.get(scale, {}))
    if scale == "prior":  # harmless causes may be likelier than any fault: the words for links serve there too
        words = {**scales.get("link", {}), **words}
    if isinstance(value, str):
        if value not in words:
            raise ValueError(f"'{value}' is not a chance word; allowed: {', '.join(words)}, or a number between 0 and 1")
        return words[value]
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        if scale != "trust" and not 0.0 < value < 1.0:
            raise ValueError(f"a chance of {value} is certainty; allowed: a chance word, or a number above 0 and below 1")
        return float(value)
    raise ValueError("a chance is a word or a number between 0 and 1")


def _scale(name: str) -> BeforeValidator:
    return BeforeValidator(lambda value, info: _number(name, value, info))


Chance = Annotated[float, _scale("link")]
Prior = Annotated[float, _scale("prior")]
Trust = Annotated[float, _scale("trust")]
Bands = dict[str, Chance]
Push = Chance | Bands


def _push(value: Any) -> Any:
    if isinstance(value, Mapping):
        return dict(value)
    return value


class Source(Strict):
    """A published source, or one of the two words `common_practice` and `estimate`."""

    id: Id
    name: Sentence
    note: Sentence | None = None


class Scale(Strict):
    """Chance words and their numbers."""

    id: Id
    name: Sentence
    source: Id
    words: dict[str, float]


class When(Strict):
    """Tests that must surely hold: field -> word, list of words, or below/above with a unit."""

    tests: tuple[Test, ...]

    @model_validator(mode="before")
    @classmethod
    def _read(cls, raw: Any) -> Any:
        if isinstance(raw, Mapping) and "tests" in raw and isinstance(raw["tests"], (list, tuple)):
            return raw
        if not isinstance(raw, Mapping) or not raw:
            raise ValueError("a condition is written as 'field: value'")
        return {"tests": tests_of(raw, ALL_FIELDS)}


class Variant(Strict):
    """Another chance in some context. The last variant that surely holds counts."""

    when: When
    chance: Push
    because: Sentence


class Link(Strict):
    """One causal link, and why it holds."""

    effect: Id | None = None
    finding: Id | None = None
    chance: Push
    because: Sentence
    in_context: tuple[Variant, ...] = ()
    unless: Id | None = None
    source: Id | None = None

    @model_validator(mode="after")
    def _one_target(self) -> Link:
        if (self.effect is None) == (self.finding is None):
            raise ValueError("a link names either an effect or a finding")
        return self

    @property
    def to(self) -> str:
        """What it leads to."""
        return self.effect or self.finding or ""


class MisreadVariant(Strict):
    """Another chance of a misreading in some context."""

    when: When
    misread: Push
    because: Sentence


class Edge(Strict):
    """A limit between two bands, with its own spread among sources, in the finding's unit."""

    at: float
    spread: Annotated[float, Field(ge=0)]
    source: Id | None = None


class ShowsWhen(Strict):
    """Circumstances in which a "no" means something."""

    because: Sentence
    when: When

    @model_validator(mode="before")
    @classmethod
    def _split(cls, raw: Any) -> Any:
        if isinstance(raw, Mapping) and "when" not in raw:
            rest = {k: v for k, v in raw.items() if k != "because"}
            return {"because": raw.get("because"), "when": rest}
        return raw


class Finding(Strict):
    """What an observation may amount to: yes/no, or ordered bands (the first is what nothing-wrong gives).

    `wears`: which way the number goes as the thing wears; readings on several days then make a trend.
    `comes_and_goes`: a symptom that is there at times: not seen on another occasion does not take back that it was seen.
    """

    id: Id
    name: Sentence
    ask: Sentence
    yes_is: Sentence | None = None
    no_is: Sentence | None = None
    also: tuple[str, ...] = ()
    place: Literal[PLACES]  # type: ignore[valid-type]
    comes_and_goes: Literal["yes"] | None = None
    bands: tuple[Id, ...] = ()
    band_is: dict[str, Sentence] = Field(default_factory=dict)
    along: tuple[Id, ...] = ()
    unit: str | None = None
    edges: tuple[Edge, ...] = ()
    accuracy: Annotated[float, Field(gt=0)] | None = None
    wears: Literal["rising", "falling"] | None = None
    misread: Push
    misread_in_context: tuple[MisreadVariant, ...] = ()
    shows_when: ShowsWhen | None = None
    note: Sentence | None = None
    source: Id

    @model_validator(mode="after")
    def _complete(self) -> Finding:
        if self.bands:
            if len(self.bands) < 2 or len(set(self.bands)) != len(self.bands):
                raise ValueError("bands: at least two different ones, the ordinary one first")
            missing = [b for b in self.bands if b not in self.band_is]
            if missing:
                raise ValueError(f"band_is says nothing of '{missing[0]}'")
            if self.along and sorted(self.along) != sorted(self.bands):
                raise ValueError("along must hold the same bands as bands, low to high")
            if self.edges and len(self.edges) != len(self.bands) - 1:
                raise ValueError(f"{len(self.bands)} bands need {len(self.bands) - 1} edges, not {len(self.edges)}")
            if [e.at for e in self.edges] != sorted(e.at for e in self.edges):
                raise ValueError("edges must ascend")
            if self.edges and (self.unit is None or self.accuracy is None):
                raise ValueError("a finding with edges needs unit and accuracy")
            if self.wears and not self.edges:
                raise ValueError("wears (rising, falling) is for a finding with edges: it is the number that moves as the thing wears")
        elif self.yes_is is None or self.no_is is None:
            raise ValueError("a yes/no finding needs yes_is and no_is")
        elif self.edges or self.along or self.band_is or self.wears:
            raise ValueError("edges, along, band_is and wears need bands")
        return self

    @property
    def levels(self) -> tuple[str, ...]:
        """Its levels by rising severity."""
        return self.bands or ("absent", "present")

    def severity(self, along: tuple[float, ...]) -> tuple[float, ...]:
        """Likelihoods ordered along the number, re-ordered by severity."""
        order = self.along or self.bands
        return tuple(along[order.index(band)] for band in self.bands)


class Effect(Strict):
    """What physically happens. `outside`: the chance that something this knowledge does not hold brings it about."""

    id: Id
    name: Sentence
    mechanism: Sentence
    outside: Chance
    leads_to: tuple[Link, ...] = ()
    shows: tuple[Link, ...] = ()
    note: Sentence | None = None
    source: Id


class Priors(Strict):
    """How common, by why the vehicle is here. `source`: of these numbers, where it is another than the entry's."""

    complaint: Prior
    routine: Prior
    source: Id | None = None


class PriorVariant(Strict):
    """Other priors for some vehicles."""

    when: When
    complaint: Prior
    routine: Prior
    because: Sentence


class After(Strict):
    """A past event that makes a fault likelier: it adds this chance."""

    event: Id
    chance: Chance
    because: Sentence


class Fault(Strict):
    """What a repair removes; or a harmless cause; or a past event."""

    id: Id
    name: Sentence
    kind: Literal["fault", "harmless", "event"] = "fault"
    part: Id | None = None
    mechanism: Sentence
    prior: Priors
    prior_in_context: tuple[PriorVariant, ...] = ()
    needs: When | None = None
    likelier_after: tuple[After, ...] = ()
    causes: tuple[Link, ...] = ()
    shows: tuple[Link, ...] = ()
    urgency: Urgency = "none"
    drive: Sentence | None = None
    if_left: Sentence | None = None
    told_apart: Sentence | None = None
    nearest: tuple[Id, ...] = ()
    repair: tuple[Id, ...] = ()
    note: Sentence | None = None
    source: Id

    @model_validator(mode="after")
    def _complete(self) -> Fault:
        if self.kind == "fault" and not (self.repair and self.drive and self.if_left and self.told_apart):
            raise ValueError("a fault needs repair, drive, if_left and told_apart")
        if self.kind != "fault" and self.urgency != "none":
            raise ValueError("only a fault has an urgency")
        return self

    @property
    def links(self) -> tuple[Link, ...]:
        """All that it leads to."""
        return self.causes + self.shows


class Misled(Strict):
    """One thing that spoils everything a procedure shows."""

    chance: Chance
    shows: dict[str, Push]
    because: Sentence


class Procedure(Strict):
    """How somebody gets observations. Minutes; consumables in hours of labour worth."""

    id: Id
    name: Sentence
    how: tuple[Sentence, ...] = Field(min_length=1)
    minutes: Annotated[float, Field(gt=0)]
    consumables: Annotated[float, Field(ge=0)] = 0.0
    tools: tuple[str, ...] = ()
    skill: Literal["home", "workshop", "specialist"]
    helper: YesWord = "no"
    engine: Literal[ENGINES]  # type: ignore[valid-type]
    driven: Annotated[YesWord, Field(description="the vehicle is driven before or during it")] = "no"
    opens: tuple[str, ...] = ()
    gives: tuple[Id, ...] = Field(min_length=1)
    cautions: tuple[Sentence, ...] = ()
    needs: When | None = None
    not_when: tuple[Id, ...] = ()
    misled: Misled | None = None
    leaves: tuple[str, ...] = ()
    spoilt_by: Annotated[
        tuple[Literal["system_open"], ...], Field(description="what an earlier step may have left behind that this one cannot stand")
    ] = ()
    note: Sentence | None = None
    source: Id


class Repair(Strict):
    """What removes faults. Hours; parts as a band in hours of labour worth."""

    id: Id
    name: Sentence
    removes: tuple[Id, ...] = Field(min_length=1)
    hours: Annotated[float, Field(ge=0)]
    parts: tuple[float, float]
    do_with_it: tuple[Sentence, ...] = ()
    prove: Sentence
    cautions: tuple[Sentence, ...] = ()
    voids: tuple[Id, ...] = ()
    note: Sentence | None = None
    source: Id

    @model_validator(mode="after")
    def _band(self) -> Repair:
        if not 0 <= self.parts[0] <= self.parts[1]:
            raise ValueError("parts is a low and a high figure, in that order")
        return self


class Reading(Strict):
    """A number people bring that becomes a finding through a figure (diagnose/figures).

    `finding` is what it mainly feeds; `feeds` what else, by the part it plays in the figure. `takes`: what may be given under the
    finding's own name and is then this reading: any number or series, or only temperatures with °C or °F (a point, not a
    difference in K).
    """

    id: Id
    name: Sentence
    unit: str
    also: tuple[str, ...] = ()
    figure: Id
    finding: Id
    feeds: dict[str, Id] = Field(default_factory=dict)
    takes: Literal["nothing", "numbers", "points"] = "nothing"
    note: Sentence | None = None
    source: Id


class PriceVariant(Strict):
    """Another price for some vehicles."""

    when: When
    hours: Annotated[float, Field(ge=0)]
    because: Sentence


class Price(Strict):
    """What being wrong costs, in hours of labour worth. `of`: the faults it concerns; none named: all. `labour`: it is the person's
    own hours, so it does not grow where parts are dear. The last variant that surely holds counts."""

    id: Id
    name: Sentence
    hours: Annotated[float, Field(ge=0)]
    of: tuple[Id, ...] = ()
    labour: YesWord = "no"
    in_context: tuple[PriceVariant, ...] = ()
    because: Sentence
    source: Id


class Access(Strict):
    """A place that is opened before what lies behind it can be reached: minutes, and the repairs whose hours hold it already."""

    id: Id
    place: Id
    name: Sentence
    minutes: Annotated[float, Field(ge=0)]
    repairs: tuple[Id, ...] = ()
    source: Id


class Proposed(Strict):
    """What people propose to do, in their words: repairs of this knowledge, or something wasteful, harmful, or nothing at all."""

    id: Id
    name: Sentence
    also: tuple[str, ...] = ()
    kind: Literal["repair", "waste", "harm", "leave"]
    repairs: tuple[Id, ...] = ()
    price: Id | None = None
    because: Sentence | None = None
    instead: Sentence | None = None
    source: Id

    @model_validator(mode="after")
    def _complete(self) -> Proposed:
        if (self.kind == "repair") != bool(self.repairs):
            raise ValueError("a proposal of the kind 'repair' names repairs, and no other does")
        if self.kind in ("waste", "harm") and not (self.because and self.instead):
            raise ValueError("what is wasteful or harmful needs because and instead")
        return self


class LogPattern(Strict):
    """What a pattern read in a temperature log says of findings: finding -> yes, or one of its bands."""

    id: Id
    pattern: Id
    shows: dict[str, str]
    source: Id


class Rule(Strict):
    """`when` … `then` … `because` … `source`. Items are read by diagnose.rules.language."""

    id: Id
    phase: Literal["interpret", "advise"]
    when: tuple[dict[str, Any], ...] = Field(min_length=1)
    then: tuple[dict[str, Any], ...] = Field(min_length=1)
    because: Sentence
    source: Id


def needs_allows(needs: When | None) -> list[str]:
    """Fields in `needs` that are not vehicle fields."""
    return [t.field for t in needs.tests if t.field not in VEHICLE_FIELDS] if needs else []


class Talk(Strict):
    """What is worth asking of somebody who only tells, in this order, where an assessment proposes fewer questions.

    `suspected`: an effect; asked only where that is to be reckoned with.
    """

    id: Id
    name: Sentence
    suspected: Id | None = None
    asks: tuple[Id, ...] = Field(min_length=1)
    because: Sentence
    source: Id
