"""What a length is called: a stocked name, the middle of a group of the machine's own, either, or odd."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from msgspec.structs import replace

from putback.sizing.house_lengths import House, Place, Shelf, join_scores, stray
from putback.sizing.instruments import TOOLS, Tool, Way
from putback.sizing.kinds import OVER_ALL
from putback.sizing.length_odds import INCH, Family, LengthGroup, Odds, SeenLength, gathered, odds
from putback.sizing.lengths import LISTS, better_tool, datum, lies, list_for, odd_length, stocked
from putback.sizing.reading import Datum, Measure
from putback.sizing.reference_tables import rows
from putback.sizing.threads import thread_named
from putback.sizing.units import MM_PER_INCH, in_unit
from putback.sizing.verdict import LIKELY, SURE, Candidate, Members, NextReading, Verdict, Word
from putback.sizing.wording import NAMED_TOO, decimal, shown

HAND = 0
"""The key of a reading that is in the hand and not in the record yet."""


class LengthName(NamedTuple):
    """The name of a group, for all the fasteners in it."""

    word: Word
    """How sure that is; none for an odd one."""
    name: str
    """Its one name, where it has one: 3/8, .385."""
    short: str
    """What is said beside a stocked name that another group has: short, .606."""
    chance: float
    """The probability of that name; of the likeliest where there is none."""
    house: bool
    """True for a length of the machine's own."""
    could_be: tuple[str, ...]
    """Where it has no name, what it may be."""

    @property
    def text(self) -> str:
        """The name as a size has it: 3/8, 5/8 short, .606; empty where it has none."""
        return " ".join(filter(None, (self.name, self.short)))


def place_of(label: str, which: str, kind: str, head: str, house: House, said: Datum = "") -> Place:
    """Return the shelf of a length: by thread, list and datum. An unknown head goes with any other.

    What was `said` of the datum holds where the head does not tell it.
    """
    where = short_datum(kind, head)
    if said and not head and kind not in OVER_ALL:
        where = said
    elif not head:
        there = [p.datum for p in house.shelves if p.thread == label and p.which == which]
        where = where if where in there or len(there) != 1 else there[0]
    return Place(label, which, where)


def by_datum(read: Measure, label: str, kind: str, head: str) -> Measure:
    """Return a length as its head's datum has it, where it was said to have been measured from the other end.

    Over all of a pan head is the head's height too much. Where no table has the head it stays as it was read.
    """
    usual = short_datum(kind, head)
    if not read.datum or not head or kind in OVER_ALL or usual == read.datum:
        return read
    height = head_height(label, head)
    if height is None:
        return replace(read, note=f"measured {read.datum}; a {head} head is named by its length {usual}")
    tall = height if usual == "over all" else -height
    if read.mm + tall <= 0:
        return read
    value = in_unit(read.mm + tall, read.unit)
    size = decimal(in_unit(height, read.unit), zero=read.unit == "mm")
    told = decimal(value, zero=read.unit == "mm")
    done = f"{'and' if tall > 0 else 'less'} the head ({size}): {told} {usual}"
    return replace(read, value=value, text=told, span=None, note=f"{read.datum} {shown(read)} {done}")


def short_datum(kind: str, head: str) -> str:
    """Return where a length is measured, in a few words: under the head, over all, from the edge of the head."""
    measured_from = datum(kind, head)
    return next(
        (words for words in ("over all", "from the edge of the head") if measured_from.startswith(words)), _UNDER
    )


_UNDER = "under the head"


def list_of(label: str, kind: str, head: str, origin: str, unit: str) -> str:
    """Return the list of stocked lengths: of the thread that a label names first, else of origin or unit."""
    thread = thread_named(label.partition(" or ")[0])
    if thread is not None:
        return list_for(kind, head, "metric" if thread.family == "metric" else "inch", thread)
    metric = origin == "metric" or (origin not in ("us", "uk") and unit == "mm")
    return list_for(kind, head, "metric" if metric else "inch", None)


def seen(key: int, read: Measure, by: Way, where: int = 0) -> SeenLength:
    """Return a measured length as the model takes it."""
    low, high = (float(side) for side in read.span) if read.span else (0.0, 0.0)
    return SeenLength(key, float(read.mm), by, 2 if read.span else 1, where, low, high)


def called(shelf: Shelf, group: LengthGroup, share: float, found: Odds | None = None) -> LengthName:
    """Return what a group is called on its shelf, where `share` of the machine's lengths are of the house.

    `found` is what one of its readings may be, where that is not what the group may be.
    """
    found = found or odds(shelf.family, group, share)
    name, best = found.listed[0] if found.listed else ("", 0.0)
    if best >= LIKELY:
        word: Word = "sure" if best >= SURE and any(one.by != "eye" for one in group.seen) else "likely"
        return LengthName(word, name, _beside(shelf, group, share, name), best, False, ())
    middle = house_name(shelf.family, group)
    if found.house >= LIKELY:
        if group.count < 2:
            return LengthName("none", "", "", found.house, True, ())
        return LengthName("sure" if found.house >= SURE else "likely", middle, "", found.house, True, ())
    could_be = [(chance, name) for name, chance in found.listed if chance >= NAMED_TOO]
    if found.house >= NAMED_TOO:
        could_be.append((found.house, middle if group.count > 1 else ""))
    names = tuple(name for _, name in sorted(could_be, reverse=True))
    return LengthName("either", "", "", max(best, found.house), found.house > best, names)


