"""Prove that a backup may be taken at any moment: between any two writes, and while a writer goes on."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from bench.proving import State, Watched, expected_states, need, state_of
from bench.strokes import AT, WHO, Bench
from putback.errors import NotAWorkshop
from putback.store import Store, check_folder
from putback.store.backup import back_up
from putback.store.check import walk_folder


class Between(Watched):
    """The real disk, with something done before each action, and in the middle of each write."""

    def __init__(self, do: Callable[[], None]) -> None:
        """`do` is not called for what it does itself."""
        self.do: Callable[[], None] | None = do

    def before(self, what: str) -> None:
        do, self.do = self.do, None
        if do is not None and what != "make folder":
            do()
        self.do = do

    def write(self, file: int, data: bytes) -> None:
        super().write(file, data[: len(data) // 2])
        super().write(file, data[len(data) // 2 :])


def back_up_between(work: Path, *, strokes: int = 8) -> dict[str, int]:
    """Take a backup before each of the writer's disk actions, and in the middle of each write; folds included.

    Each copy must check clean, open to write, and be the state after the last confirmed change or the one being
    written.
    """
    changes = [change for change, _, _ in Bench(6, per_step=3).strokes(strokes)]
    states = expected_states(changes)
    folder, copy = work / "written", work / "copy"
    counts = {"backups": 0, "one beyond": 0}
    confirmed = 0

    def take() -> None:
        try:
            report = back_up(folder, copy)
        except NotAWorkshop:
            need(confirmed == 0 and not copy.exists(), "a workshop that is only being made has no backup")
            return
        counts["backups"] += 1
        counts["one beyond"] += report.changes > confirmed
        need(confirmed <= report.changes <= confirmed + 1, f"{confirmed} confirmed, {report.changes} in the copy")
        _prove(copy, report.changes, states)

    disk = Between(take)
    with Store.open(folder, at=AT, who=WHO, disk=disk) as store:
        for change in changes:
            if store.number % 3 == 2:
                store.fold()
            confirmed = store.commit(change, at=AT, who=WHO)
    take()
    return counts


def write_between(work: Path, *, strokes: int = 60, fold_at: int = 3) -> dict[str, int]:
    """Let a writer enter a change, with a fold now and then, at each disk action of one backup after another."""
    changes = [change for change, _, _ in Bench(7, per_step=3).strokes(strokes)]
    states = expected_states(changes)
    folder, copy = work / "busy", work / "copy"
    counts = {"backups": 0, "changes meanwhile": 0}
    with Store.open(folder, at=AT, who=WHO) as store:
        while store.number < len(changes) - 1:
            skip, done = counts["backups"], 0

            def write(skip: int = skip) -> None:
                nonlocal done
                done += 1
                if skip < done <= skip + 2 and store.number < len(changes):
                    if store.number % fold_at == 0:
                        store.fold()
                    store.commit(changes[store.number], at=AT, who=WHO)
                    counts["changes meanwhile"] += 1

            before = store.number
            report = back_up(folder, copy, disk=Between(write))
            need(before <= report.changes <= store.number, f"{before} to {store.number}, {report.changes} in the copy")
            _prove(copy, report.changes, states)
            counts["backups"] += 1
            if store.number == before:
                store.commit(changes[store.number], at=AT, who=WHO)
    return counts


def _prove(copy: Path, number: int, states: list[State]) -> None:
    """Stop unless a copy checks clean with a mark of its own and opens to write as it should be; then remove it."""
    found, walked = check_folder(copy), walk_folder(copy)
    need(not found and not walked.notes, f"check of a backup: {found} {walked.notes}")
    with Store.open(copy, at=AT, who=WHO) as opened:
        need(opened.writable and opened.number == number, f"a backup opens as {opened.number}: {opened.notes}")
        need(state_of(opened) == states[number], f"a backup at {number}: documents differ")
    shutil.rmtree(copy)
