"""Prove by faults that the store loses nothing it confirmed: `python -m bench.faults`.

Kills, power cuts, damaged bytes and full disks, each tried at many moments, each counted. The tests run
small helpings of the same functions.
"""

from __future__ import annotations

import argparse
import errno
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from bench.apart import join_prefixes
from bench.backups import back_up_between, write_between
from bench.kills import kill_backups, kill_joins
from bench.power import cut_power
from bench.proving import State, Watched, expected_states, need, small_workshop, state_of
from bench.strokes import AT, WHO, Bench
from putback.errors import DiskTrouble, StoreError
from putback.store import Store, check_folder, mend
from putback.trade.record.change import Change

# Kills


def kill_often(folder: Path, moments: int, *, seed: int = 1, restart: int = 400) -> dict[str, int]:
    """Kill a writer `moments` times with SIGKILL at random moments of its work; it folds now and then.

    After each kill the folder must hold every change whose number had come through the pipe, no more than
    one beyond, `check_folder` must be clean, and the next writer goes on from there.
    """
    rng = random.Random(seed)
    changes = [change for change, _, _ in Bench(seed).strokes(restart + 300)]
    states = expected_states(changes)
    counts = {"kills": 0, "confirmed": 0, "beyond": 0, "torn": 0, "folds": 0}
    number = 0
    for _ in range(moments):
        confirmed = max(number, _killed_writer(folder, changes, rng))
        counts["kills"] += 1
        with Store.open(folder, at=AT, who=WHO) as store:
            need(store.writable, f"not writable after a kill: {store.notes}")
            need(store.number >= confirmed, f"{confirmed} was confirmed, {store.number} is there")
            need(state_of(store) == states[store.number], f"documents differ at {store.number}")
            counts["beyond"] += store.number > confirmed
            counts["torn"] += any("cut short" in note for note in store.notes)
            number = store.number
        found = check_folder(folder)
        need(not found, f"check after a kill: {found}")
        if number >= restart:
            counts["confirmed"] += number
            counts["folds"] += len(list((folder / "history").glob("*.journal")))
            shutil.rmtree(folder)
            number = 0
    counts["confirmed"] += number
    return counts


def _killed_writer(folder: Path, changes: list[Change], rng: random.Random) -> int:
    """Fork a writer, kill it at a random moment, opening included; give the last number it confirmed."""
    reading, writing = os.pipe()
    moment = rng.uniform(0, 0.02)
    process = os.fork()
    if process == 0:
        os.close(reading)
        with Store.open(folder, at=AT, who=WHO) as store:
            os.write(writing, b"%d\n" % store.number)
            while store.number < len(changes):
                number = store.commit(changes[store.number], at=AT, who=WHO)
                os.write(writing, b"%d\n" % number)
                if number % 7 == 0:
                    store.fold()
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        first = pipe.readline() if rng.random() < 0.7 else b""
        end = time.perf_counter() + moment
        while time.perf_counter() < end:
            pass
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        found = (first + pipe.read()).splitlines(keepends=True)
    return int(found[-1]) if found else 0


# Damaged bytes


def flip_bytes(work: Path, *, every: int = 1, seed: int = 3) -> dict[str, int]:
    """Change one byte after the other in journal, snapshot and history.

    Each time the change must be found by `check_folder` with its place; opening must refuse with a
    sentence or show a state that really was, to read only; and mending must give back everything.
    """
    rng = random.Random(seed)
    root = work / "whole"
    states = small_workshop(root)
    counts = {"flips": 0, "refused": 0, "read only": 0, "unseen by opening": 0, "mended whole": 0}
    names = ["workshop.journal", "workshop.json", "history/000001.journal", "history/000002.journal"]
    names.append("history/000002.json")
    for name in names:
        path = root / name
        whole = path.read_bytes()
        for place in range(rng.randrange(every), len(whole), every):
            damaged = bytearray(whole)
            damaged[place] ^= rng.randrange(1, 256)
            path.write_bytes(damaged)
            _prove_flip(root, work / "mended", name, states, counts)
            counts["flips"] += 1
        path.write_bytes(whole)
    need(not check_folder(root), "the workshop is whole again")
    return counts


def _prove_flip(root: Path, mended: Path, name: str, states: list[State], counts: dict[str, int]) -> None:
    file = name.rpartition("/")[2]
    try:
        with Store.open(root, at=AT, who=WHO) as store:
            need(state_of(store) == states[store.number], f"{name}: a state that never was")
            if "history" in name:
                counts["unseen by opening"] += 1
            else:
                need(not store.writable, f"{name}: open to write")
                need(file in store.notes[-1], f"{name}: {store.notes}")
                counts["read only"] += 1
    except StoreError as error:
        need(file in str(error), f"{name}: {error}")
        counts["refused"] += 1
    try:
        found = check_folder(root)
        need(any(file in finding.where or file in finding.what for finding in found), f"{name}: {found}")
    except StoreError as error:
        need(file in str(error), f"{name}: {error}")
    report = mend(root, mended, at=AT, who=WHO)
    need(not report.lost, f"{name}: lost {report.lost}")
    with Store.open(mended, at=AT, who=WHO) as store:
        need(state_of(store) == states[-1], f"{name}: mended to something else")
    need(not check_folder(mended), f"{name}: the mended workshop is not clean")
    counts["mended whole"] += 1
    shutil.rmtree(mended)


