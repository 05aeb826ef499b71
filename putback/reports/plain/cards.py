"""The cards of a bag, a step, a part and a fastener, and the walk-back, as lines to be spoken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from putback.reports.cards import Card, step_card
from putback.reports.spoken import ROWS, sentence
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


def spoken_text(lines: Iterable[str]) -> str:
    """Return lines as they are spoken, each a sentence."""
    return "\n".join(sentence(line) for line in lines)


def holes_plain(record: Record, step: Step) -> Iterator[str]:
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


def card_lines(record: Record, card: Card) -> list[str]:
    """Return the card of a step, a part, a fastener or a piece in lines, still to be spoken."""
    lines = [card.caption, f"machine: {card.machine}", *_about(card)]
    ways = card.ways
    if card.sort == "step":
        lines += holes_plain(record, record.get(Step, card.id))
        ways = tuple(way for way in ways if way.sort != "thing" or not way.beside)
    return lines + [f"{way.label}: {way.beside}" if way.beside else way.label for way in ways]


def _about(card: Card) -> list[str]:
    under = [card.under] if card.under else []
    return [*under, *(f"{_LEADS.get(fact.sort, '')}{fact.words}" for fact in card.facts)]


def walk_lines(record: Record, walk: WalkBackReport) -> list[str]:
    """Return the walk-back, still to be spoken: notes, the last steps newest first, what is open, where to start."""
    lines = [f"machine: {walk.machine.caption}", *walk.notes]
    if walk.steps:
        lines.append(f"before a hand moves: is this right at the machine? The last {counted(len(walk.steps), 'step')}:")
    for step in walk.steps:
        card = step_card(record, step)
        half = half_done(record, step)
        lines += [card.caption, *([half] if half else []), *_about(card), *holes_plain(record, step)]
        lines += [way.label for way in card.ways if way.sort == "thing" and not way.beside]
    lines.append(f"open questions: {len(walk.questions)}")
    return [*lines, *walk.questions, f"next: {walk.next}"]
