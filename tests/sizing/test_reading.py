"""What people type as a measure. Conversions: an inch is 25.4 mm exactly (ISO 80000-3)."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.sizing import Measure, Unfinished, read_count, read_measure
from putback.sizing.units import Unit


@pytest.mark.parametrize(
    ("text", "unit", "value", "stays"),
    [
        (".372", "in", Fraction(372, 1000), "in"),
        ("0.372", "in", Fraction(372, 1000), "in"),
        ("372", "in", Fraction(372, 1000), "in"),
        ("062", "in", Fraction(62, 1000), "in"),
        ("370 thou", "in", Fraction(37, 100), "in"),
        ("370 thou", "mm", Fraction(37, 100), "in"),
        ("3/8", "in", Fraction(3, 8), "in"),
        ("3/8 in", "mm", Fraction(3, 8), "in"),
        ('3/8"', "mm", Fraction(3, 8), "in"),
        ("1 1/4", "in", Fraction(5, 4), "in"),
        ("1-1/4", "in", Fraction(5, 4), "in"),
        ("1½", "in", Fraction(3, 2), "in"),
        ("1", "in", Fraction(1), "in"),
        ("372in", "in", Fraction(372), "in"),
        ("11.2mm", "in", Fraction(112, 10), "mm"),
        ("11.2", "mm", Fraction(112, 10), "mm"),
        ("372", "mm", Fraction(372), "mm"),
        ("12,5", "mm", Fraction(125, 10), "mm"),
        ("12,5mm", "in", Fraction(125, 10), "mm"),
        ("11,2", "in", Fraction(112, 10), "mm"),  # inches have no comma
        ("1/2", "mm", Fraction(1, 2), "in"),  # and millimetres no fractions
        ("1 1/4", "mm", Fraction(5, 4), "in"),
        ("1/2 mm", "in", Fraction(1, 2), "mm"),
        ("3 cm", "in", Fraction(30), "mm"),
        ("2 MM", "in", Fraction(2), "mm"),
        ("３／８", "in", Fraction(3, 8), "in"),  # noqa: RUF001 full-width, as some keyboards send it
        ("  .25  ", "in", Fraction(1, 4), "in"),
    ],
)
def test_exact(text: str, unit: Unit, value: Fraction, stays: Unit) -> None:
    read = read_measure(text, unit)
    assert isinstance(read, Measure)
    assert (read.value, read.unit, read.text) == (value, stays, text)
    assert read.mm == read.inches * Fraction(254, 10)


@pytest.mark.parametrize(
    "text", ["7/", "1/4-", ".", "3.", "", "  ", "1 1", "1 1/", "0", "0.0", ".0", "11.2m", "3 t", "/"]
)
def test_unfinished(text: str) -> None:
    read = read_measure(text, "in")
    assert isinstance(read, Unfinished)
    assert read.hint


@pytest.mark.parametrize(
    "text",
    [
        ",164", "-3", "+3", "1e99", "1e3", "M", "#", "nan", "NaN", "inf", "6-32x", "0mm", "0/8", "1/0", "1 5/4",
        "3 kg", "1.5.5", "1/2/3", "9" * 39, "9" * 500, "1125", "٣", "3 light_year", "abc", "1..2", "0x10", "1_000",
    ],
)  # fmt: skip
def test_unreadable_says_why_in_one_sentence(text: str) -> None:
    with pytest.raises(Unreadable) as fault:
        read_measure(text, "in", what="length")
    found = str(fault.value)
    assert found.startswith("length: ") and found.endswith((".", "?")) and "\n" not in found


def test_the_comma_is_said_to_be_the_decimal_point() -> None:
    read = read_measure("12,5", "mm")
    assert isinstance(read, Measure) and "12.5" in read.note


def test_thousandths_are_said() -> None:
    read = read_measure("372", "in")
    assert isinstance(read, Measure) and "thousandths" in read.note


@settings(max_examples=200)
@given(st.text(max_size=60), st.sampled_from(["in", "mm"]))
def test_no_text_crashes_or_gives_nonsense(text: str, unit: Unit) -> None:
    for reader in (lambda: read_measure(text, unit), lambda: read_count(text)):
        try:
            read = reader()
        except Unreadable as fault:
            assert str(fault)
            continue
        if isinstance(read, Measure):
            assert 0 < read.mm <= 10_000
        elif isinstance(read, Fraction):
            assert 3 <= read <= 200
        else:
            assert read.hint


@settings(max_examples=100)
@given(st.text(alphabet="0123456789./- ,mint", max_size=12), st.sampled_from(["in", "mm"]))
def test_no_keypad_text_crashes(text: str, unit: Unit) -> None:
    try:
        read = read_measure(text, unit)
    except Unreadable:
        return
    assert isinstance(read, Unfinished) or read.mm > 0


@given(st.integers(1, 9999), st.integers(0, 4))
def test_decimals_are_exact(digits: int, places: int) -> None:
    text = f"{digits / 10**places:.{places}f}mm"
    read = read_measure(text, "in")
    assert isinstance(read, Measure) and read.mm == Fraction(digits, 10**places)


@given(st.integers(1, 15), st.sampled_from([2, 4, 8, 16, 32, 64]), st.integers(0, 3))
def test_fractions_are_exact(top: int, bottom: int, whole: int) -> None:
    if whole and top >= bottom:
        return
    read = read_measure(f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}", "in")
    assert isinstance(read, Measure) and read.inches == whole + Fraction(top, bottom)


@pytest.mark.parametrize(
    ("text", "count"), [("32", 32), ("11 1/2", Fraction(23, 2)), ("11.5", Fraction(23, 2)), ("36 tpi", 36)]
)
def test_counts(text: str, count: Fraction) -> None:
    assert read_count(text) == count


@pytest.mark.parametrize("text", ["1", "2", ""])
def test_counts_unfinished(text: str) -> None:
    assert isinstance(read_count(text), Unfinished)


@pytest.mark.parametrize("text", ["0", "500", "-3", "x", "nan", "32.5.1"])
def test_counts_unreadable(text: str) -> None:
    with pytest.raises(Unreadable):
        read_count(text)
