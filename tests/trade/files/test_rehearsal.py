"""A session file tried in memory: its sizes named, its faults told, and played the same once tried."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from putback.errors import BadSessionFile
from putback.trade.commands import Enter
from putback.trade.commands.rules import apply
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import SessionFile, read_session_file
from putback.trade.record.record import TABLES, Record

NOW = datetime(2025, 6, 1, 18, 0, tzinfo=UTC)
SAMPLE = Path(__file__).parents[3] / "sample_sessions" / "drum_recorder.toml"


def sample(text: str = "") -> SessionFile:
    """A sample, or another text."""
    return read_session_file(text or SAMPLE.read_text("utf-8"), "day.toml", now=NOW)


def test_what_was_tried_has_every_size_named() -> None:
    file = sample()
    tried = rehearse(file).file
    assert [(a.at, a.where, type(a.command)) for a in tried.acts] == [
        (a.at, a.where, type(a.command)) for a in file.acts
    ]
    entered = [a.command for a in tried.acts if isinstance(a.command, Enter) and not a.command.found]
    assert entered and all(command.size and command.verdict is not None for command in entered)
    assert rehearse(tried).file == tried


def test_what_was_tried_plays_to_the_same_record() -> None:
    tried = rehearse(sample())
    record = Record()
    for number, act in enumerate(tried.file.acts):
        codes = (f"rehearsal {number}", f"rehearsal {number} too")
        record.absorb(apply(record, 1, act.command, at=act.at, codes=codes))
    assert {t: record.documents(t) for t in TABLES} == {t: tried.record.documents(t) for t in TABLES}


def test_a_fault_is_told_with_file_and_step() -> None:
    text = SAMPLE.read_text("utf-8").replace('hole = "6", same = true', 'hole = "4", same = true', 1)
    with pytest.raises(BadSessionFile, match=r"^day\.toml: step 2, fastener 2: Hole 4 has its screw 4BA x 3/8 already"):
        rehearse(sample(text))
