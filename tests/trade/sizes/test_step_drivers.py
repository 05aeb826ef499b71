"""The driver to lay out: a slot as measured comes before the standard's (ISO 2380-1 tips, ASME B18.6.3 slots)."""

from __future__ import annotations

import pytest

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.commands.named_size import sized
from putback.trade.record.machine import Machine
from putback.trade.record.step import Step
from putback.trade.sizes.step_drivers import driver_of, drivers_for, tool_unknown, tools_counted, tools_to_lay_out
from tests.trade.hands import Hands

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
    assert drivers_for(hands.record, step) == ("blade 1.2 x 6.5 (holes 1 3); blade 0.8 x 5.5 (hole 5)")


def test_one_driver_for_all_names_no_holes_and_said_tools_come_first() -> None:
    hands = Hands(origin="us")
    step = taken_out(hands, screw("1"), screw("3"))
    assert drivers_for(hands.record, step) == "blade 1.2 x 6.5"
    hands.do(c.Annotate(tools=("the short stubby",)))
    text = hands.record.open_step(1)
    assert text is not None and drivers_for(hands.record, text) == ""


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


def test_what_is_named_and_what_only_fits() -> None:
    """The fillister #8 takes the blade 1.2 x 6.5 (slots of ASME B18.6.3, blades of ISO 2380-1)."""
    hands = Hands(origin="us")
    step = taken_out(hands, screw("1"), screw("3"), screw("5", slot=".036", across=".262"))
    assert [(t.words, t.named, t.holes) for t in tools_to_lay_out(hands.record, step)] == [
        ("blade 1.2 x 6.5", False, ("1", "3")),
        ("blade 0.8 x 5.5", False, ("5",)),
    ]
    assert tools_counted(hands.record, step) == {"blade 1.2 x 6.5", "blade 0.8 x 5.5"}
    hands.do(c.Annotate(tools=("Driver 1.0 x 6", "driver 1 x 6.0", "magnet")))
    found = hands.record.open_step(1)
    assert found is not None
    assert [(t.words, t.named, t.holes) for t in tools_to_lay_out(hands.record, found)] == [
        ("Driver 1.0 x 6", True, ()),
        ("magnet", True, ()),
        ("blade 0.8 x 5.5", False, ("5",)),
    ]
    assert tools_counted(hands.record, found) == {"blade 1 x 6", "magnet"}


def test_a_named_blade_that_also_fits_is_one_tool() -> None:
    hands = Hands(origin="us")
    step = taken_out(hands, screw("1"), screw("5", slot=".036", across=".262"))
    hands.do(c.Annotate(tools=("screwdriver 0.8x5.5",)))
    found = hands.record.open_step(1)
    assert found is not None
    (laid,) = tools_to_lay_out(hands.record, found)
    assert (laid.words, laid.named, laid.holes) == ("screwdriver 0.8x5.5", True, ("5",))
    assert drivers_for(hands.record, found) == "" and not tool_unknown(hands.record, step)


@pytest.mark.parametrize(
    ("entry", "unknown"),
    [
        (c.Enter(hole="1", readings=SCREW), True),
        (c.Enter(hole="1", readings=SCREW, head="fillister", drive="slot"), False),
        (c.Enter(hole="1", kind="nut", readings={"gauge": "832"}, head="knurled"), False),
        (c.Enter(hole="1", kind="nut", readings={"gauge": "832"}), True),
        (c.Enter(hole="1", kind="split pin", readings={"od": ".0625"}), True),
        (c.Enter(hole="1", kind="washer", readings={"bore": ".17"}), False),
    ],
)
def test_what_takes_a_tool_that_is_not_known(entry: c.Enter, unknown: bool) -> None:
    hands = Hands(origin="us")
    step = taken_out(hands, entry)
    assert tool_unknown(hands.record, step) is unknown


def test_own_tools_that_fit_are_laid_out_by_their_own_names() -> None:
    hands = Hands(origin="us")
    step = taken_out(hands, screw("1"), screw("3", slot=".036", across=".262"))
    assert drivers_for(hands.record, step) == "blade 1.2 x 6.5 (hole 1); blade 0.8 x 5.5 (hole 3)"
    hands.record.own_tools = ("Driver 0.8 x 4", "the long driver", "screwdriver 0.8x5.5", "driver 1 x 5.5")
    text = "blade 1.2 x 6.5 (not among your tools) (hole 1); screwdriver 0.8x5.5 (hole 3)"
    assert drivers_for(hands.record, step) == text
    hands.record.own_tools = ("Driver 1.2 x 6.5",)
    text = "Driver 1.2 x 6.5 (hole 1); blade 0.8 x 5.5 (not among your tools) (hole 3)"
    assert drivers_for(hands.record, step) == text
    assert hands.record.open_step(1) == step and not step.tools, "as used only what was said counts"
