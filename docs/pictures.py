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
    """Return the picture without fonts to be fetched and without a window's buttons."""
    svg = re.sub(r"@font-face\s*{.*?}\s*", "", svg, flags=re.S)
    svg = re.sub(r"<!--.*?-->", "", svg, flags=re.S)
    svg = re.sub(r'<g transform="translate\(26,22\)">.*?</g>', "", svg, flags=re.S)
    return svg.replace("Fira Code", "DejaVu Sans Mono")


if __name__ == "__main__":
    for name, (size, keys) in PICTURES.items():
        asyncio.run(make(name, size, keys))
