"""The open store: documents in memory, every change on disk before `commit` returns."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType

from msgspec import Raw

from putback.errors import Damaged, DiskTrouble, InUse, NotAWorkshop, StoreError
from putback.store import folding, logbook, upgrade
from putback.store.beside import beside_text
from putback.store.disk import Disk, trouble
from putback.store.folder import Folder
from putback.store.journal import Journal, MemoryJournal, Replayed
from putback.store.line import Entry, Head, LeanEdit, change_line, epoch_of
from putback.store.loading import Loaded, load
from putback.store.lock import Lock, Mark, has_left, read_mark
from putback.store.opening import damage, make, may_not_write, none_can_be_made, take_lock, taken_over, torn_text
from putback.store.snapshot import RESERVED
from putback.store.tables import LiveDB, LiveStorage, ReadyEdit, text_of
from putback.trade.record.change import Change, Document, Edit
from putback.trade.record.rows import Rows, same

FOLD_AT = 500
"""Lines in the journal from which a fold is worth a quiet moment."""

NOT_WRITTEN = "could not be written, and nothing was changed"


class Store:
    """A workshop's documents and its logbook. Opened with `Store.open` or `Store.in_memory`."""

    def __init__(self, folder: Folder | None, loaded: Loaded, disk: Disk) -> None:
        """Not for callers: see `open` and `in_memory`."""
        self._folder = folder
        self._disk = disk
        self._head = loaded.head
        self._read = loaded.read
        self._number = loaded.read.number
        self._journal: Journal | MemoryJournal | None = None
        self._lock: Lock | None = None
        self._refusal: StoreError | None = None
        self._half_folded = loaded.half_folded
        self._lost = loaded.lost
        self._format = loaded.format
        self._stroke: list[Edit] | None = None
        self.findings = loaded.findings
        """What is damaged in the folder; where there is anything, the store is open to read only."""
        self.notes: tuple[str, ...] = ()
        """Sentences to show the person at opening."""
        self.db = LiveDB(loaded.tables, self._receive, storage=LiveStorage)
        """The documents as a TinyDB: query as you like; write only inside `stroke`."""
        self._documents = loaded.tables  # what its storage holds

    @classmethod
    def open(
        cls,
        folder: Path,
        *,
        at: str,
        who: str,
        read_only: bool = False,
        must_exist: bool = False,
        disk: Disk | None = None,
    ) -> Store:
        """Open a workshop folder, making it where there is none.

        `at` and `who` go into the lock file, for the sentence that a second copy shows. With `read_only`
        nothing is written, not even a lock; with `must_exist` no workshop is made. Where the folder may not
        be written, is damaged, or is open in another copy, the store opens to read only and `notes` says
        why. Raises NotAWorkshop, NewerVersion, Damaged (nothing readable is left) or DiskTrouble.
        """
        places, disk = Folder(Path(folder).absolute()), disk or Disk()
        there = places.holds_workshop()
        if not there:
            if read_only or must_exist:
                raise NotAWorkshop(f"There is no workshop in {places.path}.")
            places.refuse_foreign()
        lock, refusal = (None, None) if read_only else take_lock(places, disk, at, who)
        try:
            if not places.holds_workshop() or folding.unfinished(places):
                if lock is None:
                    raise none_can_be_made(places, refusal)
                make(places, disk)
            # read before the journal: a writer may close, and mark it, while we read
            mark = read_mark(places.lock) if lock is None else lock.mark
            store = cls(places, load(places, mark), disk)
            store._settle(lock, refusal, mark)
        except BaseException:
            if lock is not None:
                lock.release()
            raise
        return store

    @classmethod
    def in_memory(cls) -> Store:
        """A store without a folder: the same in every other way, and gone when it is closed."""
        head = Head(version=upgrade.FORMAT, epoch=epoch_of(secrets.token_hex(4), 1), after=0)
        read = Replayed(number=0, length=0, line=1)
        loaded = Loaded(tables={}, head=head, read=read, format=upgrade.FORMAT)
        store = cls(None, loaded, Disk())
        store._journal = MemoryJournal()
        return store

    def _settle(self, lock: Lock | None, refusal: StoreError | None, mark: Mark | None) -> None:
        """Make the opened folder ready to write, or note why it is not. Takes the lock over."""
        folder = self._the_folder()
        notes = [note for note in (beside_text(folder),) if note]
        if lock is not None and lock.left_by is not None:
            notes.append(taken_over(lock.left_by))
        if self._read.torn and not self._lost:
            where = folder.place(folder.journal, self._read.line + 1)
            notes.append(torn_text(where, mark, lock.left_by if lock is not None else None))
        if self.findings:
            refusal = Damaged(damage(folder, self.findings[0], self._number, lost=self._lost))
        if lock is not None and refusal is None:
            try:
                notes += self._begin_writing(folder)
                lock.note(self._mark())
            except OSError as error:
                refusal = may_not_write(folder.path, error)
                self._drop_journal()
        if refusal is not None and lock is not None:
            lock.release()
            lock = None
        self._lock = lock
        self._refusal = refusal
        self.notes = (*notes, str(refusal)) if refusal is not None else tuple(notes)

    def _begin_writing(self, folder: Folder) -> list[str]:
        """Put right what an earlier copy left, and open the journal; gives what to tell. Raises OSError."""
        folding.sweep(folder, self._disk)
        if self._half_folded:
            self._finish_fold()
        else:
            self._journal = Journal(folder.journal, self._head, self._read, self._disk)
        if self._format == upgrade.FORMAT:
            return []
        kept = folding.keep_old_format(folder, self._disk, self._format)
        folding.begin(folder, self._disk, self._head, self._number, self._documents)
        self._finish_fold()
        return [f"The workshop was of an older format and was brought forward; {kept} is the old one."]

    def _drop_journal(self) -> None:
        if self._journal is not None:
            self._journal.close()
            self._journal = None

    # What it holds

    @property
    def folder(self) -> Path | None:
        """The workshop folder, or None in memory."""
        return self._folder.path if self._folder else None

    @property
    def number(self) -> int:
        """The number of the last change; 0 in a new workshop."""
        return self._number

    @property
    def writable(self) -> bool:
        """Whether this copy may commit."""
        return self._journal is not None

    @property
    def adrift(self) -> bool:
        """Whether the folder that this copy writes to is not there any more: what it holds is in memory alone."""
        return isinstance(self._journal, Journal) and not self._journal.path.exists()

    def tables(self) -> list[str]:
        """The tables that hold anything, or ever did."""
        return sorted(self._documents)

    @property
    def workshop_id(self) -> str:
        """The workshop's id: eight hexadecimal digits, the same as long as it lives."""
        return self._head.workshop

    def documents(self, table: str) -> Mapping[int, Document]:
        """A table's documents by number: a live view; each one asked for is the asker's own."""
        return self.rows(table).documents()

    def rows(self, table: str) -> Rows:
        """A table as the record reads it, and follows it: each document held once. Written by `commit` alone."""
        return self.db.table(table).rows

    def last_id(self, table: str) -> int:
        """The highest number the table has ever given away, removed documents included; 0 at first."""
        return self.rows(table).last_id

    def reserve(self, table: str, number: int) -> None:
        """Never give away a number of this table up to `number`; kept from the next fold on."""
        self.db.table(table).reserve(number)

    # Writing

    def commit(self, change: Change, *, at: str, who: str) -> int:
        """Put one change on disk and into the tables; gives its number.

        It is on the disk when this returns. On any error nothing has changed: DiskTrouble, or why this copy
        may only read (InUse, Damaged, DiskTrouble), Refused for text that cannot be written down, Damaged for a
        document that the record cannot read, and ValueError where an edit's `old` is not what the document is now.
        """
        return self.commit_many([(change, at, who)])

    def commit_many(self, changes: Iterable[tuple[Change, str, str]]) -> int:
        """Commit changes, each with its stamp and person, with one flush at the end; gives the last number.

        On an error nothing has changed. A power cut in the middle may leave the first of them; what must be
        whole belongs into one change.
        """
        writer = self._writer()
        number = self._number
        seen: dict[tuple[str, int], Raw | None] = {}
        written: list[bytes] = []
        ready: list[ReadyEdit] = []
        for change, at, who in changes:
            number += 1
            line, edits = change_line(self._head.epoch, number, at, who, change)
            ready += self._ready(change.did, edits, seen)
            written.append(line)
        if written:
            writer.append(b"".join(written), len(written))
            self.db.put(ready)
            self._number = number
        return number

    @contextmanager
    def stroke(self, change: Change, *, at: str, who: str) -> Iterator[LiveDB]:
        """Let TinyDB's own inserts, updates and removals inside the block join `change` as further edits.

        They are seen at once and committed as one change when the block ends; if it raises, or the commit
        does, they are taken back.
        """
        self._writer()
        self._stroke = []
        try:
            yield self.db
        finally:
            edits, self._stroke = tuple(self._stroke), None
            self._apply(Edit(e.table, e.id, e.new, e.old) for e in reversed(edits))
        whole = Change(
            did=change.did,
            said=change.said,
            edits=change.edits + edits,
            machine=change.machine,
            undoes=change.undoes,
        )
        self.commit(whole, at=at, who=who)

    def _receive(self, edits: tuple[Edit, ...]) -> None:
        """What TinyDB wants written."""
        if self._stroke is None:
            raise RuntimeError("TinyDB's tables are written inside Store.stroke only")
        self._apply(edits)
        self._stroke += edits

    def _writer(self) -> Journal | MemoryJournal:
        """The journal to write to, or why there is none."""
        if self._half_folded and self._journal is not None:
            try:
                self._finish_fold()
            except OSError as error:
                raise trouble(NOT_WRITTEN, self._the_folder().path, error) from error
        if self._journal is None:
            raise self._refusal or InUse(f"{self.folder} is open to read only.")
        if self._journal.number != self._number:
            raise DiskTrouble(f"The last change to {self.folder} was interrupted; open it again.")
        return self._journal

    def _ready(self, did: str, edits: list[LeanEdit], seen: dict[tuple[str, int], Raw | None]) -> Iterator[ReadyEdit]:
        """Read what a line's edits come to. Raises ValueError where one does not start from what there is."""
        for edit in edits:
            if edit.table in RESERVED:
                raise ValueError(f"the table {edit.table} belongs to the store")
            table, key = self.db.table(edit.table), (edit.table, edit.id)
            after = edit.after()
            if not same(seen[key] if key in seen else table.rows.text(edit.id), edit.before()):
                raise ValueError(f"{edit.table} {edit.id} is not as the change {did!r} says it was")
            seen[key] = after
            yield table, edit.id, table.rows.ready(edit.id, after)

    def _apply(self, edits: Iterable[Edit]) -> None:
        texts = ((edit.table, edit.id, None if edit.new is None else text_of(edit.new)) for edit in edits)
        self.db.put(self.db.ready(texts))

    # The logbook

    def entries(self) -> Iterator[Entry]:
        """Every change, oldest first, folded ones included. Raises Damaged naming file and line."""
        if isinstance(self._journal, MemoryJournal):
            return logbook.remembered(list(self._journal.lines))
        return logbook.forward(self._the_folder(), self._head, self._number)

    def entries_back(self) -> Iterator[Entry]:
        """Every change, newest first, folded ones included, reading no further than it is asked.

        Raises Damaged naming file and line.
        """
        if isinstance(self._journal, MemoryJournal):
            return logbook.remembered(reversed(self._journal.lines))
        length = self._journal.length if self._journal is not None else self._read.length
        return logbook.back(self._the_folder(), self._head, length, self._number)

    def writer_left(self) -> bool:
        """Tell whether this copy only reads because another wrote, and that one has closed since."""
        there = isinstance(self._refusal, InUse) and self._folder is not None and not self.findings
        return there and has_left(self._the_folder().lock)

    def follow(self) -> tuple[Entry, ...]:
        """For a copy that only reads: take in what the writer has committed since, and give it.

        Raises Damaged where the folder no longer goes on from what this copy knows: open it again.
        """
        if self.writable or self._folder is None or self.findings:
            return ()
        new: list[Entry] = []
        for head, length, entry in logbook.since(self._folder, self._head, self._read.length, self._number):
            if entry is not None:
                self._apply(entry.change.edits)
                self._number = entry.number
                new.append(entry)
            self._head = head
            self._read.length = length
        return tuple(new)

    # Quiet moments

    def should_fold(self) -> bool:
        """Whether the journal has grown enough that folding it is worth a quiet moment."""
        return self.writable and self._folder is not None and self._number - self._head.after >= FOLD_AT

    def fold(self) -> None:
        """Fold the journal into the snapshot; nothing to do in memory, read-only, or without changes.

        Takes about as long as reading the workshop, so call it at opening, at a break, at the end. Raises
        DiskTrouble with everything as it was, or with the fold to be finished by the next commit or opening.
        """
        if self._folder is None or self._journal is None or self._number == self._head.after:
            return
        self._writer()
        # an interrupt in between may leave either state, and both are finished in the same way
        self._half_folded = True
        try:
            try:
                folding.begin(self._folder, self._disk, self._head, self._number, self._documents)
            except OSError:
                self._half_folded = False
                raise
            self._finish_fold()
        except OSError as error:
            raise trouble("could not be folded, and nothing is lost", self._folder.path, error) from error

    def _finish_fold(self) -> None:
        folder = self._the_folder()
        if self._journal is not None:
            self._journal.close()
        self._head = folding.finish(folder, self._disk, self._head, self._number)
        length = os.stat(folder.journal).st_size
        self._read = Replayed(number=self._number, length=length, line=1)
        self._journal = Journal(folder.journal, self._head, self._read, self._disk)
        self._half_folded = False

    def close(self) -> None:
        """Let go of the folder; fine when closed already."""
        if self._journal is not None:
            if self._lock is not None:
                self._lock.release(self._mark())
                self._lock = None
            self._drop_journal()
            self._refusal = self._refusal or InUse(f"{self.folder} is closed.")
        if self._lock is not None:
            self._lock.release()
            self._lock = None

    def _mark(self) -> Mark:
        """How far the journal has come."""
        length = self._journal.length if isinstance(self._journal, Journal) else self._read.length
        return Mark(self._head.epoch, self._number, length)

    def __enter__(self) -> Store:
        """The store itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close it."""
        self.close()

    def _the_folder(self) -> Folder:
        if self._folder is None:
            raise InUse("This workshop is in memory and closed.")
        return self._folder
