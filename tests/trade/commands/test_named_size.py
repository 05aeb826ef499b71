"""A fastener's size is named when it is entered, from its readings, its machine and what came before."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.commands.named_size import answer_for, readings_of, sized
from putback.trade.record.machine import Machine
from tests.trade.hands import Hands


def named(hands: Hands, **fields: object) -> c.Enter:
    """A screw in hole 1, sized on the machine of `hands`."""
    return sized(hands.record, 1, replace(c.Enter(hole="1"), **fields))


def test_readings_get_a_name_a_thread_a_length_and_a_verdict() -> None:
    found = named(Hands(origin="us"), readings={"gauge": "832", "length": ".372"}, head="fillister")
    assert (found.size, found.thread, found.length, found.verdict) == ("#8-32 UNC x 3/8", "#8-32 UNC", "3/8", "sure")
    pin = named(Hands(origin="us"), kind="taper pin", readings={"od": ".156", "length": "1.25"}, small_end="back")
    assert pin.size and not pin.thread


def test_the_origin_and_unit_are_those_of_the_machine() -> None:
    hands = Hands(origin="metric")
    readings = readings_of(hands.record.get(Machine, 1), c.Enter(hole="1", readings={"od": "3.9"}))
    assert (readings.origin, readings.unit, readings.od, readings.gauge) == ("metric", "mm", "3.9", None)
    assert named(hands, readings={"od": "3.90", "pitch": "0.70"}).thread == "M4x0.7"


def test_a_bare_length_taken_in_the_unit_of_its_thread_keeps_that_unit() -> None:
    entered = named(Hands(origin="us"), readings={"gauge": "M 4 x 0.7", "length": "10"})
    assert entered.size == "M4x0.7 x 10 mm"
    assert entered.readings == {"gauge": "M 4 x 0.7", "length": "10 mm"}


def test_how_a_reading_was_taken_counts() -> None:
    hands = Hands(origin="us")
    by_eye = {"od": ".1620", "tpi": "32", "od_by": "eye"}
    assert named(hands, readings={"od": ".1620", "tpi": "32"}).verdict == "sure"
    assert named(hands, readings=by_eye).verdict != "sure" and named(hands, readings=by_eye).readings == by_eye


def test_what_is_not_settled_names_no_thread() -> None:
    found = named(Hands(origin="us"), readings={"od": ".070"})
    assert found.verdict in ("either", "none") and found.thread == "" and found.size


def test_what_the_machine_has_shown_counts() -> None:
    hands = Hands(origin="us")
    hands.do(c.Begin(name="lid"))
    for hole in "1379":
        hands.do(named(hands, readings={"gauge": "832"}).__class__(hole=hole, thread="#8-32 UNC"))
    assert hands.record.threads(1) == {"#8-32 UNC": 4}
    diameter, alone = ({"od": ".164", "tpi": "32"}, Hands(origin="us"))
    alone.do(c.Begin(name="lid"))
    odds = [
        answer_for(h.record, h.record.get(Machine, 1), c.Enter(hole="7", readings=diameter)) for h in (hands, alone)
    ]
    shown, not_shown = (answer.thread for answer in odds)
    assert shown is not None and not_shown is not None and shown.best is not None and not_shown.best is not None
    assert shown.best.probability > not_shown.best.probability


@pytest.mark.parametrize(
    "fields",
    [
        {"found": "empty", "readings": {"gauge": "832"}},
        {"size": "as said", "readings": {"gauge": "832"}},
        {"readings": {}},
        {"kind": "nail", "readings": {"gauge": "832"}},
        {"head": "egg", "readings": {"gauge": "832"}},
    ],
)
def test_what_needs_no_name_is_left_alone(fields: dict[str, object]) -> None:
    hands = Hands()
    command = replace(c.Enter(hole="1"), **fields)
    assert sized(hands.record, 1, command) == command
    assert sized(hands.record, 9, command) == command


@pytest.mark.parametrize("readings", [{"gauge": "what"}, {"length": "7/"}, {"od": "-3"}, {"tpi": "many"}])
def test_what_cannot_be_read_is_said_in_a_sentence(readings: dict[str, str]) -> None:
    with pytest.raises(BadInput) as found:
        named(Hands(origin="us"), readings=readings)
    assert str(found.value).endswith((".", "?"))
