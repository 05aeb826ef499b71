"""Proving a workshop folder: checksums, sequence, and that log and snapshots tell the same story."""

from __future__ import annotations

from pathlib import Path

import msgspec
from msgspec import Raw, Struct

from putback.errors import NotAWorkshop
from putback.progress import each
from putback.store import snapshot, survey
from putback.store.disk import trouble
from putback.store.folder import Folder
from putback.store.journal import Documents
from putback.store.line import Entry, Fault, Head, epoch_of
from putback.store.loading import StoreFinding, bulk, lost_text, newer, refuse_newer_head
from putback.store.lock import read_mark
from putback.store.snapshot import Snapshot
from putback.store.survey import Row
from putback.trade.record.change import Document
from putback.trade.record.rows import same

ENOUGH = 20
"""Documents named where a snapshot differs; more of the same helps nobody."""


class Walked(Struct, frozen=True):
    """What a walk through a folder came to."""

    found: tuple[StoreFinding, ...]
    """What is wrong."""
    notes: tuple[str, ...]
    """What is not wrong and is to be known: a torn line that counts for nothing, an end that cannot be proved."""
    number: int = 0
    """The last change."""


def check_folder(folder: Path) -> list[StoreFinding]:
    """What is wrong in a workshop folder, each with its place; an empty list when nothing is.

    Reads everything: the snapshots, the journal, and the history from the first change. A last line cut
    short while it was written is not a finding, nor is a fold that broke off: opening puts both right. A journal
    that comes short of the mark of its last close is. Changes nothing. Raises NotAWorkshop, NewerVersion,
    DiskTrouble.
    """
    return list(walk_folder(folder).found)


def walk_folder(folder: Path) -> Walked:
    """The same, with what is to be known beside."""
    places = Folder(Path(folder).absolute())
    if not places.holds_workshop():
        raise NotAWorkshop(f"There is no workshop in {places.path}.")
    with bulk():
        proof = _Proof(places)
        proof.walk()
        return Walked(tuple(proof.found), tuple(proof.notes), proof.number)


Texts = dict[str, dict[int, Raw]]
"""Every document's JSON text by table and number."""

_encode = msgspec.json.Encoder().encode


def text_of(document: Document) -> Raw:
    """Return a document as text."""
    return Raw(_encode(document))


