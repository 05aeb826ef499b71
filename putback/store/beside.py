"""Files that do not belong in a workshop folder and look like its own: what a synced drive leaves of two computers.

Drives spell such names in many ways and languages, so a file is known by what it begins with: a journal's head or a
snapshot's. Only where that says nothing does its name count.
"""

from __future__ import annotations

import os
import re
import stat
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from putback.store import snapshot
from putback.store.disk import ASIDE
from putback.store.folder import JOURNAL, LOCK, OURS, SETTINGS, SNAPSHOT, Folder
from putback.store.journal import lines, reading
from putback.store.line import LINE_LIMIT, Fault, Head, is_head, read_head
from putback.store.loading import StoreFinding
from putback.trade.record.phrases import few

_HISTORY = re.compile(rf"(\d+\.(journal|json)|format-\d+\.json)({re.escape(ASIDE)})?")
_NAMED = tuple(name.rpartition(".") for name in (SNAPSHOT, JOURNAL, LOCK, SETTINGS))
_CONFLICT = "conflict"
_LOOK = 256  # bytes that tell a journal or a snapshot


class Beside(Struct, frozen=True):
    """A file that does not belong where it lies."""

    path: Path
    """Where it lies."""
    kind: str
    """`journal` or `snapshot` by what is in it, `lock`, `settings` or `file` by its name."""


def beside(folder: Folder) -> list[Beside]:
    """The files of others in a workshop's folder and its history that look like ours; looks at no other file."""
    found = []
    for place in (folder.path, folder.history):
        try:
            names = sorted(os.listdir(place))
        except OSError:
            continue
        for name in names:
            if name.startswith(".") or (_HISTORY.fullmatch(name) if place == folder.history else name in OURS):
                continue
            kind = _kind(place / name)
            if kind:
                found.append(Beside(place / name, kind))
    return found


def _kind(path: Path) -> str:
    """What a file is taken for; empty where it has nothing to do with a workshop's record."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return "file" if _CONFLICT in path.name.casefold() else ""
        with open(path, "rb") as file:
            begin = file.read(_LOOK)
    except OSError:
        begin = b""
    if snapshot.begins(begin):
        return "snapshot"
    if begin.startswith(b'{"v":') and is_head(begin.split(b"\n")[0]):
        return "journal"
    name = path.name.casefold()
    for stem, point, ending in _NAMED:
        if stem in name and point + ending in name:
            return ending if ending == "lock" else "settings" if stem == "settings" else "file"
    return "file" if _CONFLICT in name else ""


def beside_text(folder: Folder) -> str:
    """One sentence for the person who opens the workshop; empty where nothing lies beside."""
    names = [folder.place(found.path) for found in beside(folder)]
    if not names:
        return ""
    verb, them = ("lies", "it is") if len(names) == 1 else ("lie", "they are")
    return (
        f"Beside the workshop's own files {verb} {few(names, 2)}, as when two computers had a synced folder open: "
        f"`putback check` says what {them}."
    )


def judged(folder: Folder) -> tuple[list[StoreFinding], list[str]]:
    """What each of them is: findings where something may be in it that is not in the record, else notes."""
    findings: list[StoreFinding] = []
    notes: list[str] = []
    for found in beside(folder):
        where = folder.place(found.path)
        if found.kind == "journal":
            what, more = _journal(folder, found.path)
        elif found.kind == "snapshot":
            what, more = _snapshot(folder, found.path)
        elif found.kind == "file":
            what, more = "is not one of the workshop's files, and may be a copy of one that a synced drive left", True
        else:
            what, more = f"is a second {found.kind} file, and holds nothing of the record", False
        if more:
            findings.append(StoreFinding(what, where))
        else:
            notes.append(f"{where} {what}; it may be removed.")
    return findings, notes


def _journal(folder: Folder, path: Path) -> tuple[str, bool]:
    """What a second journal is, and whether it may hold what the record does not."""
    try:
        with reading(path) as file:
            head = read_head(file.readline(LINE_LIMIT))
        mine = _own_journal(folder, head)
        if mine is None:
            return "is a journal of another workshop, or of a time that is not in this one", True
        with reading(path) as one, reading(mine) as other:
            last, more = _apart(one, other, head.after - 1)
    except (Fault, OSError) as error:
        return f"is a second journal, and {error}", True
    if not more:
        return f"is a second journal; all that is in it, up to change {last}, is in the record", False
    return (
        f"is a second journal, of another computer: from change {last + 1} on it holds what is not in the record; "
        "`putback check --join FILE --mend NEW` makes one of both",
        True,
    )


def _own_journal(folder: Folder, head: Head) -> Path | None:
    """The workshop's own journal of the same stretch."""
    for path in (folder.journal, folder.old_journal(head.fold)):
        try:
            with reading(path) as file:
                if read_head(file.readline(LINE_LIMIT)) == head:
                    return path
        except (Fault, OSError):
            continue
    return None


def _apart(one: BinaryIO, other: BinaryIO, number: int) -> tuple[int, bool]:
    """The last change that two journals have in common, and whether the first goes on from there."""
    theirs, ours = lines(one), lines(other)
    for line in theirs:
        if not line.endswith(b"\n"):
            break  # never confirmed
        if line != next(ours, b""):
            return number, True
        number += 1
    return number, False


def _snapshot(folder: Folder, path: Path) -> tuple[str, bool]:
    """What a second snapshot is, and whether it may hold what the record does not."""
    try:
        title = snapshot.read(path).title
        data = path.read_bytes()
        for own in (folder.snapshot, *(old for _, old in folder.old_snapshots())):
            if own.exists() and own.read_bytes() == data:
                return f"is a second copy of {folder.place(own)}", False
        mine = snapshot.read(folder.snapshot).title.workshop == title.workshop
    except (Fault, snapshot.Foreign, snapshot.Newer, OSError) as error:
        return f"is a second snapshot, and {error}" if str(error) else "is a second snapshot", True
    whose = "this workshop" if mine else "another workshop"
    return f"is a second snapshot, of {whose} up to change {title.number}: it may hold what is not in the record", True
