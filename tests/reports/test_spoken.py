"""Words for a voice: every name of a size without a sign in it, none lost, and what was spoken stays."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.reports.spoken import PLACES, hole_text, lines_of, sentence, spelled, spoken
from putback.sizing.threads import all_threads

ROWS = Path(__file__).parents[1] / "reference" / "threads.csv"

PARTS = {"half": 2, "quarter": 4, "eighth": 8, "sixteenth": 16, "32nd": 32, "64th": 64}


def test_no_name_of_a_thread_keeps_a_sign_and_no_two_become_one() -> None:
    # The names are those of the standards; tests/reference/threads.csv has the source of each row.
    names = {row["name"] for row in csv.DictReader(ROWS.read_text("utf-8").splitlines())}
    names |= {thread.name for thread in all_threads()}
    found = {spoken(name) for name in names}
    assert len(found) == len(names) > 300
    assert not [words for words in found if set(words) & set("#/-") or " ." in f" {words}"]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("screw #8-32 UNC x 3/8", "screw number 8, 32 to the inch, UNC, by 3 eighths"),
        ("2 x bolt 1/4-20 UNC x 1 1/4", "2 times bolt 1 quarter, 20 to the inch, UNC, by 1 and 1 quarter"),
        ("screw M5x0.8 x 12 mm", "screw M5, pitch 0.8, by 12 millimetres"),
        ("washer .500 x .062", "washer 0.500 by 0.062"),
        ("press 2041?7, session 6", "press 20417 (the 7 in place 5 is doubtful), session 6"),
        ("4?1?8", "418 (the 1 in place 2 and the 8 in place 3 are doubtful)"),
        ("bag 4: hole 7: nut 2BA", "bag 4: hole 7, upper left: nut 2BA"),
        ("hole 9 found empty", "hole 9, upper right, found empty"),
        ("6 h 05 in all, 72 min hands on", "6 hours 5 minutes in all, 72 minutes hands on"),
        ("2 h 01, 1 h 30", "2 hours 1 minute, 1 hour 30 minutes"),
        ("1.1 h, 1 h, 2.1 min, 11 mm", "1.1 hours, 1 hour, 2.1 minutes, 11 millimetres"),
        ("1/8 in longer, .091 in shorter", "1 eighth inch longer, 0.091 inch shorter"),
        ("fits in longer holes", "fits in longer holes"),
        ("is it 3/8? I doubt it", "is it 3 eighths? I doubt it"),
        ("seen 1/2/2025, 3/8/2025", "seen 1/2/2025, 3/8/2025"),
    ],
)
def test_what_is_ours_is_said(words: str, message: str) -> None:
    assert spoken(words) == message
    assert spoken(message) == message


@given(st.integers(0, 3), st.sampled_from(sorted(PARTS.values())), st.data())
def test_a_fraction_is_said_as_the_same_number(whole: int, under: int, data: st.DataObject) -> None:
    over = data.draw(st.integers(1, under - 1))
    found = spoken(f"{whole} {over}/{under}" if whole else f"{over}/{under}")
    *before, part = found.removesuffix("s").replace("halve", "half").split()
    count = Fraction(int(before[-1]), PARTS[part])
    assert count + (int(before[0]) if len(before) > 1 else 0) == whole + Fraction(over, under)


@settings(max_examples=300, deadline=None)
@given(st.text(st.sampled_from("0123456789 x#-./?,:;abehlomnrtUNCM"), max_size=30))
def test_a_line_is_one_line_that_ends_for_a_breath(words: str) -> None:
    line = sentence(words)
    assert "\n" not in line and "  " not in line and line == line.strip()
    assert not line or line[-1] in ".!?:"


def test_holes_lie_as_the_number_pad_has_them() -> None:
    # ISO/IEC 9995-4 puts 7 8 9 over 4 5 6 over 1 2 3 on a numeric keypad.
    for row, keys in (("upper", "789"), ("middle", "46"), ("lower", "123")):
        assert all(row in PLACES[key] for key in keys)
    for column, keys in (("left", "741"), ("right", "963")):
        assert all(column in PLACES[key] for key in keys)
    assert hole_text("5b") == "hole 5 b, centre"


def test_insets_columns_and_dashes_go() -> None:
    assert lines_of("By size\n    2  nut 2BA\n\n  - step 4: odd\n    ! sharp") == [
        "By size.",
        "2 nut 2BA.",
        "Step 4: odd.",
        "Caution: sharp.",
    ]
    assert spelled("PB4E2GXAK") == "P B 4 E 2 G X A K"
