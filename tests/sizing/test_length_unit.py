"""A bare length behind a thread of the other system.

Stocked lengths: ISO 888 (mm), ASME B18.6.3 stock practice (in).
"""

from __future__ import annotations

import pytest

from putback.sizing import Readings, snap


@pytest.mark.parametrize(
    ("gauge", "length", "size"),
    [
        ("M 4 x 0.7", "10", "M4x0.7 x 10 mm"),
        ("m4", "10", "M4x0.7 x 10 mm"),
        ("m4", "10.1", "M4x0.7 x 10 mm"),
        ("m4", "10+", "M4x0.7 x 10 mm"),
        ("M 4 x 10", None, "M4x0.7 x 10 mm"),
        ("m4", "11.5", "M4x0.7 x 11.5 mm (odd)"),
        # nobody made them 19 and 25 diameters long in inches (common practice, no source)
        ("m4", "4", "M4x0.7 x 4 mm"),
        ("m4", "3", "M4x0.7 or 5/32-36 NS x 3 mm"),
    ],
)
def test_behind_a_metric_thread_it_is_mm_where_no_inch_length_is_so_long(
    gauge: str, length: str | None, size: str
) -> None:
    answer = snap(Readings(gauge=gauge, length=length, origin="us", unit="in"))
    assert answer.size == size
    assert any("taken as mm, as the thread is metric" in note for note in answer.notes)


@pytest.mark.parametrize(
    ("gauge", "length"), [("m4", "2"), ("m12", "3"), ("m4", ".394"), ("m4", "394"), ("m4", "10 in"), ("8 32", "10")]
)
def test_else_it_stays_in_the_unit_of_the_machine(gauge: str, length: str) -> None:
    answer = snap(Readings(gauge=gauge, length=length, origin="us", unit="in"))
    assert answer.read.length is not None and answer.read.length.unit == "in"
    assert not any("taken as" in note for note in answer.notes)


def test_an_odd_whole_number_says_its_unit() -> None:
    assert snap(Readings(gauge="8 32", length="10", origin="us", unit="in")).size == "#8-32 UNC x 10 in (odd)"


def test_behind_an_inch_thread_on_a_metric_machine_it_is_inches_where_only_those_fit() -> None:
    inches = snap(Readings(gauge="#8-32", length=".375", origin="metric", unit="mm"))
    assert inches.size == "#8-32 UNC x 3/8"
    assert "length: .375 taken as in, as the thread is an inch one" in inches.notes
    both = snap(Readings(gauge="#8-32", length="3", origin="metric", unit="mm"))
    assert both.read.length is not None and both.read.length.mm == 3
