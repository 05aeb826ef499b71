"""The screen against a bare Textual app, in one interleaved run, each in a pty of its own.

    python bench/screen.py [--runs N] [--rounds N] [--panels N] [--keep FOLDER]

Prints ratios: first usable screen, with the demo's workshop, with two of 50 machines and 20,000 changes (spread
evenly, or half of them on the machine on the bench) and with one machine of 10,000 steps; and from key to paint, the
commit to disk included. The bare app has one Input, and one Label that shows what was typed. A key's paint is the
first output after it that is more than a bell; the bare app paints its Label a frame later, which would flatter us and
is printed apart.
"""

from __future__ import annotations

import argparse
import os
import pty
import select
import struct
import sys
import tempfile
import termios
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from fcntl import ioctl
from pathlib import Path
from random import Random
from statistics import median, quantiles
from time import perf_counter

from msgspec.structs import replace

from putback.demo import lay_out_demo
from putback.scans.bag_code import new_code
from putback.trade import commands as c
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.workshop import Workshop

SAMPLES = Path(__file__).parent.parent / "sample_sessions"
SIZE = (24, 80)
QUIET = 0.02
"""Seconds without output after which a paint is over."""
BETWEEN = 0.03
"""Seconds from a paint to the next key."""
WALK = 20.0
"""Seconds of the walk-back, before the first key: meanwhile the lengths of a large machine are gathered."""
PATIENCE = 20.0
"""Seconds that a program may take for anything."""
BUSY = 5.0
"""Seconds within which a key has to paint something, on a machine that others use as well."""
MACHINES = 50
CHANGES = 20_000
STEPS = 10_000
PLATE_SCREW = {"gauge": "m4", "length": "12"}

BARE = """
from textual.app import App
from textual.widgets import Input, Label

class Bare(App):
    ENABLE_COMMAND_PALETTE = False
    def compose(self):
        yield Input()
        yield Label("what comes off next")
    def on_input_changed(self, event):
        self.query_one(Label).update(event.value)

Bare().run()
"""


class Terminal:
    """One program in a pty."""

    def __init__(self, argv: Sequence[str]) -> None:
        self.began = perf_counter()
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program has its bytecode
            os.environ["TERM"] = "xterm-256color"
            os.environ["COLORTERM"] = "truecolor"
            os.execv(argv[0], list(argv))
        ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", *SIZE, 0, 0))
        self.output = b""

    def read(self, patience: float) -> bool:
        """Take in what came within `patience` seconds; tell whether there was anything."""
        if not select.select([self.fd], [], [], patience)[0]:
            return False
        try:
            data = os.read(self.fd, 1 << 16)
        except OSError:
            return False
        self.output += data
        return bool(data)

    def wait_for(self, words: bytes) -> float:
        """Return the seconds from the start until `words` were painted."""
        while words not in self.output:
            if not self.read(PATIENCE):
                raise SystemExit(f"{words!r} never came; the program said {self.output[-2000:]!r}")
        return perf_counter() - self.began

    def rest(self, quiet: float) -> None:
        """Take in what is painted within `quiet` seconds, and what has come already."""
        while self.read(0.0):
            pass
        until = perf_counter() + quiet
        while (left := until - perf_counter()) > 0:
            self.read(left)

    def press(self, key: str) -> tuple[float, float] | None:
        """Press a key; return the seconds until its paint came, and until nothing more came. A bell is no paint."""
        since = perf_counter()
        start = len(self.output)
        os.write(self.fd, key.encode())
        first = last = 0.0
        while self.read(QUIET if first else BUSY):
            last = perf_counter() - since
            if not first and self.output[start:].strip(b"\a"):
                first = last
        return (first, last) if first else None

    def leave(self) -> None:
        """End the program."""
        os.kill(self.pid, 9)
        os.waitpid(self.pid, 0)
        os.close(self.fd)


