"""What was said to be wrong at a walk-back, and was not put right since."""

from __future__ import annotations

from putback.trade.record.record import Record
from putback.trade.record.session import CLOSE, WRONG, Session, WalkBackAnswer
from putback.trade.record.step import Step


def still_wrong(record: Record, machine: int) -> list[WalkBackAnswer]:
    """Return the answers *wrong* of a machine's walk-backs that none after them closed, in order, one a step."""
    wrong: dict[int, WalkBackAnswer] = {}
    for session in record.all(Session, machine):
        for walked in session.walked:
            if walked.answer == WRONG:
                wrong[walked.step_id] = walked
            elif walked.answer in CLOSE:
                wrong.pop(walked.step_id, None)
    return list(wrong.values())


def wrong_at(record: Record, step: Step) -> WalkBackAnswer | None:
    """Return the answer *wrong* that stands of a step, or None."""
    return next((walked for walked in still_wrong(record, step.machine) if walked.step_id == step.id), None)
