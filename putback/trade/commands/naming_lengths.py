"""The shown names of lengths: all fasteners of one length bear one name, and a name changes seldom and is told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from itertools import islice
from typing import Any

from msgspec.structs import replace

from putback.errors import Refused
from putback.sizing.house_lengths import House, Place, Shelf
from putback.sizing.length_names import LengthName, called, seen
from putback.sizing.length_odds import LengthGroup
from putback.sizing.verdict import SURE, Word, weaker
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.fastener import Thing
from putback.trade.record.length_groups import grouped_length, label_of, lengths_of, measured, place_on, without
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import few
from putback.trade.record.place import bag_number


class NameLengths(Command, frozen=True, kw_only=True):
    """Give every screw the name of its length's group, where that is certain: those of an earlier version, too."""


def name_alike(draft: Draft, thing: Thing) -> tuple[Thing, str]:
    """Name the fasteners of a group anew where one that was just read makes its name certain, or moves it.

    Returns that one, under the name of its group where that stands, and what became of the others as words for a
    person; empty where they keep their names.
    """
    lies = grouped_length(thing)
    machine = draft.get(Machine, draft.machine)
    read = None if lies is None else measured(lies, machine.unit)
    if lies is None or read is None or lies.like:
        return thing, ""
    before = without(draft.record, machine, thing.id)
    place = place_on(machine, lies, before)
    after = before.with_seen(place, seen(thing.id, *read, where=thing.step))
    texts = [_renamed(draft, group, after, place, thing.id) for group in _touched(before.shelf(place), after, place)]
    return _as_shown(draft, thing, after, place), "; ".join(filter(None, texts))


def name_lengths(draft: Draft, command: NameLengths) -> Change:
    """Give every fastener the name of its length's group, where that is certain."""
    machine = draft.get(Machine, draft.machine)
    house = lengths_of(draft.record, machine)
    texts = [
        words
        for place, shelf in house.shelves.items()
        for group in shelf.groups
        if (words := _renamed(draft, group, house, place, 0))
    ]
    if not texts:
        raise Refused("Every length has the name of its group already.")
    return draft.change("NameLengths", "; ".join(texts).replace("before it ", ""))


def _touched(before: Shelf, after: House, place: Place) -> list[LengthGroup]:
    """Return the groups that one more reading changed."""
    had = {(group.middle, group.count) for group in before.groups}
    return [group for group in after.shelf(place).groups if (group.middle, group.count) not in had]


def _as_shown(draft: Draft, thing: Thing, house: House, place: Place) -> Thing:
    """Give a fastener the name that its group bears already, where that is still right."""
    shelf = house.shelf(place)
    group = shelf.of(thing.id)
    length_name = None if group is None else called(shelf, group, house.share)
    if group is None or length_name is None or not length_name.name:
        return thing
    for other in islice(_members(draft, group, thing.id), LOOKED_AT):
        shown = _text(other)
        if shown != length_name.text and _stands(shown, length_name, shelf, group):
            return draft.alter(thing, size=_with(thing, shown), length=other.length)
    return thing


def _renamed(draft: Draft, group: LengthGroup, house: House, place: Place, new: int) -> str:
    """Name the fasteners of one group anew where its name is certain and another; return that in words."""
    shelf = house.shelf(place)
    length_name = called(shelf, group, house.share)
    if not length_name.name or length_name.chance < SURE:
        return ""
    near = islice(_members(draft, replace(group, seen=group.seen[:LOOKED_AT] + group.seen[-LOOKED_AT:]), new), 50)
    text = length_name.text
    if all((shown := _text(other)) == text or _stands(shown, length_name, shelf, group) for other in near):
        return ""
    others = [other for other in _members(draft, group, new) if _text(other) != text]
    bags: set[int] = set()
    for other in others:
        word = weaker(length_name.word, _thread_word(other))
        draft.alter(other, size=_with(other, text), length=length_name.name, verdict=word)
        numbers = (bag_number(where) for where in draft.standing(other.id))
        bags.update(number for number in numbers if number is not None and _closed(draft, number))
    now = f"{len(others)} before it {'is' if len(others) == 1 else 'are'} {text} now"
    if not bags:
        return now
    return f"print label {few([str(number) for number in sorted(bags)])} again: {now}"


LOOKED_AT = 12
"""So many fasteners at both ends of a group tell whether all of it bears its name: a large one is not read through."""


def _closed(draft: Draft, number: int) -> bool:
    bag = draft.bag(number)
    return bag is not None and bool(bag.closed)


def _members(draft: Draft, group: LengthGroup, but: int) -> Iterator[Thing]:
    for one in group.seen:
        for number in (one.key, *one.more):
            if number != but:
                yield draft.get(Thing, number)


def _stands(shown: str, length_name: LengthName, shelf: Shelf, group: LengthGroup) -> bool:
    """Tell whether a shown name may stay: it is the group's, or of a house length whose middle hardly moved."""
    if shown == length_name.text:
        return True
    if not length_name.house or (figure := _HOUSE.fullmatch(shown)) is None:
        return False
    mm = float(figure["figure"]) * (1 if figure["mm"] else 25.4)
    return abs(mm - group.middle) < shelf.family.spread.moved


_HOUSE = re.compile(r"(?P<figure>[0-9]*\.[0-9]+|[0-9]+)(?P<mm> mm)?")

_REST = re.compile(r"(?P<length>.*?)(?P<rest>(?:, shoulder .*?)?(?: left-hand)?)")


def _parts(thing: Thing) -> tuple[str, str, str]:
    """Return a size as what stands before its length, that, and what stands behind."""
    return _split(thing.size, label_of(thing))


@lru_cache(maxsize=1024)
def _split(size: str, label: str) -> tuple[str, str, str]:
    """Kept: the same few sizes are looked at with each fastener of their group that is read."""
    before = f"{label} x " if label else "length "
    if not size.startswith(before):
        return size, "", ""
    found = _REST.fullmatch(size.removeprefix(before))
    return (before, found["length"], found["rest"]) if found is not None else (size, "", "")


def _text(thing: Thing) -> str:
    return _parts(thing)[1]


def _with(thing: Thing, length: str) -> str:
    before, had, rest = _parts(thing)
    return f"{before}{length}{rest}" if had else thing.size


def _thread_word(thing: Thing) -> Word:
    """Return how sure a fastener's thread is, as far as its record tells."""
    if not thing.thread:
        return "either" if label_of(thing) else "sure"
    # The size's verdict is the weaker half; an unsettled one was so by its length, since the thread has a name.
    return "sure" if thing.verdict == "sure" else "likely"


RULES: dict[type[Command], Any] = {NameLengths: name_lengths}