class _Proof:
    """One walk through a folder, in the order it was written."""

    def __init__(self, folder: Folder) -> None:
        self.folder = folder
        self.mark = read_mark(folder.lock)  # before the journal: a writer may close, and mark it, while we read
        self.found: list[StoreFinding] = []
        self.notes: list[str] = []
        self.workshop = ""
        self.fold = 0
        self.number = 0
        self.gap = False  # whether lines went missing since the last sound one, and were reported
        # As text, which takes a tenth of the room; None: not known, since something before could not be read.
        self.rows: Texts | None = {}
        self.snapshots: list[tuple[Path, Snapshot]] = []
        self.torn = ""
        self.suspects: list[tuple[Path, Snapshot]] = []  # to name what is wrong in them, never to believe

    def walk(self) -> None:
        self._read_snapshots()
        for path in survey.files(self.folder):
            if path == self.folder.journal:
                refuse_newer_head(path, damaged=False)
            if not path.exists():
                self._report("is missing", self.folder.place(path))
            for row in each(survey.rows(self.folder, path), f"lines of {path.name}"):
                if row.torn and path == self.folder.journal:
                    self.torn = row.where
                    continue
                self._take(row)
                self._compare()
        for path, snap in self.snapshots:
            what = f"holds change {snap.title.number}, but the journals end with change {self.number}"
            self._report(what, self.folder.place(path))
        self._prove_end()

    def _prove_end(self) -> None:
        """Compare where the journal ends with the mark of the last close."""
        end = self.torn or self.folder.place(self.folder.journal)
        if self.mark is not None and self.mark.beyond(self.workshop, self.number):
            if not self.gap:  # else what is missing was told already
                self._report(lost_text(self.number + 1, self.mark.number), end)
            return
        if self.torn:
            self.notes.append(f"{self.torn} was cut short while it was written; it is left out.")
        if self.mark is None:
            self.notes.append(
                f"{self.folder.lock.name} has no mark of the last close: whether confirmed changes are missing "
                "at the end of the journal cannot be told."
            )

    def _report(self, what: str, where: str) -> None:
        self.found.append(StoreFinding(what, where))

    def _read_snapshots(self) -> None:
        folder = self.folder
        for path in (*(path for _, path in reversed(folder.old_snapshots())), folder.snapshot):
            where = folder.place(path)
            try:
                snap = snapshot.read(path)
            except FileNotFoundError:
                self._report("is missing", where)
            except OSError as error:
                raise trouble("could not be read", path, error) from error
            except snapshot.Unsealed as fault:
                self._report(str(fault), where)
                self.suspects.append((path, fault.snapshot))
            except Fault as fault:
                self._report(str(fault), where)
            except snapshot.Foreign as error:
                if path == folder.snapshot and not folder.journal.exists():
                    raise NotAWorkshop(f"{path} was not written by Putback.") from error
                self._report("was not written by Putback", where)
            except snapshot.Newer as error:
                if error.sound:
                    raise newer(path, error) from error
                self._report("does not fit its checksum", folder.place(path, 2))
            else:
                self.workshop = snap.title.workshop
                self.snapshots.append((path, snap))

    def _take(self, row: Row) -> None:
        """Take in one line."""
        workshop = row.epoch.rpartition(".")[0]
        self.workshop = self.workshop or workshop
        if row.fault is not None:
            self._report(row.fault, row.where)
            self.gap, self.rows = True, None
        elif workshop != self.workshop:
            self._report(f"belongs to another workshop ({workshop})", row.where)
            self.gap, self.rows = True, None
        elif row.head is not None:
            self._take_head(row.head, row.where)
        elif row.entry is not None:
            if self.gap:
                self.fold = max(self.fold, int(row.epoch.rpartition(".")[2]))
            self._take_entry(row.entry, row)

    def _take_head(self, head: Head, where: str) -> None:
        if head.fold > self.fold + 1:
            missing = self.folder.place(self.folder.old_journal(self.fold + 1))
            last = self.folder.old_journal(head.fold - 1).name
            more = f", and so is all up to {last}" if head.fold > self.fold + 2 else ""
            self._report(f"is missing{more}", missing)
            self.gap = True
        if head.fold <= self.fold:
            self._report(f"begins stretch {head.fold} again", where)
        self.fold = head.fold
        if head.after != self.number:
            if not self.gap:
                what = f"goes on from change {head.after}, but the record before ends with {self.number}"
                self._report(what, where)
            self.number, self.rows = head.after, None

    def _take_entry(self, entry: Entry, row: Row) -> None:
        expected = epoch_of(self.workshop, self.fold)
        if row.epoch != expected:
            self._report(f"belongs to stretch {row.epoch}, not {expected}", row.where)
        if entry.number <= self.number:
            self._report(f"is change {entry.number} where {self.number + 1} belongs", row.where)
            return
        if entry.number > self.number + 1:
            if not self.gap:
                self._report(f"is change {entry.number} where {self.number + 1} belongs", row.where)
            self.rows = None
        self.gap, self.number = False, entry.number
        if self.rows is None:
            return
        for edit in entry.change.edits:
            table = self.rows.setdefault(edit.table, {})
            if not same(table.get(edit.id), None if edit.old is None else text_of(edit.old)):
                self._report(f"starts from another {edit.table} {edit.id} than the log holds", row.where)
            if edit.new is None:
                table.pop(edit.id, None)
            else:
                table[edit.id] = text_of(edit.new)

    def _compare(self) -> None:
        """Compare with the snapshots made at this point."""
        for path, snap in self.suspects:
            if snap.title.number == self.number and self.rows is not None:
                self._name_differences(path, self.rows, snap)
        self.suspects = [(path, snap) for path, snap in self.suspects if snap.title.number > self.number]
        while self.snapshots and self.snapshots[0][1].title.number <= self.number:
            path, snap = self.snapshots.pop(0)
            if snap.title.number < self.number:
                continue  # its change is among those that could not be read
            if self.rows is None:
                self.rows = _texts(snap)
            else:
                self._name_differences(path, self.rows, snap)

    def _name_differences(self, path: Path, rows: Texts, snap: Snapshot) -> None:
        found = 0
        there = _texts(snap)
        for table in sorted(rows.keys() | there.keys()):
            one, other = rows.get(table, {}), there.get(table, {})
            for number in sorted(one.keys() | other.keys()):
                if found < ENOUGH and not same(one.get(number), other.get(number)):
                    self._report("is not what the log comes to", f"{self.folder.place(path)}, {table} {number}")
                    found += 1


def _texts(snap: Snapshot) -> Texts:
    return {name: dict(rows.texts()) for name, rows in snap.tables.items() if rows}


def differences(left: Documents, right: Documents) -> list[tuple[str, int]]:
    """Table and number of every document that is not the same in both."""
    found = []
    for table in sorted(left.keys() | right.keys()):
        one, other = left.get(table, {}), right.get(table, {})
        found += [(table, n) for n in sorted(one.keys() | other.keys()) if one.get(n) != other.get(n)]
    return found
