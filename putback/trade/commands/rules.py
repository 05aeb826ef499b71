"""What each command does: `apply` turns one into a change, or says why not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from putback.errors import BadInput, Refused
from putback.trade.commands import (
    bag_corrections,
    bagging,
    breaks,
    coming_out,
    corrections,
    donors,
    entering,
    first_look,
    getting,
    jobs,
    late_entries,
    looking_back,
    machines,
    naming_lengths,
    needs,
    notes,
    off_again,
    on_hold,
    photos,
    printed_labels,
    putting_back,
    sessions,
    sorting_lots,
    sparing,
    taking_off,
    trips,
    trouble,
)
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.machines import NewMachine
from putback.trade.commands.thrown_away import with_because
from putback.trade.record.change import Change
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.words import strange_words

Rule = Callable[[Draft, Any], Change]

TAKE_IN = "TakeIn"
"""What the change is called that takes in machines of another workshop; no command makes it."""

_RULES: Mapping[type[Command], Rule] = {
    **machines.RULES,
    **sessions.RULES,
    **taking_off.RULES,
    **entering.RULES,
    **notes.RULES,
    **needs.RULES,
    **jobs.RULES,
    **first_look.RULES,
    **bagging.RULES,
    **putting_back.RULES,
    **off_again.RULES,
    **on_hold.RULES,
    **corrections.RULES,
    **bag_corrections.RULES,
    **naming_lengths.RULES,
    **late_entries.RULES,
    **photos.RULES,
    **printed_labels.RULES,
    **breaks.RULES,
    **trouble.RULES,
    **looking_back.RULES,
    **coming_out.RULES,
    **trips.RULES,
    **sparing.RULES,
    **getting.RULES,
    **donors.RULES,
    **sorting_lots.RULES,
}


NOT_TAKEN_BACK = frozenset({TAKE_IN, *(command.__name__ for command in _RULES if not command.can_be_taken_back)})
"""The names of changes that taking back passes over: a machine on the bench or taken in, and time at it.

Those about time touch sessions only, and no other command does, so what lies before them can still be
taken back.
"""


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
    for strange in strange_words(command):
        raise BadInput(strange.refusal)
    change: Change = _RULES[type(command)](Draft(record, machine, at, codes), command)
    if because := getattr(command, "because", ""):
        change = with_because(record, change, because)
    if not change.edits:
        raise Refused(f"Nothing to do: {change.said}.")
    return change
