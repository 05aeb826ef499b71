"""What is to be said of the things of a step at refit, beside where they go."""

from __future__ import annotations

from collections.abc import Iterator

from putback.sizing.hardware import driving_in
from putback.trade.asking_back import is_used
from putback.trade.fastener import Thing
from putback.trade.pattern import hung_on_its_upper
from putback.trade.record import Record
from putback.trade.step import Step


def told_of(record: Record, step: Step) -> Iterator[str]:
    """Give a line for each thing of a step that is no plain fastener, or wants a word; how it is hung before them."""
    if hung_on_its_upper(record, step):
        yield "it hangs: an upper screw first, loosely"
    for thing in record.things_of(step):
        words = _told(record, thing, step)
        if words:
            yield words


def _told(record: Record, thing: Thing, step: Step) -> str:
    if thing.replaces:
        if record.stand_ins(thing.id):
            return ""
        at = f"hole {thing.hole}: " if thing.hole else ""
        return f"{at}{'new: ' if not is_used(record, thing) else ''}{thing.called}"
    if record.stand_ins(thing.id) and not any(
        place != "scrapped" for place in record.standing(thing.id)
    ):
        return ""
    if thing.sort == "piece":
        return f"{thing.count} x {thing.name}" + (f": {thing.note}" if thing.note else "")
    if thing.found:
        return f"hole {thing.hole} was empty when found" + (f": {thing.note}" if thing.note else "")
    words = []
    if step.do == "loosen":
        words.append(f"tighten {thing.turns:g} turns")
    if thing.hand == "left":
        words.append("LEFT-HAND thread")
    if thing.small_end:
        words.append(driving_in(thing.small_end))
    if thing.should_be:
        words.append(f"should be {thing.should_be}")
    if thing.note:
        words.append(thing.note)
    return f"hole {thing.hole}: {'; '.join(words)}" if words else ""
