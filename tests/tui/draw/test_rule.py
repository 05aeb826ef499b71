"""The steel rule: what it shows must be where the numbers say."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from putback.tui.draw import palette
from putback.tui.draw import scale as scales
from putback.tui.draw.glyphs import ASCII, UNICODE, GlyphSet
from putback.tui.draw.rule import clock, meter_rule, steel_rule, time_rule, view
from putback.tui.draw.rule_marks import RuleMark, beside
from putback.tui.draw.scale import MAJOR, fit, vulgar

# Crest diameters of class 2A external threads, inches: ASME B1.1, table of limits of size.
EIGHT_32 = RuleMark("#8-32 UNC", 0.1571, 0.1631, 0.1601, best=True)
EIGHT_36 = RuleMark("#8-36 UNF", 0.1577, 0.1632, 0.16045)
TEN_24 = RuleMark("#10-24 UNC", 0.1818, 0.1890, 0.1854)
THREADS = [EIGHT_36, TEN_24, EIGHT_32]
# Machine screws to 1 in long come at most 0.03 in short: ASME B18.6.3, length tolerance.
LENGTHS = [
    RuleMark(name, float(Fraction(name)) - 0.03, float(Fraction(name)), float(Fraction(name)), name == "3/8")
    for name in ("1/4", "5/16", "3/8", "7/16", "1/2")
]

widths = st.integers(8, 130)
glyph_sets = st.sampled_from([UNICODE, ASCII])


def number(numeral: str) -> Fraction:
    """What a numeral on the rule says, read by the library's own reader of numbers."""
    return sum((Fraction(part) for part in numeral.split("_")), Fraction(0))