def _beside(shelf: Shelf, group: LengthGroup, share: float, name: str) -> str:
    """Return what tells a group from a larger one of the same stocked name; nothing where it has the name alone."""
    for other in shelf.groups:
        if other is group:
            continue
        there = odds(shelf.family, other, share).listed
        if not there or there[0][0] != name or there[0][1] < LIKELY:
            continue
        if (other.count, shelf.groups.index(group)) > (group.count, shelf.groups.index(other)):
            way = "short" if group.middle < other.middle else "long"
            return f"{way}, {house_name(shelf.family, group)}"
    return ""


def house_name(family: Family, group: LengthGroup) -> str:
    """Return the name of a length of the machine's own, by its middle: .385, 11.29 mm."""
    if family.system == "inch":
        return f"{group.middle / INCH:.3f}".removeprefix("0")
    return f"{group.middle:.2f}".rstrip("0").rstrip(".") + " mm"


def size_part(length_name: LengthName, read: Measure) -> str:
    """Return a length as a size has it, for one reading of the group: 3/8, 1/2 or .475 as measured, .411 (odd)."""
    if length_name.text:
        return length_name.text
    if length_name.word == "none":
        figures = shown(read)
        return f"{figures} in (odd)" if figures.isdigit() else f"{figures} (odd)"
    return " or ".join(name or f"{shown(read)} as measured" for name in length_name.could_be[:3])


def name_in(
    house: House,
    place: Place,
    key: int,
    read: Measure,
    *,
    by: Way = "caliper",
    head: str = "",
    have: Collection[Tool] = TOOLS,
    other_system: bool = True,
) -> Verdict:
    """Return the verdict on the length of fastener `key`, which is in the house already.

    One taken by rule or eye is asked for again, where `have` has something better. Where it is odd and
    `other_system` holds, a length of the other system that fits is named last.
    """
    shelf = house.shelf(place)
    group = shelf.of(key)
    if group is None:
        raise KeyError(key)
    found = odds(shelf.family, group, house.share) if by == "caliper" else _roughly(house, place, key)
    length_name = called(shelf, group, house.share, found)
    if by == "eye" and length_name.word == "sure":
        length_name = length_name._replace(word="likely")
    family = shelf.family
    verdict = Verdict(
        length_name.word,
        _candidates(family, group, found, read),
        None,
        _note(family, group, length_name),
        "length",
        place.which,
        size_part(length_name, read),
        place.datum,
        _members(family, group, length_name.text or house_name(family, group)),
    )
    better = better_tool(by, have)
    likeliest = verdict.candidates[0].probability if verdict.candidates else 0.0
    if (
        length_name.word in ("either", "likely")
        and better is not None
        and len(verdict.candidates) > 1
        and likeliest < SURE
    ):
        names = " or ".join(c.name for c in verdict.candidates[:2])
        return replace(verdict, ask=NextReading("length", f"the length by {better}: {names}?"))
    if length_name.word != "none":
        return verdict
    verdict = odd_length(read, verdict)
    slip = _slip(house, place, read, head)
    if slip:
        return replace(verdict, ask=NextReading("length", slip))
    return _other_system(verdict, place, read, by) if other_system else verdict


def _roughly(house: House, place: Place, key: int) -> Odds:
    """Return what a reading by rule or by eye may be: it may belong to any group near it, or to none."""
    shelf = house.shelf(place)
    read = next(one for group in shelf.groups for one in group.seen if key == one.key or key in one.more)
    rest = house.without(place, read.key)
    groups = rest.shelf(place).groups
    scores = join_scores(groups, shelf.family, read, rest.share)
    listed: dict[str, float] = {}
    of_house = 0.0
    for group, score in zip((*groups, gathered(shelf.family, [read])), scores, strict=True):
        found = odds(shelf.family, group, rest.share)
        of_house += found.house * score / sum(scores)
        for name, chance in found.listed:
            listed[name] = listed.get(name, 0.0) + chance * score / sum(scores)
    return Odds(tuple(sorted(((n, c) for n, c in listed.items() if c > 0.002), key=lambda pair: -pair[1])), of_house)


def _candidates(family: Family, group: LengthGroup, found: Odds, read: Measure) -> tuple[Candidate, ...]:
    items = {item.name: item for item in stocked(family.which)}
    candidates = [Candidate(name, chance, (), lies(items[name], read)) for name, chance in found.listed]
    if group.count > 1 and found.house >= 0.002:
        candidates.append(Candidate(house_name(family, group), found.house, house=True))
    return tuple(sorted(candidates, key=lambda c: -c.probability))


