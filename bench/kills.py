"""Prove that a backup and a join that are killed at any write leave no half workshop, and touch nothing else.

The process kills itself at its first, second, third ... disk action, a write half written, until it comes through.
"""

from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Callable
from pathlib import Path

from bench.apart import grown_apart, join
from bench.proving import State, need, small_workshop, state_of
from bench.strokes import AT, WHO
from putback.errors import Refused, StoreError
from putback.store import Store
from putback.store.backup import back_up
from putback.store.disk import Disk
from putback.store.folder import Folder

ACTIONS = ("make_folder", "create", "write", "flush", "cut", "close", "rename", "second_name", "remove", "flush_folder")
"""What a disk does."""


def kill_backups(work: Path, *, every: int = 1, first: int = 0) -> dict[str, int]:
    """Kill a backup at every so-manyth of its disk actions."""
    work.mkdir(parents=True, exist_ok=True)
    states = small_workshop(work / "whole")
    into = work / "copy"
    return _kill_each([work / "whole"], into, states[-1], lambda: back_up(work / "whole", into), every, first)


def kill_joins(work: Path, *, every: int = 1, first: int = 0) -> dict[str, int]:
    """Kill the joining of two that grew apart at every so-manyth of its disk actions."""
    work.mkdir(parents=True, exist_ok=True)
    _, one, other = grown_apart(work)
    into = work / "new"
    join(one, other, into)
    with Store.open(into, at=AT, who=WHO, read_only=True) as store:
        joined = state_of(store)
    shutil.rmtree(into)
    return _kill_each([one, other], into, joined, lambda: join(one, other, into), every, first)


def _kill_each(
    sources: list[Path], into: Path, wanted: State, do: Callable[[], object], every: int, first: int
) -> dict[str, int]:
    counts = {"kills": 0, "nothing there": 0, "whole": 0, "told": 0}
    before = {source: _files(source) for source in sources}
    at = first
    while _killed(do, at):
        counts["kills"] += 1
        need({source: _files(source) for source in sources} == before, f"killed at {at}: a source is another")
        counts[_what_stands(into, wanted, at)] += 1
        _prove_told(into, do)
        shutil.rmtree(into, ignore_errors=True)
        at += every
    need(_what_stands(into, wanted, at) == "whole", "what came through is whole")
    return counts


def _prove_told(into: Path, do: Callable[[], object]) -> None:
    """Stop unless a second try over what a kill left is refused with a sentence, or comes through."""
    try:
        do()
    except Refused as refusal:
        need("is not empty" in str(refusal) or "was broken off" in str(refusal), str(refusal))


def _killed(do: Callable[[], object], at: int) -> bool:
    """Do it in a process that kills itself at its disk action number `at`; tell whether it came to that."""
    process = os.fork()
    if process == 0:
        _die_at(at)
        do()
        os._exit(0)
    _, status = os.waitpid(process, 0)
    if os.WIFSIGNALED(status):
        return True
    need(os.WEXITSTATUS(status) == 0, f"it failed by itself at {at}")
    return False


def _die_at(at: int) -> None:
    left = at

    def mortal(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def act(disk: Disk, *given: object) -> object:
            nonlocal left
            if left == 0:
                if name == "write":
                    file, data = given
                    assert isinstance(file, int) and isinstance(data, bytes)
                    os.write(file, data[: len(data) // 2])
                os.kill(os.getpid(), signal.SIGKILL)
            left -= 1
            return real(disk, *given)

        return act

    for name in ACTIONS:
        setattr(Disk, name, mortal(name, getattr(Disk, name)))


def _what_stands(into: Path, wanted: State, at: int) -> str:
    """Tell what a kill left: nothing, all of it, or all of it with a word on what is missing of its files."""
    if not into.exists() or not Folder(into).holds_workshop():
        return "nothing there"
    try:
        with Store.open(into, at=AT, who=WHO, read_only=True, must_exist=True) as store:
            need(state_of(store) == wanted, f"killed at {at}: half a workshop")
            return "told" if store.findings else "whole"
    except StoreError:
        return "told"


def _files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}
