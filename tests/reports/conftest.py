"""The sample press, for the reports that are told of it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.record import Record

SAMPLES = Path(__file__).parents[2] / "sample_sessions"


@pytest.fixture(scope="module")
def sample_press() -> Record:
    """The record that the sample session of the press comes to."""
    name = "ticket_dating_press.toml"
    now = datetime(2025, 7, 1, 12, 0, tzinfo=UTC)
    return rehearse(read_session_file((SAMPLES / name).read_text("utf-8"), name, now=now)).record
