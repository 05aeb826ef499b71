"""Checks on the record: each speaks up where it should, and all keep quiet on an ordinary day."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from putback.trade import commands as c
from putback.trade.checks.oddities import found_empty, odd_about
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine
from putback.trade.record.step import Doing, Step
from tests.trade.hands import Hands

SAMPLES = sorted((Path(__file__).parents[3] / "sample_sessions").glob("*.toml"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_no_false_alarm_on_the_samples(path: Path) -> None:
    """All that is said of them is what they say themselves: holes that were found empty."""
    now = datetime(2025, 6, 1, 18, 0, tzinfo=UTC)
    record = rehearse(read_session_file(path.read_text("utf-8"), path.stem, now=now)).record
    for machine in record.all(Machine):
        for step in record.all(Step, machine.id):
            assert odd_about(record, step) == list(found_empty(record, step))


def test_a_step_that_did_nothing() -> None:
    hands = Hands()
    hands.do(c.Begin(do="undo", name="clutch"))
    hands.do(c.Finish())
    (words,) = odd_about(hands.record, hands.step(1))
    assert "nothing came out" in words
    hands.do(c.MendStep(step=1, note="let go by hand"))
    assert odd_about(hands.record, hands.step(1)) == []


@pytest.mark.parametrize("do", ["mark", "measure", "turn", "soak"])
def test_a_step_that_need_not_release_anything(do: Doing) -> None:
    hands = Hands()
    hands.do(c.Begin(do=do, name="cam", state="upright"))
    hands.do(c.Finish())
    assert odd_about(hands.record, hands.step(1)) == []


def test_a_part_lifted_off_with_no_fastener_is_nothing_odd() -> None:
    hands = Hands()
    hands.take_off("lid")
    assert odd_about(hands.record, hands.step(1)) == []


def cover(hands: Hands, *holes: str) -> list[str]:
    hands.take_off("lid", *holes)
    hands.do(c.Annotate(step=1, cover=True))
    return odd_about(hands.record, hands.step(1))


def test_a_cover_with_three_of_its_corners() -> None:
    hands = Hands()
    (words,) = cover(hands, "1", "3", "7")
    assert "9 is not noted" in words
    hands.do(c.EnterLate(step=1, hole="9", found="empty"))
    assert odd_about(hands.record, hands.step(1)) == ["hole 9 found empty"]


@pytest.mark.parametrize("holes", [("1", "3", "7", "9"), ("2", "8"), ("4", "6"), ("2", "7", "9"), ("1", "3", "8")])
def test_an_ordinary_cover(holes: tuple[str, ...]) -> None:
    assert cover(Hands(), *holes) == []


def test_a_cover_with_a_washer_and_no_screw() -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    hands.do(c.Annotate(cover=True))
    for hole in ("4", "6"):
        hands.do(c.Enter(hole=hole, kind="washer"))
    hands.do(c.Enter(hole="4"))
    hands.do(c.Finish(put="shelf"))
    (words,) = odd_about(hands.record, hands.step(1))
    assert "no screw came out of hole 6 (washer)" in words
    hands.do(c.EnterLate(step=1, hole="6"))
    assert odd_about(hands.record, hands.step(1)) == []


def test_a_cover_off_over_a_screw_that_was_only_loosened() -> None:
    hands = Hands()
    hands.do(c.Begin(do="loosen", name="lid", face="top"))
    hands.do(c.Enter(hole="5", turns=2))
    hands.do(c.Finish())
    hands.take_off("lid", "1", face="top")
    assert odd_about(hands.record, hands.step(2)) == []
    hands.do(c.MendStep(step=2, cover=True))
    (words,) = odd_about(hands.record, hands.step(2))
    assert "hole 5 was only loosened at step 1" in words


def test_a_part_from_under_a_cover_that_is_on_again() -> None:
    hands = Hands()
    hands.take_off("lid", "1", face="top")
    hands.do(c.MendStep(step=1, cover=True))
    hands.put_back(1)
    hands.take_off("cam", "1", face="top", needs=())
    (words,) = odd_about(hands.record, hands.step(2))
    assert "while lid (step 1) was on again" in words
    hands.take_off("foot", face="bottom", needs=())
    assert odd_about(hands.record, hands.step(3)) == []


def test_a_part_off_once_more_with_its_screws_still_fitted() -> None:
    hands = Hands()
    hands.take_off("lid", "1", "3", face="top")
    hands.put_back(1)
    hands.do(c.Begin(name="lid", face="top"))
    hands.do(c.Enter(hole="1", size="#8-32 UNC x 3/8", thread="#8-32 UNC", length="3/8"))
    hands.do(c.Finish(put="shelf"))
    assert odd_about(hands.record, hands.step(2)) == [
        "hole 3 was filled again at step 1, and is not noted as empty now"
    ]
    hands.do(c.EnterLate(step=2, hole="3", size="#8-32 UNC x 3/8"))
    assert odd_about(hands.record, hands.step(2)) == []
    assert hands.balance == {"bag": 2, "shelf": 1}
