"""Finding: everything of all machines as lines that a few typed words pick out, the nearest first.

The lines are made once when the search opens; each key only looks through them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import nsmallest

from msgspec import Struct

from putback.trade.record.bag import Bag
from putback.trade.record.fastener import READINGS, Thing
from putback.trade.record.holes import faces_with_holes, spots_named
from putback.trade.record.machine import Machine, Part
from putback.trade.record.place import in_bag
from putback.trade.record.record import Record
from putback.trade.record.step import Step

SORTS = ("machine", "bag", "part", "step", "fastener", "piece")
"""What can be found, in the order that equally near ones are listed."""

MOST = 99
"""Lines that are listed; who wants more types one letter more."""

_ORDER = {sort: place for place, sort in enumerate(SORTS)}
_SQUEEZED = str.maketrans("", "", " #-.,/x")


class Findable(Struct, frozen=True):
    """One thing that can be found."""

    sort: str
    """One of SORTS."""
    id: int
    """Its number in the workshop: of the bag, part, step or thing."""
    name: str
    """What it is, in a line."""
    detail: str
    """Where it belongs on its machine, in a few words."""
    machine: str
    """Whose it is, name and serial."""
    machine_id: int
    """The machine's number."""
    searched: tuple[str, ...] = ()
    """Notes and the like, in the person's own words."""
    title: str = ""
    """Its name alone, as it is compared: no capitals."""
    exactly: tuple[str, ...] = ()
    """What is this and nothing else, no capitals: its name, a step's number, a bag's number and code."""
    hay: str = ""
    """Everything that can be typed to find it: no capitals."""


class Hit(Struct, frozen=True):
    """An entry that was found."""

    entry: Findable
    """What was found."""
    why: str
    """The note it was found by, where its name does not show it."""


class SearchResult(Struct, frozen=True):
    """What some words come to."""

    hits: tuple[Hit, ...]
    """The nearest first, at most MOST."""
    total: int
    """How many there are in all."""


def entries(record: Record) -> list[Findable]:
    """Return everything that can be found in a workshop."""
    found: list[Findable] = []
    for machine in record.all(Machine):
        found += (_finished(entry) for entry in _of_machine(record, machine))
    return found


def _of_machine(record: Record, machine: Machine) -> Iterator[Findable]:
    whose = machine.caption, machine.id
    assemblies = {part.id: part.name for part in record.all(Part, machine.id)}
    seen = tuple(one.text for one in machine.first_look)
    kept = (*machine.notes, *machine.cautions, *seen)
    detail = "all that is said of it"
    yield Findable("machine", machine.id, machine.caption, detail, *whose, searched=kept, title=machine.name)
    for bag in record.all(Bag, machine.id):
        held = record.total(machine.id, in_bag(bag.number))
        box = f", box {bag.box}" if bag.box else ""
        detail = f"{bag.state}{box}, {held} in it"
        name = f"bag {bag.number}"
        exactly = (bag.code.casefold(), f"{bag.number}")
        yield Findable("bag", bag.id, name, f"{detail}   {bag.code}", *whose, title=name, exactly=exactly)
    for part in record.all(Part, machine.id):
        inside = f"in {assemblies[part.inside]}" if part.inside in assemblies else ""
        yield Findable("part", part.id, part.name, inside, *whose, title=part.name)
    for step in record.all(Step, machine.id):
        faces = dict.fromkeys((step.face, *faces_with_holes(record, step)))
        where = ", ".join(filter(None, (*faces, assemblies.get(step.area, ""))))
        texts = (
            step.note,
            *step.cautions,
            *step.at_refit,
            *(f"{a.text} {a.as_set}".strip() for a in step.adjust),
            *step.next_time,
            *step.tools,
            *(f"{job.do} {job.what} {job.result}".rstrip() for job in step.todo),
            step.soak.what if step.soak else "",
            step.state,
            f"tag {step.tag}" if step.tag else "",
            step.put,
        )
        name = f"step {step.number}: {step.text}"
        kept = tuple(filter(None, texts))
        exactly = (f"step {step.number}", f"{step.number}")
        yield Findable("step", step.id, name, where, *whose, searched=kept, title=step.name, exactly=exactly)
        yield from _things(record, step, whose)


def _things(record: Record, step: Step, whose: tuple[str, int]) -> Iterator[Findable]:
    alike: dict[tuple[str, str], list[Thing]] = {}
    for thing in record.things_of(step):
        if thing.sort != "part":
            alike.setdefault((thing.sort, thing.called), []).append(thing)
    for (sort, called), things in alike.items():
        count = sum(t.count for t in things)
        holes = spots_named([t.spot for t in things if t.hole], ", ")
        name = "found empty" if things[0].found else f"{count} x {called}" if count != 1 else called
        detail = f"step {step.number}, {step.name}" + (f", {holes}" if holes else "")
        texts = [t.note for t in things] + [t.should_be for t in things]
        texts += [text for t in things for name, text in t.readings.items() if name in READINGS]
        kept = tuple(dict.fromkeys(filter(None, texts)))
        yield Findable(sort, things[0].id, name, detail, *whose, searched=kept, title=called)


def _finished(entry: Findable) -> Findable:
    title = entry.title.casefold()
    text = " ".join((entry.sort, entry.name, entry.detail, *entry.searched)).casefold()
    # A size is typed off the gauge plate as 832, and written as #8-32.
    squeezed = title.translate(_SQUEEZED) if entry.sort in ("fastener", "piece") else ""
    return Findable(
        entry.sort,
        entry.id,
        entry.name,
        entry.detail,
        entry.machine,
        entry.machine_id,
        entry.searched,
        title,
        (title, *entry.exactly),
        f"{text} {squeezed} {entry.machine.casefold()}",
    )


def find(known: Sequence[Findable], typed: str, *, here: int = 0) -> SearchResult:
    """Return the entries in which every typed word occurs, the nearest first.

    Near is, in this order: the name is what was typed, begins with it, has a word that begins with it, holds it;
    then those in which it stands elsewhere. Among equals those of machine `here` come first. Without a word
    there is nothing to look for.
    """
    words = typed.casefold().split()
    if not words:
        return SearchResult((), 0)
    whole = " ".join(words)
    if len(words) == 1:
        having = [place for place, entry in enumerate(known) if whole in entry.hay]
    else:
        having = [place for place, entry in enumerate(known) if all(word in entry.hay for word in words)]
    ranked = (
        (_distance(entry := known[place], whole, words), entry.machine_id != here, _ORDER[entry.sort], place)
        for place in having
    )
    hits = (known[place] for *_, place in nsmallest(MOST, ranked))
    return SearchResult(tuple(Hit(entry, _why(entry, words)) for entry in hits), len(having))


def _distance(entry: Findable, whole: str, words: list[str]) -> int:
    if whole in entry.exactly:
        return 0
    title = entry.title
    if whole not in title:
        return 3 if len(words) > 1 and all(word in title for word in words) else 4
    if title.startswith(whole):
        return 1
    return 2 if f" {whole}" in title else 3


def _why(entry: Findable, words: list[str]) -> str:
    shown = f"{entry.sort} {entry.name} {entry.detail} {entry.machine}".casefold()
    unseen = [word for word in words if word not in shown]
    return next((text for text in entry.searched if any(word in text.casefold() for word in unseen)), "")