@settings(max_examples=150, deadline=None)
@given(
    st.floats(0.001, 500, allow_nan=False),
    st.floats(0.0001, 300, allow_nan=False),
    st.integers(8, 130),
    st.booleans(),
)
def test_the_scale_shows_what_it_was_asked_to(low: float, span: float, cells: int, in_fractions: bool) -> None:
    scale = fit(low, low + span, cells, in_fractions=in_fractions)
    assert scale.cell(low) in range(cells)
    assert scale.cell(low + span) in range(cells)
    for cell in (0, cells // 2, cells - 1):
        assert scale.cell(float(scale.value(cell))) == cell
    # and wastes no more than a scale of round numbers must
    assert span >= float(scale.per_cell) * (cells - 1) / 2.51


@settings(max_examples=100, deadline=None)
@given(st.floats(0.01, 40), st.floats(0.01, 20), st.integers(12, 130), st.booleans(), glyph_sets)
def test_every_numeral_names_the_tick_above_it(
    low: float, span: float, width: int, in_fractions: bool, glyphs: GlyphSet
) -> None:
    rows = steel_rule(width, [], None, span=(low, low + span), in_fractions=in_fractions, glyphs=glyphs, rows=2)
    ticks, numerals = (row.plain for row in rows)
    scale = fit(low, low + span, width, in_fractions=in_fractions)
    engraved = re.sub(r"(\d) (\d+/\d+)", r"\1_\2", numerals)
    for found in re.finditer(r"[\d./_]+", engraved):
        left, right = found.span()
        centre = left + (right - left) // 2
        assert number(found.group()) == scale.value(centre)
        assert ticks[centre] == glyphs.ticks[MAJOR]


@example(width=30, read=0.5669655008938963)
@given(width=st.integers(30, 120), read=st.floats(0.3, 0.6))
def test_no_name_stands_on_a_rule_twice_and_it_says_within_what(width: int, read: float) -> None:
    names, _ticks, below = (row.plain for row in steel_rule(width, LENGTHS, read, in_fractions=True))
    best = next((mark for mark in LENGTHS if mark.best), None)
    flag = f"within {best.label}" if best is not None else ""
    assert not set(names.replace("▐", " ").replace("▌", " ").split()) & set(below.replace(flag, "").split(" "))
    assert "within" not in below or flag in below
    engraved = re.sub(
        r"\S+ in\b[^▲]*▲|▲.*", "", below
    )  # what is said of the reading stands on either side of its pointer
    for found in re.findall(r"(?<!\S)(\.\d+)(?!\S)", engraved):
        assert Fraction(found) * 64 % 1 == 0 or len(found) == 5  # .375, or .4531 for 29/64


def test_inch_fractions_stand_where_an_inch_rule_has_them() -> None:
    # One inch over sixteen cells: a sixteenth each, the half in the middle, tallest at 0, 1/2 and 1.
    ticks, numerals = (row.plain for row in steel_rule(17, [], None, span=(0, 1), in_fractions=True, rows=2))
    assert numerals.split() == ["0", "1/2", "1"]
    assert numerals.index("1/2") == 7
    assert [ticks[cell] for cell in (0, 8, 16)] == [UNICODE.ticks[MAJOR]] * 3


@pytest.mark.parametrize(
    ("value", "words"),
    [("0", "0"), ("3/8", "3/8"), ("5/4", "1 1/4"), ("2", "2"), ("-1/4", "-1/4"), ("33/16", "2 1/16")],
)
def test_vulgar_fractions(value: str, words: str) -> None:
    assert vulgar(Fraction(value)) == words


@settings(max_examples=100, deadline=None)
@given(widths, st.floats(0.12, 0.22), glyph_sets, st.booleans())
def test_the_pointer_stands_in_the_reading_s_cell(
    width: int, pointer: float, glyphs: GlyphSet, with_best: bool
) -> None:
    marks = THREADS if with_best else [EIGHT_36, TEN_24]
    rows = [row.plain for row in steel_rule(width, marks, pointer, glyphs=glyphs)]
    scale = fit(*view(marks, pointer), width)
    at = scale.cell(pointer)
    assert rows[2][at] == glyphs.up
    assert rows[1][at] == glyphs.stem
    assert abs(float(scale.value(at)) - pointer) <= float(scale.per_cell) / 2 + 1e-12


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII])
@pytest.mark.parametrize(("pointer", "sign"), [(0.05, "left"), (0.95, "right")])
def test_a_reading_off_the_rule_points_out_of_it(pointer: float, sign: str, glyphs: GlyphSet) -> None:
    rows = [row.plain for row in steel_rule(40, THREADS, pointer, span=(0.15, 0.19), glyphs=glyphs)]
    assert getattr(glyphs, sign) in rows[2]
    assert rows[2].strip().startswith(glyphs.left) if sign == "left" else rows[2].endswith(glyphs.right)
    assert rows[1] == steel_rule(40, THREADS, None, span=(0.15, 0.19), glyphs=glyphs)[1].plain


def test_the_band_covers_its_limits() -> None:
    row = steel_rule(116, THREADS, 0.1615)[1].plain
    scale = fit(*view(THREADS, 0.1615), 116)
    heavy = {*UNICODE.band_ticks, UNICODE.stem}
    band = [cell for cell in range(116) if row[cell] in heavy]
    assert band == list(range(scale.cell(0.1571), scale.cell(0.1631) + 1))


labels = st.one_of(
    st.sampled_from(["#8-32 UNC", "3/8", "[/]", "bolt [left]", "🔩🔩", "ידית", "x" * 300, ""]),
    st.text(max_size=12),
)
any_marks = st.lists(
    st.builds(
        lambda label, at, spread: RuleMark(label, at - spread, at + spread, at),
        labels,
        st.floats(0, 30),
        st.floats(0, 3),
    ),
    max_size=8,
)


