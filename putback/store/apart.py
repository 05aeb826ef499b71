"""Two workshop folders that grew apart, as on two computers: where they part, and one new folder of both."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Callable, Iterator
from itertools import chain
from pathlib import Path

from msgspec import Struct

from putback.errors import Damaged, NotAWorkshop, Refused
from putback.progress import each
from putback.store.backup import back_up, built_aside
from putback.store.disk import Disk, trouble
from putback.store.folder import Folder
from putback.store.journal import Documents, lines, reading
from putback.store.line import LINE_LIMIT, Entry, Fault, epoch_of, read_entry, read_head
from putback.store.loading import bulk
from putback.store.store import Store
from putback.trade.files.joining import Different, Joined, join

Codes = Callable[[set[str]], str]
"""Gives a fresh bag code, told which are taken."""


class JoinReport(Struct, frozen=True, kw_only=True):
    """What joining came to."""

    into: Path
    """The new folder."""
    common: int
    """The last change that both had."""
    first: int
    """Changes of the first since."""
    second: int
    """Changes of the second since, which were done again on top."""
    changes: int
    """The last change in the new folder."""
    renewed: tuple[str, ...]
    """Numbers and codes that are others now."""
    different: tuple[Different, ...]
    """What both changed otherwise: it stays as the first has it."""


def join_folders(
    folder: Path, other: Path, into: Path, *, codes: Codes, prove: Callable[[Path], str], at: str, who: str
) -> JoinReport:
    """Write one workshop of two that grew apart from one beginning into the new folder `into`; both are only read.

    `other` is a workshop folder, or a second journal of this workshop. `prove` gives what is wrong with a folder, or an
    empty text. All or nothing: raises Refused where the two have no common beginning or cannot be one, Damaged where
    one of them is damaged, NotAWorkshop, DiskTrouble.
    """
    folder, other, into = Path(folder).absolute(), Path(other).absolute(), Path(into).absolute()
    if into.resolve().is_relative_to(other.resolve()):
        raise Refused(f"{into} lies inside {other}; name a folder outside it.")
    with built_aside(into, Folder(folder)) as new, bulk():
        back_up(folder, new)
        with Store.open(new, at=at, who=who) as store:
            common, before, second, mine, tail = _part(store, folder, other)
            first = {table: dict(store.documents(table)) for table in store.tables()}
            taken = {str(b.get("code")) for b in chain(first.get("bags", {}).values(), second.get("bags", {}).values())}
            last_ids = {table: store.last_id(table) for table in store.tables()}
            joined = _join(before, first, second, tail, store.number + 1, last_ids, _fresh(codes, taken))
            store.commit_many(joined.changes)
            number = store.number
        _copy_photos(other, new)
        wrong = prove(new)
        if wrong:
            raise Refused(f"The two cannot be made one: joined, {wrong}. Nothing was written.")
    return JoinReport(
        into=into,
        common=common,
        first=mine,
        second=len(tail),
        changes=number,
        renewed=joined.renewed,
        different=joined.different,
    )


def _join(
    before: Documents,
    first: Documents,
    second: Documents,
    tail: list[Entry],
    number: int,
    last_ids: dict[str, int],
    codes: Iterator[str],
) -> Joined:
    stamped = [(entry.number, entry.at, entry.who, entry.change) for entry in tail]
    return join(before, first, second, stamped, next_number=number, last_ids=last_ids, codes=codes)


def _fresh(codes: Codes, taken: set[str]) -> Iterator[str]:
    while True:
        taken.add(code := codes(taken))
        yield code


def _part(store: Store, folder: Path, other: Path) -> tuple[int, Documents, Documents, int, list[Entry]]:
    """The last common change, the documents then and those of the second now, and the changes since: how many of the
    first, and those of the second. Raises Refused where there is nothing in common."""
    documents: Documents = {}
    common = 0
    mine = store.entries()
    with _entries(store, folder, other) as theirs:
        rest: list[Entry] = []
        for entry in each(theirs, "changes of the other"):
            if rest or next(mine, None) != entry:
                rest.append(entry)
                continue
            _apply(documents, entry)
            common = entry.number
    if not common:
        raise Refused(f"{other} and {folder} have no common beginning.")
    before = {table: dict(rows) for table, rows in documents.items()}
    for entry in rest:
        _apply(documents, entry)
    since = {_told(entry) for entry in store.entries() if entry.number > common}
    here = [_told(entry) in since for entry in rest]
    if all(here):
        raise Refused(f"All that was done in {other} is in {folder} already: there is nothing to join.")
    if here[0]:
        raise Refused(
            f"{other} was joined to {folder} before, and went on since; what came after has to be entered here."
        )
    return common, before, documents, store.number - common, rest


def _told(entry: Entry) -> tuple[str, str, str, str]:
    """A change as it is known again where it was joined: its numbers may be others there."""
    return entry.at, entry.who, entry.change.did, "".join(c for c in entry.change.said if not c.isdigit())


def _apply(documents: Documents, entry: Entry) -> None:
    for edit in entry.change.edits:
        rows = documents.setdefault(edit.table, {})
        if edit.new is None:
            rows.pop(edit.id, None)
        else:
            rows[edit.id] = edit.new


@contextlib.contextmanager
def _entries(store: Store, folder: Path, other: Path) -> Iterator[Iterator[Entry]]:
    """Every change of the second record from the first on."""
    if other.is_dir():
        with Store.open(other, at="", who="", read_only=True, must_exist=True) as second:
            if second.findings:
                found = second.findings[0]
                raise Damaged(f"{other} is damaged: {found.where} {found.what}; mend it first.")
            if second.workshop_id != store.workshop_id:
                raise Refused(f"{other} and {folder} have no common beginning: they are two workshops.")
            yield second.entries()
        return
    try:
        with reading(other) as file:
            head = read_head(file.readline(LINE_LIMIT))
            if head.workshop != store.workshop_id:
                raise Refused(f"{other} is a journal of another workshop than {folder}.")
            if head.after > store.number:
                raise Refused(f"{other} goes on from change {head.after}; {folder} ends with {store.number}.")
            old = (entry for entry in store.entries() if entry.number <= head.after)
            yield chain(old, _lines(other, epoch_of(head.workshop, head.fold), head.after))
    except FileNotFoundError as error:
        raise NotAWorkshop(f"There is no workshop in {other}.") from error
    except Fault as fault:
        raise Damaged(f"{other}, line 1 {fault}.") from fault
    except OSError as error:
        raise trouble("could not be read", other, error) from error


def _lines(path: Path, epoch: str, number: int) -> Iterator[Entry]:
    with reading(path) as file:
        for at_line, line in enumerate(lines(file), 1):
            if at_line == 1 or not line.endswith(b"\n"):
                continue
            try:
                found, entry = read_entry(line)
            except Fault as fault:
                raise Damaged(f"{path}, line {at_line} {fault}.") from fault
            number += 1
            if found != epoch or entry.number != number:
                raise Damaged(f"{path}, line {at_line} is not change {number} of {epoch}.")
            yield entry


def _copy_photos(other: Path, new: Path) -> None:
    """Copy the pictures that only the second has. Raises DiskTrouble."""
    if not other.is_dir():
        return
    for path in sorted((other / "photos").glob("*")):
        place = new / "photos" / path.name
        if path.is_symlink() or not path.is_file() or path.name.startswith(".") or place.exists():
            continue
        try:
            Disk().make_folder(place.parent)
            shutil.copyfile(path, place)
        except OSError as error:
            raise trouble("could not be copied", path, error) from error
