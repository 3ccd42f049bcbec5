"""Names as people write them, to the ids of the knowledge: case, spaces and hyphens do not matter, other names count where unambiguous."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.knowledge.knowledge import Knowledge

# Words for the same thing on the other side of the ocean, or in the workshop next door.
FIELDS = {
    "transmission": "gearbox", "transmission_cooler": "gearbox_cooler", "odometer": "distance", "mileage": "distance",
    "egr_cooler": "exhaust_gas_cooler", "intercooler": "charge_cooler", "ac": "air_conditioning", "a_c": "air_conditioning",
    "engine_block": "block", "radiator_cap_rating": "cap_rating", "grille_shutters": "shutters", "outside_temperature": "ambient",
    "air_temperature": "ambient", "temperature_outside": "ambient",
}  # fmt: skip
VALUES = {
    "gasoline": "petrol", "gas_oil": "diesel", "lpg": "gas", "cng": "gas", "aluminum": "aluminium", "cast_iron": "iron",
    "expansion_tank": "bottle", "tank": "bottle", "overflow_bottle": "bottle", "eg": "ethylene", "ethylene_glycol": "ethylene",
    "pg": "propylene", "propylene_glycol": "propylene",
}  # fmt: skip


NEAR = 72  # likeness of 100 from which a name is offered (estimate)
SHORTEST = 3  # letters below which nothing is guessed


def plain(text: str) -> str:
    """A name stripped to what matters.

    >>> plain("White exhaust, warm-engine")
    'white_exhaust_warm_engine'
    """
    return re.sub(r"[\W_]+", "_", text.lower()).strip("_")


@dataclass(frozen=True)
class Resolved:
    """The id meant; or, where it is empty, what is to be said about it."""

    id: str
    message: str = ""
    allowed: str = ""


class Names:
    """Ids of one kind with every name each goes by."""

    def __init__(self, ids: Mapping[str, Iterable[str]], kind: str) -> None:
        self.kind = kind
        self.ids = sorted(ids)
        self.meant: dict[str, set[str]] = {}
        for name, others in ids.items():
            for other in others:
                self.meant.setdefault(plain(other), set()).add(name)

    def find(self, word: str) -> Resolved:
        """The id that `word` stands for."""
        key = plain(word)
        if key in self.ids:
            return Resolved(key)
        meant = sorted(self.meant.get(key, ()))
        if len(meant) == 1:
            return Resolved(meant[0])
        if meant:
            return Resolved("", f"'{word}' may mean {' or '.join(meant)}", "Write one of these.")
        return Resolved("", f"'{word}' is not a {self.kind} known here", self._hint(word))

    def _hint(self, word: str) -> str:
        if len(plain(word)) < SHORTEST:
            return ""
        from rapidfuzz import fuzz, process  # lazily: only a mistake pays for it

        key = plain(word).replace("_", " ")
        near = process.extract(key, [n.replace("_", " ") for n in self.ids], scorer=fuzz.ratio, limit=3, score_cutoff=NEAR)
        found: list[tuple[tuple[str, ...], float]] = [((self.ids[i],), score) for _, score, i in near]
        if not found:
            said = [name.replace("_", " ") for name in self.meant]
            owners = list(self.meant.values())
            near = process.extract(key, said, scorer=fuzz.token_sort_ratio, limit=3, score_cutoff=NEAR)
            found = [(tuple(sorted(owners[i])), score) for _, score, i in near]
        best = found[0][1] if found else 0
        ids = list(dict.fromkeys(n for names, score in found if score >= best - 6 for n in names))
        if ids:
            return f"Did you mean {' or '.join(ids[:3])}?"
        whole = [n for n in self.ids if key.split() and set(key.split()) <= set(n.split("_"))]
        return f"Did you mean {' or '.join(whole[:3])}?" if whole else ""


def observable(knowledge: Knowledge) -> Names:
    """Everything that an observation may be about."""
    ids = {f.id: (f.name, *f.also) for f in knowledge.findings.values()}
    ids.update({r.id: (r.name, *r.also) for r in knowledge.readings.values()})
    return Names(ids, "finding or reading")


def repairs(knowledge: Knowledge) -> Names:
    """Everything that `done: repair:` may name."""
    return Names({r.id: (r.name,) for r in knowledge.repairs.values()}, "repair")