@settings(max_examples=150, deadline=None)
@given(widths, any_marks, st.one_of(st.none(), st.floats(0, 30)), st.integers(2, 3), st.data())
def test_rows_are_exactly_as_wide_as_asked(
    width: int, marks: list[RuleMark], pointer: float | None, rows: int, data: st.DataObject
) -> None:
    if bool(marks) and data.draw(st.booleans()):
        first = marks[0]
        marks = [RuleMark(first.label, first.low, first.high, first.at, True), *marks[1:]]
    drawn = steel_rule(width, marks, pointer, "mm", rows=rows, in_fractions=data.draw(st.booleans()))
    assert len(drawn) == rows
    for row in drawn:
        assert cell_len(row.plain) == width
        assert row.cell_length == width


@settings(max_examples=60, deadline=None)
@given(st.integers(20, 130), st.floats(0.14, 0.2))
def test_names_never_touch_and_the_best_is_always_there(width: int, pointer: float) -> None:
    names = steel_rule(width, THREADS, pointer)[0].plain
    assert "▐#8-32 UNC▌" in names
    kept = [name for name in ("#8-36 UNF", "#10-24 UNC") if name in names]
    for name in kept:
        names = names.replace(name, "")
    assert names.replace("▐#8-32 UNC▌", "").strip() == ""
    assert not re.search(r"\w(#8-36|#10-24)|(UNF|UNC)#", steel_rule(width, THREADS, pointer)[0].plain)


def test_the_flag_says_how_near_and_on_which_side() -> None:
    assert ".1615 in, within #8-32" in steel_rule(80, THREADS, 0.1615)[2].plain
    assert ".405 in, .030 over" in steel_rule(80, LENGTHS, 0.405, in_fractions=True)[2].plain
    assert beside(EIGHT_32, 0.156) == ".0011 under"
    assert beside(RuleMark("12 mm", 11.7, 12.3, 12), 11.2, "mm") == "0.50 under"


def test_an_odd_length_is_said_between_its_neighbours() -> None:
    undecided = [RuleMark(mark.label, mark.low, mark.high, mark.at) for mark in LENGTHS]
    row = steel_rule(100, undecided, 0.39, in_fractions=True)[2].plain
    assert ".015 over 3/8, .0175 under 7/16" in row
    assert "under" not in steel_rule(100, undecided, 0.37, in_fractions=True)[2].plain


def test_ascii_only() -> None:
    for drawn in (
        steel_rule(60, THREADS, 0.1615, glyphs=ASCII),
        steel_rule(30, LENGTHS, 0.41, in_fractions=True, glyphs=ASCII),
        [time_rule(40, 43, 40, [5], paused=True, glyphs=ASCII), meter_rule(40, 3, 8, glyphs=ASCII)],
    ):
        assert all(row.plain.isascii() for row in drawn)


def test_styles_use_only_colours_the_themes_have() -> None:
    names = set(palette.variables(palette.BENCH_DARK))
    rows = [
        *steel_rule(80, THREADS, 0.1615),
        *steel_rule(80, THREADS, 0.17),
        time_rule(80, 43, 40, [5]),
        meter_rule(40, 3, 8),
    ]
    used = {name for row in rows for span in row.spans for name in re.findall(r"\$([\w-]+)", str(span.style))}
    assert used and used <= names


# --- minutes


@settings(max_examples=150, deadline=None)
@given(
    st.integers(1, 130),
    st.floats(0, 2000),
    st.floats(1, 300),
    st.lists(st.floats(0, 300), max_size=4),
    glyph_sets,
    st.booleans(),
)
def test_the_time_rule_is_one_row_that_fits(
    width: int, elapsed: float, target: float, breaks: list[float], glyphs: GlyphSet, paused: bool
) -> None:
    row = time_rule(width, elapsed, target, breaks, paused=paused, glyphs=glyphs)
    assert cell_len(row.plain) == width


@given(st.integers(30, 130), st.floats(0, 120), st.floats(20, 60), glyph_sets)
def test_over_the_target_is_seen_without_colour(width: int, elapsed: float, target: float, glyphs: GlyphSet) -> None:
    assume(abs(elapsed - target) > 0.1)
    row = time_rule(width, elapsed, target, glyphs=glyphs).plain
    assert (" over" in row) == (elapsed > target)
    assert glyphs.down in row


