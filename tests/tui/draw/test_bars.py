"""Counts as rules on one scale, and the summary's page made of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.content import Content

from putback.reports.summary import StepLine, Summary
from putback.tui.draw.bars import MOST_RULE, CountBar, bars, per_cell
from putback.tui.draw.glyphs import ASCII, UNICODE, GlyphSet
from putback.tui.draw.summary_page import summary_page

COUNTS = st.lists(st.integers(0, 4000), min_size=1, max_size=8)


def drawn(counts: list[int], width: int, glyphs: GlyphSet = UNICODE) -> list[str]:
    return [
        row.plain for row in bars([CountBar("#8-32", n, str(n), Content(" ")) for n in counts], width, glyphs=glyphs)
    ]


def test_each_tick_is_one_and_every_fifth_stands_over_its_number() -> None:
    nine, three, scale = drawn([9, 3], 60)
    assert nine.count("╻") + nine.count("┃") == 9 and three.count("╻") == 3
    assert scale.index("5") == nine.index("┃") and scale.split() == ["5", "10"]


@pytest.mark.parametrize(("most", "cells", "worth"), [(9, 20, 1), (41, 20, 5), (40, 20, 2), (1000, 20, 50), (0, 8, 1)])
def test_a_cell_is_worth_a_round_number(most: float, cells: int, worth: int) -> None:
    assert per_cell(most, cells) == worth


@given(COUNTS, st.integers(20, 160), st.sampled_from([UNICODE, ASCII]))
def test_no_row_is_too_wide_and_a_longer_rule_is_a_larger_count(
    counts: list[int], width: int, glyphs: GlyphSet
) -> None:
    rows = drawn(counts, width, glyphs)
    assert all(len(row.rstrip()) <= max(width, 18) for row in rows)
    marks = [sum(row[7:].count(sign) for sign in set(glyphs.spent)) for row in rows[: len(counts)]]
    if glyphs is UNICODE and len(rows) > len(counts):
        by_count = [length for _, length in sorted(zip(counts, marks, strict=True))]
        assert by_count == sorted(by_count) and max(marks) <= MOST_RULE


@given(st.integers(20, 200), st.text(max_size=40), st.sampled_from([UNICODE, ASCII]))
def test_the_page_holds_at_every_width(width: int, words: str, glyphs: GlyphSet) -> None:
    lines = (
        StepLine(1, "took off lid", "case", 12, 3, (1, 2), "shelf", "take off", words or "x", ("case", words), 4.0),
        StepLine(2, "turned press", "", 0, 0, (), "", "turn", "press", (), 0.0),
    )
    summary = Summary(
        machine=f"press {words}",
        session=2,
        title=words,
        start="2025-03-01T10:00:00+00:00",
        end="",
        minutes=41.0,
        segments=2,
        steps=lines,
        back=(1,),
        holes=(words,),
        sizes={"screw #8-32 UNC x 3/8": 12, words: 1},
        bags=(),
        questions=(words,),
        balance={"bag": 12, "fitted": 3},
        things=15,
        next=words,
        note=words,
        areas={"case": 4.0},
        minutes_all=90.0,
        notes=(words,),
        target=40.0,
        breaks=(20.0,),
    )
    rows = summary_page(summary, width, strokes={"a new fastener": (3, 8.5)}, glyphs=glyphs)
    assert all(row.cell_length <= max(width, 40) for row in rows)
    assert any("12 in bags, 3 on the machine" in row.plain or width < 60 for row in rows)
