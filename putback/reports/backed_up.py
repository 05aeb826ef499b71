"""What a backup came to, for the person."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from msgspec import Struct

from putback.reports.check import check_documents, check_photos
from putback.store import Store
from putback.store.backup import Backup
from putback.trade.checks.ledger import Finding
from putback.trade.record.phrases import counted


class BackedUp(Struct, frozen=True):
    """A copy and the proof of what it holds."""

    into: Path
    """The folder of the copy."""
    changes: int
    """The last change in it."""
    photos: int
    """Photo files in it."""
    size: int
    """Bytes of all its files."""
    findings: tuple[Finding, ...]
    """What does not add up in the record, and so in the copy of it."""
    notes: tuple[str, ...]
    """What is not wrong and is to be known."""

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong in it."""
        return not self.findings

    @property
    def text(self) -> str:
        """The outcome as lines of text."""
        held = f"{counted(self.changes, 'change')}, {counted(self.photos, 'photo')}, {_bytes(self.size)}"
        if self.ok:
            return "\n".join([f"{self.into}: {held}; proved, nothing wrong.", *self.notes])
        lines = [f"{self.into}: {held}. It is a true copy of a record in which this is wrong:"]
        return "\n".join([*lines, *(f"  {found.where}: {found.what}" for found in self.findings), *self.notes])

    def to_json(self) -> dict[str, Any]:
        """Return the outcome as the command line prints it; `notes` where there are any."""
        findings = [{"what": found.what, "where": found.where} for found in self.findings]
        built = {"ok": self.ok, "into": str(self.into), "changes": self.changes, "photos": self.photos}
        built |= {"bytes": self.size, "findings": findings}
        return {**built, "notes": list(self.notes)} if self.notes else built


def backed_up(copy: Backup, is_code: Callable[[str], bool]) -> BackedUp:
    """Prove what a copy holds, read from the copy itself: the balance, the codes, each photo's file.

    `is_code` tells whether a text is a bag code.
    """
    with Store.open(copy.into, at="", who="", read_only=True, must_exist=True) as store:
        findings = (*check_documents(store, is_code), *check_photos(copy.into, store))
    return BackedUp(copy.into, copy.changes, copy.photos, copy.size, findings, copy.walked.notes)


def _bytes(size: int) -> str:
    if size < 1000:
        return f"{size} bytes"
    return f"{size / 1000:.0f} kB" if size < 1_000_000 else f"{size / 1_000_000:.1f} MB"
