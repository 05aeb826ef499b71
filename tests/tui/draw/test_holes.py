"""The hole map: every state, place and length told apart without colour."""

from __future__ import annotations

import re
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from putback.tui.draw import palette
from putback.tui.draw.canvas import Canvas, side_by_side
from putback.tui.draw.glyphs import ASCII, UNICODE, GlyphSet
from putback.tui.draw.heads import HoleState, HoleView
from putback.tui.draw.holes import Turn, hole_map, key_at, spot
from putback.tui.draw.legend import SizeView, legend, signs_text

STATES: tuple[HoleState, ...] = get_args(HoleState)
TURNS: tuple[Turn, ...] = get_args(Turn)
SMALL, LARGE = (27, 7), (41, 13)
both_sets = pytest.mark.parametrize("glyphs", [UNICODE, ASCII], ids=["unicode", "ascii"])
both_sizes = pytest.mark.parametrize("size", [SMALL, LARGE], ids=["small", "large"])

holes = st.builds(
    HoleView,
    place=st.from_regex("[1-9][a-f]?", fullmatch=True),
    state=st.sampled_from(STATES),
    mark=st.sampled_from(["", "A", "B", "Z"]),
    long=st.integers(0, 30),
    stacked=st.integers(0, 4),
    odd=st.booleans(),
)


def words(drawn: object) -> str:
    assert isinstance(drawn, list)
    return "\n".join(row.plain for row in drawn)


def test_places_lie_as_the_keys_of_a_keypad() -> None:
    # ITU-T E.161 has 1 2 3 on top; a numeric keypad (ISO/IEC 9995-4) has 7 8 9 on top.
    assert [[key_at(column, row) for column in range(3)] for row in range(3)] == [
        ["7", "8", "9"],
        ["4", "5", "6"],
        ["1", "2", "3"],
    ]


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("mirror", [False, True])
def test_turned_and_mirrored_every_place_is_drawn_once(turn: Turn, mirror: bool) -> None:
    assert {spot(key, turn, mirror) for key in "123456789"} == {(x, y) for x in range(3) for y in range(3)}
    assert spot("5", turn, mirror) == (1, 1)
    for key in "123456789":
        assert key_at(*spot(key, turn, mirror), turn, mirror) == key


def test_a_quarter_turn_clockwise_brings_the_top_to_the_right() -> None:
    assert [spot(key, 90) for key in "789"] == [(2, 0), (2, 1), (2, 2)]
    assert [spot(key, 180) for key in "789"] == [(2, 2), (1, 2), (0, 2)]
    assert [spot(key, 270) for key in "789"] == [(0, 2), (0, 1), (0, 0)]
    assert [spot(key, mirror=True) for key in "789"] == [(2, 0), (1, 0), (0, 0)]


@both_sizes
def test_the_map_is_drawn_where_spot_says(size: tuple[int, int]) -> None:
    for turn in TURNS:
        for mirror in (False, True):
            rows = [row.plain for row in hole_map([], *size, turn=turn, mirror=mirror)]
            inside = [row[1:-1] for row in rows[1:-1]]
            digits = [[sign for sign in row if sign.isdigit()] for row in inside]
            found = [row for row in digits if row]
            assert found == [[key_at(x, y, turn, mirror) for x in range(3)] for y in range(3)]


@given(
    st.integers(10, 40).map(lambda half: 2 * half + 1),
    st.integers(2, 15).map(lambda half: 2 * half + 1),
    st.sets(st.sampled_from("12346789"), min_size=1),
    st.sampled_from([UNICODE, ASCII]),
)
def test_faces_that_are_even_have_equal_margins(width: int, height: int, places: set[str], glyphs: GlyphSet) -> None:
    """What is a mirror image of itself on the face is one in the picture: four corners, six in two columns."""
    face = [HoleView(place, "empty") for place in sorted(places | {str(10 - int(place)) for place in places})]
    rows = [row.plain[1:-1] for row in hole_map(face, width, height, glyphs=glyphs)[1:-1]]
    bare = [row.plain[1:-1] for row in hole_map([], width, height, glyphs=glyphs)[1:-1]]
    drawn = {
        (x, y)
        for y, row in enumerate(rows)
        for x, sign in enumerate(row)
        if sign != " " and not sign.isdigit() and (x, y) not in _signs_of(bare)
    }
    assert drawn and drawn == {(width - 3 - x, height - 3 - y) for x, y in drawn}
    numbers = [(x, y) for y, row in enumerate(bare) for x, sign in enumerate(row) if sign.isdigit()]
    assert sorted(numbers) == sorted((width - 3 - x, height - 3 - y) for x, y in numbers)


