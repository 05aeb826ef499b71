"""Rules for spares: what came and was not used, and one of them going in for what is lost, broken or worn."""

from __future__ import annotations

from typing import Any

from putback.errors import BadInput, Refused
from putback.sizing import Readings, snap
from putback.trade.commands.bagging import gives_way, stand_in, thing_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.fastener import KINDS, THREADED, Head
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import quoted, times
from putback.trade.record.place import FITTED, LOOSE, out_of_reach, read_place
from putback.trade.record.spare import OF_NO_MACHINE, Spare
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import in_its_place

MOST = 100_000
"""How many spares of one sort may come at once."""


class AddSpare(Command, frozen=True, kw_only=True):
    """Note spares: they belong to the workshop, not to the machine on the bench."""

    is_work = False

    size: str
    """The size as it is said, `#8-32 UNC x 3/8`; or what it is."""
    count: int = 1
    """How many, from 1."""
    kind: str = "screw"
    """What it is, one of KINDS; empty where the size says it."""
    head: Head = ""
    """The head, one of HEADS; empty where not said."""
    thread: str = ""
    """The thread alone, as `#8-32 UNC`; empty where it has none or it is not sure."""
    length: str = ""
    """The length alone, as `3/8`; empty where none is known."""
    origin: str = ""
    """Where they are from, in the person's words."""
    place: str = ""
    """Where they lie, in the person's words."""


class TakeSpare(Command, frozen=True, kw_only=True):
    """Take some of a spare: one that goes in for a fastener or part of the machine, or some that went elsewhere."""

    is_work = False

    spare: int
    """The spare's number in the workshop."""
    thing: int = 0
    """The number in the workshop of what it goes in for; 0 where they went elsewhere."""
    count: int = 1
    """How many went, where they went elsewhere."""
    put: str = LOOSE
    """Where the one that goes in lies, as a place."""
    because: str = ""
    """Why it is done all the same, where it throws away an original of a machine kept as found."""


def _words(text: str) -> str:
    return " ".join(text.split())


def add_spare(draft: Draft, command: AddSpare) -> Change:
    """Note spares; more of the same size, head and place are added to those there are."""
    size = _words(command.size)
    if not size:
        raise BadInput("Say the size, or what it is.")
    if command.kind not in ("", *KINDS):
        raise BadInput(f"{quoted(command.kind)} is not a kind of fastener.")
    if not 1 <= command.count <= MOST:
        raise BadInput(f"A count of spares is from 1 to {MOST}; {command.count} was said.")
    size, thread, length = _named(size, command, draft.get(Machine, draft.machine))
    new = Spare(
        id=draft.new_id(Spare),
        machine=OF_NO_MACHINE,
        size=size,
        kind=command.kind,
        head=command.head,
        thread=thread,
        length=length,
        came=command.count,
        origin=_words(command.origin),
        place=_words(command.place),
        at=draft.at,
    )
    draft.put(new)
    return draft.change("AddSpare", f"spares: {times(new.came, new.called)}{f', {new.origin}' if new.origin else ''}")


def _named(size: str, command: AddSpare, machine: Machine) -> tuple[str, str, str]:
    """Return the size of spares as all sizes are named, `#8-32 UNC x 1/2`, with its thread and its length.

    It is read as one of the machine on the bench would be; on the pad `*` stands for the `x` or a space. What names no
    size, or more than one, stays as it was typed.
    """
    if command.thread or command.length or command.kind not in THREADED:
        return size, command.thread, command.length
    stars = [at for at, letter in enumerate(size) if letter == "*"]
    tried = [size.replace("*", " "), *(f"{size[:at]} x {size[at + 1 :]}".replace("*", " ") for at in stars)]
    for text in tried:
        try:
            found = snap(
                Readings(
                    gauge=text,
                    kind=command.kind,
                    head=command.head or None,
                    origin=machine.origin,
                    unit=machine.unit,
                ),
                final=True,
            )
        except BadInput:
            continue
        if found.verdict in ("sure", "likely") and not found.problem and found.thread is not None:
            best = (half.best for half in (found.thread, found.length) if half is not None)
            names = [half.name if half is not None else "" for half in best]
            return found.size.removeprefix(f"{command.kind} "), names[0], names[1] if len(names) > 1 else ""
    return size.replace("*", " "), "", ""


def take_spare(draft: Draft, command: TakeSpare) -> Change:
    """Take some of a spare; one that goes in for something stands beside it, which ends as scrapped."""
    spare = draft.record.find(Spare, command.spare)
    if spare is None:
        raise Refused(f"There is no spare {command.spare}.")
    count = 1 if command.thing else command.count
    if not 1 <= count <= spare.left:
        raise Refused(f"There are {spare.left} of {spare.called} among the spares; {count} cannot be taken.")
    draft.alter(spare, gone=spare.gone + count)
    if not command.thing:
        return draft.change("TakeSpare", f"out of the spares: {times(count, spare.called)}")
    thing = in_its_place(draft.record, thing_numbered(draft, command.thing))
    step = draft.get(Step, thing.step)
    if step.back:
        raise Refused(f"Step {step.number}, {step.name}, is back: take it off again first.")
    put = read_place(command.put)
    if put == FITTED or out_of_reach(put):
        raise Refused("What goes in can lie only in a bag, in a box, on the shelf or on the bench.")
    gives_way(draft, thing)
    draft.opened_bag(put)
    size = f"{spare.size}" if thing.sort == "fastener" else spare.size
    new = stand_in(draft, thing, 1, put, size=size, note="from the spares")
    if spare.thread or spare.head:
        draft.alter(new, thread=spare.thread, length=spare.length, head=spare.head or new.head)
    at = f"step {step.number}{f', hole {thing.hole}' if thing.hole else ''}"
    return draft.change("TakeSpare", f"{at}: {spare.called} goes in, from the spares; {spare.left - 1} left")


RULES: dict[type[Command], Any] = {AddSpare: add_spare, TakeSpare: take_spare}
