"""What refit asks of a step before it goes back: what was said of it, and which of its pieces will not do twice.

One-use pieces go in new: split pins, rivets, gaskets, crushed washers (common practice, no source), and what the
person marked so. Spring clips and retaining rings are looked at: they may have lost their spring.
"""

from __future__ import annotations

import re

from putback.trade.fastener import Thing
from putback.trade.ledger import reachable
from putback.trade.place import FITTED
from putback.trade.record import Record
from putback.trade.step import Step
from putback.trade.wording import times

ONCE = frozenset({"split pin", "rivet"})
"""Kinds of fastener that are spent when they come out."""

LOOKED_AT = frozenset({"spring clip", "retaining ring"})
"""Kinds of fastener that are asked about: still good, or a new one."""

_ONCE_NAMES = re.compile(r"\b(gasket|crush(ed)? washer|split pin|rivet)s?\b", re.IGNORECASE)


def one_use(thing: Thing) -> bool:
    """Tell whether a thing will not do twice: as was said of it, else by its kind or its name."""
    if thing.once is not None:
        return thing.once
    if thing.sort == "fastener":
        return thing.name in ONCE and not thing.found
    return thing.sort == "piece" and bool(_ONCE_NAMES.search(thing.name))


def is_used(record: Record, thing: Thing) -> bool:
    """Tell whether a thing has been on the machine; what was got new and has not gone in yet has not."""
    if thing.start == FITTED:
        return True
    return any(m.thing == thing.id and m.target == FITTED for m in record.moves_of(thing.step))


def spent(record: Record, step: Step) -> list[Thing]:
    """Return the used one-use pieces that a step would put back, as entered: new ones have to be got."""
    if step.back:
        return []
    return [t for t in record.things_of(step) if one_use(t) and reachable(record, t) and is_used(record, t)]


def goes_in_new(record: Record, step: Step) -> dict[str, list[Thing]]:
    """Return the questions about one-use pieces of a step, each with the pieces it is about."""
    return _asked(record, spent(record, step), "in new, not the old one")


def looked_at(record: Record, step: Step) -> dict[str, list[Thing]]:
    """Return the questions about clips and rings of a step, each with those it is about."""
    if step.back:
        return {}
    clips = [t for t in record.things_of(step) if t.sort == "fastener" and t.name in LOOKED_AT and not one_use(t)]
    found = [t for t in clips if reachable(record, t) and is_used(record, t)]
    return _asked(record, found, "still good, and springs")


def _asked(record: Record, things: list[Thing], words: str) -> dict[str, list[Thing]]:
    alike: dict[str, list[Thing]] = {}
    for thing in things:
        alike.setdefault(thing.called, []).append(thing)
    found = {}
    for called, same in alike.items():
        count = sum(sum(reachable(record, t).values()) for t in same)
        holes = ", ".join(t.hole for t in same if t.hole)
        found[f"{times(count, called)}{f', hole {holes}' if holes else ''}: {words}"] = same
    return found


def to_ask(record: Record, step: Step) -> tuple[str, ...]:
    """Return all that has to be confirmed before a step goes back: cautions first, the last look last."""
    asked = [*goes_in_new(record, step), *looked_at(record, step)]
    said = step.to_confirm
    first = sum(item in step.cautions for item in said)
    return tuple(dict.fromkeys((*said[:first], *asked, *said[first:])))


def unasked(record: Record, step: Step) -> tuple[str, ...]:
    """Return what of `to_ask` was not confirmed yet."""
    return tuple(item for item in to_ask(record, step) if item not in step.confirmed)
