"""A random hand at the real screen for a long while: `python -m bench.soak`.

Keys, mouse, pastes and other sizes of the terminal, drawn from a seed, on three filled workshops, one with each of the
samples; they take turns. After each thousand the workshop is proved from its files, what is in memory is compared with
what they hold, and the memory of the process is told, with the number of changes beside it: what grows with the record
is not a leak. `--keys 20000` is how many there are, `--seed 1` which.
"""

from __future__ import annotations

import argparse
import asyncio
import gc
import random
import resource
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from textual import events

from putback.reports.check import check_workshop
from putback.scans.bag_code import is_code, new_code
from putback.store import Store
from putback.trade.files.session_file import read_session_file
from putback.trade.record.record import TABLES
from putback.tui.app import PutbackApp
from putback.workshop import Workshop

PAD = [*"0123456789" * 4, *("full_stop", "slash", "asterisk", "plus", "minus") * 4, *("enter",) * 12]
KEYS = [*PAD, *"abcdefghijklmnoprstuvwxyz", "escape", "space", "tab", "up", "down", "left", "right", "question_mark"]
"""What is pressed: the pad most of all, and never `q`, which leaves."""

PASTES = ("8-32", "1-1/4", "M 4 x 0,7", "spring\nand washer", "x" * 600, "PB3K7M2Q4", "\u202eegdirb", "")
"""What is pasted."""

SAMPLES = Path(__file__).parent.parent / "sample_sessions"

EACH = 1000
"""Strokes between two proofs."""


def held_in_memory() -> int:
    """Return the memory of this process in kB, as the system tells it now; its most where it does not."""
    try:
        pages = int(Path("/proc/self/statm").read_text("ascii").split()[1])
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return pages * resource.getpagesize() // 1024


class Clock:
    """A clock that goes on by twenty seconds each time it is read."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=20)
        return self.now


async def one_thousand(folder: Path, dice: random.Random, now: datetime, strokes: int) -> int:
    """Use the screen for so many strokes, opening it anew where it was left; return the number of the last change."""
    left = strokes
    while left > 0:
        steady = Clock(now)
        with Workshop.open(folder, clock=steady, codes=lambda taken: new_code(dice, taken)) as workshop:
            app = PutbackApp(workshop)
            async with app.run_test(size=dice.choice([(80, 24), (120, 36), (60, 17)])) as pilot:
                while left > 0 and app.is_running and not app._exit:
                    left -= 1
                    what = dice.random()
                    if what < 0.02:
                        await pilot.resize_terminal(dice.randint(40, 200), dice.randint(10, 60))
                    elif what < 0.05:
                        at = dice.randrange(app.size.width), dice.randrange(app.size.height)
                        await pilot.click(offset=at)
                    elif what < 0.06:
                        app.post_message(events.Paste(dice.choice(PASTES)))
                    else:
                        app.simulate_key(dice.choice(KEYS))
                    if left % 5 == 0:
                        await pilot.pause()
            number = workshop.store.number
            held = {table: workshop.record.documents(table) for table in TABLES}
        with Store.open(folder, at=now.isoformat(), who="soak") as store:
            kept = {table: dict(store.documents(table)) for table in TABLES}
        if held != kept:
            raise SystemExit("what the screen held is not what the files hold")
        now += timedelta(minutes=dice.choice([1, 30, 600]))
    return number


def filled(folder: Path, sample: Path, dice: random.Random, now: datetime) -> None:
    """Fill a workshop with one sample."""
    with Workshop.open(folder, clock=Clock(now), codes=lambda taken: new_code(dice, taken)) as workshop:
        workshop.play(read_session_file(sample.read_text("utf-8"), sample.name, now=now), lambda done: None)


def main() -> None:
    """Print a line each thousand."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keys", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    dice = random.Random(args.seed)
    now = datetime(2025, 7, 1, 9, tzinfo=UTC)
    with tempfile.TemporaryDirectory() as scratch:
        folders = [Path(scratch) / sample.stem for sample in sorted(SAMPLES.glob("*.toml"))]
        for folder in folders:
            filled(folder, SAMPLES / f"{folder.name}.toml", dice, now)
        print("| strokes | workshop | changes | memory, MB | `check` |\n|---|---|---|---|---|", flush=True)
        for done in range(EACH, args.keys + 1, EACH):
            folder = folders[done // EACH % len(folders)]
            number = asyncio.run(one_thousand(folder, dice, now, EACH))
            now += timedelta(days=1)
            gc.collect()
            found = check_workshop(folder, is_code)
            verdict = "clean" if found.ok else "; ".join(f"{one.where}: {one.what}" for one in found.findings)
            print(f"| {done:,} | {folder.name} | {number:,} | {held_in_memory() // 1024} | {verdict} |", flush=True)
            if not found.ok:
                raise SystemExit(1)


if __name__ == "__main__":
    main()
