"""The screens in words alone: a story from the walk-back to the summary in which nothing is drawn."""

from __future__ import annotations

import re
from pathlib import Path

from tests.tui.conftest import Bench, Opened

DRAWN = re.compile(r"[\u2190-\u2bff]|[|#^{}<>]|--|==|\.\.\.\.|\+-")


def rows(bench: Bench) -> list[str]:
    """The screen line by line; nothing of it is drawn."""
    found = [row.rstrip() for row in bench.picture().split("\n")]
    assert not [row for row in found if DRAWN.search(row)], found
    return found


async def test_a_session_is_told_in_words(demo: Path, opened: Opened) -> None:
    (demo / "settings.toml").write_text("[look]\nplain = true\n", "utf-8")
    async with opened(demo) as bench:
        assert "is this right at the machine?" in rows(bench)[0]
        await bench.keys("111")
        found = rows(bench)
        assert found[0].startswith("no session, ") and "coming off" in found[1]  # looking begins none
        text = next(i for i, row in enumerate(found) if row.strip() == "checked against the machine: go on")
        assert bench.app.cursor_position == (0, text)  # there a screen reader reads
        await bench.keys("1632", "enter", "370")
        found = rows(bench)
        typing = next(i for i, row in enumerate(found) if row == "hole 1, lower left; gauge 632; now length 370")
        assert bench.app.cursor_position == (0, typing)
        assert found[typing + 1].startswith("sure: number 6, 32 to the inch, UNC, by 3 eighths")
        await bench.keys("enter", "+")
        found = rows(bench)
        assert found[text].strip().startswith("done: hole ") and bench.app.cursor_position == (0, text)
        assert any(row.startswith("hole 1, lower left: out, number 6, 32 to the inch") for row in found)
        assert any("plus same again" in row for row in found)
        await bench.keys("tab")
        assert "refused: With words alone there is no view from afar." in rows(bench)[text]
        await bench.keys("0")
        for key, words in (
            ("?", "1 to 9: begin."), ("g4", "bag "), ("s", "Open questions"), ("r", "going back"),
        ):  # fmt: skip
            await bench.keys(key)
            assert any(row.strip().startswith(words) for row in rows(bench)), words
            await bench.keys("escape")
            assert bench.screen == "BenchScreen", key
