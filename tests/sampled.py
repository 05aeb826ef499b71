"""A sample of what is tried: the rest of it is tried in the long run (`PUTBACK_EXAMPLES=new`)."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import Any

import pytest


def some(cases: Iterable[object], every: int) -> list[Any]:
    """Return all cases as parameters, of which each time the first and every so many after it are tried."""
    return [pytest.param(case, marks=[pytest.mark.long] if number % every else []) for number, case in enumerate(cases)]


def examples(usual: int, new: int = 100) -> int:
    """Return how many examples are tried: `usual` each time, `new` ones in the long run."""
    return new if os.environ.get("PUTBACK_EXAMPLES") == "new" else usual
