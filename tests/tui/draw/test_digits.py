"""Tall figures: all there, none mistaken for another, none lost."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from putback.tui.draw.digits import Rows, tall, tall_fitting, tall_whole, tall_width
from putback.tui.draw.glyphs import ASCII, UNICODE, GlyphSet

NEEDED = '0123456789./#-xMBA"?'
both_sets = pytest.mark.parametrize("glyphs", [UNICODE, ASCII], ids=["unicode", "ascii"])
both_heights = pytest.mark.parametrize("rows", [3, 5])


def look(sign: str, rows: Rows, glyphs: GlyphSet) -> tuple[str, ...]:
    return tuple(row.plain for row in tall(sign, rows, glyphs=glyphs))


@both_sets
@both_heights
def test_no_two_figures_look_alike(rows: Rows, glyphs: GlyphSet) -> None:
    signs = NEEDED + "+: CDEFGHIJKLNPQRSTUVWXYZ"
    for one, other in itertools.combinations(signs, 2):
        if {one, other} == {"x", "X"} or (glyphs is ASCII and rows == 3):
            continue
        assert look(one, rows, glyphs) != look(other, rows, glyphs), (one, other)
    for one, other in itertools.combinations(NEEDED, 2):
        assert look(one, rows, glyphs) != look(other, rows, glyphs), (one, other)


@both_sets
@both_heights
def test_each_has_a_figure_of_its_own_height(rows: Rows, glyphs: GlyphSet) -> None:
    for sign in NEEDED.replace("x", "").replace("M", ""):
        assert sign not in "".join(look(sign, rows, UNICODE))
    for sign in "0123456789/#AMB":
        drawn = look(sign, rows, glyphs)
        assert len(drawn) == rows
        assert all(row.strip() for row in drawn[1:])


def test_seven_segments_in_ascii() -> None:
    # The strokes of a seven-segment figure, as on a caliper's own display (common practice, no
    # source): 8 has all seven, 1 has the two on the right, 0 lacks the middle one.
    def strokes(sign: str) -> int:
        return sum(row.count("|") + row.count("_") for row in look(sign, 3, ASCII))

    assert [strokes(sign) for sign in "0123456789"] == [6, 2, 5, 5, 4, 5, 6, 3, 7, 6]


@given(st.text(max_size=20), st.sampled_from([3, 5]), st.sampled_from([UNICODE, ASCII]))
def test_all_rows_are_equally_wide(typed: str, rows: Rows, glyphs: GlyphSet) -> None:
    drawn = [row.plain for row in tall(typed, rows, glyphs=glyphs)]
    assert len(drawn) == rows
    assert {cell_len(row) for row in drawn} == {tall_width(typed, rows, glyphs=glyphs)}
    if glyphs is ASCII:
        assert all(row.isascii() for row in drawn)


def test_a_sign_without_a_figure_is_not_lost() -> None:
    assert "é" in "".join(look("é", 3, UNICODE))
    assert look("é", 3, ASCII)[1] == "?"


def test_small_letters_are_drawn_as_capitals_but_for_the_x() -> None:
    assert look("ba", 3, UNICODE) == look("BA", 3, UNICODE)
    assert look("x", 3, UNICODE) != look("X", 3, UNICODE)


@both_sets
def test_as_tall_as_fits(glyphs: GlyphSet) -> None:
    words = "#10-24"
    assert len(tall_fitting(words, 60, glyphs=glyphs)) == 5
    assert len(tall_fitting(words, 30, glyphs=glyphs)) == 3
    assert [row.plain for row in tall_fitting(words, 6, glyphs=glyphs)] == [words]
    for width in range(1, 60):
        assert all(row.cell_length <= width for row in tall_fitting(words, width, glyphs=glyphs))


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize(("most", "rows"), [(9, 5), (10, 10), (14, 10), (15, 15)])
def test_figures_of_ten_and_fifteen_rows_are_those_of_five_enlarged(most: int, rows: int, ascii_only: bool) -> None:
    glyphs = ASCII if ascii_only else UNICODE
    small = [row.plain for row in tall_fitting("#8-32", 200, glyphs=glyphs)]
    large = [row.plain for row in tall_fitting("#8-32", 200, glyphs=glyphs, most=most)]
    assert len(large) == rows and len(large[0]) == len(small[0]) * rows // 5
    signs = " '.#" if ascii_only else " ▀▄█"
    dots = [[signs.index(sign) >> half & 1 for sign in row] for row in small for half in (0, 1)]
    times = rows // 5
    drawn = [[signs.index(sign) >> half & 1 for sign in row] for row in large for half in (0, 1)]
    assert drawn == [[dot for dot in row for _ in range(times)] for row in dots for _ in range(times)]


@pytest.mark.parametrize("words", ["M2.5x0.45 or M2.6x0.45", "ribbon feed pawl", "suppressor capacitor of the lamp"])
def test_what_is_too_wide_stands_on_two_lines_or_small_and_is_never_cut(words: str) -> None:
    for width in (30, 58, 78):
        rows = tall_whole(words, width)
        assert all(row.cell_length <= width for row in rows)
        assert len(rows) in (5, 7, 3) or " ".join(" ".join(row.plain for row in rows).split()) == words
    assert len(tall_whole("M2.5x0.45 or M2.6x0.45", 58)) == 7
