"""`python -m diagnose`."""

from __future__ import annotations

import sys

from diagnose.cli.main import run

if __name__ == "__main__":
    sys.exit(run())