# Full disks


class Failing(Watched):
    """A disk that refuses its action number `at`, writing half first where that was a write.

    Cutting, closing and removing are let through.
    """

    def __init__(self, at: int, error: int) -> None:
        """Count actions from 0."""
        self.left = at
        self.error = error
        self.failed = ""

    def before(self, what: str) -> None:
        if what in ("cut", "close", "remove"):
            return
        self.left -= 1
        if self.left == -1:
            self.failed = what
            raise OSError(self.error, os.strerror(self.error))

    def write(self, file: int, data: bytes) -> None:
        if self.left == 0:
            os.write(file, data[: len(data) // 2])
        super().write(file, data)


def fill_disk(work: Path, *, strokes: int = 8, error: int = errno.ENOSPC) -> dict[str, int]:
    """Refuse each of the store's disk actions in turn, once. The person tries again and goes on.

    After a refused flush nothing is known of the disk, so the store must be opened again; after any other
    refusal it works on as it is.
    """
    changes = [change for change, _, _ in Bench(4, per_step=3).strokes(strokes)]
    states = expected_states(changes)
    counts = {"refusals": 0, "reopened": 0}
    at = 0
    while True:
        folder = work / "full"
        disk = Failing(at, error)
        _live(folder, changes, disk, counts)
        with Store.open(folder, at=AT, who=WHO) as store:
            need(store.writable and store.number == strokes, f"after a failed {disk.failed}: {store.notes}")
            need(state_of(store) == states[-1], f"after a failed {disk.failed}: documents differ")
        found = check_folder(folder)
        need(not found, f"after a failed {disk.failed}: {found}")
        shutil.rmtree(folder)
        if not disk.failed:
            return counts
        counts["refusals"] += 1
        at += 1


def _live(folder: Path, changes: list[Change], disk: Failing, counts: dict[str, int]) -> None:
    """Enter all changes, with folds, trying again after every refusal."""
    store: Store | None = None
    number = tries = 0
    while number < len(changes):
        tries += 1
        need(tries < 5 * len(changes), f"stuck after a failed {disk.failed}")
        try:
            if store is None:
                store = Store.open(folder, at=AT, who=WHO, disk=disk)
                if not store.writable:
                    store = None
                    continue
            before = state_of(store)
            if store.number % 3 == 2:
                store.fold()
            number = store.commit(changes[store.number], at=AT, who=WHO)
        except DiskTrouble as trouble:
            need(str(trouble).endswith("."), f"not a sentence: {trouble}")
            if store is None:
                continue
            need(state_of(store) == before, "a refused change left a trace")
            if disk.failed in ("flush", "flush folder"):
                counts["reopened"] += 1
                store.close()
                store = None
    if store is not None:
        store.close()


def limit_file_size(folder: Path, *, kilobytes: int = 8) -> dict[str, int]:
    """Let the system refuse writes for real, past a file size limit, and go on when it is lifted."""
    changes = [change for change, _, _ in Bench(5).strokes(40)]
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    old = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    refused = 0
    try:
        with Store.open(folder, at=AT, who=WHO) as store:
            resource.setrlimit(resource.RLIMIT_FSIZE, (kilobytes * 1024, before[1]))
            for change in changes:
                try:
                    store.commit(change, at=AT, who=WHO)
                except DiskTrouble as trouble:
                    need("largest size" in str(trouble), str(trouble))
                    refused += 1
                    break
            need(refused == 1, "the limit was never met")
            written = store.number
            resource.setrlimit(resource.RLIMIT_FSIZE, before)
            while store.number < len(changes):
                store.commit(changes[store.number], at=AT, who=WHO)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, old)
    need(not check_folder(folder), "check after the limit was lifted")
    return {"written before the limit": written, "written in all": len(changes)}


def main() -> None:
    """Run every proof and print its counts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--every", type=int, default=1, help="try every so-manyth byte")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        proofs: list[tuple[str, Callable[[], dict[str, int]]]] = [
            ("kill -9", lambda: kill_often(work / "killed", chosen.kills)),
            ("power cut", lambda: cut_power(work, tears=5000, shuffles=40)),
            ("one byte", lambda: flip_bytes(work, every=chosen.every)),
            ("disk full", lambda: fill_disk(work)),
            ("disk fault", lambda: fill_disk(work, error=errno.EIO)),
            ("backup between two writes", lambda: back_up_between(work)),
            ("writes during a backup", lambda: write_between(work)),
            ("kill -9 of a backup", lambda: kill_backups(work / "backups")),
            ("kill -9 of a join", lambda: kill_joins(work / "joins")),
            ("join at two moments", lambda: join_prefixes(work / "pairs")),
            ("file size limit", lambda: limit_file_size(work / "limited")),
        ]
        for title, proof in proofs:
            start = time.perf_counter()
            counts = proof()
            text = ", ".join(f"{what} {count}" for what, count in counts.items())
            print(f"{title}: {text} ({time.perf_counter() - start:.0f} s)")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
