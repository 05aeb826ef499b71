"""The ledger: balances and holdings, and that every kind of fault is found."""

from __future__ import annotations

from typing import Any

import pytest

from putback.trade import commands as c
from putback.trade.checks.ledger import all_wanting, bench_check, check_balance, holdings, left_over, reachable, wanting
from putback.trade.record.bag import Bag, Move
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Part
from putback.trade.record.record import TABLES, Record, document
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from tests.strategies import AT
from tests.trade.hands import Hands


@pytest.fixture
def hands() -> Hands:
    """A bell in an assembly, off with one screw and two balls; a lid loose on the bench; a session."""
    made = Hands()
    made.do(c.StartSession())
    made.do(c.AddAssembly(name="case"))
    made.do(c.Begin(name="bell", inside="case"))
    made.do(c.Enter(hole="1"))
    made.do(c.EnterPiece(name="ball", count=2))
    made.do(c.Finish(put="away: plater"))
    made.take_off("lid", put="loose")
    return made


def test_a_trial_balance_adds_up_to_everything(hands: Hands) -> None:
    assert hands.balance == {"loose": 1, "bag": 3, "away": 1}
    assert sum(hands.balance.values()) == sum(t.count for t in hands.record.all(Thing))


def test_the_bench_check_finds_what_lies_about(hands: Hands) -> None:
    assert [(h.thing.name, h.count) for h in bench_check(hands.record, 1)] == [("lid", 1)]
    hands.do(c.Carry(thing=hands.thing("lid").id, count=1, source="loose", target="shelf"))
    assert bench_check(hands.record, 1) == []


def test_holdings_are_told_by_sort_of_place(hands: Hands) -> None:
    assert [(h.thing.name, h.count, h.place) for h in holdings(hands.record, 1, "bag", "away")] == [
        ("bell", 1, "away: plater"),
        ("screw", 1, "bag 1"),
        ("ball", 2, "bag 1"),
    ]
    assert holdings(hands.record, 1, "missing") == []


def test_what_is_wanting_is_what_nothing_stands_in_for(hands: Hands) -> None:
    ball = hands.thing("ball")
    hands.do(c.Carry(thing=ball.id, count=2, source="bag 1", target="scrapped"))
    assert [(h.count, h.place) for h in wanting(hands.record, ball)] == [(2, "scrapped")]
    hands.do(c.Replace(thing=ball.id, count=1))
    assert [(h.count, h.place) for h in wanting(hands.record, ball)] == [(1, "scrapped")]
    assert reachable(hands.record, ball) == {} and reachable(hands.record, hands.thing("ball")) == {"shelf": 1}
    assert [(h.thing.name, h.place) for h in all_wanting(hands.record, 1)] == [
        ("bell", "away: plater"),
        ("ball", "scrapped"),
    ]
    assert [(h.thing.name, h.count, h.place) for h in left_over(hands.record, 1)] == [
        ("bell", 1, "away: plater"),
        ("screw", 1, "bag 1"),
        ("lid", 1, "loose"),
        ("ball", 1, "scrapped"),
        ("ball", 1, "shelf"),
    ]


# -- the proof ---------------------------------------------------------------------------------------


def faults(hands: Hands, changes: dict[tuple[type[Any], int], dict[str, object] | None]) -> list[str]:
    """What the proof says of a record with some documents changed, new (all fields) or gone (None)."""
    tables = hands.documents()
    for (kind, number), fields in changes.items():
        table = next(name for name, held in TABLES.items() if held is kind)
        if fields is None:
            del tables[table][number]
        else:
            tables[table][number] = {**tables[table].get(number, {"id": number, "machine": 1}), **fields}
    record = Record()
    for table, found in tables.items():
        record.load(table, found)
    return [f"{f.where}: {f.what}" for f in check_balance(record)]


def test_a_sound_record_has_no_fault(hands: Hands) -> None:
    assert faults(hands, {}) == []


