"""The store tests run on memory and on disk, and borrow the benchmark's strokes and faults."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from putback.store import Store

AT = "2025-03-01T10:00:00+01:00"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Where a workshop may be made; nothing is there yet."""
    return tmp_path / "workshop"


@pytest.fixture(params=["memory", "disk"])
def store(request: pytest.FixtureRequest, folder: Path) -> Iterator[Store]:
    """An empty store to write to, once in memory and once in a folder."""
    made = Store.in_memory() if request.param == "memory" else Store.open(folder, at=AT, who="Ann")
    with made:
        yield made
