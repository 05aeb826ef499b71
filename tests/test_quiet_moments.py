"""The journal is folded at opening, at the end of a session and at closing, and never between two keystrokes."""

from __future__ import annotations

import errno
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from putback.errors import StoreError
from putback.reports.check import check_workshop
from putback.scans.bag_code import is_code, new_code
from putback.store import Store
from putback.store.disk import Disk
from putback.store.store import FOLD_AT
from putback.trade import commands as c
from putback.trade.record.change import Document
from putback.trade.record.record import TABLES
from putback.workshop import Workshop

Opener = Callable[..., Workshop]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "bench"


@pytest.fixture
def open_bench(folder: Path) -> Opener:
    now = datetime(2025, 3, 1, 10, 0, tzinfo=UTC)
    rng = Random(1)

    def clock() -> datetime:
        nonlocal now
        now += timedelta(seconds=1)
        return now

    def opened(read_only: bool = False) -> Workshop:
        return Workshop.open(
            folder, clock=clock, codes=lambda taken: new_code(rng, taken), who="Ann", read_only=read_only
        )

    return opened


def folds(folder: Path) -> int:
    return len(list((folder / "history").glob("*.journal")))


def documents(workshop: Workshop) -> dict[str, dict[int, Document]]:
    return {table: dict(workshop.record.documents(table)) for table in TABLES}


def strokes(workshop: Workshop, count: int) -> None:
    """Notes on a step, as many as wanted."""
    for number in range(count):
        workshop.do(c.Annotate(step=1, note=f"note {workshop.store.number} {number}"), 1)


def lay_out(workshop: Workshop) -> None:
    workshop.do(c.NewMachine(name="press"))
    workshop.do(c.StartSession(), 1)
    workshop.do(c.Begin(name="lid"), 1)
    workshop.do(c.Finish(put="shelf"), 1)


def test_never_between_two_keystrokes(open_bench: Opener, folder: Path) -> None:
    with open_bench() as workshop:
        lay_out(workshop)
        strokes(workshop, FOLD_AT + 20)
        workshop.take_back(1)
        workshop.do(c.Pause(), 1)
        workshop.do(c.Resume(), 1)
        assert folds(folder) == 0 and workshop.store.should_fold()


def test_at_the_end_of_a_session_at_closing_and_at_opening(open_bench: Opener, folder: Path) -> None:
    with open_bench() as workshop:
        lay_out(workshop)
        strokes(workshop, FOLD_AT)
        workshop.do(c.EndSession(), 1)
        assert folds(folder) == 1 and not workshop.store.should_fold()
        workshop.do(c.StartSession(), 1)
        workshop.do(c.EndSession(), 1)
        assert folds(folder) == 1, "a short journal is not worth it"
        strokes(workshop, FOLD_AT)
    assert folds(folder) == 2, "at closing"
    with open_bench() as workshop:
        strokes(workshop, FOLD_AT)
        workshop.store.close()  # as a process that was killed leaves it
    assert folds(folder) == 2
    with open_bench(read_only=True):
        assert folds(folder) == 2, "a copy that only reads writes nothing"
    with open_bench() as workshop:
        assert folds(folder) == 3, "at opening"
        assert workshop.store.number == 4 + 3 * FOLD_AT + 3
    assert check_workshop(folder, is_code).ok


def test_each_fold_keeps_the_snapshot_before_it(open_bench: Opener, folder: Path) -> None:
    before: list[bytes] = []
    for round_ in range(3):
        with open_bench() as workshop:
            if not round_:
                lay_out(workshop)
            strokes(workshop, FOLD_AT)
            before.append((folder / "workshop.json").read_bytes())
        kept = sorted((folder / "history").glob("*.json"))
        assert [path.read_bytes() for path in kept] == [before[-1]], "the one before, and no older one"
    assert len(list((folder / "history").glob("*.journal"))) == 3, "and every journal"


def test_everything_is_taken_back_across_folds(open_bench: Opener, folder: Path) -> None:
    with open_bench() as workshop:
        lay_out(workshop)
        stages = [documents(workshop)]
    for _ in range(3):
        with open_bench() as workshop:
            for _ in range(40):
                strokes(workshop, 1)
                stages.append(documents(workshop))
            workshop.store.fold()
            strokes(workshop, 1)
            stages.append(documents(workshop))
    assert folds(folder) == 3
    with open_bench() as workshop:
        while len(stages) > 1:
            assert documents(workshop) == stages.pop()
            workshop.take_back(1)
            if len(stages) % 50 == 0:
                workshop.store.fold()
        assert documents(workshop) == stages[0] and folds(folder) > 4
    with open_bench() as workshop:
        last = workshop.last_done(1)
        assert last is not None and last.change.did == "Finish", "across restarts too"
    assert check_workshop(folder, is_code).ok


class Full(Disk):
    """A disk that takes no new file once it is full."""

    full = False

    def create(self, path: Path) -> int:
        if self.full:
            raise OSError(errno.ENOSPC, "No space left on device")
        return super().create(path)


def test_a_disk_without_room_for_a_fold_stops_nobody(folder: Path) -> None:
    disk = Full()
    store = Store.open(folder, at="2025-03-01T10:00:00+00:00", who="Ann", disk=disk)
    workshop = Workshop(store, clock=lambda: datetime(2025, 3, 1, tzinfo=UTC), codes=lambda taken: "PB0000017")
    lay_out(workshop)
    strokes(workshop, FOLD_AT)
    disk.full = True
    done = workshop.do(c.EndSession(), 1)
    assert done.said == "session 1 ends" and folds(folder) == 0
    strokes(workshop, 1)
    number = workshop.store.number
    workshop.close()
    assert folds(folder) == 0
    with pytest.raises(StoreError):
        strokes(workshop, 1)
    assert check_workshop(folder, is_code).changes == number


def test_a_fault_of_our_own_folds_nothing(open_bench: Opener, folder: Path) -> None:
    with pytest.raises(ZeroDivisionError), open_bench() as workshop:
        lay_out(workshop)
        strokes(workshop, FOLD_AT)
        raise ZeroDivisionError
    assert folds(folder) == 0 and "closed" in (folder / "workshop.lock").read_text()
