"""An original thrown away on a machine kept as found: it is asked why, and the reason stays with the move."""

from __future__ import annotations

import pytest

from putback.reports.last_page import last_page
from putback.trade import commands as c
from putback.trade.commands.photos import FiledPhoto
from putback.trade.commands.rules import apply
from putback.trade.commands.thrown_away import photos_kept, question
from putback.trade.files.session_file import read_session_file
from putback.trade.files.written_back import written_back
from putback.trade.record.bag import Move
from putback.trade.record.change import Change
from putback.trade.record.machine import Machine
from tests.trade.hands import START, Hands


@pytest.fixture
def hands() -> Hands:
    hands = Hands(name="press", intent="keep as found")
    hands.take_off("lid", "1", "3")
    return hands


def made(hands: Hands, command: c.Command) -> Change:
    return apply(hands.record, 1, command, at=hands.at)


def test_every_way_to_throw_an_original_away_is_asked_about(hands: Hands) -> None:
    screw, lid = hands.thing("screw", "1"), hands.thing("lid")
    for command in (
        c.Trouble(what="broken", thing=screw.id),
        c.Trouble(what="another goes in", thing=screw.id, size="#8-32 UNC x 1/2"),
        c.Replace(thing=lid.id, source="shelf", note="a new lid"),
        c.Carry(thing=lid.id, count=1, source="shelf", target="scrapped"),
    ):
        assert question(hands.record, made(hands, command)).endswith("this machine is kept as found. Why?"), command
    late = made(hands, c.InsertStep(before=1, name="badge", put="scrapped"))
    assert question(hands.record, late).startswith("badge: thrown away"), "one that was forgotten"
    for command in (
        c.Trouble(what="lost", thing=screw.id),
        c.Carry(thing=lid.id, count=1, source="shelf", target="box B"),
    ):
        assert question(hands.record, made(hands, command)) == ""
    hands.do(c.Trouble(what="lost", thing=screw.id))
    assert question(hands.record, made(hands, c.Replace(thing=screw.id))) == "", "it was gone before"
    hands.do(c.MendMachine(intent="run"))
    assert question(hands.record, made(hands, c.Trouble(what="broken", step=1, hole="3"))) == ""


def test_the_reason_stays_with_the_move_and_on_the_last_page(hands: Hands) -> None:
    photo = FiledPhoto(file=f"{'a' * 16}.jpg", name="LID.JPG", step=1, when="before", taken=hands.at)
    hands.do(c.FilePhotos(photos=(photo,)))
    command = c.Trouble(what="broken", step=1, hole="1", because="the head  came off")
    assert photos_kept(hands.record, made(hands, command)) == ("LID.JPG",)
    assert hands.do(command).said.endswith("broken; thrown away because: the head came off")
    [move] = [move for move in hands.record.all(Move, 1) if move.because]
    assert (move.target, move.note, move.because) == ("scrapped", "broken", "the head came off")
    page = last_page(hands.record, hands.record.get(Machine, 1), now=hands.at)
    words = [line.words for section in page.sections for line in section.lines]
    assert "screw #8-32 UNC x 3/8 thrown away, because: the head came off" in words
    hands.do(c.Carry(thing=hands.thing("lid").id, count=1, source="shelf", target="box B", because="nothing"))
    assert len([move for move in hands.record.all(Move, 1) if move.because]) == 1


def test_where_a_part_went_is_mended_with_the_reason_and_the_reason_goes_with_the_place(hands: Hands) -> None:
    mending = c.MendStep(step=1, put="scrapped")
    assert question(hands.record, made(hands, mending)).startswith("lid: thrown away it cannot be had back")
    hands.do(c.MendStep(step=1, put="scrapped", because="rusted through"))
    [gone] = [move for move in hands.record.all(Move, 1) if move.target == "scrapped"]
    assert gone.because == "rusted through"
    assert question(hands.record, made(hands, c.MendStep(step=1, put="box B"))) == ""
    hands.do(c.MendStep(step=1, put="box B"))
    assert not any(move.because for move in hands.record.all(Move, 1))


def test_a_session_file_says_it_again(hands: Hands) -> None:
    hands.do(c.Begin(name="cam"))
    hands.do(c.Enter(hole="5", readings={"gauge": "832", "length": ".372"}, size="#8-32 UNC x 3/8"))
    assert question(hands.record, made(hands, c.Finish(put="scrapped"))), "a part that goes there as it comes off"
    hands.do(c.Finish(put="scrapped", because="split right through"))
    hands.do(c.Trouble(what="broken", step=2, hole="5", because="the head came off"))
    hands.do(c.Carry(thing=hands.thing("lid").id, count=1, source="shelf", target="scrapped", because="rusted through"))
    again = Hands(name="press", intent="keep as found")
    for act in read_session_file(written_back(hands.record, 1).text, "it", now=START).acts[1:]:
        again.do(act.command)
    assert sorted(move.because for move in again.record.all(Move, 1) if move.because) == [
        "rusted through",
        "split right through",
        "the head came off",
    ]
