"""What each command does: `apply` turns one into a change, or says why not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any

from putback.errors import Refused
from putback.trade.change import Change
from putback.trade.commands import Command, NewMachine
from putback.trade.draft import Draft
from putback.trade.machine import Machine
from putback.trade.record import Record

Rule = Callable[[Draft, Any], Change]

TAKE_IN = "TakeIn"
"""What the change is called that takes in machines of another workshop; no command makes it."""

NOT_TAKEN_BACK = frozenset(
    {"NewMachine", TAKE_IN, "StartSession", "Pause", "Resume", "WasAway", "EndSession", "WalkBack"}
)
"""Changes that taking back passes over: a machine on the bench or taken in, and time at it.

Those about time touch sessions only, and no other command does, so what lies before them can still be
taken back.
"""


@cache
def _rules() -> Mapping[type[Command], Rule]:
    # The rules import the commands, so they are gathered on first use.
    from putback.trade import (
        bagging,
        breaking_off,
        forgotten,
        mending_record,
        off_again,
        picturing,
        putting_back,
        setting_up,
        sitting,
        step_needs,
        taking_off,
        trouble,
        working_on,
    )

    return {
        **setting_up.RULES,
        **sitting.RULES,
        **taking_off.RULES,
        **step_needs.RULES,
        **working_on.RULES,
        **bagging.RULES,
        **putting_back.RULES,
        **off_again.RULES,
        **mending_record.RULES,
        **forgotten.RULES,
        **picturing.RULES,
        **breaking_off.RULES,
        **trouble.RULES,
    }


def apply(record: Record, machine: int, command: Command, *, at: str, codes: Iterable[str] = ()) -> Change:
    """Return the change that `command` makes on `machine`, leaving the record as it is.

    `at` is the stamp of now, ISO 8601 with an offset; `codes` gives unused bag codes, one for each bag
    that the command begins. Raises Refused, or BadInput for words that mean nothing, with one sentence;
    then nothing is changed.
    """
    if isinstance(command, NewMachine):
        machine = record.next_id("machines")
    elif record.find(Machine, machine) is None:
        raise Refused("There is no such machine on the bench." if machine else "There is no machine on the bench yet.")
    change = _rules()[type(command)](Draft(record, machine, at, codes), command)
    if not change.edits:
        raise Refused(f"Nothing to do: {change.said}.")
    return change
