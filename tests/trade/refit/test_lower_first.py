"""Lower screws first on what hangs, in whatever order the holes come (common practice, no source)."""

from __future__ import annotations

import pytest

from putback.trade import commands as c
from putback.trade.record.face import Face
from putback.trade.refit.hole_pattern import RING, known_holes, likely_hole
from putback.trade.refit.lower_first import lower_first
from putback.trade.refit.orientation import place_turned
from tests.trade.hands import Hands


def turned(hands: Hands, state: str) -> None:
    """Turn the machine."""
    hands.do(c.Begin(do="turn", name="press", state=state))
    hands.do(c.Finish())


def reminded(hands: Hands, keys: str, name: str = "panel", face: Face = "front", inside: str = "") -> list[str]:
    """Begin a part, choose the holes in that order, and return those at which the reminder would stand."""
    hands.do(c.Begin(name=name, face=face, inside=inside))
    found = []
    for hole in keys.split():
        if lower_first(hands.record, hands.last, hole):
            found.append(hole)
        hands.do(c.Enter(hole=hole, size="#8-32 UNC x 3/8", thread="#8-32 UNC", length="3/8"))
    return found


@pytest.mark.parametrize(
    ("keys", "at"),
    [
        ("7 9 1 3", "7 9"),  # upper ones first
        ("3 1 7 9", ""),
        ("1 3 9 7", ""),
        ("1 7 9 3", "7 9"),  # round by the left side: 3 still holds
        ("3 9 7 1", "9 7"),
        ("1 7 3 9", "7"),
        ("4 7 9", "7 9"),  # the middle ones first tell nothing of the lower ones
        ("4 6 1 3 7 9", ""),
        ("1 3 4 6 7 8 9", ""),  # whether there is one at 2 is not known: 1 and 3 are out
        ("2 8", ""),  # a pair, one above the other
        ("2 7 9", ""),
        ("8 2", "8"),
        ("5 4 6", ""),
        ("1 1a 7", "7"),
    ],
)
def test_an_upper_hole_is_spoken_of_while_a_lower_one_still_holds(keys: str, at: str) -> None:
    assert reminded(Hands(), keys) == at.split()


@pytest.mark.parametrize(
    ("lies", "face", "at"),
    [
        ("", "front", "7 9"),
        ("", "top", ""),  # it lies flat
        ("on its back", "front", ""),
        ("on its back", "left", "7 9"),
        ("on its left side", "left", ""),
        ("on its left side", "front", "7 9"),
        ("upside down", "front", "7 9"),  # holes are named as they are seen
        ("leaning on the vice", "front", ""),  # not known
    ],
)
def test_it_turns_round_with_the_machine(lies: str, face: str, at: str) -> None:
    hands = Hands()
    if lies:
        turned(hands, lies)
    assert reminded(hands, "7 9 1 3", face=face) == at.split()  # type: ignore[arg-type]


def test_what_was_named_upright_keeps_its_names_on_a_machine_upside_down() -> None:
    hands = Hands()
    hands.do(c.Begin(do="loosen", name="panel", face="front"))
    for hole in "1379":
        hands.do(c.Enter(hole=hole, size="#8-32 UNC x 3/8", turns=1))
    hands.do(c.Finish())
    turned(hands, "upside down")
    hands.do(c.Begin(name="panel", face="front"))
    step = hands.last
    found = [lower_first(hands.record, step, hole) for hole in "1379"]
    assert [bool(words) for words in found] == [True, True, False, False], "the face's 1 2 3 are up now"
    assert found[0] == "if this hangs: the lower screws first (7, 9), so that the upper ones hold it"
    assert likely_hole(hands.record, step, []) == "7", "the lower right as one sees it"
    turned_back = [place_turned(place_turned(hole, turn), -turn) for hole in f"{RING}5" for turn in (90, 180, 270)]
    assert turned_back == [hole for hole in f"{RING}5" for _ in range(3)]


def test_the_other_side_and_what_was_put_back_tell_what_still_holds() -> None:
    hands = Hands()
    hands.take_off("left panel", "2", "4", "6", face="left")
    assert reminded(hands, "8 2", "right panel", "right") == ["8"]
    hands.do(c.Finish(put="shelf"))
    hands.take_off("left cover", "4", "9", face="left")
    assert reminded(hands, "7 6", "right cover", "right") == [], "its mirror had no lower one"
    hands.do(c.Finish(put="shelf"))
    lid = hands.take_off("lid", "1", "3", "8", face="front")
    hands.put_back(lid.number)
    hands.do(c.Begin(name="lid", face="front"))
    assert "(1, 3)" in lower_first(hands.record, hands.last, "8")


def test_the_other_sides_holes_turn_with_the_machine() -> None:
    hands = Hands()
    hands.take_off("left panel", "1", "2", "8", face="left")
    turned(hands, "upside down")
    hands.do(c.Begin(name="right panel", face="right"))
    # Seen upside down the left one's 1 2 8 are 9 8 2, and mirrored 7 8 2.
    assert sorted(known_holes(hands.record, hands.last)) == ["2", "7", "8"]


def test_nothing_is_said_of_work_on_the_bench_or_of_what_stays_on() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="drum"))
    hands.take_off("drum")
    assert reminded(hands, "7 1", inside="drum") == []
    hands.do(c.Finish(put="shelf"))
    hands.do(c.Begin(do="loosen", name="clamp", face="front"))
    assert lower_first(hands.record, hands.last, "7") == ""


def test_a_lower_hole_found_empty_holds_nothing() -> None:
    hands = Hands()
    hands.do(c.Begin(name="panel", face="front"))
    for hole in "13":
        hands.do(c.Enter(hole=hole, found="empty"))
    assert lower_first(hands.record, hands.last, "7") == ""
