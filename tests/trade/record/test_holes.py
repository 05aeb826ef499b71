"""A hole is a place on a face, and how one is said and read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.record.fastener import spot
from putback.trade.record.holes import (
    by_face,
    counts_text,
    face_of,
    faces_with_holes,
    place_of,
    read_spot,
    spot_of,
    spots_in,
    spots_named,
    spots_text,
)
from putback.trade.record.machine import FACES
from tests.trade.hands import Hands

PLACE = st.tuples(st.sampled_from("123456789"), st.sampled_from(["", "a", "z"])).map("".join)
FACE = st.sampled_from(["", *FACES])


@given(PLACE, FACE)
def test_what_a_hole_is_called_is_read_as_that_hole(place: str, face: str) -> None:
    at = spot(place, face)
    assert read_spot(at) == (place, face) == (place_of(at), face_of(at))
    assert read_spot(f" {face.upper()} {place} ") == (place, face)


@pytest.mark.parametrize("text", ["", "right", "3 4", "3 right left", "3 underneath", "0", "10 top", "right3"])
def test_what_is_not_a_hole_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="is not a hole"):
        read_spot(text)


@given(st.lists(st.tuples(PLACE, FACE), max_size=9))
def test_no_hole_of_a_list_is_lost_and_the_steps_own_come_first(holes: list[tuple[str, str]]) -> None:
    spots = [spot(*hole) for hole in holes]
    found = by_face(spots)
    assert {spot(place, face) for face, places in found.items() for place in places} == set(spots)
    assert "" not in list(found)[1:]
    assert len(spots_text(spots).split()) == len(set(spots)) + len(found) - ("" in found)


def test_holes_of_a_step_are_told_face_by_face() -> None:
    hands = Hands()
    hands.do(c.Begin(name="bracket", face="front"))
    for hole, face in (("1", ""), ("3", "front"), ("3", "right"), ("5", "right"), ("5", "top")):
        hands.do(c.Enter(hole=hole, face=face, size="M5x0.8 x 8 mm"))  # type: ignore[arg-type]
    step, spots = hands.last, [t.spot for t in hands.record.things_of(hands.last)]
    assert spots == ["1", "3", "3, right", "5, right", "5, top"]
    assert spots_text(spots) == "1 3, right 3 5, top 5" and spots_named(spots[-1:]) == "hole 5, top"
    assert counts_text(step, spots, but="front") == "right 2, top 1"
    assert counts_text(step, spots, but="right") == "front 2, top 1"
    assert counts_text(step, spots) == "front 2, right 2, top 1"
    assert spots_in(step, "front", spots) == ["1", "3"] and spots_in(step, "right", spots) == ["3", "5"]
    assert faces_with_holes(hands.record, step) == ["front", "right", "top"]
    assert spot_of(step, "3 front") == "3" and spot_of(step, "right 3") == "3, right"
