"""What is seen of a machine before anything comes off, and what becomes of it."""

from __future__ import annotations

import pytest

from putback.reports.first_look import first_look
from putback.trade import commands as c
from putback.trade.record.first_look import Seen, still_open
from putback.trade.record.machine import Machine
from tests.trade.hands import Hands


@pytest.fixture
def hands() -> Hands:
    return Hands(name="Fare stamp", serial="41?7", mass="31 kg")


def seen(hands: Hands) -> tuple[Seen, ...]:
    return hands.record.get(Machine, 1).first_look


def test_it_is_said_and_answered(hands: Hands) -> None:
    hands.do(c.LookAt(sort="fault", what=" the bell is dull "))
    hands.do(c.LookAt(sort="works", what="the counter counts"))
    assert [one.text for one in seen(hands)] == ["fault: the bell is dull", "works: the counter counts"]
    change = hands.do(c.MendLook(sort="fault", what="the bell is dull", came_of="cleaned, it rings"))
    assert change.said == "first look: fault: the bell is dull; now: cleaned, it rings"
    assert [one.what for one in still_open(seen(hands))] == ["the counter counts"]
    hands.do(c.MendLook(sort="works", what="the counter counts", new=""))
    assert [one.sort for one in seen(hands)] == ["fault"]


def test_of_where_it_is_from_there_is_one(hands: Hands) -> None:
    hands.do(c.LookAt(sort="from", what="a barn"))
    hands.do(c.LookAt(sort="from", what="an auction"))
    assert [one.what for one in seen(hands)] == ["an auction"] and not still_open(seen(hands))


def test_what_makes_no_sense_is_refused_with_a_sentence(hands: Hands) -> None:
    assert "is not a sort of what a first look sees" in hands.refused(c.LookAt(sort="smell", what="oil"))
    assert "It needs words" in hands.refused(c.LookAt(sort="fault", what="  "))
    hands.do(c.LookAt(sort="from", what="a barn"))
    hands.do(c.LookAt(sort="fault", what="rust"))
    hands.do(c.LookAt(sort="fault", what="dust"))
    assert "What became of it is not asked" in hands.refused(c.MendLook(sort="from", what="a barn", came_of="sold"))
    assert "is not in the first look" in hands.refused(c.MendLook(sort="works", what="rust", new="dust"))
    assert "says already" in hands.refused(c.LookAt(sort="from", what="a barn"))
    assert "says already" in hands.refused(c.MendLook(sort="fault", what="rust", new="dust"))


def test_the_card_tells_all_of_it(hands: Hands) -> None:
    hands.do(c.LookAt(sort="missing", what="one foot"))
    hands.do(c.LookAt(sort="lift", what="two people"))
    hands.do(c.SayOfMachine(note="runs backwards", caution="sharp edges"))
    look = first_look(hands.record.get(Machine, 1))
    assert list(look.lines()) == [
        "serial: 41?7",
        "mass: 31 kg",
        "in the serial: the figure after each ? is doubtful",
        "caution: sharp edges",
        "to lift it: two people",
        "missing: one foot",
        "noted: runs backwards",
        "to be looked at again at the end: 1",
    ]
    assert look.to_json()["seen"][1] == {"sort": "missing", "what": "one foot", "came_of": None}
