"""What interchanges and what must not be mixed up on the sample press: its own story is the judge."""

from __future__ import annotations

from putback.reports.alike import alike, alike_blocks
from putback.reports.blocks import as_text
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record


def test_the_cross_bars_bolts_only_look_alike(sample_press: Record) -> None:
    """The story of the press, step 53: same thread, longer; swapped, they bottom."""
    found = alike(sample_press, sample_press.get(Machine, 1))
    bolts = [m for m in found.look_alike if "cross bar" in m.one and "cross bar" in m.other]
    assert len(bolts) == 1 and "1/4 in longer" in bolts[0].why and "bottoms" in bolts[0].why
    assert "cross bar" in as_text(alike_blocks(found))


def test_the_lids_four_screws_interchange(sample_press: Record) -> None:
    found = alike(sample_press, sample_press.get(Machine, 1))
    assert any("step 3, lid: 1 3 7 9" in same.holes for same in found.interchange)
    counts = [same.count for same in found.interchange]
    assert counts == sorted(counts, reverse=True) and min(counts) > 1
