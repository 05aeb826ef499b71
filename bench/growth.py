"""What grows with a machine: `python -m bench.growth`.

One machine of 100, 1,000 and 10,000 steps, two screws at each, and with `--many` beside it a workshop of 50 machines
and 20,000 changes. Each command runs in a process of its own; what is told is its processor time, the same divided by
that at 1,000 steps, and the most memory it held, which is never less than this bench's own. `--sizes 100 1000` leaves
the longest out; `--only summary` runs one command; `--keep FOLDER` keeps the workshops, and uses them where they are.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

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
    "backup": ("backup", "OUT/copy"),
    "import": ("import", "OUT/export.json", "--workshop", "OUT/other"),
    "replay": ("replay", "OUT/session.toml", "--workshop", "OUT/played"),
}
"""What is run, by what it is called here; OUT is a folder to write to."""

BEFORE: dict[str, tuple[str, ...]] = {
    "import": ("export", "--out", "OUT/export.json"),
    "replay": ("export", "--session-file", "OUT/session.toml"),
}
"""What has to be run before one of them, and is not timed."""

BASE = 1000
"""Steps of the machine that the others are divided by."""

MAKE = "import sys; from pathlib import Path; from bench import screen; at = Path(sys.argv[1]); "
LONG = MAKE + "screen.long_workshop(at, int(sys.argv[2]))"
MANY = MAKE + "screen.big_workshop(at, even=True)"
"""Programs that make the workshops: in processes of their own, so that this one stays small."""

Cost = tuple[float, int]
"""Processor seconds, and the most memory in MB."""


def cost(workshop: Path, words: Sequence[str], out: Path) -> Cost:
    """Run one command over a workshop, and return what it cost. Raises RuntimeError where it failed."""
    argv = [sys.executable, "-m", "putback", "--workshop", str(workshop)]
    argv += [word.replace("OUT", str(out)) for word in words]
    with (out / "told").open("wb") as told, (out / "faults").open("wb") as faults:
        child = subprocess.Popen(argv, stdout=told, stderr=faults)
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in (0, 1):
        raise RuntimeError(f"{' '.join(words)}: {(out / 'faults').read_text()}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss // 1024


def workshops(folder: Path, sizes: Sequence[int], *, many: bool) -> dict[str, Path]:
    """Return the workshops by what they are called, each made where it is not there yet."""
    found = {f"{size:,}": folder / str(size) for size in sizes}
    for size, at in zip(sizes, found.values(), strict=True):
        if not at.exists():
            subprocess.run([sys.executable, "-c", LONG, str(at), str(size)], check=True)
    if many:
        found["50 machines"] = folder / "many"
        if not found["50 machines"].exists():
            subprocess.run([sys.executable, "-c", MANY, str(found["50 machines"])], check=True)
    return found


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[100, BASE, 10_000], metavar="STEPS")
    parser.add_argument("--only", choices=tuple(COMMANDS), nargs="+", metavar="NAME")
    parser.add_argument("--many", action="store_true", help="the workshop of 50 machines beside them")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="keep the workshops there")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as work:
        shops = workshops(args.keep or Path(work), args.sizes, many=args.many)
        print("| | " + " | ".join(shops) + " |", "|---" * (len(shops) + 1) + "|", sep="\n")
        snapshots = (f"{(folder / 'workshop.json').stat().st_size / 1e6:.1f} MB" for folder in shops.values())
        print("| workshop.json | " + " | ".join(snapshots) + " |", flush=True)
        for name, words in COMMANDS.items():
            if args.only and name not in args.only:
                continue
            found: dict[str, Cost] = {}
            for shop, folder in shops.items():
                out = Path(work) / "out"
                out.mkdir()
                if name in BEFORE:
                    cost(folder, BEFORE[name], out)
                found[shop] = cost(folder, words, out)
                shutil.rmtree(out)
            base = found.get(f"{BASE:,}", next(iter(found.values())))[0]
            cells = (f"{cpu:.2f} s, {cpu / base:.1f}x, {memory} MB" for cpu, memory in found.values())
            print(f"| {name} | " + " | ".join(cells) + " |", flush=True)


if __name__ == "__main__":
    main()
