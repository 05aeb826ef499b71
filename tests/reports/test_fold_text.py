"""Folding lines to a width."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from putback.reports.fold_text import NARROWEST, columns, folded

WORDS = st.lists(st.text(st.sampled_from("abc歯é#"), min_size=1, max_size=12), max_size=30)


def test_a_long_line_is_set_in_where_it_goes_on() -> None:
    text = "      waits for day dial (away: plater), month dial (away: plater)"
    assert folded(text, 40).splitlines() == [
        "      waits for day dial (away: plater),",
        "        month dial (away: plater)",
    ]
    assert folded("short\n  lines", 40) == "short\n  lines"


def test_a_word_longer_than_the_line_is_left_whole() -> None:
    assert folded("see " + "x" * 60 + " there", 40).splitlines() == ["see", "  " + "x" * 60, "  there"]


def test_a_very_narrow_screen_is_left_to_scroll() -> None:
    assert folded("word " * 40, NARROWEST - 1) == "word " * 40


def test_wide_characters_take_two_columns() -> None:
    """Unicode Standard Annex 11: East Asian Wide."""
    assert (columns("歯車"), columns("cam"), columns("Öl")) == (4, 3, 2)


@given(WORDS, st.integers(0, 8), st.integers(NARROWEST, 60))
def test_no_word_is_lost_and_no_line_too_long(words: list[str], lead: int, width: int) -> None:
    line = " " * lead + " ".join(words)
    pieces = folded(line, width).split("\n")
    assert " ".join(pieces).split() == words
    assert all(columns(piece) <= width or len(piece.split()) <= 1 for piece in pieces)
