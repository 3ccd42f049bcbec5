"""Who says so."""

from __future__ import annotations

import re

_WHO: tuple[tuple[str, str], ...] = (
    ("customer", r"\b(customer|cust|c/s|client|owner (says|states|reports|complains)|cx)\b"),
    ("previous owner", r"\b(previous|last|former) (owner|keeper)\b"),
    ("workshop", r"\b(garage|mechanic|workshop|shop|dealer|dealership|breakdown man|"
     r"recovery (man|driver|guy)|technician|tester)\b"
     r"[^.;]{0,30}?\b(says|said|reckons?|found|thinks|told|couldn't|could not|saw|noticed|advised)\b"),
    ("family", r"\b(wife|husband|missus|son|daughter|dad|mum|mom|father|mother|partner|girlfriend|boyfriend|brother|sister)\b"),
    ("somebody else", r"\b(neighbou?r|friend|mate|passenger|somebody|someone|bloke|guy|lady|man|other drivers?)\b"
     r"[^.;]{0,20}?\b(says|said|reckons?|saw|noticed|told|thinks|flashed)\b"),
)  # fmt: skip


def speaker(clause: str) -> str:
    """Who a clause says it comes from; empty where nobody is named.

    >>> speaker("my neighbour said he saw steam"), speaker("it overheats")
    ('somebody else', '')
    """
    low = clause.lower()
    return next((who for who, shape in _WHO if re.search(shape, low)), "")
