"""A caliper's typing told from a hand's, by what it is and then by its pace."""

from __future__ import annotations

import pytest

from putback.codes.caliper import PACE, CaliperWatch


def typed(text: str, gap: float, *, wanted: bool = False, end: str = "enter") -> tuple[list[str], str]:
    """The keys that get through, and the reading that is caught."""
    watch, at = CaliperWatch(), 10.0
    through: list[str] = []
    for key in (*text, *([end] if end else [])):
        at += gap
        caught = watch.feed(key, at, wanted=wanted)
        through += caught.keys
        if caught.reading:
            return through, caught.reading
    return through + list(watch.lapse(at + 1).keys), ""


@pytest.mark.parametrize(
    "text", ["9.52", "0.164", ".372", "9.52mm", "0.3750in", "12.70 mm", "10mm", "9.52MM", "+009.52", "-0.01mm"]
)
def test_a_reading_at_a_machines_pace_is_caught_whole(text: str) -> None:
    assert typed(text, 0.004) == ([], text.lower())


@pytest.mark.parametrize("text", ["9.52", "1632", "+++", "10mm", "0", ".1"])
def test_a_hands_keys_all_get_through(text: str) -> None:
    assert typed(text, 0.15) == ([*text, "enter"], "")


@pytest.mark.parametrize("text", ["1632", "1", "12", "+", "1.164 32", "9.5x", "0+"])
def test_what_is_no_measure_gets_through_in_order_at_any_pace(text: str) -> None:
    assert typed(text, 0.004) == ([*text, "enter"], "")


def test_in_a_field_that_wants_a_measure_nothing_is_held() -> None:
    assert typed("9.52mm", 0.004, wanted=True) == ([*"9.52mm", "enter"], "")


def test_a_reading_without_enter_is_given_back() -> None:
    assert typed("9.52", 0.004, end="") == ([*"9.52"], "")


def test_held_keys_are_given_back_when_their_time_is_over() -> None:
    watch = CaliperWatch()
    assert watch.feed("1", 1.0, wanted=False).keys == ()
    assert watch.feed("2", 1.01, wanted=False).keys == ()
    assert watch.deadline == pytest.approx(1.01 + PACE)
    assert watch.lapse(1.02).keys == () and watch.lapse(1.2).keys == ("1", "2") and watch.deadline is None


def test_a_hands_next_key_sets_the_held_one_free_at_once() -> None:
    watch = CaliperWatch()
    watch.feed("1", 1.0, wanted=False)
    assert watch.feed("enter", 1.2, wanted=False).keys == ("1", "enter")
