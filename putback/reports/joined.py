"""What joining two workshops came to, for the person."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from putback.store.apart import JoinReport
from putback.trade.record.phrases import counted


class JoinedReport(Struct, frozen=True):
    """One workshop of two, proved before it was there."""

    report: JoinReport
    """What the store tells of it."""

    @property
    def ok(self) -> bool:
        """Whether nothing has to be looked at."""
        return not self.report.different

    @property
    def text(self) -> str:
        """The outcome as lines of text."""
        report = self.report
        since = f"{counted(report.first, 'change')} of the first, {counted(report.second, 'change')} of the second"
        lines = [f"Up to change {report.common} the two are one; since then {since}."]
        if report.different:
            lines.append("Both changed these, each in its way. They are as the first has them; look at each:")
            lines += [f"  {found.where}: {found.what}" for found in report.different]
        if report.renewed:
            lines.append("New numbers and codes:")
            lines += [f"  {line}" for line in report.renewed]
        held = counted(report.changes, "change")
        return "\n".join([*lines, f"{report.into} has {held}, proved; both old folders are as they were."])

    def to_json(self) -> dict[str, Any]:
        """Return the outcome as the command line prints it."""
        report = self.report
        return {
            "ok": self.ok,
            "into": str(report.into),
            "common": report.common,
            "first": report.first,
            "second": report.second,
            "changes": report.changes,
            "renewed": list(report.renewed),
            "different": [{"what": found.what, "where": found.where} for found in report.different],
        }
