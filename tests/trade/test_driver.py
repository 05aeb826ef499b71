"""The driver to lay out: a slot as measured comes before the standard's (ISO 2380-1 tips, ASME B18.6.3 slots)."""

from __future__ import annotations

import pytest
from hands import Hands

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.driver import driver_of, drivers_for
from putback.trade.machine import Machine
from putback.trade.sized import sized
from putback.trade.step import Step

SCREW = {"gauge": "832", "length": ".372"}


def taken_out(hands: Hands, *screws: c.Enter) -> Step:
    """A step with those screws out."""
    hands.do(c.Begin(name="lid"))
    for screw in screws:
        hands.do(sized(hands.record, 1, screw))
    step = hands.record.open_step(1)
    assert step is not None
    return step


def screw(hole: str, **readings: str) -> c.Enter:
    return c.Enter(hole=hole, readings=SCREW | readings, head="fillister", drive="slot")


def test_the_standards_slot_and_the_slot_as_measured() -> None:
    hands = Hands(origin="us")
    step = taken_out(hands, screw("1"), screw("3"), screw("5", slot=".036", across=".262"))
    machine = hands.record.get(Machine, 1)
    first, _, last = hands.record.things_of(step)
    assert driver_of(machine, first) == "blade 1.2 x 6.5"
    assert driver_of(machine, last) == "blade 0.8 x 5.5"
    assert drivers_for(hands.record, step) == (
        "blade 1.2 x 6.5 (holes 1 3); blade 0.8 x 5.5 (hole 5)"
    )


def test_one_driver_for_all_names_no_holes_and_said_tools_come_first() -> None:
    hands = Hands(origin="us")
    step = taken_out(hands, screw("1"), screw("3"))
    assert drivers_for(hands.record, step) == "blade 1.2 x 6.5"
    hands.do(c.Annotate(tools=("the short stubby",)))
    said = hands.record.open_step(1)
    assert said is not None and drivers_for(hands.record, said) == ""


def test_a_slot_that_is_none_and_a_screw_without_a_head() -> None:
    hands = Hands(origin="us")
    step = taken_out(hands, c.Enter(hole="1", readings=SCREW))
    assert drivers_for(hands.record, step) == ""
    with pytest.raises(BadInput):
        hands.do(sized(hands.record, 1, screw("3", slot="-3")))


@pytest.mark.parametrize(
    ("readings", "words"),
    [({"od": ".16", "od_by": "leaf"}, "way to take the od"), ({"length_by": "ear"}, "way to take the length")],
)
def test_a_way_that_a_reading_cannot_be_taken(readings: dict[str, str], words: str) -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    with pytest.raises(BadInput, match=words):
        hands.do(c.Enter(hole="1", readings=readings))
