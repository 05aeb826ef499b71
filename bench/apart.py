"""Two workshops that grew apart, and the proof that they are one again at every pair of moments."""

from __future__ import annotations

import shutil
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

from bench.proving import need
from bench.strokes import AT, WHO
from putback.opening import local_now
from putback.reports.check import check_workshop
from putback.reports.export import export_json
from putback.scans.bag_code import is_code, new_code
from putback.store import Store
from putback.store.apart import join_folders
from putback.store.backup import back_up
from putback.trade import commands as c
from putback.trade.files.importing import POINTS_TO
from putback.trade.record.change import Change
from putback.trade.record.record import Record
from putback.workshop import Workshop

PRESS, RECORDER = 1, 2
"""The machines: the first record goes on with one of them, the second with the other."""


def at_bench(folder: Path, seed: int) -> Workshop:
    """Open a workshop for a person of its own, with bag codes of its own."""
    rng = Random(seed)
    return Workshop.open(folder, clock=local_now, codes=lambda taken: new_code(rng, taken), who=f"person {seed}")


def part_off(workshop: Workshop, machine: int, name: str) -> None:
    """Take a part off with two screws, in a session of its own and a bag of its own."""
    workshop.do(c.StartSession(), machine)
    workshop.do(c.Begin(name=name, face="top"), machine)
    workshop.do(c.TakeBag(), machine)
    for hole in "13":
        workshop.do(c.Enter(hole=hole, readings={"gauge": "832"}, head="fillister", drive="slot"), machine)
    workshop.do(c.Finish(put="shelf"), machine)
    workshop.do(c.EndSession(), machine)


def grown_apart(work: Path) -> tuple[Path, Path, Path]:
    """Make two workshops of one beginning; return that, and the two."""
    base, one, other = work / "base", work / "one", work / "other"
    with at_bench(one, 1) as workshop:
        for name in ("press", "recorder"):
            workshop.do(c.NewMachine(name=name, serial="41", origin="us"))
        part_off(workshop, PRESS, "lid")
        part_off(workshop, RECORDER, "hood")
    back_up(one, base)
    back_up(one, other)
    for folder, seed, machine, name in ((one, 2, PRESS, "lever"), (other, 3, RECORDER, "drum")):
        with at_bench(folder, seed) as workshop:
            part_off(workshop, machine, name)
            workshop.do(c.MendMachine(mass=f"{seed} kg"), machine)
    return base, one, other


def join_prefixes(work: Path, *, every: int = 1) -> dict[str, int]:
    """Join the two at every so-manyth pair of moments since they parted; each must be clean, and hold both."""
    work.mkdir(parents=True, exist_ok=True)
    base, one, other = grown_apart(work)
    common = _last(base)
    mine, theirs = _since(one, common), _since(other, common)
    counts = {"pairs": 0, "changes joined": 0}
    numbers = count()
    for first in range(len(mine) + 1):
        for second in range(1, len(theirs) + 1):
            if next(numbers) % every:
                continue
            left = _grown(work / "left", base, mine[:first])
            right = _grown(work / "right", base, theirs[:second])
            into = work / "joined"
            join(left, right, into)
            found = check_workshop(into, is_code)
            need(found.ok, f"{first} and {second}: {found.findings}")
            need(found.changes == common + first + second, f"{first} and {second}: {found.changes} changes")
            for machine, source in ((PRESS, left), (RECORDER, right)):
                need(_told(into, machine) == _told(source, machine), f"{first} and {second}: machine {machine}")
            counts["pairs"] += 1
            counts["changes joined"] += second
            for folder in (left, right, into):
                shutil.rmtree(folder)
    return counts


def join(one: Path, other: Path, into: Path) -> None:
    """Make one workshop of two."""

    def wrong(folder: Path) -> str:
        return "; ".join(found.what for found in check_workshop(folder, is_code).findings)

    rng = Random(9)
    join_folders(one, other, into, codes=lambda taken: new_code(rng, taken), prove=wrong, at=AT, who=WHO)


def _last(folder: Path) -> int:
    with Store.open(folder, at=AT, who=WHO, read_only=True) as store:
        return store.number


def _since(folder: Path, common: int) -> list[tuple[Change, str, str]]:
    with Store.open(folder, at=AT, who=WHO, read_only=True) as store:
        return [(entry.change, entry.at, entry.who) for entry in store.entries() if entry.number > common]


def _grown(into: Path, base: Path, changes: list[tuple[Change, str, str]]) -> Path:
    """A copy of what both began with, so many changes further."""
    back_up(base, into)
    with Store.open(into, at=AT, who=WHO) as store:
        store.commit_many(changes)
    return into


def _told(folder: Path, machine: int) -> dict[str, Any]:
    """All of one machine, without the numbers that documents have in a workshop."""
    with Store.open(folder, at=AT, who=WHO, read_only=True) as store:
        told = export_json(Record(store.rows), changes=0, machine=machine)
    return {
        table: [{name: value for name, value in row.items() if name not in ("id", *POINTS_TO[table])} for row in rows]
        for table, rows in told.items()
        if table in POINTS_TO
    }
