"""The disk fills up, goes, or may not be written while a panel comes off: one sentence, and nothing is lost."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from random import Random

import pytest

from putback.demo import lay_out_demo
from putback.reports.check import check_workshop
from putback.scans.bag_code import is_code, new_code
from putback.store import Store
from putback.store.disk import Disk
from putback.trade import commands as c
from putback.trade.record.record import TABLES
from putback.tui.app import PutbackApp
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.widgets.text_input import Line
from putback.workshop import Workshop
from tests.tui.conftest import Bench, Clock, Opened

WALK = ("1", "1", "1")

FORM = ("1", "832", "enter", "372", "enter")
"""A first fastener, by keypad."""


class Shaky(Disk):
    """A disk that refuses while it is told to: `room` is how many bytes it still takes, None for any number."""

    def __init__(self) -> None:
        self.room: int | None = None
        self.flushes = True
        self.creates = True

    def create(self, path: Path) -> int:
        if not self.creates:
            raise OSError(errno.EACCES, os.strerror(errno.EACCES))
        return super().create(path)

    def write(self, file: int, data: bytes) -> None:
        if self.room is not None and self.room < len(data):
            os.write(file, data[: self.room])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        super().write(file, data)

    def flush(self, file: int) -> None:
        if not self.flushes:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        super().flush(file)


@pytest.fixture
def disk() -> Shaky:
    return Shaky()


Shakily = Callable[[Path], AbstractAsyncContextManager[Bench]]


@pytest.fixture
def shakily(clock: Clock, disk: Shaky) -> Shakily:
    """Open the app over a folder on the shaky disk."""

    @asynccontextmanager
    async def over(folder: Path) -> AsyncIterator[Bench]:
        rng = Random(7)
        store = Store.open(folder, at=clock.now.isoformat(), who="test", disk=disk)
        with Workshop(store, clock=clock, codes=lambda taken: new_code(rng, taken), who="test") as workshop:
            app = PutbackApp(workshop)
            async with app.run_test(size=(80, 24)) as pilot:
                bench = Bench(app, pilot)
                await bench.settle()
                yield bench

    return over


def documents(bench: Bench) -> dict[str, object]:
    return {table: bench.app.workshop.record.documents(table) for table in TABLES}


def on_disk(folder: Path) -> dict[str, object]:
    """What another process would read."""
    with Store.open(folder, at="", who="", read_only=True) as store:
        assert store.findings == ()
        return {table: dict(store.documents(table)) for table in TABLES}


async def test_a_full_disk_and_room_again(demo: Path, shakily: Shakily, disk: Shaky) -> None:
    async with shakily(demo) as bench:
        await bench.keys(*WALK, *FORM, "+")
        before, number = documents(bench), bench.app.workshop.store.number
        for room in (0, 1, 300):
            disk.room = room
            await bench.keys("+")
            assert bench.said.endswith("could not be written, and nothing was changed: the disk is full.")
            picture = " ".join(bench.picture().split())
            assert "the disk is full" in picture and "Traceback" not in picture
            await bench.keys("-")
            assert "the disk is full" in bench.said, "taking back needs room, too"
            assert documents(bench) == before == on_disk(demo) and bench.app.workshop.store.number == number

        await bench.keys("4", "632", "enter", "370", "enter")
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen)
        typed = screen.hand.form.typed
        assert "632" in typed and "370" in typed, "what was typed is still there"

        disk.room = None
        await bench.keys("enter")
        assert bench.app.workshop.store.number == number + 1 and "#6-32" in bench.said
        await bench.keys("+", "0")
        assert documents(bench) == on_disk(demo)
    assert check_workshop(demo, is_code).ok


async def test_a_disk_that_fails_to_flush_is_not_trusted_until_reopened(
    demo: Path, shakily: Shakily, disk: Shaky, opened: Opened
) -> None:
    async with shakily(demo) as bench:
        await bench.keys(*WALK, *FORM)
        before = documents(bench)
        disk.flushes = False
        await bench.keys("+")
        assert "could not be flushed to the disk, so the last change was not saved" in bench.said
        disk.flushes = True
        await bench.keys("+")
        assert "open it again" in bench.said, "nothing is known of that disk"
        assert documents(bench) == before
    async with opened(demo) as bench:
        assert documents(bench) == before
        await bench.keys(*WALK, "+")
        assert "into bag" in bench.said
    assert check_workshop(demo, is_code).ok


async def test_the_folder_goes_while_it_is_open(demo: Path, shakily: Shakily, tmp_path: Path) -> None:
    async with shakily(demo) as bench:
        await bench.keys(*WALK, *FORM)
        before = documents(bench)
        gone = tmp_path.parent / f"{tmp_path.name}-pulled-out"
        shutil.move(demo, gone)
        await bench.keys("+")
        assert "could not be written" in bench.said or "not there" in bench.said
        sentence = bench.said
        await bench.keys("space", "s", ".", "?", ".")
        assert documents(bench) == before, "it can still be looked at"
        shutil.move(gone, demo)
        await bench.keys("+")
        assert bench.said != sentence and "into bag" in bench.said, "the stick is back in: it goes on"
        assert documents(bench) == on_disk(demo)


async def test_the_folder_is_gone_for_good(demo: Path, shakily: Shakily) -> None:
    async with shakily(demo) as bench:
        await bench.keys(*WALK, *FORM)
        shutil.rmtree(demo)
        await bench.keys("+", "-", "space")
        assert str(demo) in bench.said
        bench.app.action_quit_bench()
        await bench.settle()
        assert bench.screen == "AskLine"
        bench.app.screen.query_one(Line).value = ""
        await bench.keys("enter")
        assert bench.app._exit
    assert not demo.exists(), "leaving writes nothing where nothing is"


async def test_what_is_in_memory_is_written_elsewhere(demo: Path, shakily: Shakily, tmp_path: Path) -> None:
    taken, saved = tmp_path.parent / f"{tmp_path.name}-taken", tmp_path.parent / f"{tmp_path.name}-kept"
    lay_out_demo(taken)
    async with shakily(demo) as bench:
        await bench.keys(*WALK, *FORM)
        before = documents(bench)
        shutil.rmtree(demo)
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen)
        screen.tick()
        await bench.settle()
        assert "Q writes it elsewhere" in bench.said and "FOLDER GONE" in bench.picture()
        await bench.keys("Q")
        assert bench.screen == "AskLine"
        await bench.keys("escape")
        assert bench.screen == "BenchScreen", "the question can be left"
        bench.app.action_quit_bench()
        await bench.settle()
        assert bench.app.screen.query_one(Line).value == f"{demo}-saved"
        bench.app.screen.query_one(Line).value = str(taken)
        await bench.keys("enter")
        assert bench.screen == "AskLine" and "holds a workshop already" in " ".join(bench.picture().split())
        bench.app.screen.query_one(Line).value = str(saved)
        await bench.keys("enter")
        assert bench.app._exit
    assert not demo.exists() and on_disk(saved) == before
    assert check_workshop(saved, is_code).findings == ()
    async with shakily(saved) as bench:
        await bench.keys(*WALK, "+")
        assert "into bag" in bench.said, "the work goes on there"


async def test_a_folder_that_may_not_be_written(demo: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a disk mounted to read only; the test may run as root, whom permissions do not bind."""

    def refused(*given: object, **named: object) -> int:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr("putback.store.lock.Lock.take", refused)
    before = on_disk(demo)
    async with opened(demo) as bench:
        picture = " ".join(bench.picture().split())
        assert "READ ONLY" in picture and "the disk may only be read" in bench.said
        for key in ("1", "-"):
            await bench.keys(key)
            assert "the disk may only be read); it is open to read only." in bench.said, key
        await bench.keys("832", "enter", "372", "enter", "space", "s")
        assert bench.screen == "SummaryScreen"
        await bench.keys(".")
        bench.app.action_quit_bench()
        await bench.settle()
    assert on_disk(demo) == before


async def test_permission_is_taken_away_and_given_back(
    demo: Path, shakily: Shakily, disk: Shaky, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The open journal still takes lines, so the bench works on; the fold at the session's end has to wait."""
    monkeypatch.setattr("putback.store.store.FOLD_AT", 1)
    before = sorted(demo.glob("history/*.journal"))
    async with shakily(demo) as bench:
        await bench.keys(*WALK, *FORM)
        disk.creates = False
        demo.chmod(0o500)
        try:
            await bench.keys("+", "0")
            assert "part to shelf" in bench.said
            bench.app.do(c.EndSession(note="so far"))
            assert bench.said.startswith("session ") and bench.said.endswith(" ends")
            assert sorted(demo.glob("history/*.journal")) == before and bench.app.workshop.store.should_fold()
        finally:
            demo.chmod(0o700)
        disk.creates = True
        await bench.keys(*FORM)
        assert documents(bench) == on_disk(demo)
    assert len(list(demo.glob("history/*.journal"))) == len(before) + 1, "folded when the bench was left"
    assert check_workshop(demo, is_code).ok
