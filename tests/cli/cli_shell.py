"""What a command leaves behind, for the tests of the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Result:
    """What a command left behind."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> Any:
        """Standard output as the one JSON document that it must be."""
        return json.loads(self.out)


Command = Callable[..., Result]
