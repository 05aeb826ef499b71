"""What one confirmed stroke and one opening cost: `python -m bench.store`.

Every figure is a ratio within one run, between candidates that take turns, so that the machine's mood falls
on all alike. The floor is the bare append and fdatasync of the very line the store writes.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import resource
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tinydb import TinyDB
from tinydb.middlewares import CachingMiddleware
from tinydb.storages import JSONStorage
from tinydb.table import Document as Stock

from bench.strokes import AT, WHO, Bench
from putback.store import Store
from putback.store.line import change_line
from putback.trade.record.change import Change

TABLES = ("thing", "move", "step", "bag")


# Candidates: each is filled with so many strokes and then timed stroke by stroke


class Floor:
    """Append one line and flush it, and nothing else."""

    def __init__(self, work: Path) -> None:
        """Open a file of its own."""
        self.file = os.open(work / "floor", os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def fill(self, changes: list[Change]) -> None:
        """Nothing: a file's length does not matter to an append."""

    def prepare(self, change: Change) -> Callable[[], object]:
        """The line is made beforehand; only the disk is timed."""
        line = change_line("7f3a91c2.1", 1, AT, WHO, change)[0]

        def stroke() -> None:
            os.write(self.file, line)
            os.fdatasync(self.file)

        return stroke

    def close(self) -> None:
        """Close the file."""
        os.close(self.file)


class Ours:
    """The store."""

    def __init__(self, work: Path) -> None:
        """Open a workshop."""
        self.store = Store.open(work / "ours", at=AT, who=WHO)

    def fill(self, changes: list[Change]) -> None:
        """Enter and fold."""
        self.store.commit_many((change, AT, WHO) for change in changes)
        self.store.fold()

    def prepare(self, change: Change) -> Callable[[], object]:
        """One commit."""
        return lambda: self.store.commit(change, at=AT, who=WHO)

    def close(self) -> None:
        """Close the workshop."""
        self.store.close()


class OursThroughTinyDB(Ours):
    """The store, written through TinyDB's own insert and update, in one stroke."""

    def __init__(self, work: Path) -> None:
        """Open a workshop of its own."""
        self.store = Store.open(work / "ours through TinyDB", at=AT, who=WHO)

    def prepare(self, change: Change) -> Callable[[], object]:
        """Four writes of TinyDB's, one line."""

        def stroke() -> None:
            with self.store.stroke(Change(did=change.did, said=change.said, edits=()), at=AT, who=WHO) as db:
                write(db, change)

        return stroke


class Sqlite:
    """sqlite3 in WAL mode with synchronous=FULL, one transaction a stroke, and a row for the logbook."""

    def __init__(self, work: Path) -> None:
        """Make the tables."""
        self.db = sqlite3.connect(work / "sqlite", isolation_level=None)
        self.db.execute("pragma journal_mode=wal")
        self.db.execute("pragma synchronous=full")
        for table in (*TABLES, "log"):
            self.db.execute(f"create table {table} (id integer primary key, doc text)")

    def _write(self, change: Change) -> None:
        self.db.execute("begin")
        for edit in change.edits:
            self.db.execute(f"insert or replace into {edit.table} values (?, ?)", (edit.id, json.dumps(edit.new)))
        self.db.execute("insert into log (doc) values (?)", (change.said,))
        self.db.execute("commit")

    def fill(self, changes: list[Change]) -> None:
        """Enter without waiting for the disk."""
        self.db.execute("pragma synchronous=off")
        for change in changes:
            self._write(change)
        self.db.execute("pragma wal_checkpoint(truncate)")
        self.db.execute("pragma synchronous=full")

    def prepare(self, change: Change) -> Callable[[], object]:
        """One transaction."""
        return lambda: self._write(change)

    def close(self) -> None:
        """Close the database."""
        self.db.close()


class StockTinyDB:
    """TinyDB as it comes: every write rewrites the file, four files a stroke."""

    def __init__(self, work: Path, name: str = "stock", **how: Any) -> None:
        """Open a file."""
        self.path = work / f"{name}.json"
        self.how = how
        self.db = TinyDB(self.path, **how)

    def fill(self, changes: list[Change]) -> None:
        """Write the finished file and open it: stroke by stroke it would take hours."""
        store = Store.in_memory()
        store.commit_many((change, AT, WHO) for change in changes)
        self.db.close()
        self.path.write_text(json.dumps(plain_tables(store)))
        self.db = TinyDB(self.path, **self.how)
        for table in TABLES:
            len(self.db.table(table))

    def prepare(self, change: Change) -> Callable[[], object]:
        """Four writes."""
        return lambda: write(self.db, change)

    def close(self) -> None:
        """Close the file."""
        self.db.close()


class CachingTinyDB(StockTinyDB):
    """TinyDB's caching middleware: in memory only, nothing on the disk until a thousand writes are together."""

    def __init__(self, work: Path) -> None:
        """Open a file."""
        super().__init__(work, "caching", storage=CachingMiddleware(JSONStorage))  # type: ignore[no-untyped-call]  # ships no types


