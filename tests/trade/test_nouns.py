"""Machine, fastener, step, session: what each says of itself."""

from __future__ import annotations

import pytest

from putback.errors import BadInput
from putback.trade.bag import Bag
from putback.trade.fastener import Thing, read_hole
from putback.trade.machine import Machine
from putback.trade.session import Segment, Session, minutes_between
from putback.trade.step import DOINGS, Adjustment, Step


def test_a_machine_answers_to_name_and_serial_with_or_without_doubt() -> None:
    machine = Machine(id=1, name="Ticket press", serial="2041?7")
    for words in ("ticket press", "2041?7", "20417", "TICKET  PRESS 20417", "2?0417"):
        assert machine.answers_to(words), words
    for words in ("", "press", "2041", "ticket press 2041"):
        assert not machine.answers_to(words), words
    assert machine.is_exactly("Ticket press 2041?7") and not machine.is_exactly("20417")
    assert machine.is_twin_of("ticket  PRESS", "2041?7") and not machine.is_twin_of("ticket press", "20417")
    assert not Machine(id=1, name="press").answers_to("")


@pytest.mark.parametrize(("said", "hole"), [("5", "5"), (" 9 ", "9"), ("5A", "5a"), ("1z", "1z")])
def test_a_hole_is_a_place_and_a_letter(said: str, hole: str) -> None:
    assert read_hole(said) == hole


@pytest.mark.parametrize("said", ["", "0", "10", "a", "5aa", "5-", "½", "\u0665", "5 a", "x" * 9999])
def test_what_is_no_hole_is_said_so(said: str) -> None:
    with pytest.raises(BadInput, match="is no hole; say a place from 1 to 9") as refusal:
        read_hole(said)
    assert len(str(refusal.value)) < 200


def test_a_thing_is_called_by_kind_and_size() -> None:
    screw = Thing(id=1, machine=1, step=1, sort="fastener", name="screw", size="#8-32 UNC x 3/8")
    assert screw.called == "screw #8-32 UNC x 3/8" and screw.alone
    nut = Thing(id=1, machine=1, step=1, sort="fastener", name="nut", size="nut 2BA")
    assert nut.called == "nut 2BA" and not nut.alone
    unread = Thing(id=1, machine=1, step=1, sort="fastener", name="key")
    assert unread.called == "key"
    ball = Thing(id=1, machine=1, step=1, sort="piece", name="ball", size="1/8")
    assert ball.called == "ball" and not ball.alone
    empty = Thing(id=1, machine=1, step=1, sort="fastener", name="screw", found="empty", count=0)
    assert not empty.alone


def test_a_setting_tells_what_was_found_and_what_it_should_be() -> None:
    assert Adjustment(what="stop", turns=1).told == "stop: 1 turn"
    assert Adjustment(what="stop", turns=2.5, note="from hard in").told == "stop: 2.5 turns; from hard in"
    found = Adjustment(what="barrel", mark="dot up", gap=".312", shims=(".010 at 8", ".005 at 3"))
    assert found.told == "barrel: dot up; gap .312; shims .010 at 8, .005 at 3"
    wrong = Adjustment(what="gap", gap=".312", should_be=".281", why="low dates")
    assert wrong.told == "gap: set to .281 (found gap .312)"
    assert Adjustment(what="gap", should_be=".281").told == "gap: set to .281"
    assert Adjustment(what="bell").told == "bell"


def test_a_step_asks_for_cautions_work_and_settings_once_each() -> None:
    step = Step(
        id=1,
        machine=1,
        number=1,
        cautions=("hot", "sharp"),
        at_refit=("oil", "hot"),
        adjust=(Adjustment(what="stop", turns=2),),
        confirmed=("sharp",),
    )
    assert step.to_confirm == ("hot", "sharp", "oil", "stop: 2 turns")
    assert step.unconfirmed == ("hot", "oil", "stop: 2 turns")


def test_every_doing_has_words_for_what_was_done() -> None:
    told = {Step(id=1, machine=1, number=1, do=do, name="cam").told for do in DOINGS}
    assert len(told) == len(DOINGS) and all("cam" in words for words in told)
    assert Step(id=1, machine=1, number=1, do="turn", name="press", state="upright").told == "turned press: upright"


def test_minutes_are_stamps_and_a_clock_set_back_counts_nothing() -> None:
    assert minutes_between("2025-03-01T10:00:00+01:00", "2025-03-01T10:30:00+01:00") == 30
    assert minutes_between("2025-03-01T10:00:00+01:00", "2025-03-01T09:30:00+00:00") == 30
    assert minutes_between("2025-03-01T10:00:00+01:00", "2025-03-01T09:00:00+01:00") == 0
    session = Session(
        id=1,
        machine=1,
        number=1,
        segments=(
            Segment("2025-03-01T10:00:00+01:00", "2025-03-01T10:30:00+01:00"),
            Segment("2025-03-01T11:00:00+01:00"),
        ),
    )
    now = "2025-03-01T11:10:00+01:00"
    assert session.minutes(now) == 40 and session.segment_minutes(now) == 10 and not session.paused


def test_a_bag_is_open_until_it_is_closed() -> None:
    assert Bag(id=1, machine=1, number=1, code="X").state == "open"
    assert Bag(id=1, machine=1, number=1, code="X", closed="2025-03-01T10:00:00+01:00").state == "closed"
