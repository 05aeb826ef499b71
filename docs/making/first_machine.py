"""Plays the guide `docs/guide/first-machine.md` on the real program, key by key, and makes its pictures.

python docs/making/first_machine.py

What is pressed stands in the guide's lines that begin with `>`; `putback` there opens the program (again). What is in
slanted letters behind such a line has to be on the screen, and a picture shows the screen at that place.
"""

from __future__ import annotations

import asyncio
import re
import sys
import tempfile
from collections.abc import Iterator
from itertools import count
from pathlib import Path

from docs.making.pictures import plain
from putback.opening import open_at
from putback.tui.app import PutbackApp
from putback.tui.bench.bench_screen import BenchScreen

GUIDE = Path(__file__).parents[1] / "guide" / "first-machine.md"
SIZE = (80, 24)
NAMES = {"Enter": "enter", "Space": "space", ".": "full_stop", "+": "plus", "-": "minus", "*": "asterisk",
         "/": "slash", " ": "space", ":": "colon", ",": "comma"}  # fmt: skip
"""Keys by the name that Textual has for them."""


def parts(text: str) -> Iterator[tuple[str, str]]:
    """Give the guide's keys, its sayings and its pictures in their order, each with its sort."""
    for block in re.split(r"\n\n+", text.partition("## ")[2]):
        if block.startswith(">"):
            for word in re.findall(r"`([^`]+)`", block):
                yield "press", word
        elif found := re.match(r"!\[[^\]]*\]\(first-machine/([\w-]+)\.svg\)", block):
            yield "picture", found[1]
        elif not block.startswith("#"):
            for words in re.findall(r"(?<![*\w`])\*([^*`]+)\*(?![*`])", block):
                yield "says", " ".join(words.split()).rstrip(".")


ON_AND_ON = "Enter ..."
"""In place of a key: Enter again and again, until it changes nothing any more."""

MOST = 40
"""How often that is at most."""


def keys_of(words: str) -> list[str]:
    """Return what is pressed for the words in one box: a key, or a text letter by letter."""
    if words == ON_AND_ON:
        return ["enter"] * MOST
    if words in NAMES or len(words) == 1:
        return [NAMES.get(words, words.lower())]
    return [NAMES.get(letter, letter) for letter in words]


async def follow(folder: Path, pictures: Path | None) -> list[str]:
    """Follow the guide on an empty folder; return what it says of the screen and is not so."""
    wrong: list[str] = []
    seen: list[str] = []
    for run in split_at_opening(list(parts(GUIDE.read_text("utf-8")))):
        with open_at(folder) as workshop:
            app = PutbackApp(workshop)
            app.seconds = map(float, count()).__next__  # every look is long enough
            async with app.run_test(size=SIZE) as pilot:
                await pilot.pause()
                for sort, words in run:
                    if sort == "press":
                        for key in keys_of(words):
                            before = shown(app)
                            await pilot.press(key)
                            await pilot.pause()
                            if words == ON_AND_ON and shown(app) == before:
                                break
                        settle(app)
                        await pilot.pause()
                        seen = [*seen[-12:], shown(app)]
                    elif sort == "picture" and pictures is not None:
                        text = plain(app.export_screenshot(title="Putback"))
                        (pictures / f"{words}.svg").write_text(text, encoding="utf-8")
                    elif sort == "says" and not any(words.casefold() in page for page in [*seen, shown(app)]):
                        wrong.append(words)
    return wrong


def split_at_opening(found: list[tuple[str, str]]) -> list[list[tuple[str, str]]]:
    """The parts of the guide by the times that the program is opened."""
    runs: list[list[tuple[str, str]]] = []
    for part in found:
        if part == ("press", "putback"):
            runs.append([])
        elif runs:
            runs[-1].append(part)
    return runs


def settle(app: PutbackApp) -> None:
    """Let the bench paint what it puts off."""
    for screen in app.screen_stack:
        if isinstance(screen, BenchScreen):
            screen.catch_up()


def shown(app: PutbackApp) -> str:
    """The screen on top as one line of text, small letters."""
    rows = app.screen._compositor.render_strips()
    text = " ".join("".join(segment.text for segment in row) for row in rows)
    return " ".join(re.sub(r"[│╭╮╰╯─▶■·]", " ", text).split()).casefold()


def main() -> int:
    """Follow the guide, make its pictures, and say what is not as it says."""
    out = GUIDE.parent / "first-machine"
    out.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        wrong = asyncio.run(follow(Path(folder) / "workshop", out))
    for words in wrong:
        print(f"not on the screen: {words}")
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main())
