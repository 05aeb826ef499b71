"""What mending a damaged workshop came to, for the person."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from msgspec import Struct

from putback.reports.check import CheckResult
from putback.store import MendReport
from putback.trade.checks.ledger import Finding
from putback.trade.record.phrases import counted, few


class Mended(Struct, frozen=True):
    """A mended workshop and the proof of the new folder."""

    into: Path
    """The new folder."""
    changes: int
    """Changes in it, lost ones included."""
    lost: tuple[int, ...]
    """Numbers of the changes that could not be read."""
    repaired: tuple[str, ...]
    """Places where one wrong byte was put right."""
    findings: tuple[Finding, ...]
    """What was wrong in the old folder."""
    proof: CheckResult
    """The proof of the new one."""

    @property
    def ok(self) -> bool:
        """Whether there was nothing to mend."""
        return not self.findings and not self.lost

    @property
    def text(self) -> str:
        """The outcome as lines of text."""
        lines = [f"{found.where}: {found.what}" for found in self.findings]
        if self.lost:
            verb = "is" if len(self.lost) == 1 else "are"
            lines.append(f"Lost {verb} {counted(len(self.lost), 'change')}: {few([str(n) for n in self.lost], 20)}.")
        elif self.findings:
            lines.append("Nothing is lost.")
        else:
            lines.append("Nothing was wrong; this is a copy.")
        lines.append(f"{self.into} has {counted(self.changes, 'change')}; the old folder is as it was.")
        if not self.proof.ok:
            lines.append("In the new folder this does not add up:")
            lines += [f"  {found.where}: {found.what}" for found in self.proof.findings]
        return "\n".join(lines)

    def to_json(self) -> dict[str, Any]:
        """Return the outcome as the command line prints it."""
        return {
            "ok": self.ok,
            "changes": self.changes,
            "findings": [{"what": f.what, "where": f.where} for f in self.findings],
            "into": str(self.into),
            "lost": list(self.lost),
            "repaired": list(self.repaired),
            "new": self.proof.to_json(),
        }


def mended(report: MendReport, proof: CheckResult) -> Mended:
    """Return what mending came to, from the store's report and the proof of the new folder."""
    findings = tuple(Finding(found.what, found.where) for found in report.findings)
    return Mended(report.into, report.changes, report.lost, report.repaired, findings, proof)
