"""What a sound record is: everything that commands make, and nothing that a move took from where it was not."""

from __future__ import annotations

from itertools import count
from pathlib import Path
from typing import Any

import pytest

from putback.store import Store
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance
from putback.trade.commands import rules
from putback.trade.files.proof import check_codes, check_nouns, prove
from putback.trade.files.session_file import read_session_file
from putback.trade.record.record import Record
from putback.workshop import Workshop
from tests.trade.hands import START

SAMPLES = sorted((Path(__file__).parents[3] / "sample_sessions").glob("*.toml"))


def codes(taken: Any) -> str:
    return next(code for code in (f"PB{n:07}" for n in count()) if code not in taken)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_what_session_files_make_is_sound(path: Path) -> None:
    with Workshop(Store.in_memory(), clock=lambda: START, codes=codes) as workshop:
        workshop.play(read_session_file(path.read_text("utf-8"), path.name, now=START), lambda done: None)
        assert list(prove(workshop.record, lambda code: True)) == []
        assert len(list(check_codes(workshop.record, lambda code: False))) == workshop.record.highest_bag(1) > 0


def record_with(*moves: tuple[str, str, int]) -> Record:
    """A spring of three, off at a step, and its moves in order: whatever they are."""
    record = Record()
    for command, machine in (
        (c.NewMachine(name="press"), 0),
        (c.Begin(name="lid"), 1),
        (c.EnterPiece(name="spring", count=3, put="shelf"), 1),
        (c.Finish(put="shelf"), 1),
    ):
        record.absorb(rules.apply(record, machine, command, at=START.isoformat(), codes=["PB0000017"]))
    record.load(
        "moves",
        {
            n: {"id": n, "machine": 1, "thing": 1, "count": many, "source": source, "target": target}
            for n, (source, target, many) in enumerate(moves, 10)
        },
    )
    return record


def told(record: Record) -> list[str]:
    return [f"{found.where}: {found.what}" for found in check_nouns(record)]


def test_moves_that_follow_one_another_are_sound() -> None:
    assert told(record_with(("shelf", "box B", 2), ("box B", "shelf", 1), ("shelf", "missing", 2))) == []


def test_a_move_from_where_nothing_is_yet_is_found_though_the_balance_is_right() -> None:
    record = record_with(("box B", "missing", 1), ("shelf", "box B", 2), ("shelf", "box B", 0))
    assert told(record) == ["press, move 10: It takes 1 from “box B”, where 0 is at that time."]
    assert [found.what for found in check_balance(record)] == ["It moves 0."], "the balance alone does not see it"


def test_a_move_must_go_somewhere_and_from_somewhere() -> None:
    assert told(record_with(("shelf", "shelf", 1))) == ["press, move 10: It goes from “shelf” to the same place."]
    assert "press, move 10: “the moon” is not a place" in told(record_with(("shelf", "the moon", 1)))[0]
    assert told(record_with(("shelf", "Box  B", 1))) == ["press, move 10: “Box B” is not how a place is written."]
