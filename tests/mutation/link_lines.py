"""One line a causal link, and what else a fault is: what it is about and which way, without any number.

gas_in_coolant > gas_indicator turned, unclear; less fuel=diesel     bands of a sign: the likeliest first
head_gasket_gas after was_overheated
head_gasket_gas is stop_now
fan_motor_fails needs fan=electric
hose_soft_hot counts engine=hot_off|loaded|warm                      only then does a "no" to it mean something
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.knowledge.check.links import all_links, total
from diagnose.knowledge.condition import Test
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Link


def drafts(knowledge: Knowledge) -> Iterator[str]:
    """All lines as the knowledge stands, by id."""
    for name, link in all_links(knowledge):
        yield _link(name, link)
    for fault in knowledge.faults.values():
        yield from (f"{fault.id} after {after.event}" for after in fault.likelier_after)
        if fault.kind == "fault":
            yield f"{fault.id} is {fault.urgency}"
        if fault.needs:
            yield f"{fault.id} needs {_told(fault.needs.tests)}"
    for finding in knowledge.findings.values():
        if finding.shows_when:
            yield f"{finding.id} counts {_told(finding.shows_when.when.tests)}"


def _link(name: str, link: Link) -> str:
    bands = " " + ", ".join(_likeliest_first(link.chance)) if isinstance(link.chance, Mapping) else ""
    base = total(link.chance)
    contexts = []
    for variant in link.in_context:
        other = total(variant.chance)
        sense = "more" if other > base else "less" if other < base else "otherwise"
        contexts.append(f"; {sense} {_told(variant.when.tests)}")
    hidden = f"; unless {link.unless}" if link.unless else ""
    return f"{name} > {link.to}{bands}{''.join(contexts)}{hidden}"


def _likeliest_first(chance: Mapping[str, float]) -> list[str]:
    return sorted(chance, key=lambda band: (-chance[band], band))


def _told(tests: tuple[Test, ...]) -> str:
    return " ".join(f"{t.field}={_sense(t)}" for t in tests)


def _sense(test: Test) -> str:
    if test.words:
        return "|".join(test.words)
    if test.unknown:
        return "?"
    return "between" if test.below is not None and test.above is not None else "low" if test.below is not None else "high"


def about(line: str) -> str:
    """What a line is about: cause and sign, event and fault, or the urgency, needs or circumstances of one id."""
    name, verb, first, *_ = line.replace(";", " ").split()
    return f"{name} {verb} {first}" if verb in (">", "after") else f"{name} {verb}"


def lines_in(text: str) -> list[str]:
    """The lines of the register as written, without remarks."""
    return [line.strip() for line in text.splitlines() if line.strip() and not line.startswith("#")]
