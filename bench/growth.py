"""What grows with a machine: `python -m bench.growth`.

One machine of 100, 1,000 and 10,000 steps, two screws at each, and beside it a workshop of 50 machines and 20,000
changes. Each command runs in a process of its own; what is told is its processor time, the same divided by that at
1,000 steps, and the most memory it held (never less than this bench's own, from which it is begun). `--sizes 100 1000`
leaves the longest out; `--only summary` runs one command.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from bench.screen import big_workshop, long_workshop

COMMANDS: dict[str, tuple[str, ...]] = {
    "summary": ("summary",),
    "refit": ("refit",),
    "refit, fewest bags": ("refit", "--order", "fewest-bags"),
    "todo": ("todo",),
    "book, HTML": ("book", "--out", "OUT/book.html"),
    "book, PDF": ("book", "--out", "OUT/book.pdf"),
    "last page": ("book", "--last-page"),
    "labels": ("labels", "--out", "OUT"),
    "check": ("check",),
    "export": ("export",),
}
"""What is run, by what it is called here; OUT is a folder to write to."""

BASE = 1000
"""Steps of the machine that the others are divided by."""

Cost = tuple[float, int]
"""Processor seconds, and the most memory in MB."""


def cost(workshop: Path, words: tuple[str, ...], out: Path) -> Cost:
    """Run one command over a workshop, and return what it cost. Raises RuntimeError where it failed."""
    argv = [sys.executable, "-m", "putback", "--workshop", str(workshop)]
    argv += [word.replace("OUT", str(out)) for word in words]
    with (out / "told").open("wb") as told:
        child = subprocess.Popen(argv, stdout=told, stderr=subprocess.PIPE)
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        faults = child.stderr.read().decode() if child.stderr is not None else ""
        if child.stderr is not None:
            child.stderr.close()
    if child.returncode not in (0, 1):
        raise RuntimeError(f"{' '.join(words)}: {faults}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss // 1024


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[100, BASE, 10_000], metavar="STEPS")
    parser.add_argument("--only", choices=tuple(COMMANDS), metavar="NAME")
    parser.add_argument("--many", action="store_true", help="the workshop of 50 machines beside them")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as work:
        shops: dict[str, Path] = {}
        for size in args.sizes:
            shops[f"{size:,}"] = Path(work) / str(size)
            long_workshop(shops[f"{size:,}"], size)
        if args.many:
            shops["50 machines"] = Path(work) / "many"
            big_workshop(shops["50 machines"], even=True)
        out = Path(work) / "out"
        out.mkdir()
        print("| | " + " | ".join(shops) + " |", "|---" * (len(shops) + 1) + "|", sep="\n")
        for name, words in COMMANDS.items():
            if args.only in (None, name):
                found = {shop: cost(folder, words, out) for shop, folder in shops.items()}
                base = found.get(f"{BASE:,}", next(iter(found.values())))[0]
                cells = (f"{cpu:.2f} s, {cpu / base:.1f}x, {memory} MB" for cpu, memory in found.values())
                print(f"| {name} | " + " | ".join(cells) + " |", flush=True)


if __name__ == "__main__":
    main()
