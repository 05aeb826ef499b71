"""The tables of tests/reference, each row with its own source."""

from __future__ import annotations

import csv
from pathlib import Path

HERE = Path(__file__).parent.parent / "reference"


def rows(name: str) -> list[dict[str, str]]:
    """The lines of a reference table."""
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