def test_time_spent_is_in_proportion() -> None:
    row = time_rule(100, 20, 40).plain
    rule = row[len("20:00 ") : row.rindex("40:00")].rstrip()
    assert abs(rule.index("▼") - (len(rule) - 1) / 2) <= 1
    # ten minutes, twenty and thirty stand evenly
    tall = [index for index, tick in enumerate(rule) if tick in "┃│▼"]
    assert len({after - before for before, after in pairwise(tall)}) == 1


def test_a_break_is_a_gap() -> None:
    whole, cut = time_rule(60, 30, 40).plain, time_rule(60, 30, 40, [12]).plain
    differ = [index for index, (a, b) in enumerate(zip(whole, cut, strict=True)) if a != b]
    assert len(differ) == 1 and cut[differ[0]] == " "


@pytest.mark.parametrize(
    ("minutes", "words"), [(0, "0:00"), (26.2, "26:12"), (59.999, "59:59"), (60, "1:00:00"), (-1, "0:00")]
)
def test_clock(minutes: float, words: str) -> None:
    assert clock(minutes) == words


# --- counts


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 130), st.integers(-2, 400), st.integers(0, 300), glyph_sets)
def test_the_meter_is_one_row_that_fits(width: int, done: int, total: int, glyphs: GlyphSet) -> None:
    assert cell_len(meter_rule(width, done, total, of_what="holes", glyphs=glyphs).plain) == width


@given(st.integers(0, 12), st.integers(1, 12))
def test_one_bead_a_hole(done: int, total: int) -> None:
    assume(done <= total)
    row = meter_rule(40, done, total).plain
    assert row.count("●") == done and row.count("○") == total - done
    assert row.rstrip().endswith(f"{done}/{total}")


def test_round_steps_only() -> None:
    # An engraved rule is divided in 1, 2, 2.5 or 5 of a decimal unit, or in halves of halves.
    for span in (0.013, 0.07, 0.3, 1.1, 7, 45, 260):
        per_cell = fit(0, span, 60).per_cell
        while per_cell >= 10:
            per_cell /= 10
        while per_cell < 1:
            per_cell *= 10
        assert per_cell in (1, 2, Fraction(5, 2), 5)
        binary = fit(0, span, 60, in_fractions=True).per_cell
        assert (binary.numerator & (binary.numerator - 1)) == 0
        assert (binary.denominator & (binary.denominator - 1)) == 0
    assert scales.MINOR < scales.MIDDLE < scales.MAJOR


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.1, 0.3), st.floats(0.001, 0.02)), min_size=1, max_size=6),
    st.floats(0.1, 0.3),
    st.integers(16, 130),
    glyph_sets,
)
def test_every_band_on_the_rule_has_its_name(
    bands: list[tuple[float, float]], pointer: float, width: int, glyphs: GlyphSet
) -> None:
    marks = [RuleMark(f"M{i}x{i}", low, low + wide, low + wide / 2, i == 1) for i, (low, wide) in enumerate(bands)]
    names, ticks, numerals = steel_rule(width, marks, pointer, glyphs=glyphs)
    shown = [mark for mark in marks if mark.label in names.plain or mark.label in numerals.plain]
    scale = fit(*view(marks, pointer), width)
    for span in ticks.spans:
        if "other-band" in str(span.style) or "verdigris" in str(span.style):
            for x in range(span.start, span.end):
                assert any(scale.cell(mark.low) <= x <= scale.cell(mark.high) for mark in shown)


def test_a_name_that_has_no_room_above_its_band_stands_below_it() -> None:
    rows = [row.plain for row in steel_rule(24, THREADS, 0.1601)]
    assert "#8-32 UNC" in rows[0] and "#8-36 UNF" in rows[0] + rows[2]
