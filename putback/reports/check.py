"""Proof of a whole workshop: its files, its balance, and its codes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from msgspec import Struct

from putback.errors import Damaged
from putback.store import Store, check_folder
from putback.trade.bag import Bag
from putback.trade.ledger import Finding, check_balance
from putback.trade.record import TABLES, Record


class Proof(Struct, frozen=True):
    """What a check came to."""

    changes: int
    """The number of the last change."""
    findings: tuple[Finding, ...]
    """What is wrong, each with its place."""

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong."""
        return not self.findings

    @property
    def text(self) -> str:
        """The proof as lines of text."""
        if self.ok:
            return f"{self.changes} changes, nothing wrong: every line is whole and every thing is in one place."
        lines = [f"{f.where}: {f.what}" for f in self.findings]
        return "\n".join([*lines, f"{len(lines)} findings in {self.changes} changes."])

    def to_json(self) -> dict[str, Any]:
        """Return the proof as the command line prints it."""
        findings = [{"what": f.what, "where": f.where} for f in self.findings]
        return {"ok": self.ok, "changes": self.changes, "findings": findings}


def check_workshop(folder: Path, is_code: Callable[[str], bool]) -> Proof:
    """Prove the workshop in `folder`; `is_code` tells whether a text is a bag code.

    Raises a StoreError where there is no workshop, or a newer one.
    """
    findings = [Finding(f.what, f.where) for f in check_folder(folder)]
    with Store.open(folder, at="", who="", read_only=True, must_exist=True) as store:
        record = Record()
        for table in TABLES:
            try:
                record.load(table, store.documents(table))
            except Damaged as fault:
                findings.append(Finding(str(fault), f"table {table}"))
        if not findings:
            findings += check_balance(record)
            for bag in record.all(Bag):
                if not is_code(bag.code):
                    findings.append(Finding(f"“{bag.code}” is no bag code.", f"bag {bag.number}"))
        return Proof(store.number, tuple(findings))
