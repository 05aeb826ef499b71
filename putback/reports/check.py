"""Proof of a whole workshop: its files, its balance, and its codes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from msgspec import Struct

from putback.errors import BadInput, Damaged
from putback.store import Store
from putback.store.beside import judged
from putback.store.check import walk_folder
from putback.store.folder import Folder
from putback.store.photos import photo_name
from putback.trade.checks.ledger import Finding
from putback.trade.files.proof import check_codes, prove
from putback.trade.record.photo import is_photo_file
from putback.trade.record.phrases import counted
from putback.trade.record.record import TABLES, Record

PHOTOS = "photos"
"""The folder in a workshop where its photos lie."""


class CheckResult(Struct, frozen=True):
    """What a check came to."""

    changes: int
    """The number of the last change."""
    findings: tuple[Finding, ...]
    """What is wrong, each with its place."""
    notes: tuple[str, ...] = ()
    """What is not wrong and is to be known."""

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong."""
        return not self.findings

    @property
    def text(self) -> str:
        """The proof as lines of text."""
        if self.ok:
            changes = counted(self.changes, "change")
            whole = f"{changes}, nothing wrong: every line is whole and every thing is in one place."
            return "\n".join([whole, *self.notes])
        lines = [f"{f.where}: {f.what}" for f in self.findings]
        total = f"{counted(len(lines), 'finding')} in {counted(self.changes, 'change')}."
        return "\n".join([*lines, total, *self.notes])

    def to_json(self) -> dict[str, Any]:
        """Return the proof as the command line prints it; `notes` where there are any."""
        findings = [{"what": f.what, "where": f.where} for f in self.findings]
        built = {"ok": self.ok, "changes": self.changes, "findings": findings}
        return {**built, "notes": list(self.notes)} if self.notes else built


def check_workshop(folder: Path, is_code: Callable[[str], bool]) -> CheckResult:
    """Prove the workshop in `folder`; `is_code` tells whether a text is a bag code.

    Files that are damaged are findings. Raises a StoreError where there is no workshop, or a newer one.
    """
    walked = walk_folder(folder)
    findings = [Finding(f.what, f.where) for f in walked.found]
    found, left = judged(Folder(Path(folder).absolute()))
    beside = [Finding(f.what, f.where) for f in found]
    notes = (*walked.notes, *left)
    try:
        store = Store.open(folder, at="", who="", read_only=True, must_exist=True)
    except Damaged as fault:
        findings = findings or [Finding(str(fault), str(folder))]
        return CheckResult(0, (*findings, *beside), notes)
    with store:
        if not findings:
            findings = [*check_documents(store, is_code), *check_photos(folder, store)]
        return CheckResult(store.number, (*findings, *beside), notes)


def check_photos(folder: Path, store: Store) -> Iterator[Finding]:
    """Give every photo that the record names and whose file is not in the photos folder, or another than it was."""
    for number, found in sorted(store.documents("photos").items()):
        name = str(found.get("file", ""))
        if not is_photo_file(name):  # the record's own proof tells of it; here it must lead nowhere
            continue
        path, where = folder / PHOTOS / name, f"photo {number} ({name})"
        if path.is_symlink() or not path.is_file():
            yield Finding("is named by the record, and its file is not there", where)
            continue
        try:
            content = photo_name(path)
        except BadInput as fault:
            yield Finding(str(fault), where)
            continue
        if Path(content).stem != path.stem:
            yield Finding("is not the picture any more that it was: the file has been changed or damaged", where)


def check_documents(store: Store, is_code: Callable[[str], bool]) -> Iterator[Finding]:
    """Give every error of what an open store holds: documents that are none, the balance, the codes."""
    record = Record()
    faults = []
    for table in TABLES:
        try:
            record.load(table, store.documents(table))
        except Damaged as fault:
            faults.append(Finding(str(fault), f"table {table}"))
    # A table that could not be read leaves the others pointing at nothing; that would only hide the error.
    yield from faults
    yield from check_codes(record, is_code) if faults else prove(record, is_code)
