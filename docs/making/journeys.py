"""Walks three journeys through the house by running them, and tells which files each one enters, in order.

    python -m docs.making.journeys                            the house as it stands
    python -m docs.making.journeys --house DIR --rooms FILE   another checkout, with the text that has its rooms

The journeys: a fastener from key to disk to screen, a scan to its card, the record to plan and book. Each runs through
the real thing on a copy of the demo: the first two through the app with keys, the third by its commands. Each runs
twice and the second time is followed, so that what is merely loaded on the way is not counted as entered.
"""

from __future__ import annotations

import argparse
import asyncio
import io
import sys
import tempfile
import threading
from collections.abc import Awaitable, Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, redirect_stdout
from itertools import count
from pathlib import Path
from types import FrameType
from typing import Any

from docs.making.imports import ROOMS, ROOT, Room, module_name, room_of, rooms_in

WALK = ("1", "1", "1")
"""The walk-back answered: each of the three last steps is right."""

PANEL = ("slash", "6", "enter", *"right", "space", *"panel", "enter")
"""A part begun: a panel on the right face."""

SCREW = (*"1632", "enter", *"370", "enter")
"""A screw in hole 1: what the gauge plate says, and its length."""


class Followed:
    """The files of the package that are entered while it follows, each once, in order."""

    def __init__(self, package: Path) -> None:
        self.package = package
        self.modules: dict[str, None] = {}
        self._names: dict[str, str] = {}

    @contextmanager
    def following(self) -> Iterator[None]:
        """Follow every call in this thread and in those that begin."""
        threading.setprofile(self._enter)
        sys.setprofile(self._enter)
        try:
            yield
        finally:
            sys.setprofile(None)
            threading.setprofile(None)

    def _enter(self, frame: FrameType, event: str, _: object) -> None:
        if event == "call":
            path = frame.f_code.co_filename
            if path not in self._names:
                inside = path.startswith(str(self.package))
                self._names[path] = module_name(Path(path), self.package) if inside else ""
            if self._names[path]:
                self.modules.setdefault(self._names[path])


Journey = Callable[[Path, Followed], None]


def on_the_screen(folder: Path, before: Sequence[str], walk: Callable[[Any, Any], Awaitable[None]]) -> None:
    """Open the app over a copy of the demo, press some keys, and walk on from there."""
    from putback.demo import lay_out_demo
    from putback.opening import open_at
    from putback.tui.app import PutbackApp

    async def run() -> None:
        with open_at(folder) as workshop:
            app = PutbackApp(workshop)
            app.seconds = map(float, count()).__next__  # every look is long enough
            app.pace_clock = map(float, count(0, 10)).__next__  # no hand types as fast as a scanner
            async with app.run_test(size=(80, 24)) as pilot:
                await rest(app, pilot)
                await pilot.press(*before)
                await rest(app, pilot)
                await walk(app, pilot)

    lay_out_demo(folder)
    asyncio.run(run())


async def rest(app: Any, pilot: Any) -> None:
    """Wait until what keys have set going is done and painted."""
    for _ in range(5):
        await pilot.pause()
    await app.workers.wait_for_complete()
    for screen in app.screen_stack:
        if hasattr(screen, "catch_up"):
            screen.catch_up()
    await pilot.pause()


def fastener(folder: Path, followed: Followed) -> None:
    """A fastener, from key to disk to screen: its size and its length are typed, and it is recorded."""

    async def walk(app: Any, pilot: Any) -> None:
        journal = folder / "workshop.journal"
        before = journal.stat().st_size
        with followed.following():
            await pilot.press(*SCREW)
            await rest(app, pilot)
        if journal.stat().st_size == before:
            raise ValueError("nothing was recorded")

    on_the_screen(folder, (*WALK, *PANEL), walk)


def scan(folder: Path, followed: Followed) -> None:
    """A scan, to its card: a scanner types the code of a bag while no part is coming off."""

    async def walk(app: Any, pilot: Any) -> None:
        code = app.workshop.record.bag(app.machine_id, 1).code
        app.pace_clock = map(lambda tick: 1e6 + tick / 100, count()).__next__
        with followed.following():
            await pilot.press(*code.lower(), "enter")
            await rest(app, pilot)
        if "Bag" not in type(app.screen).__name__:
            raise ValueError(f"the scan led to {type(app.screen).__name__}, not to a bag's card")

    on_the_screen(folder, WALK, walk)


def plan_and_book(folder: Path, followed: Followed) -> None:
    """The record, to plan and book: `putback refit --order fewest-bags`, then `putback book`."""
    from putback.cli import main
    from putback.demo import lay_out_demo

    lay_out_demo(folder)
    with followed.following(), redirect_stdout(io.StringIO()):
        for words in (["refit", "--order", "fewest-bags"], ["book", "--out", str(folder / "book.html")]):
            if main(["--workshop", str(folder), *words]):
                raise ValueError(f"putback {' '.join(words)} went wrong")


JOURNEYS: tuple[Journey, ...] = (fastener, scan, plan_and_book)


def entered(journey: Journey, package: Path) -> list[str]:
    """Return the modules that a journey enters, in order of first entry."""
    runs = []
    for _ in range(3):
        followed = Followed(package)
        with tempfile.TemporaryDirectory() as folder:
            journey(Path(folder), followed)
        runs.append(followed.modules)
    return [module for module in runs[2] if module in runs[1]]


def told(journey: Journey, modules: Sequence[str], rooms: Iterable[Room]) -> str:
    """Return the way as lines: a room each time another is entered, and the files first entered there."""
    names = {room.name for room in rooms}
    lines: list[str] = []
    last = None
    for module in modules:
        room = room_of(module, names) or "for all"
        if room != last:
            lines.append(f"  {room:16}")
        lines[-1] += f" {module.rpartition('.')[2]}"
        last = room
    seen = {room_of(module, names) for module in modules} - {""}
    head = f"{(journey.__doc__ or '').strip()}\n{len(modules)} files in {len(seen)} rooms"
    return "\n".join([head, *lines])


def main(words: Sequence[str]) -> int:
    """Walk the journeys and print them."""
    ask = argparse.ArgumentParser(description="Walks three journeys through the house and tells what they enter.")
    ask.add_argument("--house", type=Path, default=ROOT, help="the checkout to walk through")
    ask.add_argument("--rooms", type=Path, default=ROOMS, help="a text with a rooms block")
    asked = ask.parse_args(words)
    sys.path.insert(0, str(asked.house.resolve()))
    rooms = rooms_in(asked.rooms.read_text("utf-8"))
    for journey in JOURNEYS:
        print(told(journey, entered(journey, asked.house.resolve() / "putback"), rooms), end="\n\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
