"""What can be saved of a damaged workshop, written to a new one; the old one is only read.

The new log has the old numbers. A change that cannot be read leaves its number to a change `Lost`, which
holds what the later log, or a snapshot, proves it to have done: every change tells what it found before
it, so a document it found changed, and that nobody is known to have changed, was changed by a lost one.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from msgspec import Struct

from putback.errors import Damaged, NotAWorkshop, Refused
from putback.store import snapshot, survey
from putback.store.check import differences
from putback.store.disk import Disk, reason, trouble
from putback.store.folder import Folder
from putback.store.journal import Documents
from putback.store.line import Entry, Fault
from putback.store.loading import StoreFinding, bulk, lost_text, newer, refuse_newer_head
from putback.store.lock import read_mark
from putback.store.repair import repair
from putback.store.snapshot import Snapshot
from putback.store.store import Store
from putback.store.survey import Row
from putback.trade.record.change import Change, Document, Edit

BATCH = 1000
"""Changes written with one flush."""

WIDEST = 1_000_000
"""The most changes in a row that are believed to be lost; a number further on cannot be right."""

LOST = "Lost"
"""The name of a change that stands for one that could not be read."""


class MendReport(Struct, frozen=True, kw_only=True):
    """What mending came to."""

    into: Path
    """The new workshop folder."""
    changes: int
    """Changes in it, lost ones included."""
    lost: tuple[int, ...]
    """Numbers of the changes that could not be read."""
    repaired: tuple[str, ...]
    """Places where one wrong byte was put right, and nothing is lost."""
    findings: tuple[StoreFinding, ...]
    """What was wrong, and what could not be saved."""


def mend(folder: Path, into: Path, *, at: str, who: str) -> MendReport:
    """Save what can be saved of the workshop in `folder` into the new folder `into`.

    `at` and `who` stamp the lost changes. Lines that could not be read are kept in `into/damaged.txt`.
    Raises NotAWorkshop where either folder is not what it should be, Refused where `into` is taken or lies
    inside `folder`, NewerVersion, Damaged where nothing can be saved, DiskTrouble.
    """
    old, new = Folder(Path(folder).absolute()), Folder(Path(into).absolute())
    if not old.holds_workshop():
        raise NotAWorkshop(f"There is no workshop in {old.path}.")
    if new.holds_workshop():
        raise Refused(f"{new.path} holds a workshop already; name a new folder.")
    if new.path.resolve().is_relative_to(old.path.resolve()):
        raise Refused(f"{new.path} lies inside the damaged workshop; name a folder outside it.")
    with bulk():
        rescue = _Rescue(old)
        rescue.plan()
        if not rescue.number:
            raise Damaged(f"Nothing can be saved of {old.path}: no snapshot and no change can be read.")
        with Store.open(new.path, at=at, who=who) as store:
            log = rescue.log(at, who)
            while batch := list(islice(log, BATCH)):
                store.commit_many(batch)
            for table, number in rescue.last_ids.items():
                store.reserve(table, number)
            store.fold()
        rescue.keep_aside(new)
        rescue.copy_beside(new)
    return MendReport(
        into=new.path,
        changes=rescue.number,
        lost=tuple(rescue.lost),
        repaired=tuple(rescue.repaired),
        findings=tuple(rescue.found),
    )


class _Rescue:
    """Two walks through a damaged workshop: one to learn what the lost changes did, one to write."""

    def __init__(self, folder: Folder) -> None:
        self.folder = folder
        self._mark = read_mark(folder.lock)
        self.found: list[StoreFinding] = []
        self.repaired: list[str] = []
        self.aside: list[tuple[str, bytes]] = []
        self.lost: list[int] = []
        self.number = 0
        self.last_ids: dict[str, int] = {}
        self._workshop = ""
        self._snapshots: dict[int, Snapshot] = {}
        self._inferred: dict[int, list[Edit]] = {}

    # The first walk

    def plan(self) -> None:
        """Read everything and settle what each lost change did."""
        self._read_snapshots()
        rows: Documents = {}
        touched: dict[tuple[str, int], int] = {}
        for number, entry in self._stream(report=True):
            if entry is None:
                self.lost.append(number)
            else:
                for edit in entry.change.edits:
                    found = rows.setdefault(edit.table, {}).get(edit.id)
                    if found != edit.old and not self._infer(edit.table, edit.id, found, edit.old, touched):
                        what = f"starts from another {edit.table} {edit.id} than the log; taken as it ends"
                        self.found.append(StoreFinding(what, f"change {number}"))
                    _put(rows, edit)
                    touched[edit.table, edit.id] = number
            self.number = number
            snap = self._snapshots.get(number)
            if snap is not None:
                self._learn(rows, snap, touched)

    def _read_snapshots(self) -> None:
        folder = self.folder
        for path in (*(path for _, path in folder.old_snapshots()), folder.snapshot):
            try:
                snap = snapshot.read(path)
            except FileNotFoundError:
                self.found.append(StoreFinding("is missing", folder.place(path)))
            except OSError as error:
                self.found.append(StoreFinding(f"could not be read: {reason(error)}", folder.place(path)))
            except Fault as fault:
                self.found.append(StoreFinding(str(fault), folder.place(path)))
            except snapshot.Foreign:
                self.found.append(StoreFinding("was not written by Putback", folder.place(path)))
            except snapshot.Newer as error:
                if error.sound:
                    raise newer(path, error) from error
                self.found.append(StoreFinding("does not fit its checksum", folder.place(path)))
            else:
                self._snapshots[snap.title.number] = snap
                self._workshop = snap.title.workshop
                for table, number in snap.title.last_ids.items():
                    self.last_ids[table] = max(number, self.last_ids.get(table, 0))

    def _infer(
        self,
        table: str,
        number: int,
        before: Document | None,
        after: Document | None,
        touched: dict[tuple[str, int], int],
    ) -> bool:
        """Lay a document's change to the newest lost change, unless it is known to be touched since."""
        if not self.lost or touched.get((table, number), 0) > self.lost[-1]:
            return False
        self._inferred.setdefault(self.lost[-1], []).append(Edit(table, number, before, after))
        return True

    def _learn(self, rows: Documents, snap: Snapshot, touched: dict[tuple[str, int], int]) -> None:
        """Take from a snapshot what the log up to it does not tell."""
        told = snap.documents()
        for table, number in differences(rows, told):
            before = rows.get(table, {}).get(number)
            after = told.get(table, {}).get(number)
            if self._infer(table, number, before, after, touched):
                _put(rows, Edit(table, number, before, after))
            else:
                what = f"another {table} {number} than the log comes to; the log is kept"
                self.found.append(StoreFinding(what, f"the snapshot at change {snap.title.number}"))

    def _stream(self, *, report: bool) -> Iterator[tuple[int, Entry | None]]:
        """Every number from 1 on with its change, or None where it is lost; `report` on the first walk."""
        number = 0
        for row in self._repaired_rows(report):
            entry = row.entry
            if entry is None:
                continue
            if entry.number <= number:
                if report:
                    self.found.append(StoreFinding(f"is change {entry.number} again; left out", row.where))
                continue
            if entry.number > number + WIDEST:
                if report:
                    self.found.append(StoreFinding(f"claims to be change {entry.number}; left out", row.where))
                continue
            for missing in range(number + 1, entry.number):
                yield missing, None
            yield entry.number, entry
            number = entry.number
        last = max((n for n in self._snapshots if n <= number + WIDEST), default=0)
        mark = self._mark
        if mark is not None and mark.beyond(self._workshop, max(number, last)) and mark.number <= number + WIDEST:
            if report:
                what = lost_text(max(number, last) + 1, mark.number)
                self.found.append(StoreFinding(what, self.folder.place(self.folder.journal)))
            last = mark.number
        for missing in range(number + 1, last + 1):
            yield missing, None

    def _repaired_rows(self, report: bool) -> Iterator[Row]:
        """The sound lines of this workshop, wrong single bytes put right."""
        for path in survey.files(self.folder):
            refuse_newer_head(path, damaged=False)
            damaged: list[Row] = []
            foreign = 0
            for row in survey.rows(self.folder, path):
                if row.fault is not None:
                    damaged.append(row)
                    continue
                yield from self._put_right(damaged, report)
                damaged = []
                workshop = row.epoch.rpartition(".")[0]
                self._workshop = self._workshop or workshop
                if workshop == self._workshop:
                    yield row
                else:
                    foreign += 1
            yield from self._put_right(damaged, report)
            if report and foreign:
                what = f"has {foreign} lines of another workshop; left out"
                self.found.append(StoreFinding(what, self.folder.place(path)))

    def _put_right(self, damaged: list[Row], report: bool) -> Iterator[Row]:
        """The rows of a damaged stretch that one wrong byte explains, taken together or line by line."""
        if not damaged:
            return
        stretches = [damaged, *([row] for row in damaged)] if len(damaged) > 1 else [damaged]
        for stretch in stretches:
            where = stretch[0].where
            lines = repair(b"".join(row.data for row in stretch))
            rows = [survey.row(line, where, first=False) for line in lines]
            good = bool(rows) and all(not row.fault and row.epoch.rpartition(".")[0] == self._workshop for row in rows)
            if good:
                if report:
                    self.repaired.append(where)
                    self.found.append(StoreFinding("had one wrong byte, which was put right", where))
                yield from rows
                if stretch is damaged:
                    return
            elif report and (stretch is not damaged or len(damaged) == 1):
                row = stretch[0]
                if not row.torn:
                    self.found.append(StoreFinding(f"{row.fault}; kept in damaged.txt", where))
                self.aside.append((where, row.data))

    # The second walk

    def log(self, at: str, who: str) -> Iterator[tuple[Change, str, str]]:
        """The changes to write, each going on from the one before."""
        rows: Documents = {}
        for number, entry in self._stream(report=False):
            if entry is None:
                edits = tuple(self._inferred.get(number, ()))
                lost = Change(did=LOST, said=f"change {number} could not be read", edits=edits)
                entry = Entry(number, at, who, lost)
            change = _going_on(rows, entry.change)
            for edit in change.edits:
                _put(rows, edit)
            yield change, entry.at, entry.who

    def keep_aside(self, new: Folder) -> None:
        """Write the lines that could not be read where a person can look at them."""
        if not self.aside:
            return
        text = b"".join(f"# {where}\n".encode() + data.rstrip(b"\n") + b"\n" for where, data in self.aside)
        try:
            Disk().put(new.damaged, text)
        except OSError as error:
            raise trouble("could not be written", new.damaged, error) from error

    def copy_beside(self, new: Folder) -> None:
        """Copy the photos and the person's settings; links are left out, for they may lead anywhere."""
        for path in (self.folder.settings, *sorted(self.folder.photos.rglob("*"))):
            if path.is_symlink() or not path.is_file():
                continue
            place = new.path / path.relative_to(self.folder.path)
            try:
                Disk().make_folder(place.parent)
                shutil.copy2(path, place)
            except OSError as error:
                self.found.append(StoreFinding(f"could not be copied: {reason(error)}", self.folder.place(path)))


def _put(rows: Documents, edit: Edit) -> None:
    table = rows.setdefault(edit.table, {})
    if edit.new is None:
        table.pop(edit.id, None)
    else:
        table[edit.id] = edit.new


def _going_on(rows: Documents, change: Change) -> Change:
    """The change with each edit starting from what is there: the same change, wherever the log is whole."""
    seen: dict[tuple[str, int], Document | None] = {}
    edits = []
    for edit in change.edits:
        key = (edit.table, edit.id)
        now = seen[key] if key in seen else rows.get(edit.table, {}).get(edit.id)
        edits.append(Edit(edit.table, edit.id, now, edit.new))
        seen[key] = edit.new
    return Change(did=change.did, said=change.said, edits=tuple(edits), machine=change.machine, undoes=change.undoes)
