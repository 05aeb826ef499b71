"""Which hole comes next: the lower ones of a hanging panel first (common practice, no source), else clockwise."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.reports.account import WayBack
from putback.trade import commands as c
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import (
    RING,
    guess,
    hung_on_its_upper,
    known_holes,
    left_behind,
    likely_hole,
    mirrored,
    next_guess,
    next_hole,
    next_shape,
    shape_of,
)
from putback.trade.refit.orientation import hangs
from tests.trade.hands import Hands

ROW = {place: n for n, row in enumerate(("123", "456", "789")) for place in row}
CLOCK = {"3": 135, "2": 180, "1": 225, "4": 270, "7": 315, "8": 360, "9": 405, "6": 450}
"""The places of a keypad as a clock's hand points at them, in degrees from twelve, once around from the lower right."""

HOLES = st.lists(st.sampled_from([p + x for p in "123456789" for x in ("", "a", "b")]), unique=True, max_size=12)


def walk(taken: str, count: int, *, hanging: bool = True, known: Sequence[str] = ()) -> str:
    """Return the holes that come after some, each taken as it is marked."""
    done = taken.split()
    for _ in range(count):
        done.append(next_hole(done, hanging=hanging, known=known))
    return " ".join(done[len(taken.split()) :])


@pytest.mark.parametrize(
    ("taken", "hanging", "lying"),
    [
        ("", "3 1 7 9", "3 1 7 9"),  # corners, clockwise from the lower right
        ("3 2", "1 7 8 9 4 6", "1 7 8 9 6 4"),  # rows of three come before a ring
        ("3 4", "1 6 7 9 2 8", "7 9 6 1 8 2"),  # columns of three
        ("3 2 4", "1 6 7 8 9", "7 8 9 6 1"),  # a ring: hanging, 6 before the upper row
        ("1", "3 7 9", "7 9 3"),
        ("1 3", "7 9", "9 7"),  # begun against the clock: lying, it goes on so
        ("1 2", "3 7 8 9 4 6", "3 9 8 7 4 6"),
        ("1 2 3 6", "4 9 8 7", "9 8 7 4"),  # the middle row was gone through from the right: the upper one, too
        ("4", "6", "6"),
        ("8", "2", "2"),
        ("3 3a 1", "1a 7 7a", "1a 7 7a"),  # every place holds two
        ("5", "3 2", "3 2"),
        ("3 2 1 4 6 7 8 9", "5", "5"),
    ],
)
def test_where_the_pattern_goes_on(taken: str, hanging: str, lying: str) -> None:
    assert walk(taken, len(hanging.split())) == hanging
    assert walk(taken, len(lying.split()), hanging=False) == lying
    assert walk("1 2 3 4 5 6 7 8 9", 1) == ""


@given(HOLES, HOLES, st.booleans())
def test_a_known_pattern_is_gone_through_once_and_lower_holes_first(
    known: list[str], by_hand: list[str], hanging: bool
) -> None:
    """Whatever was done by hand before: no hole twice, and none above one that is still to come."""
    done = list(by_hand)
    left = set(known) - set(by_hand)
    while left:
        hole = next_hole(done, hanging=hanging, known=known)
        assert hole in left
        if hanging:
            assert ROW[hole[0]] == min(ROW[other[0]] for other in left)
        left.remove(hole)
        done.append(hole)


@given(st.lists(st.sampled_from("123456789"), unique=True, max_size=9), st.booleans())
def test_an_unknown_pattern_ends_with_every_place_once(by_hand: list[str], hanging: bool) -> None:
    done = list(by_hand)
    while hole := next_hole(done, hanging=hanging):
        shape = shape_of(done) if set(shape_of(done)) - set(done) else next_shape(done)
        left = [p for p in shape if p not in done]
        if hanging and hole in left:
            lone = set(done) <= set("46") or set(done) <= set("28")
            assert lone or ROW[hole] == min(ROW[other] for other in left)
        done.append(hole)
    assert sorted(done) == list("123456789")


