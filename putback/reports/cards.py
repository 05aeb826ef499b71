"""What there is to say of a step, a part, a fastener or a piece: facts, and the ways on to what belongs to it.

The cards of the screen draw this, and the command line tells it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec
from msgspec import Struct

from putback.dates import day
from putback.reports.account import Account, WayBack
from putback.reports.account.going_in import looks
from putback.reports.account.lines import CAUTIONS, block_text
from putback.reports.account.made import ODD
from putback.reports.account.step_words import at_refit
from putback.reports.bag_story import photos_text
from putback.reports.bags import bag_row
from putback.reports.size_letters import Looks, looks_of
from putback.sizing.replacing import getting
from putback.sizing.threads import thread_named
from putback.trade.checks.oddities import odd_about
from putback.trade.commands.corrections import moves_of_thing
from putback.trade.record.fastener import ASIDE, LEFT_OVER, READINGS, Thing, came_out_words, said_words
from putback.trade.record.holes import faces_words, spots_named
from putback.trade.record.machine import Machine, Part
from putback.trade.record.photo import in_order
from putback.trade.record.phrases import times
from putback.trade.record.place import FITTED, MISSING, SCRAPPED, bag_number, in_line
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import place_words, trouble_of
from putback.trade.refit.confirmations import one_use
from putback.trade.refit.hole_pattern import holes_left, left_words
from putback.trade.sizes.just_like import like_text
from putback.trade.sizes.reading_words import FIELD_WORDS, ways_text
from putback.trade.sizes.step_drivers import driver_of


class Fact(Struct, frozen=True):
    """One fact of a card."""

    sort: str
    """What sort of fact: asks, caution, finding, note, now, or move."""
    words: str
    """The fact."""


class Way(Struct, frozen=True):
    """A way from one card to another."""

    sort: str
    """What it leads to: bag, photos, part, step or thing."""
    ids: tuple[int, ...]
    """Its number in the workshop; of photos all numbers."""
    label: str = msgspec.field(name="said")
    """What it is, in a line."""
    beside: str
    """What it has to do with this."""


class Card(Struct, frozen=True):
    """A noun of the record with everything said of it."""

    sort: str
    """step, part or thing."""
    id: int
    """Its number in the workshop."""
    caption: str
    """What it is, in a line."""
    machine: str
    """Whose it is, name and serial."""
    under: str
    """Where it belongs, in a few words."""
    facts: tuple[Fact, ...]
    """What is said of it."""
    ways: tuple[Way, ...]
    """The ways on."""

    def to_json(self) -> dict[str, Any]:
        """Return the card as the command line prints it."""
        built: dict[str, Any] = msgspec.to_builtins(self)
        return built


# -- a step ------------------------------------------------------------------------------------------


def step_card(record: Record, step: Step) -> Card:
    """Return a step with all that was said of it and came of it."""
    area = record.get(Part, step.area).name if step.area else ""
    state = "back on" if step.back else ""
    took = "" if step.minutes is None else f"{step.minutes:g} min"
    where = (faces_words(record, step), area and f"inside {area}", state, day(step.began), took)
    facts = [Fact("asks", words) for words in odd_about(record, step)]
    if not step.back and not step.is_open and (left := left_words(holes_left(record, step))):
        facts.append(Fact("asks", f"{left}: found empty, or forgotten?"))
    facts += facts_of(WayBack(record, step.machine).account(step))
    if step.put:
        facts.append(Fact("note", f"the part went to: {step.put}"))
    return Card(
        "step",
        step.id,
        f"step {step.number}: {done_text(step)}",
        record.get(Machine, step.machine).caption,
        ", ".join(filter(None, where)),
        tuple(facts),
        tuple(_step_ways(record, step)),
    )


def done_text(step: Step) -> str:
    """Return what was done at a step; of one that is still being done, that its part is not off yet."""
    if step.on_hold:
        return f"{step.name} is on hold, and not off yet"
    if step.back:
        return f"{at_refit(step)}: it is back"
    return f"{step.name} is coming off, and not off yet" if step.is_open else step.text


NOT_SAID = frozenset(
    {"place", "inside", "face", "order", "fastener", "loosened", "frees", "waits", "first", "covered", "look", "open",
     "known", "lie", "photo"}
)  # fmt: skip
"""Sorts of an account that a card of the step leaves to its ways on: where things lie now, and the fasteners."""


def facts_of(account: Account) -> list[Fact]:
    """Return what was said of a step as facts: its own cautions first, the usual ones with their rules last."""
    blocks = [b for b in account.blocks[1:] if b.sort not in NOT_SAID and b.words not in odd_words(account)]
    own = [Fact("caution", block_text(block)) for block in blocks if block.sort == "caution"]
    notes = [Fact("note", block_text(block)) for block in blocks if block.sort not in CAUTIONS]
    return [*own, *notes, *(Fact("caution", block_text(block)) for block in blocks if block.sort in ("usual", "rules"))]


def looks_told(record: Record, step: Step) -> list[str]:
    """Return how the fasteners of a step look beside their size, a line for each sort of which something was said."""
    things = [t for t in record.things_of(step) if t.sort == "fastener" and not t.found]
    told = {looks_of(thing): f"{thing.called}: {looks(thing)}" for thing in things if looks(thing)}
    return list(told.values())


def odd_words(account: Account) -> frozenset[str]:
    """Return what is odd about a step, which its card asks before anything else."""
    return frozenset(block.words for block in account.of("finding") if block.cause == ODD)


def _step_ways(record: Record, step: Step) -> Iterator[Way]:
    places = {place for thing in record.things_of(step) for place in record.standing(thing.id)}
    lie = {number for place in places if (number := bag_number(place)) is not None}
    for number in sorted(lie or record.bags_filled_by(step.id)):  # where its things lie now, else where they lay
        bag = record.bag(step.machine, number)
        if bag is not None:
            row = bag_row(record, bag)
            yield Way("bag", (bag.id,), f"bag {number}", f"{row.state}, {row.count} in it")
    if photos := in_order(record.photos_of(step)):
        many, _, falls = photos_text(photos).partition(": ")
        yield Way("photos", tuple(photo.id for photo in photos), many, falls)
    if step.part:
        yield Way("part", (step.part,), record.get(Part, step.part).name, "the part itself")
    for things in alike(record.things_of(step)):
        first = things[0]
        holes = spots_named([t.spot for t in things if t.hole], ", ")
        name = "found empty" if first.found else times(sum(t.count for t in things), first.called)
        if not holes:  # what is said of a fastener stands at its hole, and on its own card
            name = "; ".join(dict.fromkeys(filter(None, (name, *(t.note for t in things)))))
        named = looks(first) if first.sort == "fastener" and not first.found else ""
        yield Way("thing", (first.id,), name, "; ".join(filter(None, (holes, named))))
    for need in step.needs:
        other = record.step(step.machine, need)
        if other is not None:
            yield Way("step", (other.id,), f"step {need}: {other.text}", "came first")
    for other in record.steps_needing(step.machine, step.number):
        yield Way("step", (other.id,), f"step {other.number}: {other.text}", "came after it")


def alike(things: list[Thing]) -> list[list[Thing]]:
    """Return fasteners and pieces in groups that hands cannot tell apart, parts left out, as entered."""
    groups: dict[tuple[str, Looks, str], list[Thing]] = {}
    for thing in things:
        if thing.sort != "part":
            groups.setdefault((thing.sort, looks_of(thing), thing.found), []).append(thing)
    return list(groups.values())


# -- a part ------------------------------------------------------------------------------------------


def part_card(record: Record, part: Part) -> Card:
    """Return a part or assembly with where it is, and the steps done on it."""
    inside = record.get(Part, part.inside).name if part.inside else "the machine itself"
    facts = []
    off = record.off_at(part.id)
    if off is None:
        back = any(step.back for step in record.steps_of_part(part.id))
        facts.append(Fact("now", "on the machine, back again" if back else "on the machine"))
    else:
        facts.append(Fact("now", f"off since step {off.number}"))
        for thing in record.things_of(off):
            if thing.part == part.id:
                facts.append(Fact("now", f"now: {', '.join(sorted(record.standing(thing.id)))}"))
                facts += [
                    Fact(
                        "note",
                        f"{day(move.at)}, {moved(move.source, move.target)}: "
                        + "; ".join(filter(None, (move.note, move.because))),
                    )
                    for move in moves_of_thing(record, thing)
                    if move.note or move.because
                ]
    return Card(
        "part",
        part.id,
        f"{'assembly' if part.assembly else 'part'}: {part.name}",
        record.get(Machine, part.machine).caption,
        f"in {inside}",
        tuple(facts),
        tuple(_part_ways(record, part)),
    )


def _part_ways(record: Record, part: Part) -> Iterator[Way]:
    for step in record.steps_of_part(part.id):
        yield Way("step", (step.id,), f"step {step.number}: {step.text}", day(step.began))
    if part.inside:
        yield Way("part", (part.inside,), record.get(Part, part.inside).name, "it sits in this")
    if part.assembly:
        for other in record.all(Part, part.machine):
            if other.inside == part.id:
                yield Way("part", (other.id,), other.name, "off" if record.off_at(other.id) else "sits in it")


# -- a fastener, a piece -----------------------------------------------------------------------------


def thing_card(record: Record, thing: Thing) -> Card:
    """Return a fastener or some equal pieces: size and readings, where it is now, and every move it made."""
    step = record.get(Step, thing.step)
    if thing.sort == LEFT_OVER:
        caption = f"left over: {thing.called}, found at step {step.number}"
    elif thing.found:
        caption = f"hole {thing.spot}{',' if thing.face else ''} of {step.name}, found empty"
    else:
        hole = f", hole {thing.spot}{',' if thing.face else ''}" if thing.hole else ""
        caption = f"{times(thing.count, thing.called)}{hole} of {step.name}"
    standing = sorted(record.standing(thing.id).items())
    placed = [(place_words(thing, place), count) for place, count in standing]
    now = ", ".join(place if thing.count == count else f"{count} in {place}" for place, count in placed)
    facts = [Fact("now", f"now: {now}")] if now else []
    facts += [Fact("note", words) for words in _thing_notes(record, thing)]
    for move in moves_of_thing(record, thing):
        count = f"{move.count} " if thing.count != 1 else ""
        because = f"thrown away because: {move.because}" if move.because else ""
        note = f" ({'; '.join(filter(None, (move.note, because)))})" if move.note or because else ""
        at = move.at[:16].replace("T", " ")
        facts.append(Fact("move", f"{at}, {count}{moved(move.source, move.target)}{note}"))
    return Card(
        "thing",
        thing.id,
        caption,
        record.get(Machine, thing.machine).caption,
        "",
        tuple(facts),
        tuple(_thing_ways(record, thing, step)),
    )


def moved(source: str, target: str) -> str:
    """Return a move between two places in words: `out of the machine, into bag 3`."""
    if (source, target) == (MISSING, SCRAPPED):
        return "given up as lost"
    before = "out of the machine" if source == FITTED else f"from {in_line(source)}"
    return f"{before}, {'back into the machine' if target == FITTED else f'to {in_line(target)}'}"


def _thing_notes(record: Record, thing: Thing) -> Iterator[str]:
    trouble = trouble_of(record, thing)
    if trouble:
        yield trouble
    if thing.sort == LEFT_OVER:
        yield "nobody knows its hole; no step waits for it"
    hand = f"{thing.hand}-hand thread" if thing.hand else ""
    like = like_text(record, thing, record.get(Step, thing.step))
    looks = filter(None, (thing.head, thing.drive, hand, "" if like else thing.verdict))
    if thing.sort == "fastener" and not thing.found:
        yield ", ".join(looks) or "its head and drive were not entered"
    if like:
        yield like
    elif thing.readings:
        yield "read: " + ", ".join(
            f"{FIELD_WORDS.get(k, k)} {text}" for k, text in thing.readings.items() if k in READINGS
        )
        ways = ways_text(thing.readings)
        if ways:
            yield f"taken roughly: {ways}"
    tool = driver_of(record.get(Machine, thing.machine), thing) if thing.sort == "fastener" else ""
    if tool:
        yield f"fits: {tool}"
    found = thread_named(thing.thread) if thing.sort == "fastener" and not thing.found else None
    if found is not None:
        yield from getting(found)
    if words := came_out_words(thing):
        yield words
    yield from said_words(thing, "card", ASIDE)
    if one_use(thing) and not thing.replaces:
        yield "a new one goes in at refit"
    if thing.note:
        yield thing.note


def _thing_ways(record: Record, thing: Thing, step: Step) -> Iterator[Way]:
    there = "it was found there" if thing.sort == LEFT_OVER else "it came off there"
    yield Way("step", (step.id,), f"step {step.number}: {step.text}", there)
    for place, count in sorted(record.standing(thing.id).items()):
        number = bag_number(place)
        bag = record.bag(thing.machine, number) if number else None
        if bag is not None:
            yield Way("bag", (bag.id,), place, f"{count} lie there" if count > 1 else "there now")
    if thing.replaces:
        old = record.get(Thing, thing.replaces)
        yield Way("thing", (old.id,), old.called, "it stands in for this one")
    for new in record.stand_ins(thing.id):
        yield Way("thing", (new.id,), new.called, "stands in for it")
    for other in next((g for g in alike(record.things_of(step)) if thing in g), []):
        if other.id != thing.id and other.hole:
            yield Way("thing", (other.id,), f"hole {other.spot}", "one just like it")
