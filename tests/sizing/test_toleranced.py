"""Measures to be made, with what they may be over and under.

A bilateral, a unilateral and a limit written with two signs are the three ways in which ASME Y14.5 has a plus and
minus tolerance written (from memory). The shaft fit is worked from ISO 286-2: of a 6 mm shaft, f7 is -10 to -22 um.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.sizing.toleranced import read_toleranced
from putback.sizing.units import Unit


@pytest.mark.parametrize(
    ("typed", "unit", "called", "limits"),
    [
        ("12.5 +-.05", "mm", "12.5 +-.05 mm", "12.45 to 12.55 mm"),
        ("12.5*+-.05", "mm", "12.5 +-.05 mm", "12.45 to 12.55 mm"),  # the pad's space
        ("12,5 ±0,05", "mm", "12,5 +-0,05 mm", "12.45 to 12.55 mm"),
        ("12.5+/-.05", "mm", "12.5+/-.05 mm", "12.45 to 12.55 mm"),
        ("1/4 -.002", "in", "1/4 -.002 in", ".248 to .250 in"),
        ("1-1/4 -.01", "in", "1-1/4 -.01 in", "1.24 to 1.25 in"),
        (".250 +.000 -.001", "in", ".250 +.000 -.001 in", ".249 to .250 in"),
        ("250 +000 -001", "in", ".250 +.000 -.001 in", ".249 to .250 in"),  # thousandths
        (".25 +- 2 thou", "in", ".25 in +- 2 thou", ".248 to .252 in"),
        ("6 -.010 -.022", "mm", "6 -.010 -.022 mm", "5.978 to 5.990 mm"),  # ISO 286-2, 6 f7
        ("12.5 +.02 +.01 mm", "in", "12.5 +.02 +.01 mm", "12.51 to 12.52 mm"),
        ("3/8", "in", "3/8 in", ""),
        ("25", "mm", "25 mm", ""),
    ],
)
def test_a_measure_is_read_with_its_limits(typed: str, unit: Unit, called: str, limits: str) -> None:
    read = read_toleranced(typed, unit)
    assert (read.called, read.limits) == (called, limits)
    assert read_toleranced(read.called, "mm").limits == limits  # as it is kept it means the same on every machine


@pytest.mark.parametrize(
    ("typed", "unit", "asked"),
    [
        ("12.5 +-.05", "in", True),
        (".250 -.001", "mm", True),
        ("1/4", "mm", False),  # a fraction is of an inch everywhere
        ("12.5 mm +-.05", "in", False),
        (".250 +.000 -.001", "in", False),
        ("250 -001", "in", False),  # thousandths
        ("12.5 +-.05", "mm", False),
    ],
)
def test_a_bare_figure_that_is_likely_of_the_other_unit_is_asked_about(typed: str, unit: Unit, asked: bool) -> None:
    assert read_toleranced(typed, unit).may_be_other_unit is asked


@pytest.mark.parametrize("typed", ["", "x", "12.5 +-", "1 +- .1 -.2", ".001 -.002", "+.05", "1/0 -.1", "1 -.1 -.2 -.3"])
def test_what_is_not_a_measure_says_so(typed: str) -> None:
    with pytest.raises(Unreadable):
        read_toleranced(typed, "in")


@given(st.integers(1_000, 99_999), st.integers(0, 900), st.integers(0, 900), st.sampled_from(["mm", "in"]))
def test_limits_stand_about_what_was_said(size: int, over: int, under: int, unit: Unit) -> None:
    def figures(thousandths: int) -> str:
        return f"{thousandths // 1000}.{thousandths % 1000:03}"

    read = read_toleranced(f"{figures(size)} +{figures(over)} -{figures(under)}", unit)
    assert read.ends == (Fraction(size - under, 1000), Fraction(size + over, 1000))
