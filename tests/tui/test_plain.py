"""The screens in words alone: a story from the walk-back to the summary in which nothing is drawn."""

from __future__ import annotations

import re
from pathlib import Path

from tests.tui.conftest import Bench, Opened

DRAWN = re.compile(r"[\u2190-\u2bff]|[|#^{}<>]|--|==|\.\.\.\.|\+-")


def rows(bench: Bench) -> list[str]:
    """The screen line by line; nothing of it is drawn."""
    told = [row.rstrip() for row in bench.picture().split("\n")]
    assert not [row for row in told if DRAWN.search(row)], told
    return told


async def test_a_session_is_told_in_words(demo: Path, opened: Opened) -> None:
    (demo / "settings.toml").write_text("[look]\nplain = true\n", "utf-8")
    async with opened(demo) as bench:
        assert "is this right at the machine?" in rows(bench)[0]
        await bench.keys("111")
        told = rows(bench)
        assert told[0].startswith("0 of ") and "coming off" in told[1]
        said = next(i for i, row in enumerate(told) if row.strip() == "checked against the machine: go on")
        assert bench.app.cursor_position == (0, said)  # there a screen reader reads
        await bench.keys("1632", "enter", "370")
        told = rows(bench)
        typing = next(i for i, row in enumerate(told) if row == "hole 1, lower left; gauge 632; now length 370")
        assert bench.app.cursor_position == (0, typing)
        assert told[typing + 1].startswith("sure: number 6, 32 to the inch, UNC, by 3 eighths")
        await bench.keys("enter", "+")
        told = rows(bench)
        assert told[said].strip().startswith("done: hole ") and bench.app.cursor_position == (0, said)
        assert any(row.startswith("hole 1, lower left: out, number 6, 32 to the inch") for row in told)
        assert any("plus same again" in row for row in told)
        await bench.keys("tab")
        assert "refused: Words alone have no view from afar." in rows(bench)[said]
        await bench.keys("0")
        for key, words in (
            ("?", "1 to 9: begin."), ("g4", "bag "), ("s", "Open questions"), ("r", "going back"),
        ):  # fmt: skip
            await bench.keys(key)
            assert any(row.strip().startswith(words) for row in rows(bench)), words
            await bench.keys("escape")
            assert bench.screen == "BenchScreen", key