def big_workshop(folder: Path, *, even: bool) -> None:
    """Fill a workshop with 50 machines and 20,000 changes, from the sample sessions and panels of 36 screws.

    The panels are spread over all machines if `even`, else they are all on the one that was worked on last.
    """
    now = datetime(2025, 6, 1, tzinfo=UTC)
    files = [
        rehearse(read_session_file(path.read_text(encoding="utf-8"), path.name, now=now)).file
        for path in sorted(SAMPLES.glob("*.toml"))
    ]
    rng = Random(5)
    at = now - timedelta(days=1)

    def clock() -> datetime:
        return at

    with Workshop.open(folder, clock=clock, codes=lambda taken: new_code(rng, taken)) as workshop:
        machines = []
        for number in range(MACHINES):
            file = files[number % len(files)]
            machine = replace(file.machine, name=f"{file.machine.name} {number + 1}")
            machines.append(workshop.record.next_id("machines"))
            for act in file.acts:
                workshop.do(machine if isinstance(act.command, c.NewMachine) else act.command, machines[-1], at=act.at)
        left = CHANGES - workshop.store.number
        for nth, id in enumerate(machines if even else machines[-1:]):
            so_far = left * (nth + 1) // MACHINES if even else left
            workshop.do(c.StartSession(), id)
            step = 0
            while workshop.store.number < CHANGES - left + so_far:
                step += 1
                panel(workshop, id, f"plate {step}", closed=step % 20 == 0)
            workshop.do(c.EndSession(), id)
        workshop.store.fold()


def long_workshop(folder: Path, steps: int = STEPS) -> None:
    """Fill a workshop with one machine of so many steps, two screws at each."""
    rng = Random(5)
    at = datetime(2025, 5, 31, tzinfo=UTC)
    with Workshop.open(folder, clock=lambda: at, codes=lambda taken: new_code(rng, taken)) as workshop:
        machine = workshop.record.next_id("machines")
        workshop.do(c.NewMachine(name="Long press", origin="metric"), machine)
        workshop.do(c.StartSession(), machine)
        for step in range(1, steps + 1):
            bag = workshop.record.highest_bag(machine)
            workshop.do(c.Begin(name=f"link {step}", face="front", bag=bag if step % 20 else 0), machine)
            workshop.do(c.Enter(hole="3", readings=PLATE_SCREW, head="pan", drive="slot"), machine)
            workshop.do(c.Enter(hole="7", like=True, head="pan", drive="slot"), machine)
            workshop.do(c.Finish(put="shelf"), machine)
            if step % 20 == 19:
                workshop.do(c.CloseBag(number=workshop.record.highest_bag(machine)), machine)
        workshop.do(c.EndSession(), machine)
        workshop.store.fold()


def panel(workshop: Workshop, machine_id: int, name: str, *, closed: bool) -> None:
    """Take off a plate with 36 screws; close the bag if `closed`."""
    workshop.do(c.Begin(name=name, face="front"), machine_id)
    for hole in [f"{place}{letter}" for letter in ("", "a", "b", "c") for place in range(1, 10)]:
        workshop.do(c.Enter(hole=hole, readings=PLATE_SCREW, head="pan", drive="slot"), machine_id)
    workshop.do(c.Finish(put="shelf"), machine_id)
    if closed:
        workshop.do(c.CloseBag(number=workshop.record.highest_bag(machine_id)), machine_id)


WHICH = b"Which machine?"
"""What the first screen asks where there are several machines."""


def starts(argv: Sequence[str], words: bytes) -> float:
    """Return how long a program takes to its first usable screen."""
    terminal = Terminal(argv)
    try:
        return terminal.wait_for(words)
    finally:
        terminal.leave()


LOOP = ("1", "8", "3", "2", "\r", "3", "7", "2", "\r", "+", "+", "+", "+", "+", "+", "+", "0")
"""A panel of eight equal screws; Enter, + and 0 are on disk before they are painted."""


