"""Settings as set: what a reading is compared with, and when it is asked about (common practice, no source)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.trade.record.step import Adjustment
from putback.trade.refit.as_set import as_set_words, asked_words, difference

TURNS = Adjustment(what="end stop", turns=2.5)
GAP = Adjustment(what="gap", gap=".312", should_be=".281")
RANGE = Adjustment(what="gap", gap=".312", should_be=".280 to .285")
AROUND = Adjustment(what="gap", gap="1.2 mm", should_be="1.0 +-.05 mm")
SPRING = Adjustment(what="spring", measure="42 mm hook to hook")
PULL = Adjustment(what="pull", measure="500 g")
MARK = Adjustment(what="wheel", mark="two dots")


@pytest.mark.parametrize(
    ("setting", "reading", "words", "far"),
    [
        (TURNS, "2.5", "as it was to be", False),
        (TURNS, "2 1/4 turns", "0.25 turns less", False),
        (TURNS, "3 1/2", "1 turn more", True),
        (GAP, ".281", "as it was to be", False),
        (GAP, ".283", ".002 in more", False),
        (GAP, ".312", ".031 in more", True),
        (GAP, "7.14 mm", "0.003 mm more", False),
        (RANGE, ".285", "within what it should be", False),
        (RANGE, ".286", ".001 in more", True),
        (AROUND, "0.96 mm", "within what it should be", False),
        (AROUND, "1.1 mm", "0.05 mm more", True),
        (SPRING, "43 mm", "1 mm more", False),
        (SPRING, "50 mm", "8 mm more", True),
        (PULL, "520", "20 g more", False),
        (PULL, "400 g", "100 g less", True),
    ],
)
def test_a_reading_is_compared_with_what_it_was_to_be(setting: Adjustment, reading: str, words: str, far: bool) -> None:
    off = difference(setting, reading, "in")
    assert off is not None
    assert (off.words, off.far) == (words, far)


@pytest.mark.parametrize(
    ("setting", "reading"),
    [(MARK, "two dots"), (TURNS, "tight"), (GAP, "2 turns"), (PULL, "3 kg")],
)
def test_what_cannot_be_compared_is_not_asked_about(setting: Adjustment, reading: str) -> None:
    assert difference(setting, reading, "in") is None


@given(st.text(max_size=30), st.sampled_from([TURNS, GAP, RANGE, AROUND, SPRING, PULL, MARK]), st.booleans())
def test_whatever_is_typed_is_taken(text: str, setting: Adjustment, inches: bool) -> None:
    difference(setting, text, "in" if inches else "mm")


def test_it_is_said_with_its_reason() -> None:
    set_so = Adjustment(what="end stop", turns=2.5, as_set="3", why_so="the stop is new")
    assert as_set_words(set_so, "in") == "as set: 3, 0.5 turns more (the stop is new)"
    assert as_set_words(TURNS, "in") == ""
    assert asked_words(GAP) == "gap, found gap .312, to be .281: how is it set now?"
