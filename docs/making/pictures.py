"""Makes the pictures of docs/screens.md from the demo, by the app itself: all of them, or those that are named.

python docs/making/pictures.py [NAME...]
"""

from __future__ import annotations

import asyncio
import re
import sys
import tempfile
from itertools import count
from pathlib import Path

from PIL import Image, ImageDraw

from putback.demo import lay_out_demo
from putback.opening import open_at
from putback.store.photos import keep_photo
from putback.trade import commands as c
from putback.tui.app import PutbackApp
from putback.tui.bench.bench_screen import BenchScreen

HERE = Path(__file__).parents[1] / "screens"

CELL = 12.2
"""Width of a cell in Textual's pictures."""

ADVANCE = 0.602
"""Width of a letter of DejaVu Sans Mono, to its size."""

WALK = ["1", "1", "1"]
WALK_SMALL = ["escape"]
PANEL = [*WALK, "slash", "6", "enter", *"right", "space", *"panel", "enter"]
PANEL_SMALL = [*WALK_SMALL, *PANEL[len(WALK) :]]
SCREWS = [*"1632", "enter", *"370", "enter", "plus", "plus", *"9632", "enter", *"497"]

PHOTO = "a photo of the left panel"
"""In place of a key: a photo is filed with the step of the left panel."""

EMPTY = "an empty workshop"
"""In place of a key: the picture is taken in a workshop without a machine."""

LOOKS = {"in the light theme": "bench-light", "at high contrast": "bench-contrast"}
"""In place of a key: the look that the picture is taken in."""

PICTURES: dict[str, tuple[tuple[int, int], list[str]]] = {
    "first-minute": ((80, 24), [EMPTY, *"Ticket", "enter"]),
    "walk-back": ((80, 24), []),
    "before-a-part": ((80, 24), [*WALK]),
    "bench": ((96, 28), [*PANEL, *SCREWS]),
    "far": ((60, 17), [*PANEL_SMALL, *SCREWS]),
    "caution": ((80, 24), [*WALK, "enter", *"motor", "comma", "space", *"mains", "space", *"cord", "enter"]),
    "list": ((80, 24), [*WALK, "full_stop"]),
    "keys": ((80, 24), [*WALK, "question_mark"]),
    "machines": ((80, 24), [*WALK, "m"]),
    "question": ((80, 24), [*PANEL, *SCREWS, "enter"]),
    "break": ((80, 24), [*PANEL, *SCREWS, "enter", "0", "space"]),
    "summary": ((96, 28), [*PANEL, *SCREWS, "enter", "0", "s"]),
    "find": ((80, 24), [*WALK, "equals_sign", *"bell"]),
    "bag": ((80, 24), [*WALK, "g", "4"]),
    "step": ((96, 36), [*WALK, "equals_sign", *"left", "space", *"panel", "enter", "1", "1"]),
    "part": ((80, 24), [*WALK, "equals_sign", *"left", "space", *"panel", "enter", "1"]),
    "fastener": ((96, 28), [*WALK, "equals_sign", *"left", "space", *"panel", "enter", "1", "1", "4"]),
    "photo": ((96, 36), [*WALK, PHOTO, "equals_sign", *"left", "space", *"panel", "enter", "1", "1"]),
    "clock": ((80, 30), [*WALK, "z"]),
    "light": ((80, 24), ["in the light theme", *WALK, *PANEL[3:], *SCREWS, "enter"]),
    "high-contrast": ((80, 24), ["at high contrast", *WALK, *PANEL[3:], *SCREWS]),
    "question-small": ((60, 17), [*PANEL_SMALL, *SCREWS, "enter"]),
    "walk-back-small": ((60, 17), []),
    "refit-wide": ((160, 45), [*WALK, "r"]),
    "wide": ((160, 45), [*WALK, *PANEL[3:], *SCREWS]),
    "refit": ((96, 28), [*WALK, "r"]),
    "refit-far": ((60, 17), [*WALK_SMALL, "r", "enter", "enter"]),
    "refit-card": ((96, 28), [*WALK, "m", "1", *WALK, "r", "enter", "enter", "enter", "enter"]),
}
"""The picture's name, the size of the screen, and the keys that lead to it."""


async def make(name: str, size: tuple[int, int], keys: list[str], out: Path = HERE) -> None:
    """Play the keys on a copy of the demo and keep the screen as SVG."""
    with tempfile.TemporaryDirectory() as folder:
        if EMPTY not in keys:
            lay_out_demo(Path(folder))
        with open_at(Path(folder)) as workshop:
            app = PutbackApp(workshop)
            app.seconds = count().__next__  # every look is long enough
            async with app.run_test(size=size) as pilot:
                await pilot.pause()
                for key in keys:
                    if key == PHOTO:
                        file_photo(app, Path(folder))
                    elif key in LOOKS:
                        app.theme = LOOKS[key]
                    elif key != EMPTY:
                        await pilot.press(key)
                    await pilot.pause()
                if PHOTO in keys:
                    await app.workers.wait_for_complete()
                for screen in app.screen_stack:
                    if isinstance(screen, BenchScreen):
                        screen.catch_up()
                await pilot.pause()
                (out / f"{name}.svg").write_text(plain(app.export_screenshot(title="Putback")), encoding="utf-8")


def file_photo(app: PutbackApp, folder: Path) -> None:
    """Draw a panel with eight screws and a scratch, as a camera might see it, and file it with its step."""
    picture = Image.new("RGB", (1600, 1200), (92, 84, 74))
    draw = ImageDraw.Draw(picture)
    draw.rounded_rectangle((180, 120, 1420, 1080), 60, fill=(122, 132, 128), outline=(58, 64, 62), width=14)
    for place in (x for x in range(9) if x != 4):
        x, y = 300 + place % 3 * 500, 240 + place // 3 * 360
        draw.ellipse((x - 52, y - 52, x + 52, y + 52), fill=(196, 186, 160), outline=(70, 66, 58), width=8)
        draw.line((x - 36, y - 30 + 6 * place, x + 36, y + 30 - 6 * place), fill=(40, 38, 34), width=14)
    draw.line((620, 480, 980, 760), fill=(176, 104, 60), width=18)
    name = folder / "DSC_0041.JPG"
    picture.save(name, quality=90)
    shown = c.FiledPhoto(file=keep_photo(name, folder / "photos"), name=name.name, step=5, when="before")
    app.workshop.do(c.FilePhotos(photos=(shown,)), app.machine_id)


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
        if not sys.argv[1:] or name in sys.argv[1:]:
            asyncio.run(make(name, size, keys))
