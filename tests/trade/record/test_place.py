"""Places: every spelling a person may use, one spelling in the record."""

from __future__ import annotations

import pytest
from hypothesis import given

from putback.errors import BadInput
from putback.trade.record.place import (
    LONGEST_WORD,
    SORTS,
    bag_number,
    checked_bag,
    in_bag,
    out_of_reach,
    read_place,
    sort_of,
)
from tests.strategies import places


@pytest.mark.parametrize(
    ("message", "place", "sort"),
    [
        ("Bag 4", "bag 4", "bag"),
        ("bag  007", "bag 7", "bag"),
        (" shelf ", "shelf", "shelf"),
        ("Loose on the bench", "loose", "loose"),
        ("bench", "loose", "loose"),
        ("box B", "box B", "box"),
        ("BOX b", "box b", "box"),
        ("kept with  drum", "kept with drum", "kept with"),
        ("away: plater", "away: plater", "away"),
        ("Away plater", "away: plater", "away"),
        ("away:plater", "away: plater", "away"),
        ("borrowed: holds the bar", "borrowed: holds the bar", "borrowed"),
        ("SCRAPPED", "scrapped", "scrapped"),
        ("missing", "missing", "missing"),
        ("fitted", "fitted", "fitted"),
    ],
)
def test_what_a_person_says_has_one_spelling(message: str, place: str, sort: str) -> None:
    assert read_place(message) == place
    assert read_place(place) == place
    assert sort_of(place) == sort and sort in SORTS


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("bag", "as in “bag 3”"),
        ("bag 0", "from 1"),
        ("bag -2", "from 1"),
        ("bag ٣", "from 1"),
        ("bag 100000", "99999"),
        ("bag 1e3", "as in “bag 3”"),
        ("bag " + "9" * 5000, "99999"),
        ("box", "as in “box B”"),
        ("kept with", "as in “kept with drum”"),
        ("away:", "as in “away: plater”"),
        ("borrowed", "as in “borrowed"),
        ("awayplater", "is not a place; say bag 3"),
        ("bagging", "is not a place"),
        ("boxed in", "is not a place"),
        ("", "is not a place"),
        ("x" * 10_000, "..."),
    ],
)
def test_what_is_no_place_is_told_what_would_do(text: str, message: str) -> None:
    with pytest.raises(BadInput, match=r"^“") as refusal:
        read_place(text)
    assert message in str(refusal.value) and len(str(refusal.value)) < 250


@given(places())
def test_reading_twice_changes_nothing(message: str) -> None:
    try:
        place = read_place(message)
    except BadInput:
        return
    assert read_place(place) == place
    assert sort_of(place) in SORTS


@pytest.mark.parametrize("blanks", ["", " ", "  "])
def test_a_free_word_is_kept_whole_or_refused_and_never_cut(blanks: str) -> None:
    word = "x" * (LONGEST_WORD - 4) + " end"
    assert read_place(f"away:{blanks}{word}{blanks}") == f"away: {word}"
    with pytest.raises(BadInput, match="at most 500"):
        read_place(f"away:{blanks}x{word}")


def test_a_bag_is_a_place_with_a_number() -> None:
    assert bag_number(in_bag(17)) == 17
    assert bag_number("shelf") is None
    assert checked_bag(1) == 1
    for number in (0, -1, 100_000):
        with pytest.raises(BadInput, match="from 1 to 99999"):
            checked_bag(number)
    with pytest.raises(BadInput, match="not a place"):
        sort_of("nowhere")


def test_what_is_away_cannot_be_put_back() -> None:
    assert {s for s in ("away: plater", "borrowed: a bar", "scrapped", "missing") if out_of_reach(s)} == {
        "away: plater",
        "borrowed: a bar",
        "scrapped",
        "missing",
    }
    assert not any(out_of_reach(s) for s in ("fitted", "loose", "bag 1", "box B", "kept with drum", "shelf"))
