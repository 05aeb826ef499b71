"""The guide "Your first machine", followed key by key: what it says of the screen is so."""

from __future__ import annotations

from pathlib import Path

from docs.making.first_machine import GUIDE, MOST, ON_AND_ON, parts, shown, split_at_opening
from putback.trade.checks.ledger import check_balance
from putback.trade.record.step import Step
from tests.tui.conftest import Bench, Opened


async def press(bench: Bench, words: str) -> None:
    """Press what stands in one box of the guide."""
    if words != ON_AND_ON:
        await bench.keys(words.lower() if words in ("Enter", "Space") or len(words) == 1 else words)
        return
    for _ in range(MOST):
        before = shown(bench.app)
        await bench.keys("enter")
        if shown(bench.app) == before:
            break


async def test_the_guide_is_true_to_the_last_key(opened: Opened, tmp_path: Path) -> None:
    runs = split_at_opening(list(parts(GUIDE.read_text("utf-8"))))
    assert len(runs) == 2, "the program is opened, left, and opened again"
    pictures = set()
    for run in runs:
        seen: list[str] = []
        async with opened(tmp_path / "workshop") as bench:
            for sort, words in run:
                if sort == "press":
                    await press(bench, words)
                    seen = [*seen[-12:], shown(bench.app)]
                elif sort == "says":
                    assert any(words.casefold() in page for page in [*seen, shown(bench.app)]), (words, seen[-1])
                else:
                    pictures.add(words)
            record, steps = bench.app.workshop.record, list(bench.app.workshop.record.all(Step))
    assert len(steps) == 12 and all(step.back for step in steps)
    assert list(check_balance(record)) == []
    assert pictures == {path.stem for path in (GUIDE.parent / "first-machine").glob("*.svg")}
