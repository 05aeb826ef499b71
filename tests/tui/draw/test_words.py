"""Drawings said in words: every hole by its place, nothing drawn, never more rows than there are."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from putback.reports.spoken import hole_text
from putback.tui.draw.glyphs import WORDS
from putback.tui.draw.heads import HoleView
from putback.tui.draw.legend import SizeView
from putback.tui.draw.rule import steel_rule, time_rule
from putback.tui.draw.rule_marks import RuleMark
from putback.tui.draw.words import STATES, face_in_words, time_in_words

HOLES = st.lists(
    st.builds(
        HoleView,
        st.sampled_from([*"123456789", "5a", "5b"]),
        st.sampled_from(sorted(STATES)),
        st.sampled_from("AB"),
        stacked=st.integers(0, 2),
    ),
    max_size=11,
    unique_by=lambda hole: hole.place,
)
SIZES = (SizeView("A", "#8-32 x 3/8", 4), SizeView("B", "1/4-20 x 1", 2))


@settings(max_examples=100, deadline=None)
@given(HOLES, st.integers(30, 120), st.integers(1, 60))
def test_a_face_is_told_in_the_room_there_is(holes: list[HoleView], width: int, room: int) -> None:
    rows = [row.plain for row in face_in_words(holes, SIZES, width, room, title="front")]
    assert 1 <= len(rows) <= room and all(len(row) <= width for row in rows)
    if room >= 60:
        text = " ".join(rows)
        assert all(f"{hole_text(hole.place)}: {STATES[hole.state]}" in text for hole in holes)
        assert not set(text) & set("#/[]()<>|")


def test_the_hole_in_hand_comes_first_then_the_page_is_read() -> None:
    holes = [HoleView("1", "taken", "A"), HoleView("7", "taken", "B"), HoleView("3", "next")]
    rows = [row.plain for row in face_in_words(holes, SIZES, 80, 20, cursor="5", title="top")]
    assert rows == [
        "top face, 2 holes",
        "hole 5, centre: now",
        "hole 3, lower right: next",
        "hole 7, upper left: out, 1 quarter, 20 to the inch, by 1",
        "hole 1, lower left: out, number 8, 32 to the inch, by 3 eighths",
    ]


def test_a_rule_says_where_the_reading_lies_and_the_time_changes_once_a_minute() -> None:
    marks = [RuleMark("5/16", 0.29, 0.3125, 0.3125), RuleMark("3/8", 0.355, 0.375, 0.375, best=True)]
    text = " ".join(row.plain for row in steel_rule(60, marks, 0.372, glyphs=WORDS))
    assert text == "reads 0.372 in; within 3 eighths; 0.0595 over of 5 sixteenths"
    assert time_rule(40, 26.2, 40, glyphs=WORDS).plain == time_rule(40, 26.9, 40, glyphs=WORDS).plain
    assert time_in_words(46.5, 40, paused=True) == "paused at 46 of 40 minutes, 6 over"