def _signs_of(rows: list[str]) -> set[tuple[int, int]]:
    return {(x, y) for y, row in enumerate(rows) for x, sign in enumerate(row) if sign != " " and not sign.isdigit()}


@both_sizes
def test_the_finder_stands_close_about_the_hole(size: tuple[int, int]) -> None:
    """No more than a cell between the hole in hand and what marks it, its number and its arrow left out."""
    rows = [row.plain for row in hole_map([HoleView("5", "now")], *size, keys=" " * 9)]
    marks = [(x, y) for y, row in enumerate(rows[1:-1]) for x, sign in enumerate(row) if sign in "┏┓┗┛◀"]
    middle, reach = (size[0] - 1) // 2, 3 if size == LARGE else 2
    assert marks and all(abs(x - middle) <= reach and abs(y - (size[1] - 3) // 2) <= 1 for x, y in marks)


@both_sets
@both_sizes
def test_on_the_way_back_a_hole_that_is_filled_is_smaller_and_quieter_than_one_to_be_filled(
    size: tuple[int, int], glyphs: GlyphSet
) -> None:
    todo, done = (hole_map([HoleView("5", state, "A", 3)], *size, glyphs=glyphs) for state in ("empty", "filled"))
    assert len(words(todo[1:-1]).replace(" ", "")) > len(words(done[1:-1]).replace(" ", ""))
    styles = {str(span.style) for row in done for span in row.spans if "A" in row.plain[span.start : span.end]}
    assert styles and not any("bold" in style or "reverse" in style for style in styles)


@both_sets
@both_sizes
def test_states_differ_in_shape(size: tuple[int, int], glyphs: GlyphSet) -> None:
    looks = {state: words(hole_map([HoleView("5", state, "A", 3)], *size, glyphs=glyphs)) for state in STATES}
    # Into a hole with a cross goes nothing, be it that it was found so or is left so: the legend tells which.
    assert looks.pop("left_empty") == looks["found_empty"]
    assert len(set(looks.values())) == len(looks)
    without_size = [state for state in looks if state not in ("filled", "taken")]
    unsized = {words(hole_map([HoleView("5", state)], *size, glyphs=glyphs)) for state in without_size}
    assert len(unsized) == len(without_size)


@both_sets
def test_states_differ_in_shape_where_several_share_a_place(glyphs: GlyphSet) -> None:
    looks = {
        words(hole_map([HoleView("5", "taken", "B"), HoleView("5a", state, "A")], *SMALL, glyphs=glyphs))
        for state in ("empty", "taken", "now", "next", "found_empty")
    }
    assert len(looks) == 5


def strokes_of(drawn: str, glyphs: GlyphSet) -> int:
    one, two = glyphs.close
    return sum(drawn.count(sign) * worth for sign, worth in ((glyphs.shank[0], 1), (one, 1), (two, 2)))


@given(
    st.integers(21, 65),
    st.integers(5, 16),
    st.integers(1, 9),
    st.integers(1, 9),
    st.sampled_from(["taken", "empty"]),
    st.sampled_from([UNICODE, ASCII]),
)
def test_a_stroke_is_an_eighth_of_an_inch_in_every_picture(
    width: int, height: int, one: int, other: int, state: HoleState, glyphs: GlyphSet
) -> None:
    """Two threads of a map stand as long to one another as their screws; one that has no room is broken off."""
    face = [HoleView("7", state, "A", one), HoleView("3", state, "C", other)]
    rows = [row.plain[1:-1] for row in hole_map(face, width, height, glyphs=glyphs)[1:-1]]
    plates = hole_map([HoleView(hole.place, state, hole.mark) for hole in face], width, height, glyphs=glyphs)[1:-1]
    bare = [row.plain[1:-1] for row in plates]
    for lies, mark, count in ((0, "A", one), (1, "C", other)):
        at = next(i for i, row in enumerate(bare) if mark in row)
        assert (at > height // 2 - 2) == bool(lies)
        drawn = strokes_of(rows[at], glyphs) - strokes_of(bare[at], glyphs)
        broken = glyphs.ellipsis in rows[at]
        assert drawn < count if broken else drawn == count
        assert not broken or count > 2


@both_sets
@both_sizes
def test_neither_a_nut_nor_a_screw_that_is_in_has_a_thread_and_the_plate_says_what_a_stroke_is(
    size: tuple[int, int], glyphs: GlyphSet
) -> None:
    def drawn(long: int, state: HoleState = "taken") -> str:
        return words(hole_map([HoleView("5", state, "A", long)], *size, glyphs=glyphs))

    assert drawn(3).splitlines()[-1].count("1/8 in (3 mm)") == 1
    assert drawn(10).splitlines()[-1].count("1/4 in (6 mm)") == 1
    assert " in" not in drawn(0) and drawn(3, "filled") == drawn(0, "filled")
    turned = words(hole_map([HoleView("5", "taken", "A", 3)], *size, elsewhere="right 2", turn=180, glyphs=glyphs))
    assert ("right 2" in turned or "+2" in turned) and "top is down" in turned  # these two come first


@both_sets
@both_sizes
def test_each_size_has_a_shape_beside_its_letter(size: tuple[int, int], glyphs: GlyphSet) -> None:
    for state in ("taken", "empty"):
        looks = {
            words(hole_map([HoleView("5", state, mark)], *size, glyphs=glyphs)).replace(mark, "@") for mark in "ABCDEF"
        }
        assert len(looks) == 6


@both_sets
@both_sizes
def test_the_odd_one_has_a_mark_whatever_its_state(size: tuple[int, int], glyphs: GlyphSet) -> None:
    for state in ("taken", "empty", "filled"):
        assert "!" in words(hole_map([HoleView("5", state, "B", odd=True)], *size, glyphs=glyphs))


@both_sizes
def test_empty_places_show_the_keys_of_the_person(size: tuple[int, int]) -> None:
    drawn = words(hole_map([], *size, keys="ZXCASDQWE"))
    assert re.findall("[A-Z]+", drawn.replace(" ", "")) == ["QWE", "ASD", "ZXC"]


@both_sets
@both_sizes
def test_what_is_threaded_on_a_screw_is_seen(size: tuple[int, int], glyphs: GlyphSet) -> None:
    looks = {words(hole_map([HoleView("5", "taken", "A", stacked=count)], *size, glyphs=glyphs)) for count in range(3)}
    assert len(looks) == 3


@both_sets
@both_sizes
@pytest.mark.parametrize("cursor", ["7", "5", "5a", "5z", "1"])
def test_the_cursor_has_a_shape(cursor: str, size: tuple[int, int], glyphs: GlyphSet) -> None:
    face = [HoleView("5", "taken", "A"), HoleView("5a"), HoleView("1", "empty", "B")]
    drawn = words(hole_map(face, *size, cursor, glyphs=glyphs))
    assert glyphs.right in drawn
    assert glyphs.right not in words(hole_map(face, *size, glyphs=glyphs))


@pytest.mark.parametrize("size", [(21, 5), SMALL, (30, 9), LARGE])
@pytest.mark.parametrize("key", "123456789")
def test_the_hole_in_hand_is_drawn_however_many_share_its_place(key: str, size: tuple[int, int]) -> None:
    face = [HoleView(key + letter, "taken", "A") for letter in ("", *"abcdefghijk")]
    face.append(HoleView(f"{key}m", "now", "Q"))
    drawn = words(hole_map(face, *size))
    assert "Q" in drawn and "▶" in drawn
    assert re.search(r"\+\d", drawn)


def test_every_letter_of_a_face_is_drawn() -> None:
    face = [HoleView(key, "taken", mark) for key, mark in zip("123456789", "ABCDEFGHI", strict=True)]
    for size in (SMALL, LARGE):
        drawn = words(hole_map(face, *size))
        assert all(mark in drawn for mark in "ABCDEFGHI")


@settings(max_examples=150, deadline=None)
@given(
    st.lists(holes, max_size=16),
    st.integers(12, 60),
    st.integers(5, 20),
    st.one_of(st.none(), st.sampled_from(["1", "5", "9a"])),
    st.one_of(st.sampled_from(["top", "[/b]", "ידית", "🔩 漢字", "x" * 300]), st.text(max_size=30)),
    st.sampled_from(TURNS),
    st.booleans(),
    st.sampled_from([UNICODE, ASCII]),
)
def test_exactly_as_large_as_asked(
    face: list[HoleView],
    width: int,
    height: int,
    cursor: str | None,
    title: str,
    turn: Turn,
    mirror: bool,
    glyphs: GlyphSet,
) -> None:
    drawn = hole_map(face, width, height, cursor, title=title, turn=turn, mirror=mirror, glyphs=glyphs)
    assert len(drawn) == height
    for row in drawn:
        assert cell_len(row.plain) == width == row.cell_length
    if glyphs is ASCII and title.isascii():
        assert words(drawn).isascii()


def test_how_the_machine_lies_is_said() -> None:
    assert "top is down" in words(hole_map([], *SMALL, turn=180))
    assert "from behind" in words(hole_map([], *SMALL, mirror=True))
    assert "top is" not in words(hole_map([], *SMALL))


def test_styles_use_only_colours_the_themes_have() -> None:
    names = set(palette.variables(palette.BENCH_DARK))
    face = [HoleView(str(place), state, "A") for place, state in enumerate(STATES, 1)]
    rows = [*hole_map(face, *LARGE, title="top", turn=90), *hole_map(face, *SMALL)]
    rows += legend([SizeView("A", "#8-32 x 3/8", 4, 2)], 30)
    used = {name for row in rows for span in row.spans for name in re.findall(r"\$([\w-]+)", str(span.style))}
    assert used and used <= names


# --- the legend


def test_the_legend_names_sizes_and_counts() -> None:
    rows = [
        row.plain
        for row in legend([SizeView("A", "#6-32 x 3/8", 7, 3, long=3), SizeView("B", "#6-32 x 1/2", 1, 1, long=4)], 30)
    ]
    assert "A" in rows[0] and "#6-32 x 3/8" in rows[0] and rows[0].endswith("3/7")
    assert "B" in rows[1] and rows[1].endswith(" 1")
    assert "▐A▌│║ " in rows[0] and "▟B▛║║ " in rows[1]


@settings(max_examples=60, deadline=None)
@given(st.integers(8, 80), st.text(max_size=60), st.integers(0, 30), st.integers(0, 30), st.integers(0, 5))
def test_legend_rows_are_exactly_as_wide_as_asked(width: int, label: str, total: int, done: int, rank: int) -> None:
    for row in legend([SizeView("A", label, total, done, rank)], width):
        assert cell_len(row.plain) == width


# --- the sheet it is drawn on


def test_nothing_is_drawn_off_the_sheet() -> None:
    sheet = Canvas(4, 2)
    sheet.put(-2, 0, "abcdefgh")
    sheet.put(0, 5, "x")
    sheet.put_words(3, 1, "漢", "bold")
    sheet.paint(-1, 1, 9, "bold")
    assert [row.plain for row in sheet.rows()] == ["cdef", "    "]


def test_drawings_side_by_side_keep_their_columns() -> None:
    one, two = hole_map([], 20, 5), hole_map([], 24, 7)
    rows = side_by_side(one, two, gap=1)
    assert [row.cell_length for row in rows] == [45] * 7
    assert rows[6].plain.endswith(two[6].plain)


def test_the_legend_of_what_goes_back_shows_each_size_in_its_own_shape() -> None:
    holes = [HoleView("5", "empty", "B", 6), HoleView("7", "empty", "A", 4), HoleView("9", "filled", "C", 4)]
    assert [row.plain for row in signs_text(holes, 30)] == ["(A) /B/ to go back"]
