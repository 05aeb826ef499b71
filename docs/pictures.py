"""Makes the pictures in docs/ from the demo, by the app itself: `python docs/pictures.py`."""

from __future__ import annotations

import asyncio
import re
import tempfile
from pathlib import Path

from putback.demo import lay_out_demo
from putback.opening import open_at
from putback.tui.app import PutbackApp

HERE = Path(__file__).parent

CELL = 12.2
"""Width of a cell in Textual's pictures."""

ADVANCE = 0.602
"""Width of a letter of DejaVu Sans Mono, to its size."""

WALK = ["1", "1", "1"]
PANEL = [*WALK, "slash", "slash", "slash", "enter", *"right", "space", *"panel", "enter"]
SCREWS = [*"1632", "enter", *"370", "enter", "plus", "plus", *"9632", "enter", *"497"]

PICTURES: dict[str, tuple[tuple[int, int], list[str]]] = {
    "bench": ((96, 28), [*PANEL, *SCREWS]),
    "walk-back": ((80, 24), []),
    "refit": ((96, 28), [*WALK, "r"]),
    "bag": ((80, 24), [*WALK, "g", "4"]),
    "far": ((60, 17), [*PANEL, *SCREWS]),
    "find": ((80, 24), [*WALK, "equals_sign", *"bell"]),
    "card": ((96, 28), [*WALK, "equals_sign", *"left", "space", *"panel", "enter", "1"]),
    "summary": ((96, 28), [*PANEL, *SCREWS, "enter", "0", "s"]),
}
"""The picture's name, the size of the screen, and the keys that lead to it."""


async def make(name: str, size: tuple[int, int], keys: list[str]) -> None:
    """Play the keys on a copy of the demo and keep the screen as SVG."""
    with tempfile.TemporaryDirectory() as folder:
        lay_out_demo(Path(folder))
        with open_at(Path(folder)) as workshop:
            app = PutbackApp(workshop)
            async with app.run_test(size=size) as pilot:
                await pilot.pause()
                for key in keys:
                    await pilot.press(key)
                    await pilot.pause()
                (HERE / f"{name}.svg").write_text(plain(app.export_screenshot(title="Putback")), encoding="utf-8")


def plain(svg: str) -> str:
    """Return the picture without fonts to be fetched and without a window's buttons.

    Letters stand in cells of 12.2 units. A viewer that knows no `textLength` sets them by the font alone, and
    drops blanks at the beginning of a text: so the font is made to fit the cells, and blanks move the text.
    """
    svg = re.sub(r"@font-face\s*{.*?}\s*", "", svg, flags=re.S)
    svg = re.sub(r"<!--.*?-->", "", svg, flags=re.S)
    svg = re.sub(r'<g transform="translate\(26,22\)">.*?</g>', "", svg, flags=re.S)
    svg = svg.replace("Fira Code", "DejaVu Sans Mono").replace("font-size: 20px", f"font-size: {CELL / ADVANCE:.2f}px")
    return re.sub(
        r'(<text class="[^"]*-r\d+" x=")([\d.]+)(" y="[\d.]+" textLength=")([\d.]+)("[^>]*>)((?:&#160;)+)', _set_in, svg
    )


def _set_in(found: re.Match[str]) -> str:
    """Return a text that begins behind its blanks."""
    blanks = found[6].count(";") * CELL
    x, length = float(found[2]) + blanks, float(found[4]) - blanks
    return f"{found[1]}{x:g}{found[3]}{max(length, CELL):g}{found[5]}"


if __name__ == "__main__":
    for name, (size, keys) in PICTURES.items():
        asyncio.run(make(name, size, keys))
