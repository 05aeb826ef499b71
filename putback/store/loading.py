"""Reading a workshop folder into memory: the snapshot, and the journals from there on."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct

from putback.errors import Damaged, NewerVersion, NotAWorkshop
from putback.store import journal, snapshot, upgrade
from putback.store.disk import trouble
from putback.store.folder import Folder
from putback.store.journal import Replayed, Tables, reading
from putback.store.line import LINE_LIMIT, Fault, Head, epoch_of, misplaced, newer_format, read_head, verify
from putback.store.lock import Mark
from putback.store.snapshot import Snapshot


class StoreFinding(Struct, frozen=True):
    """Something wrong in a workshop folder."""

    what: str
    """What is wrong; read behind `where` it makes a sentence."""
    where: str
    """File and line, or table and number."""


class Loaded(Struct, kw_only=True):
    """A workshop as read from its folder."""

    tables: Tables
    """All documents."""
    head: Head
    """The head of the journal that goes on."""
    read: Replayed
    """How far that journal was taken in."""
    findings: tuple[StoreFinding, ...] = ()
    """What is damaged; where there is anything the record may only be read."""
    half_folded: bool = False
    """The snapshot is new already and the journal still the old one."""
    lost: bool = False
    """Whether confirmed changes are missing at the end."""
    format: int
    """The oldest format read; what is in memory is in today's."""


def lost_text(first: int, last: int) -> str:
    """What is wrong with a journal that ends before changes which had been confirmed."""
    return f"is cut short; lost after confirmation: {'change' if first == last else 'changes'} {first}" + (
        f" to {last}" if last > first else ""
    )