def strokes(
    programs: Mapping[str, tuple[list[str], bytes]], keys: Mapping[str, Sequence[str]]
) -> dict[str, list[tuple[float, float]]]:
    """Return for each program the seconds from each key to the first and to the last of its paint.

    All are open at once and take turns key by key, so that what else the machine does hits all alike.
    """
    open_ones = {name: Terminal(argv) for name, (argv, _) in programs.items()}
    try:
        for name, terminal in open_ones.items():
            terminal.wait_for(programs[name][1])
        for terminal in open_ones.values():
            terminal.rest(WALK / len(open_ones))
        for name, terminal in open_ones.items():
            if programs[name][1] == WHICH:
                terminal.press("\r")
                terminal.rest(1.0)
            if name != "bare":
                terminal.press(".")
            terminal.rest(1.0)
        found: dict[str, list[tuple[float, float]]] = {name: [] for name in programs}
        for turn in range(min(map(len, keys.values()))):
            for name, terminal in open_ones.items():
                terminal.rest(0.0)  # what the clock painted since is not taken for the answer
                seconds = terminal.press(keys[name][turn])
                if seconds is None:
                    raise SystemExit(f"key {turn + 1} painted nothing in {name}")
                found[name].append(seconds)
                terminal.rest(BETWEEN)  # keys in one go wait for one another's frame, which no hand sees
        return found
    finally:
        for terminal in open_ones.values():
            terminal.leave()


def p95(found: Sequence[float]) -> float:
    """Return the 95th of a hundred."""
    return quantiles(found, n=20)[-1]


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--runs", type=int, default=12, help="starts of each program")
    options.add_argument("--rounds", type=int, default=4, help="times that each program is opened and typed at")
    options.add_argument("--panels", type=int, default=4, help="panels of eight screws that are typed each time")
    options.add_argument("--keep", type=Path, help="keep the big workshops in this folder, and use them where they are")
    args = options.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        bare = Path(scratch) / "bare.py"
        bare.write_text(BARE, encoding="utf-8")
        small = Path(scratch) / "small"
        lay_out_demo(small)
        kept = args.keep or Path(scratch)
        for name in ("even", "heap"):
            if not (kept / name).exists():
                big_workshop(kept / name, even=name == "even")
        if not (kept / "steps").exists():
            long_workshop(kept / "steps")
        python = sys.executable
        programs: dict[str, tuple[list[str], bytes]] = {
            "bare": ([python, str(bare)], b"what comes off next"),
            "demo": ([python, "-m", "putback", "--workshop", str(small)], WHICH),
            "even": ([python, "-m", "putback", "--workshop", str(kept / "even")], WHICH),
            "heap": ([python, "-m", "putback", "--workshop", str(kept / "heap")], WHICH),
            "steps": ([python, "-m", "putback", "--workshop", str(kept / "steps")], b"wrong"),
        }
        table: dict[str, list[float]] = {name: [] for name in programs}
        for argv, words in programs.values():
            starts(argv, words)  # once to warm the disk
        for _ in range(args.runs):
            for name, (argv, words) in programs.items():
                table[name].append(starts(argv, words))
        print("first usable screen")
        show(table, median)
        firsts: dict[str, list[float]] = {name: [] for name in programs}
        lasts: dict[str, list[float]] = {name: [] for name in programs}
        keys = {name: "1832372" * (3 * args.panels) if name == "bare" else LOOP * args.panels for name in programs}
        for _ in range(args.rounds):
            for name, found in strokes(programs, keys).items():
                firsts[name] += [first for first, _ in found]
                lasts[name] += [last for _, last in found]
        print(f"key to paint, p50, {len(firsts['bare'])} keys each")
        show(firsts, median)
        print("key to paint, p95")
        show(firsts, p95)
        print("key to the last of its paint, p50")
        show(lasts, median)


def show(table: dict[str, list[float]], of: Callable[[Sequence[float]], float]) -> None:
    """Print milliseconds and ratios."""
    base = of(table["bare"])
    for name, found in table.items():
        print(f"  {name:<6}{1000 * of(found):8.1f} ms   {of(found) / base:5.2f}x")


if __name__ == "__main__":
    main()