def write(db: TinyDB, change: Change) -> None:
    """A change through TinyDB's own methods."""
    for edit in change.edits:
        table = db.table(edit.table)
        if edit.old is None:
            table.insert(Stock(edit.new or {}, edit.id))
        else:
            table.update(edit.new or {}, doc_ids=[edit.id])


def plain_tables(store: Store) -> dict[str, dict[str, Any]]:
    """All documents as TinyDB's own storage keeps them."""
    return {table: {str(n): d for n, d in store.documents(table).items()} for table in TABLES}


def strokes(documents: int) -> int:
    """How many strokes make so many documents."""
    return round(documents / 2.25)  # a thing and a move each, and a step and a bag for every eighth


def time_strokes(documents: int, rounds: int, slow: int) -> dict[str, float]:
    """Median seconds of a stroke for each candidate with so many documents, taking turns."""
    kinds = (Floor, Ours, OursThroughTinyDB, Sqlite, StockTinyDB, CachingTinyDB)
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        candidates = {kind.__name__: kind(work) for kind in kinds}
        bench = Bench(1)
        changes = [change for change, _, _ in bench.strokes(strokes(documents))]
        for candidate in candidates.values():
            candidate.fill(changes)
        times: dict[str, list[float]] = {kind: [] for kind in candidates}
        gc.collect()
        for round_ in range(rounds):
            change = bench.stroke()
            for kind, candidate in candidates.items():
                if "TinyDB" in kind and kind != "OursThroughTinyDB" and round_ >= slow:
                    continue
                stroke = candidate.prepare(change)
                begin = time.perf_counter()
                stroke()
                times[kind].append(time.perf_counter() - begin)
        for candidate in candidates.values():
            candidate.close()
    return {kind: statistics.median(values[1:]) for kind, values in times.items()}


def in_a_process(work: Callable[[], object]) -> tuple[float, float]:
    """Seconds and peak megabytes of a piece of work in a process of its own."""
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        begin = time.perf_counter()
        work()
        took = time.perf_counter() - begin
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        os.write(writing, json.dumps([took, peak]).encode())
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        found = json.loads(pipe.read())
    os.waitpid(process, 0)
    return found[0], found[1]


def time_opening(changes: int, rounds: int) -> Iterator[tuple[str, float, float]]:
    """What opening so many changes takes, as ratios to stock TinyDB's first read, and its peak megabytes."""
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        folder, plain = work / "w", work / "plain.json"

        def make() -> None:
            with Store.open(folder, at=AT, who=WHO) as store:
                store.commit_many(Bench(1).strokes(changes))
                plain.write_text(json.dumps(plain_tables(store)))

        def fold() -> None:
            with Store.open(folder, at=AT, who=WHO) as store:
                store.fold()

        def stock() -> None:
            TinyDB(plain).table("thing").get(doc_id=1)

        def ours() -> None:
            Store.open(folder, at=AT, who=WHO)

        in_a_process(make)
        for title in ("from the journal", "from the snapshot"):
            taken = [(in_a_process(stock), in_a_process(ours)) for _ in range(rounds)]
            ratio = statistics.median(mine[0] / theirs[0] for theirs, mine in taken)
            seconds = statistics.median(mine[0] for _, mine in taken)
            yield f"opening {changes:,} changes {title}: {seconds:.2f} s", ratio, max(mine[1] for _, mine in taken)
            if title == "from the journal":
                took, peak = in_a_process(fold)
                yield f"opening and folding them: {took:.2f} s", took / seconds, peak


def main() -> None:
    """Print the figures for bench/README.md."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="*", default=[100, 5_000, 10_000, 20_000, 100_000])
    parser.add_argument("--rounds", type=int, default=400)
    parser.add_argument("--opening", type=int, default=100_000)
    chosen = parser.parse_args()
    # first, while this process is small: a forked one inherits its size
    for title, ratio, peak in time_opening(chosen.opening, 5):
        print(f"{title}, ratio {ratio:.2f}, peak {peak:.0f} MB")
    print(f"Python {sys.version.split()[0]}, {os.cpu_count()} cores; one stroke over four tables, times the floor")
    ours_to_floor = {}
    for size in chosen.sizes:
        took = time_strokes(size, chosen.rounds, slow=6 if size > 20_000 else 25)
        floor = took["Floor"]
        ours_to_floor[size] = took["Ours"] / floor
        text = ", ".join(f"{kind} {value / floor:.2f}" for kind, value in took.items() if kind != "Floor")
        print(f"{size:>7,} documents: floor {floor * 1e6:.0f} µs; {text}")
        sys.stdout.flush()
    if ours_to_floor:
        spread = max(ours_to_floor.values()) / min(ours_to_floor.values())
        print(f"ours, dearest size to cheapest: {spread:.2f}")


if __name__ == "__main__":
    main()