@contextmanager
def bulk() -> Iterator[None]:
    """Hold the collector still while a million fresh objects, none of them garbage, come in."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def load(folder: Folder, mark: Mark | None = None) -> Loaded:
    """The whole workshop; damage in a part of it comes back as findings, with the record up to there.

    `mark` is how far the journal is known to have come: one that comes short of it is a finding.

    Raises NotAWorkshop, NewerVersion, DiskTrouble, or Damaged where nothing can be read.
    """
    with bulk():
        for _ in range(5):
            loaded = _load(folder)
            if loaded is not None:
                short = mark is not None and mark.beyond(loaded.head.workshop, loaded.read.number)
                if mark is not None and short and not loaded.findings:
                    what = lost_text(loaded.read.number + 1, mark.number)
                    where = folder.place(folder.journal, loaded.read.line + 1)
                    loaded.findings, loaded.lost = (StoreFinding(what, where),), True
                return loaded
        raise Damaged(f"{folder.path} is being folded by another copy without end; try again.")


def _load(folder: Folder) -> Loaded | None:
    """One try; None where a writer folded between our reading of snapshot and journal."""
    findings: list[StoreFinding] = []
    base = read_snapshot(folder, findings)
    head = _head(folder, findings)
    if base is None and head is None:
        raise Damaged(f"{folder.path}: {findings[0].where} {findings[0].what}, and nothing else can be read.")
    if base is not None and head is not None:
        title = base.title
        if head.workshop != title.workshop:
            what = f"belongs to another workshop ({head.workshop})"
            findings.append(StoreFinding(what, folder.place(folder.journal, 1)))
            head = None
        elif head.fold == title.fold - 1:
            return _half_folded(folder, base, head, findings)
        elif head.fold < title.fold:
            findings.append(StoreFinding(f"is older than {folder.snapshot.name}", folder.place(folder.journal, 1)))
            head = None
    if head is None:
        assert base is not None
        return _alone(base, findings)
    return _chain(folder, base, head, findings)


def read_snapshot(folder: Folder, findings: list[StoreFinding]) -> Snapshot | None:
    """`workshop.json`, or None with what is wrong added. Raises NotAWorkshop, NewerVersion or DiskTrouble."""
    try:
        return snapshot.read(folder.snapshot)
    except FileNotFoundError:
        findings.append(StoreFinding("is missing", folder.place(folder.snapshot)))
    except OSError as error:
        raise trouble("could not be read", folder.snapshot, error) from error
    except Fault as fault:
        findings.append(StoreFinding(str(fault), folder.place(folder.snapshot)))
    except snapshot.Foreign as error:
        if not folder.journal.exists():
            raise NotAWorkshop(f"{folder.snapshot} was not written by Putback.") from error
        findings.append(StoreFinding("was not written by Putback", folder.place(folder.snapshot)))
    except snapshot.Newer as error:
        raise newer(folder.snapshot, error) from error
    return None


def newer(path: Path, error: snapshot.Newer) -> NewerVersion:
    """The sentence for a file of a newer format."""
    doubt = "" if error.sound else " Or it is damaged: it does not fit its checksum."
    return NewerVersion(
        f"{path} is of format {error.version}, and this Putback reads up to {upgrade.FORMAT}; use a newer one.{doubt}"
    )


def refuse_newer_head(path: Path, *, damaged: bool = True) -> None:
    """Raise NewerVersion where a journal's first line is of a newer format. OSError may pass.

    `damaged` says whether to do so, too, where that line does not fit its checksum.
    """
    try:
        with open(path, "rb") as file:
            line = file.readline(LINE_LIMIT)
    except FileNotFoundError:
        return
    version = newer_format(line)
    if version is not None:
        try:
            verify(line)
            sound = True
        except Fault:
            sound = False
        if sound or damaged:
            raise newer(path, snapshot.Newer(version, sound))


def _head(folder: Folder, findings: list[StoreFinding]) -> Head | None:
    try:
        refuse_newer_head(folder.journal)
        with reading(folder.journal) as file:
            return read_head(file.readline(LINE_LIMIT))
    except FileNotFoundError:
        findings.append(StoreFinding("is missing", folder.place(folder.journal)))
    except OSError as error:
        raise trouble("could not be read", folder.journal, error) from error
    except Fault as fault:
        findings.append(StoreFinding(str(fault), folder.place(folder.journal, 1)))
    return None


def _alone(base: Snapshot, findings: list[StoreFinding]) -> Loaded:
    """The snapshot without a journal that fits."""
    title = base.title
    head = Head(version=upgrade.FORMAT, epoch=epoch_of(title.workshop, title.fold), after=title.number)
    read = Replayed(number=title.number, length=0, line=0)
    return Loaded(tables=base.tables, head=head, read=read, findings=tuple(findings), format=upgrade.FORMAT)


def _half_folded(folder: Folder, base: Snapshot, head: Head, findings: list[StoreFinding]) -> Loaded | None:
    """The snapshot was renamed into place, the journal not yet: all of the journal is in the snapshot."""
    with reading(folder.journal) as file:
        if read_head(file.readline(LINE_LIMIT)) != head:
            return None
        read = journal.replay(file, head, {})
    if read.number != base.title.number:
        what = f"ends with change {read.number}, but {folder.snapshot.name} with change {base.title.number}"
        findings.append(StoreFinding(what, folder.place(folder.journal, read.line + 1)))
        read.number = base.title.number
    loaded = _alone(base, findings)
    loaded.head, loaded.read, loaded.half_folded = head, read, True
    return loaded


def _chain(folder: Folder, base: Snapshot | None, head: Head, findings: list[StoreFinding]) -> Loaded | None:
    """Replay every journal from the base to the one that goes on.

    Where the base is `workshop.json` that is one file; where that one is damaged or too old, the newest
    sound snapshot in the history and the journals since, or, at worst, the history from its first line.
    """
    if base is None:
        base = _older_base(folder, head)
    title = base.title
    tables, number = base.tables, title.number
    oldest = min(title.format, head.version)
    for fold in range(title.fold, head.fold + 1):
        path = folder.journal if fold == head.fold else folder.old_journal(fold)
        try:
            with reading(path) as file:
                here = read_head(file.readline(LINE_LIMIT))
                if (here.workshop, here.fold) != (head.workshop, fold):
                    if path == folder.journal:
                        return None
                    raise Fault(misplaced(here.epoch, here.after, epoch_of(head.workshop, fold), number))
                if here.after != number:
                    raise Fault(f"goes on from change {here.after}, but the record before ends at {number}")
                read = journal.replay(file, here, tables)
        except Fault as fault:
            findings.append(StoreFinding(str(fault), folder.place(path, 1)))
            read = Replayed(number=number, length=0, line=0)
            break
        except FileNotFoundError:
            findings.append(StoreFinding("is missing", folder.place(path)))
            read = Replayed(number=number, length=0, line=0)
            break
        except OSError as error:
            raise trouble("could not be read", path, error) from error
        number = read.number
        if read.fault or (read.torn and fold != head.fold):
            what = read.fault or "ends in the middle of a line"
            findings.append(StoreFinding(f"{what} (change {number + 1})", folder.place(path, read.line + 1)))
            break
    return Loaded(tables=tables, head=head, read=read, findings=tuple(findings), format=oldest)


def _older_base(folder: Folder, head: Head) -> Snapshot:
    for fold, path in folder.old_snapshots():
        try:
            found = snapshot.read(path)
        except (Fault, snapshot.Foreign, snapshot.Newer, OSError):
            continue
        if found.title.workshop == head.workshop and found.title.fold == fold <= head.fold:
            return found
    nothing = snapshot.Title(format=upgrade.FORMAT, workshop=head.workshop, fold=1, number=0, last_ids={})
    return Snapshot(nothing, {})
