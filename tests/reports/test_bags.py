"""The bag ledger and a bag's card."""

from __future__ import annotations

import pytest

from putback.reports.bags import bag_blocks, bag_card, bag_rows, ledger_blocks
from putback.reports.blocks import as_text, as_words
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.record.record import Record

AT = "2025-03-01T10:00:00+00:00"


@pytest.fixture
def record() -> Record:
    """A lid with two screws in bag 2, a cam in the same bag, balls in bag 1."""
    record = Record()
    codes = iter(["PBA", "PBB"])
    for command in (
        c.NewMachine(name="press", serial="41?7"),
        c.StartSession(box="A"),
        c.Begin(name="lid", bag=2),
        c.Enter(hole="3", size="#8-32 UNC x 3/8"),
        c.Enter(hole="1", size="#8-32 UNC x 1/2"),
        c.Enter(hole="1", kind="nut", size="nut 2BA"),
        c.Finish(put="shelf"),
        c.Begin(name="cam", bag=1),
        c.EnterPiece(name="ball", count=3),
        c.Finish(put="bag 2"),
        c.CloseBag(number=1),
    ):
        record.absorb(rules.apply(record, 1, command, at=AT, codes=codes))
    return record


def test_the_ledger_is_in_order_of_number(record: Record) -> None:
    rows = bag_rows(record, 1)
    assert [(r.number, r.code, r.state, r.count, r.box) for r in rows] == [
        (1, "PBB", "closed", 3, "A"),
        (2, "PBA", "open", 4, "A"),
    ]
    assert as_text(ledger_blocks(rows)).splitlines() == [
        "bag  state   pieces  box  code",
        "  1  closed       3  A    PBB",
        "  2  open         4  A    PBA",
    ]
    assert as_text(ledger_blocks([])) == "No bag yet."


def test_a_card_tells_contents_holes_and_steps(record: Record) -> None:
    bag = record.bag(1, 2)
    assert bag is not None
    card = bag_card(record, bag)
    assert [(x.count, x.what, x.size, x.hole, x.step) for x in card.contents] == [
        (1, "nut", "nut 2BA", "1", 1),
        (1, "screw", "#8-32 UNC x 1/2", "1", 1),
        (1, "screw", "#8-32 UNC x 3/8", "3", 1),
        (1, "cam", "", None, 2),
    ]
    assert card.steps == (1, 2)
    assert as_text(bag_blocks(card)).splitlines() == [
        "Bag 2, box A, open, of press 41?7   PBA",
        "  step 1, lid",
        "    1 x hole 1   nut 2BA",
        "    1 x hole 1   screw #8-32 UNC x 1/2",
        "    1 x hole 3   screw #8-32 UNC x 3/8",
        "  step 2, cam",
        "    1 x          cam",
    ]


def test_a_bag_that_was_emptied_still_knows_its_steps(record: Record) -> None:
    record.absorb(rules.apply(record, 1, c.Carry(thing=5, count=3, source="bag 1", target="shelf"), at=AT))
    bag = record.bag(1, 1)
    assert bag is not None
    card = bag_card(record, bag)
    assert card.contents == () and card.steps == (2,) and card.row.count == 0
    assert as_text(bag_blocks(card)).splitlines()[1] == "  empty"


def test_a_thing_moved_in_by_hand_brings_its_step(record: Record) -> None:
    record.absorb(rules.apply(record, 1, c.ReopenBag(number=1), at=AT))
    record.absorb(rules.apply(record, 1, c.Carry(thing=4, count=1, source="shelf", target="bag 1"), at=AT))
    bag = record.bag(1, 1)
    assert bag is not None
    assert bag_card(record, bag).steps == (1, 2)


def test_a_hole_on_another_face_says_it_and_one_on_the_steps_own_does_not() -> None:
    record, codes = Record(), iter(["PBA"])
    for command in (
        c.NewMachine(name="press"),
        c.Begin(name="bracket", face="front"),
        c.Enter(hole="3", face="front", size="#8-32 UNC x 3/8"),
        c.Enter(hole="3", face="right", size="#8-32 UNC x 3/8"),
        c.Finish(put="shelf"),
    ):
        record.absorb(rules.apply(record, 1, command, at=AT, codes=codes))
    bag = record.bag(1, 1)
    assert bag is not None
    card = bag_card(record, bag)
    row = {"count": 1, "what": "screw", "size": "#8-32 UNC x 3/8", "hole": "3", "step": 1}
    assert card.to_json()["contents"] == [row, row | {"face": "right"}]
    assert "1 x hole 3        screw" in as_text(bag_blocks(card)) and "1 x hole 3, right screw" in as_text(
        bag_blocks(card)
    )
    assert "Hole 3, lower right, on the right face: " in as_words(bag_blocks(card))