def _note(family: Family, group: LengthGroup, length_name: LengthName) -> str:
    if not length_name.house or length_name.word in ("none", "either"):
        return ""
    low, high = (_figure(family, side) for side in group.span)
    return f"a length of this machine: {group.count} of them, {low} to {high}"


def _figure(family: Family, mm: float) -> str:
    """A length in the unit of its list: .496, 7 or 11.25; a difference of .425 mm has its third figure."""
    if family.system == "inch":
        return f"{mm / INCH:.3f}".removeprefix("0")
    return f"{mm:.3f}".rstrip("0").removesuffix(".")


def stray_question(house: House, place: Place, key: int, here: Iterable[int]) -> str:
    """Return how one length differs from those of the same part and face, by its readings; nothing where it does not.

    `here` are the fasteners there before it: ".022 shorter than the 3 here (.496 to .498)".
    """
    shelf = house.shelf(place)
    usual = stray(shelf, key, here, house.share)
    own = shelf.of(key)
    if usual is None or own is None:
        return ""
    there = frozenset(here)
    among = [one for one in usual.seen if one.key in there or there.intersection(one.more)]
    count = sum((one.key in there) + len(there.intersection(one.more)) for one in among)
    read = next(one for one in own.seen if one.key == key or key in one.more)
    low = _figure(shelf.family, min(one.span[0] for one in among))
    high = _figure(shelf.family, max(one.span[1] for one in among))
    off = read.long - gathered(shelf.family, among).middle
    by = _figure(shelf.family, abs(off)) + ("" if shelf.family.system == "inch" else " mm")
    span = f"{low} to {high}" if low != high else f"all {low}"
    return f"{by} {'longer' if off > 0 else 'shorter'} than the {count} here ({span})"


def _members(family: Family, group: LengthGroup, name: str) -> Members:
    per, places = (INCH, 4) if family.system == "inch" else (1.0, 3)
    low, high = (round(side / per, places) for side in group.span)
    return Members(name, group.count, low, high)


def _other_system(verdict: Verdict, place: Place, read: Measure, by: Way) -> Verdict:
    """Return the verdict on an odd length with one of the other system that would fit named last."""
    which = "metric screw" if LISTS[place.which][0] == "inch" else "inch screw"
    other = Place("", which, place.datum)
    alone = House().with_seen(other, seen(HAND, read, by))
    best = called(alone.shelf(other), alone.shelf(other).groups[0], alone.share)
    if not best.name or best.house:
        return verdict
    item = next(item for item in stocked(which) if item.name == best.name)
    named = Candidate(best.name, 0.0125, (), lies(item, read))
    return replace(verdict, candidates=(*verdict.candidates, named), note=f"odd here; {best.name} would fit")


# -- the wrong end of the head -----------------------------------------------------------------------

SLIPPED = 0.25
"""A length that is off by the head's height fits this near, mm."""


def _slip(house: House, place: Place, read: Measure, head: str) -> str:
    """Return the question about an odd length that was measured from the wrong end of the head, or nothing."""
    height = head_height(place.thread, head)
    if height is None:
        return ""
    over_all = place.datum == _UNDER
    meant = float(read.mm) + (-float(height) if over_all else float(height))
    name = _fitting(house.shelf(place), house.share, meant)
    if not name:
        return ""
    tall = f"{float(height) / INCH:.3f}".removeprefix("0") if read.unit == "in" else f"{float(height):.2g} mm"
    return f"{name}, if this was {'over all' if over_all else 'under the head'} (head {tall})?"


@cache
def _common(which: str) -> tuple[tuple[str, float], ...]:
    """Return the lengths of a list that are often stocked, each with the middle of what it may be, mm."""
    return tuple((s.name, float(s.nominal + s.low) / 2) for s in stocked(which) if s.weight > 0.3)


def _fitting(shelf: Shelf, share: float, mm: float) -> str:
    """Return the name of the group, else the stocked length, that a length lies nearest to; nothing where none is."""
    groups = [(abs(g.middle - mm), called(shelf, g, share).text) for g in shelf.groups if g.count > 1]
    listed = [(abs(middle - mm), name) for name, middle in _common(shelf.family.which)]
    for near in (groups, listed):
        fits = sorted(pair for pair in near if pair[0] <= SLIPPED and pair[1])
        if fits:
            return fits[0][1]
    return ""


@cache
def head_height(label: str, head: str) -> Fraction | None:
    """Return the height of a head on the thread that a label names, mm; None where no table has it."""
    thread = thread_named(label.partition(" or ")[0])
    if thread is None or not head:
        return None
    sizes = {thread.size, f"M{float(thread.major):g}"} if thread.family == "metric" else {thread.size}
    for row in rows("heads.csv"):
        if row["size"] in sizes and row["head"].startswith(head) and row["head_height_max"]:
            return Fraction(row["head_height_max"]) * (MM_PER_INCH if row["unit"] == "in" else 1)
    return None
