"""Folding and making: stopped at every action of the disk, and done over."""

from __future__ import annotations

import errno
import os
from contextlib import suppress
from pathlib import Path

import pytest

from bench.faults import Failing
from bench.proving import expected_states, state_of
from bench.strokes import AT, Bench
from putback.errors import DiskTrouble
from putback.store import Store, check_folder
from putback.store.disk import Disk
from putback.trade.record.change import Change

CHANGES = [change for change, _, _ in Bench(4, per_step=3).strokes(6)]
STATES = expected_states(CHANGES)


class Dying(Failing):
    """As a disk that fails at an action, but the whole program ends there."""

    def before(self, what: str) -> None:
        try:
            super().before(what)
        except OSError:
            raise KeyboardInterrupt from None


def test_a_program_that_ends_at_any_action_of_a_fold_leaves_a_workshop(folder: Path) -> None:
    at = 0
    while True:
        target = folder.with_name(f"w{at}")
        disk = Dying(10_000, errno.EIO)
        store = Store.open(target, at=AT, who="Ann", disk=disk)
        store.commit_many([(change, AT, "Ann") for change in CHANGES[:5]])
        disk.left = at
        with suppress(KeyboardInterrupt):
            store.fold()
        store.close()
        assert check_folder(target) == [], disk.failed
        with Store.open(target, at=AT, who="Ann") as again:
            assert again.writable and again.number == 5 and state_of(again) == STATES[5], disk.failed
            again.commit(CHANGES[5], at=AT, who="Ann")
            again.fold()
        assert check_folder(target) == []
        assert not list(target.glob("*.aside"))
        if not disk.failed:
            assert at > 10  # the fold went through: every action before was tried
            return
        at += 1


def test_a_program_that_ends_while_it_makes_a_workshop_leaves_a_place_to_make_one(folder: Path) -> None:
    at = 0
    while True:
        target = folder.with_name(f"w{at}")
        disk = Dying(at, errno.EIO)
        with suppress(KeyboardInterrupt):
            Store.open(target, at=AT, who="Ann", disk=disk).close()
        with Store.open(target, at=AT, who="Ann") as store:
            assert store.writable and store.number == 0, disk.failed
            store.commit(CHANGES[0], at=AT, who="Ann")
        assert check_folder(target) == []
        if not disk.failed:
            assert at > 6
            return
        at += 1


def test_a_fold_that_fails_between_its_renamings_is_finished_by_the_next_commit(folder: Path) -> None:
    class Stubborn(Disk):
        refusing = False

        def rename(self, old: Path, new: Path) -> None:
            if self.refusing and new.name == "workshop.journal":
                raise OSError(errno.ENOSPC, "full")
            super().rename(old, new)

    disk = Stubborn()
    with Store.open(folder, at=AT, who="Ann", disk=disk) as store:
        store.commit(CHANGES[0], at=AT, who="Ann")
        disk.refusing = True
        with pytest.raises(DiskTrouble, match="could not be folded, and nothing is lost: the disk is full"):
            store.fold()
        with pytest.raises(DiskTrouble, match="nothing was changed: the disk is full"):
            store.commit(CHANGES[1], at=AT, who="Ann")
        assert state_of(store) == STATES[1] and check_folder(folder) == []
        disk.refusing = False
        assert store.commit(CHANGES[1], at=AT, who="Ann") == 2
    assert check_folder(folder) == []
    with Store.open(folder, at=AT, who="Ann") as store:
        assert state_of(store) == STATES[2] and len(list(store.entries())) == 2


def test_a_file_system_without_second_names_gets_copies(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(old: Path, new: Path) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", no_links)
    with Store.open(folder, at=AT, who="Ann") as store:
        for change in CHANGES[:3]:
            store.commit(change, at=AT, who="Ann")
            store.fold()
    assert check_folder(folder) == []
    assert len(list((folder / "history").glob("*.journal"))) == 3


def test_an_old_copy_of_the_snapshot_put_back_by_hand_is_read_through_the_history(folder: Path) -> None:
    with Store.open(folder, at=AT, who="Ann") as store:
        store.commit_many([(change, AT, "Ann") for change in CHANGES[:2]])
        old = (folder / "workshop.json").read_bytes()
        store.fold()
        store.commit(CHANGES[2], at=AT, who="Ann")
        store.fold()
        store.commit(Change(did="x", said="", edits=()), at=AT, who="Ann")
    (folder / "workshop.json").write_bytes(old)
    with Store.open(folder, at=AT, who="Ann") as store:
        assert store.number == 4 and state_of(store) == STATES[3]
