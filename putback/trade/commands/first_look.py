"""What is seen of a machine before anything comes off, later on, and in the end."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.first_look import ASKED_AGAIN, ONE, SORTS, Seen
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import cut, quoted

LONGEST_SAID = 60
"""Characters of what is said again."""


class LookAt(Command, frozen=True, kw_only=True):
    """Say one thing seen of the machine: where it is from, a fault, what works."""

    is_work = False
    free_words = ("what",)

    sort: str
    """A key of SORTS."""
    what: str
    """In the person's own words; never empty."""


class MendLook(Command, frozen=True, kw_only=True):
    """Say right what was seen of the machine, or what became of it."""

    is_work = False

    sort: str
    """The sort of what was seen."""
    what: str
    """Its words, as they stand."""
    new: str | None = None
    """Its words as they should be; empty takes it out, None leaves them."""
    came_of: str | None = None
    """What became of it; empty for nothing yet, None leaves what was said."""


def checked_look(seen: tuple[Seen, ...]) -> tuple[Seen, ...]:
    """Return what was seen with clean words, each once.

    Raises BadInput for a sort that is none, for no words, and for the end of something that has none.
    """
    clean: list[Seen] = []
    for one in seen:
        what, came_of = one.what.strip(), one.came_of.strip()
        if one.sort not in SORTS:
            raise BadInput(f"{quoted(one.sort)} is not a sort of what a first look sees; say {', '.join(SORTS)}.")
        if not what:
            raise BadInput("What was seen of the machine? It needs words.")
        if came_of and one.sort not in ASKED_AGAIN:
            raise BadInput(f"What became of it is not asked of “{SORTS[one.sort]}”.")
        new = Seen(sort=one.sort, what=what, came_of=came_of)
        kin = (k for k, other in enumerate(clean) if other.sort == one.sort)
        at = next((k for k in kin if one.sort in ONE or clean[k].what == what), None)
        if at is None:
            clean.append(new)
        elif one.sort in ONE:
            clean[at] = new
    return tuple(clean)


def look_at(draft: Draft, command: LookAt) -> Change:
    """Add one thing to what was seen of the machine; of some sorts in place of what was said."""
    machine = draft.get(Machine, draft.machine)
    seen = checked_look((*machine.first_look, Seen(sort=command.sort, what=command.what)))
    if seen == machine.first_look:
        raise Refused("That is what the record says already.")
    draft.alter(machine, first_look=seen)
    new = next(one for one in seen if (one.sort, one.what) == (command.sort, command.what.strip()))
    return draft.change("LookAt", f"first look: {cut(new.text, LONGEST_SAID)}")


def mend_look(draft: Draft, command: MendLook) -> Change:
    """Say something of it right, take it out, or say what became of it."""
    machine = draft.get(Machine, draft.machine)
    at = next(
        (k for k, one in enumerate(machine.first_look) if (one.sort, one.what) == (command.sort, command.what.strip())),
        None,
    )
    if at is None:
        raise Refused(f"{quoted(command.what)} is not in the first look of this machine.")
    seen = list(machine.first_look)
    if command.new is not None and not command.new.strip():
        gone = seen.pop(at)
        draft.alter(machine, first_look=tuple(seen))
        return draft.change("MendLook", f"first look: taken out: {cut(gone.text, LONGEST_SAID)}")
    seen[at] = replace(
        seen[at],
        what=seen[at].what if command.new is None else command.new,
        came_of=seen[at].came_of if command.came_of is None else command.came_of,
    )
    clean = checked_look(tuple(seen))
    if len(clean) < len(seen) or clean == machine.first_look:
        raise Refused("That is what the record says already.")
    draft.alter(machine, first_look=clean)
    return draft.change("MendLook", f"first look: {cut(clean[at].text, LONGEST_SAID)}")


RULES: dict[type[Command], Any] = {LookAt: look_at, MendLook: mend_look}