@given(st.sampled_from(RING), st.booleans())
def test_on_a_face_that_lies_the_ring_is_one_turn_of_the_clock(start: str, backwards: bool) -> None:
    ring = RING[::-1] if backwards else RING
    second = ring[(ring.index(start) + 1) % 8]
    order = [start, second, *walk(f"{start} {second}", 6, hanging=False, known=RING).split()]
    turns = [(CLOCK[b] - CLOCK[a]) % 360 for a, b in pairwise(order)]
    assert turns == [315 if backwards else 45] * 7


def test_what_hangs_depends_on_how_the_machine_lies() -> None:
    assert [hangs(face, "") for face in ("front", "left", "top", "bottom", "")] == [True, True, False, False, None]
    assert not hangs("back", "on its back, on felt") and hangs("top", "on its back") and hangs("left", "on its face")
    assert not hangs("left", "on its left side") and hangs("top", "on its right side")
    assert hangs("front", "leaning on the vice") is None


def test_at_refit_a_panel_that_hangs_is_hung_first() -> None:
    hands = Hands()
    panel, low, lid = (hands.take_off(*"a137", face="left"), hands.take_off(*"b13", face="left"),
                       hands.take_off(*"c137", face="top"))  # fmt: skip
    assert [hung_on_its_upper(hands.record, step) for step in (panel, low, lid)] == [True, False, False]
    (order,) = WayBack(hands.record, panel.machine).account(panel).of("order")
    assert "by hand, hole 7 first: it hangs; tighten none before all have caught" in order.words


def test_the_panel_on_the_other_side_tells_the_pattern() -> None:
    hands = Hands()
    assert mirrored("Left panel, upper") == "right panel, upper" and mirrored("lid") == ""
    hands.take_off("left-hand panel", *"1249", "9a", face="left")
    hands.do(c.Begin(name="Right-hand panel", face="right"))
    step = hands.record.open_step(1)
    assert isinstance(step, Step)
    assert sorted(known_holes(hands.record, step)) == ["2", "3", "6", "7", "7a"]
    assert likely_hole(hands.record, step, ["3"]) == "2"
    assert likely_hole(hands.record, step, ["3", "2", "6", "7"]) == "7a"


def test_a_first_hole_that_is_not_on_the_mirror_drops_what_was_expected() -> None:
    hands = Hands()
    hands.take_off("left rail", *"17", face="front")
    hands.do(c.Begin(name="right rail", face="front"))
    step = hands.record.open_step(1)
    assert isinstance(step, Step)
    known = known_holes(hands.record, step)
    assert known == ("3", "9") and likely_hole(hands.record, step, []) == "3"
    assert guess(hands.record, step, [], known).by == "as on the left rail: 3 9"
    assert likely_hole(hands.record, step, ["1"]) == "3"
    assert guess(hands.record, step, ["1"], known).by == "guessed: corners"
    assert left_behind(known, ["1"]) == [] and left_behind(known, ["3"]) == ["9"]


@pytest.mark.parametrize(
    ("taken", "known", "by"),
    [
        ("", "", "no hole yet: lower right first"),
        ("3 1", "", "guessed: corners"),
        ("3 1 7 9", "", "guessed: two rows of three"),  # corners are full: what has them and more
        ("3 3a 1", "", "as the places before it, with several each"),
        ("3 2 1 4 6 7 8 9", "", "only the middle is left"),
        ("3 1", "3 1", "guessed: corners"),  # all that were known are taken: they are no evidence any more
        ("1 2 3 4 5 6 7 8 9", "", ""),
    ],
)
def test_a_guess_says_what_it_is_made_by(taken: str, known: str, by: str) -> None:
    assert next_guess(taken.split(), known=known.split()).by == by


def test_no_hole_is_guessed_where_every_place_has_one() -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid", face="top"))
    step = hands.record.open_step(1)
    assert step is not None and likely_hole(hands.record, step, [*"123456789"]) == ""


@pytest.mark.parametrize(
    ("taken", "left"),
    [
        ("3 1 7", "9"),
        ("3 1", ""),
        ("3 1 7 9", ""),
        ("3 2 1 7 8", "9"),
        ("3 2 1 4 6 7 8", "9"),
        ("5", ""),
        ("3a 1 7 9", ""),
    ],
)
def test_the_hole_that_a_pattern_still_has_was_left(taken: str, left: str) -> None:
    assert " ".join(left_behind((), taken.split())) == left
