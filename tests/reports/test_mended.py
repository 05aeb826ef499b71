"""What a person is told of a mended workshop."""

from __future__ import annotations

from pathlib import Path

from putback.reports.check import CheckResult
from putback.reports.mended import mended
from putback.store import MendReport, StoreFinding
from putback.trade.checks.ledger import Finding as Fault

INTO = Path("new")


def report(
    lost: tuple[int, ...] = (), repaired: tuple[str, ...] = (), findings: tuple[StoreFinding, ...] = ()
) -> MendReport:
    return MendReport(into=INTO, changes=9, lost=lost, repaired=repaired, findings=findings)


def test_nothing_to_mend() -> None:
    text = mended(report(), CheckResult(9, ()))
    assert text.ok and text.text.splitlines() == [
        "Nothing was wrong; this is a copy.",
        "new has 9 changes; the old folder is as it was.",
    ]


def test_all_of_it_saved() -> None:
    found = StoreFinding("had one wrong byte, which was put right", "workshop.journal, line 4")
    text = mended(report(repaired=("workshop.journal, line 4",), findings=(found,)), CheckResult(9, ()))
    assert not text.ok and text.text.splitlines() == [
        "workshop.journal, line 4: had one wrong byte, which was put right",
        "Nothing is lost.",
        "new has 9 changes; the old folder is as it was.",
    ]
    assert text.to_json() == {
        "ok": False,
        "changes": 9,
        "findings": [{"what": found.what, "where": found.where}],
        "into": "new",
        "lost": [],
        "repaired": ["workshop.journal, line 4"],
        "new": {"ok": True, "changes": 9, "findings": []},
    }


def test_what_is_lost_and_what_does_not_add_up_since() -> None:
    found = (StoreFinding("does not fit its checksum; kept in damaged.txt", "workshop.journal, line 4"),)
    fault = Fault("It came off at a step that is not there.", "press, thing 3 (screw)")
    text = mended(report(lost=(3,), findings=found), CheckResult(9, (fault,)))
    assert text.text.splitlines()[1:] == [
        "Lost is 1 change: 3.",
        "new has 9 changes; the old folder is as it was.",
        "In the new folder this does not add up:",
        "  press, thing 3 (screw): It came off at a step that is not there.",
    ]
    assert "Lost are 30 changes: 1, 2, 3," in mended(report(lost=tuple(range(1, 31))), CheckResult(9, ())).text
