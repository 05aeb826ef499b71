"""The jobs page of 50 machines and 10,000 steps beside the demo's: `python -m bench.jobs [--keys N] [--keep FOLDER]`.

Both are open at once, each in a pty of its own, and take turns key by key, so that what else the machine does hits both
alike. Told is the time from key to paint: of `J`, which opens the page; of `*`, which turns it; and of the pad's bench
keys before, for scale. The large workshop has the sample sessions on 50 machines, with links added up to 10,000 steps
and a job at each twentieth.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from statistics import median

from msgspec.structs import replace

from bench.screen import BETWEEN, SAMPLES, WALK, WHICH, Terminal
from putback.demo import lay_out_demo
from putback.scans.bag_code import new_code
from putback.trade import commands as c
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.job import Job
from putback.trade.record.step import Step
from putback.workshop import Workshop

MACHINES = 50
STEPS = 10_000
A_JOB = 20
"""Steps from one job to the next."""

SIZES = ({"gauge": "m4", "length": "12"}, {"gauge": "m5", "length": "20"})


def many_steps(folder: Path, steps: int = STEPS) -> None:
    """Fill a workshop with 50 machines and so many steps in all."""
    now = datetime(2025, 6, 1, tzinfo=UTC)
    files = [
        rehearse(read_session_file(path.read_text(encoding="utf-8"), path.name, now=now)).file
        for path in sorted(SAMPLES.glob("*.toml"))
    ]
    rng = Random(7)
    with Workshop.open(folder, clock=lambda: now, codes=lambda taken: new_code(rng, taken)) as workshop:
        for number in range(MACHINES):
            file = files[number % len(files)]
            machine = replace(file.machine, name=f"{file.machine.name} {number + 1}")
            id = workshop.record.next_id("machines")
            for act in file.acts:
                workshop.do(machine if isinstance(act.command, c.NewMachine) else act.command, id, at=act.at)
            workshop.do(c.StartSession(), id)
            for link in range(steps // MACHINES - workshop.record.count(Step, id)):
                bag = workshop.record.highest_bag(id)
                workshop.do(c.Begin(name=f"link {link}", face="front", bag=bag if link % 20 else 0), id)
                workshop.do(c.Enter(hole="3", readings=SIZES[link % 2], head="pan", drive="slot"), id)
                if link % A_JOB == 0:
                    job = Job(do="do", what=f"file the burr off link {link}", when="no hurry", takes="a few minutes")
                    workshop.do(c.Annotate(todo=(job,)), id)
                workshop.do(c.Finish(put="shelf"), id)
            workshop.do(c.EndSession(), id)
        workshop.store.fold()


def measured(programs: dict[str, list[str]], turns: int) -> dict[str, dict[str, list[float]]]:
    """Return for each program, by key, the seconds from the key to its paint."""
    open_ones = {name: Terminal(argv) for name, argv in programs.items()}
    found: dict[str, dict[str, list[float]]] = {name: {} for name in programs}
    try:
        for terminal in open_ones.values():
            terminal.wait_for(WHICH)
        for terminal in open_ones.values():
            terminal.rest(WALK)
            terminal.press("\r")
            terminal.rest(1.0)
            terminal.press(".")
            terminal.rest(WALK)
        for key in ("j", *"*" * turns):
            for name, terminal in open_ones.items():
                terminal.rest(0.0)
                seconds = terminal.press(key)
                if seconds is None:
                    raise SystemExit(f"{key} painted nothing in {name}")
                found[name].setdefault(key, []).append(seconds[0])
                terminal.rest(BETWEEN)
        return found
    finally:
        for terminal in open_ones.values():
            terminal.leave()


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--keys", type=int, default=40, help="times that the page is turned")
    options.add_argument("--keep", type=Path, help="keep the large workshop in this folder, and use it where it is")
    args = options.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        small, kept = Path(scratch) / "small", args.keep or Path(scratch) / "large"
        lay_out_demo(small)
        if not kept.exists():
            many_steps(kept)
        argv = [sys.executable, "-m", "putback", "--workshop"]
        found = measured({"demo": [*argv, str(small)], "large": [*argv, str(kept)]}, args.keys)
        for key, mine in found["large"].items():
            base = median(found["demo"][key])
            large = median(mine)
            print(f"  {key}  demo {1000 * base:6.1f} ms   large {1000 * large:6.1f} ms   {large / base:.2f}x")


if __name__ == "__main__":
    main()