@pytest.mark.parametrize(
    ("kind", "number", "fields", "message"),
    [
        (Part, 2, {"inside": 9}, "press: bell sits in assembly 9, which is not there."),
        (Part, 1, {"inside": 2}, "press: case sits inside itself."),
        (Part, 3, {"machine": 7}, "parts 3: It belongs to machine 7, which is not there."),
        (Session, 1, {"segments": []}, "press, session 1: It never began."),
        (Session, 1, {"ended": "yesterday"}, "“yesterday” is not a date and time with an offset."),
        (Session, 1, {"ended": "2025-03-01T10:00:00"}, "is not a date and time with an offset."),
        (Step, 2, {"number": 3}, "press: The step numbers do not run from 1 without a gap."),
        (Step, 1, {"needs": [2]}, "press, step 1: It needs 2; only earlier steps can be needed."),
        (Step, 1, {"ended": ""}, "press, step 1: It is still being done, and later ones are begun."),
        (Step, 1, {"back": AT}, "press, step 1: It is back, and step 2, which needs it, is not."),
        (Step, 1, {"part": 9}, "press, step 1: It names a part that is not there."),
        (Step, 1, {"area": 9}, "press, step 1: It names a part that is not there."),
        (Step, 1, {"session": 9}, "press, step 1: It names session 9, which is not there."),
        (Step, 1, {"began": "soon"}, "press, step 1: “soon” is not a date"),
        (Bag, 1, {"number": 2}, "It is in bag 1, which is not there."),
        (Bag, 1, {"closed": "soon"}, "press, bag 1: “soon” is not a date"),
        (Thing, 1, {"step": 9}, "press, thing 1 (screw): It came off at a step that is not there."),
        (Thing, 3, {"part": 9}, "press, thing 3 (bell): It is a part that is not there."),
        (Thing, 2, {"count": 1}, "press, thing 2 (ball): It is 1, and its places hold"),
        (Thing, 2, {"start": "shelf"}, "It is 2, and its places hold"),
        (Thing, 2, {"replaces": 9}, "It stands in for thing 9, which is not there."),
        (Thing, 2, {"replaces": 1}, "thing 1 (screw): It was replaced, and is not scrapped."),
        (Move, 3, {"target": "nowhere"}, "“nowhere” is not a place"),
        (Move, 3, {"target": "Away:  plater"}, "is not how a place is written."),
        (Move, 1, {"target": "bag x"}, "a bag has a number"),
        (Move, 1, {"thing": 9}, "press, move 1: It moves thing 9, which is not there."),
        (Move, 1, {"count": 0}, "press, move 1: It moves 0."),
        (Move, 1, {"step": 9}, "press, move 1: It was made at a step that is not there."),
        (Move, 1, {"at": "soon"}, "press, move 1: “soon” is not a date"),
    ],
)
def test_each_fault_is_found(
    hands: Hands, kind: type[Any], number: int, fields: dict[str, object], message: str
) -> None:
    assert any(message in fault for fault in faults(hands, {(kind, number): fields}))


def test_faults_between_documents_are_found(hands: Hands) -> None:
    bag = document(hands.bag(1))
    assert "bags: The code PB0000001 is on 2 bags." in faults(hands, {(Bag, 2): {**bag, "id": 2, "number": 2}})
    assert "press: There are 2 bags 1." in faults(hands, {(Bag, 2): {**bag, "id": 2, "code": "PBX"}})
    assert "press, step 1: Hole 1 holds 2." in faults(
        hands, {(Thing, 2): {"sort": "fastener", "name": "bolt", "hole": "1"}}
    )
    session = document(hands.record.get(Session, 1))
    assert "press: More than one session is running." in faults(
        hands, {(Session, 2): {**session, "id": 2, "number": 2}}
    )
    gone = faults(hands, {(Move, 3): None})
    assert gone == []  # the bell stands fitted then: a story of its own, and it balances
    assert any("not there" in fault for fault in faults(hands, {(Thing, 3): None}))
