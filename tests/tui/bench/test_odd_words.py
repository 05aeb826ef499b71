"""A short word of a size is explained where it first stands, once."""

from __future__ import annotations

from pathlib import Path

from putback.trade.record.fastener import Thing, Verdict
from putback.tui.bench.odd_words import meaning_of
from putback.tui.bench.rarer_fields import RARER_FIELDS
from tests.tui.bench.test_inside import WALK
from tests.tui.conftest import Opened


def fastener(size: str, verdict: Verdict) -> Thing:
    """A fastener of that size."""
    return Thing(id=1, machine=1, step=1, sort="fastener", name="screw", size=size, verdict=verdict)


def test_each_word_is_told_once() -> None:
    told: set[str] = set()
    assert meaning_of(fastener("#8-32 UNC x 3/8", "sure"), told) == ""
    assert "no stocked length is near" in meaning_of(fastener("#8-32 UNC x .411 (odd)", "sure"), told)
    assert meaning_of(fastener("#8-32 UNC x .433 (odd)", "sure"), told) == ""
    assert meaning_of(fastener("#8-32 UNC or M4", "either"), told).startswith("either: ")
    assert meaning_of(fastener(".19 in?", "none"), told) != "" and told == {"odd", "either", "none"}


async def test_the_line_tells_it(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", ".1234", "enter", "enter")
        assert "kept" in bench.said, bench.said
        await bench.keys("7", ".1234", "enter", "enter")
        assert "kept" not in bench.said, bench.said
        await bench.keys("9", "2ba", "enter", "1/2", "enter")
        assert bench.said.endswith("which should it be (X: of the one just out)?"), bench.said
        page, line = divmod(list(RARER_FIELDS).index("what belongs in the hole of the one just out"), 9)
        await bench.keys("x", *["+"] * page, str(line + 1), "#8-32 UNC x 1/2", "enter")
        last = bench.app.workshop.record.last_taken_out(bench.app.machine_id)
        assert last is not None and last.should_be == "#8-32 UNC x 1/2"
