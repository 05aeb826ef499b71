"""A caliper's typing told from a hand's, by what it is and then by its pace."""

from __future__ import annotations

import pytest

from putback.scans.caliper import PACE, CaliperWatch


def typed(text: str, gap: float, *, wanted: bool = False, end: str = "enter") -> tuple[list[str], str]:
    """The keys that get through, and the reading that is caught."""
    watch, at = CaliperWatch(known=True), 10.0
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
    watch = CaliperWatch(known=True)
    assert watch.feed("1", 1.0, wanted=False).keys == ()
    assert watch.feed("2", 1.01, wanted=False).keys == ()
    assert watch.deadline == pytest.approx(1.01 + PACE)
    assert watch.lapse(1.02).keys == () and watch.lapse(1.2).keys == ("1", "2") and watch.deadline is None


def test_a_hands_next_key_sets_the_held_one_free_at_once() -> None:
    watch = CaliperWatch(known=True)
    watch.feed("1", 1.0, wanted=False)
    assert watch.feed("enter", 1.2, wanted=False).keys == ("1", "enter")


@pytest.mark.parametrize("wanted", [True, False])
@pytest.mark.parametrize("text", ["1632", "+++", "9.52mm"])
def test_while_no_caliper_is_known_no_key_waits(text: str, wanted: bool) -> None:
    watch = CaliperWatch()
    for number, key in enumerate(text):
        assert watch.feed(key, 1.0 + number * 0.004, wanted=wanted).keys == (key,) and watch.deadline is None
    assert not watch.known


def test_a_first_reading_where_it_is_wanted_passes_and_makes_the_caliper_known() -> None:
    watch = CaliperWatch()
    through = [key for i, k in enumerate([*"9.52", "enter"]) for key in watch.feed(k, 1 + i * 0.004, wanted=True).keys]
    assert through == [*"9.52", "enter"] and watch.known
    assert watch.feed("1", 5.0, wanted=False).keys == ()


def test_a_first_reading_where_none_is_wanted_is_told_of_once_its_keys_are_done() -> None:
    watch = CaliperWatch()
    caught = [watch.feed(k, 1 + i * 0.004, wanted=False) for i, k in enumerate([*"0.164", "enter"])]
    assert [key for one in caught for key in one.keys] == [*"0.164"]
    assert caught[-1].reading == "0.164" and caught[-1].late and watch.known


def test_a_hand_never_makes_a_caliper_known() -> None:
    watch = CaliperWatch()
    for number, key in enumerate([*"9.52", "enter"]):
        watch.feed(key, 1.0 + number * 0.12, wanted=True)
    assert not watch.known
