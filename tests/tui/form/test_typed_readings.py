"""What was typed as readings, and readings typed again."""

from __future__ import annotations

import pytest

from putback.trade.record.fastener import TAKEN_BY
from putback.trade.record.machine import Machine
from putback.trade.sizes.reading_words import ways_text
from putback.tui.form.typed_readings import as_read, as_typed, field_word

INCH = Machine(id=1, name="stamp", origin="us", unit="in")


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ({"gauge": ".16+ 32", "length": "372+"}, {
            "od": ".16", "tpi": "32", "length": ".372", "od_by": "rule", "length_by": "rule",
        }),
        ({"gauge": ".164 32++"}, {"od": ".164", "tpi": "32", "pitch_by": "eye"}),
        ({"gauge": "8 32++"}, {"gauge": "8 32", "gauge_by": "eye"}),
        ({"gauge": "832", "length": "3/8 eye"}, {"gauge": "832", "length": "3/8", "length_by": "eye"}),
        ({"od": ".81", "pitch": "0.8 ten"}, {"od": ".81", "pitch": "0.8", "pitch_by": "ten"}),
        ({"length": ".37+++"}, {"length": ".37+++"}),
    ],
)  # fmt: skip
def test_marks_become_fields_of_the_record(typed: dict[str, str], read: dict[str, str]) -> None:
    """What is recorded is typed again as it was meant."""
    assert as_read(typed, INCH) == read
    again = as_typed(read)
    assert as_read(again, INCH) == read
    assert not set(again) & set(TAKEN_BY)


def test_the_ways_in_words() -> None:
    assert ways_text({"length": ".37", "length_by": "eye", "od_by": "rule"}) == "length by eye, od by rule"
    assert ways_text({"length": ".37"}) == ""
    assert [field_word("length", text) for text in (".37", ".37+", ".37++", "3/8 eye", ".37+++")] == [
        "length",
        "by rule",
        "by eye",
        "by eye",
        "length",
    ]
    assert field_word("gauge", ".16+") == "by rule" and field_word("gauge", "8 32++") == "by eye"
