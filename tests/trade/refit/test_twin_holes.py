"""The odd one is not asked about where its twin hole, or an earlier pattern, has the same."""

from __future__ import annotations

import pytest

from putback.trade import commands as c
from putback.trade.record.face import Face
from putback.trade.record.machine import Machine
from putback.trade.refit.twin_holes import odd_about
from tests.trade.hands import Hands

LONG, SHORT = "1/2", "3/8"


def asked(hands: Hands, keys: str, name: str = "plate", face: Face = "front") -> list[str]:
    """Begin a part, take screws out as `1 3 9- right:7`, `-` a short one; return the holes that are asked about."""
    hands.do(c.Begin(name=name, face=face))
    found = []
    for key in keys.split():
        on, _, hole = key.rpartition(":")
        length = SHORT if hole.endswith("-") else LONG
        size = f"#8-32 UNC x {length}"
        hands.do(c.Enter(hole=hole.rstrip("-"), face=on, size=size, thread="#8-32 UNC", length=length, verdict="sure"))  # type: ignore[arg-type]
        machine = hands.record.get(Machine, 1)
        if odd_about(hands.record, machine, hands.last, hands.record.things_of(hands.last)[-1]):
            found.append(key)
    hands.do(c.Finish(put="shelf"))
    return found


@pytest.mark.parametrize(
    ("keys", "face", "odd"),
    [
        ("1 3 7 9-", "front", "9-"),  # the first of its length is asked about
        ("1 3 7- 9-", "front", "7-"),  # its mirror on the same face has the short one
        ("1 3 7- right:1 right:3 right:9-", "left", "7-"),  # seen from the other side left is right
        ("1 3 7- right:1 right:3 right:7-", "left", "7- right:7-"),  # its twin is at 9: it is another one
        ("2 4 8- back:2 back:6 back:8-", "front", "8-"),  # one in the middle is its own twin
        ("1 3 7- top:1 top:3 top:9-", "left", "7- top:9-"),  # a top is not the other side of a left
        ("1 3 right:5-", "front", ""),  # one face is not held against another
    ],
)
def test_a_short_screw_is_asked_about_once_not_where_its_twin_is_short(keys: str, face: str, odd: str) -> None:
    assert asked(Hands(), keys, face=face) == odd.split()  # type: ignore[arg-type]


def test_the_other_side_of_the_machine_explains_it() -> None:
    hands = Hands()
    assert asked(hands, "1 3 7-", "left panel", "left") == ["7-"]
    assert asked(hands, "1 3 9-", "right panel", "right") == []
    assert asked(hands, "7 9 3-", "cap", "top") == ["3-"], "nothing has a short one there"


def test_an_earlier_part_with_the_same_pattern_explains_it() -> None:
    hands = Hands()
    assert asked(hands, "3 1 7 9-", "upper cover") == ["9-"]
    assert asked(hands, "3 1 7 9-", "lower cover") == [], "the same in every hole so far"
    assert asked(hands, "1 3 9 7-", "third cover") == [], "or in its mirror"
    assert asked(hands, "3 7 1-", "cover 4") == ["1-"], "no cover has it at the foot"
    assert asked(hands, "3 1 7 9-", "bridge") == ["9-"], "a bridge is not a cover"
