"""The card of a step, a part, a fastener or a piece, and the walk-back, as blocks."""

from __future__ import annotations

from collections.abc import Iterator

from putback.reports.blocks import Block
from putback.reports.cards import Card, step_card
from putback.reports.spoken import ROWS
from putback.reports.walking import WalkBackReport, half_done
from putback.trade.record.fastener import Thing, spot
from putback.trade.record.holes import by_face
from putback.trade.record.phrases import counted, times
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import trouble_of
from putback.trade.refit.orientation import map_turned

_LEADS = {"asks": "question: ", "caution": "caution: ", "move": "moved "}
"""What a fact begins with, by its sort, where its words do not say it."""

_TURNED = {90: "to the right", 180: "down", 270: "to the left"}


def holes_told(record: Record, step: Step) -> Iterator[str]:
    """Give a line for each hole of a step, read like a page: what came out of it, or that it was found empty."""
    by_hole: dict[str, list[Thing]] = {}
    for thing in record.things_of(step):
        if thing.hole and not thing.replaces:
            by_hole.setdefault(thing.spot, []).append(thing)
    for face, places in by_face(by_hole).items():
        turn, named = map_turned(record, step, face or step.face), f"{face} face" if face else "the face"
        if turn:
            yield f"{named} lies turned now: its top is {_TURNED[turn]}; places are as they were recorded"
        for hole in sorted(places, key=lambda hole: (ROWS.index(hole[0]), hole)):
            at = spot(hole, face)
            yield f"hole {at}: {'; '.join(_in_hole(record, thing) for thing in by_hole[at])}"


def _in_hole(record: Record, thing: Thing) -> str:
    trouble = trouble_of(record, thing)
    if thing.found:
        return (trouble or "found empty") + (f", {thing.note}" if thing.note else "")
    words = [times(thing.count, thing.called)]
    words += [words_ for words_ in (thing.head, thing.hand and f"{thing.hand}-hand thread") if words_]
    if thing.should_be:
        words.append(f"should be {thing.should_be}")
    if trouble:
        words.append(trouble)
    if thing.note:
        words.append(thing.note)
    return ", ".join(words)


def card_blocks(record: Record, card: Card) -> Iterator[Block]:
    """Give the card of a step, a part, a fastener or a piece."""
    yield Block(card.caption, "title")
    yield from map(Block, (f"machine: {card.machine}", *_about(card)))
    ways = card.ways
    if card.sort == "step":
        yield from map(Block, holes_told(record, record.get(Step, card.id)))
        ways = tuple(way for way in ways if way.sort != "thing" or not way.beside)
    yield from (Block(f"{way.label}: {way.beside}" if way.beside else way.label) for way in ways)


def _about(card: Card) -> list[str]:
    under = [card.under] if card.under else []
    return [*under, *(f"{_LEADS.get(fact.sort, '')}{fact.words}" for fact in card.facts)]


def walk_blocks(record: Record, walk: WalkBackReport) -> Iterator[Block]:
    """Give the walk-back: notes, the last steps newest first, what is open, where to start."""
    yield Block(f"machine: {walk.machine.caption}", "title")
    yield from map(Block, walk.notes)
    if walk.steps:
        yield Block(f"before a hand moves: is this right at the machine? The last {counted(len(walk.steps), 'step')}:")
    for step in walk.steps:
        card = step_card(record, step)
        half = half_done(record, step)
        yield Block(card.caption, "heading")
        yield from map(Block, (*([half] if half else []), *_about(card), *holes_told(record, step)))
        yield from (Block(way.label) for way in card.ways if way.sort == "thing" and not way.beside)
    yield Block(f"open questions: {len(walk.questions)}", "heading")
    yield from map(Block, (*walk.questions, f"next: {walk.next}"))
