"""Readings as typed, and the units they are taken in."""

from __future__ import annotations

from fractions import Fraction

import pytest

from putback.errors import Unreadable
from putback.sizing import Readings, snap
from putback.sizing.exact import exact


def test_a_bare_pitch_that_no_thread_has_in_inches_is_read_as_millimetres_and_said_so() -> None:
    """Pitches in inches are counted to the inch; common practice, no source."""
    read = exact(Readings(od="4.62mm", pitch=".81", pitch_by="ten", origin="uk", unit="in"))
    assert read.pitch == Fraction("0.81")
    assert any("mm" in note for note in read.notes)
    assert snap(Readings(od="4.62mm", pitch=".81", pitch_by="ten", origin="uk", unit="in")).thread is not None


def test_a_pitch_in_inches_that_a_thread_can_have_stays_in_inches() -> None:
    assert exact(Readings(od=".164", pitch=".03125", unit="in")).pitch == Fraction("0.79375")


def test_an_inch_sign_is_believed() -> None:
    with pytest.raises(Unreadable):
        exact(Readings(od=".164", pitch='.81"', unit="in"))
