"""What refit asks of a step before it goes back: what was said of it, and which of its pieces will not do twice.

One-use pieces go in new: split pins, rivets, gaskets, crushed washers (common practice, no source), and what the
person marked so. Spring clips and retaining rings are looked at: they may have lost their spring.
"""

from __future__ import annotations

import re
from typing import Literal

from msgspec import Struct

from putback.trade.checks.ledger import reachable
from putback.trade.checks.soaks import in_soak, lift_first
from putback.trade.record.fastener import Thing
from putback.trade.record.holes import spots_text
from putback.trade.record.job import WITH_IT_ON
from putback.trade.record.phrases import times
from putback.trade.record.place import FITTED
from putback.trade.record.record import Record
from putback.trade.record.step import LAST_LOOK, NO_REVERSE, Step

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
    """Tell whether a thing has been on a machine; what was got new and has not gone in yet has not."""
    if thing.start == FITTED or thing.used:
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
        holes = spots_text((t.spot for t in same if t.hole), ", ")
        found[f"{times(count, called)}{f', hole {holes}' if holes else ''}: {words}"] = same
    return found


class Confirmation(Struct, frozen=True):
    """One thing to be confirmed before a step is back."""

    item: str
    """What it is, as the record keeps it once it is confirmed."""
    sort: Literal["caution", "new", "clip", "work", "setting", "look"]
    """What sort of thing: a caution, a one-use piece, a clip, work before the part goes on, a setting, or the last look
    before a cover closes."""
    after: bool = False
    """Whether it is asked for with the part on."""


def puts_on(record: Record, step: Step) -> bool:
    """Tell whether putting a step back puts anything on the machine, so that there is a time before and one after.

    A spring that is wound up again is its own setting.
    """
    return step.do != "let down" and step.do not in NO_REVERSE and bool(record.things_of(step))


def asks(record: Record, step: Step) -> tuple[Confirmation, ...]:
    """Return all that has to be confirmed before a step is back, in the order in which it is asked for.

    What is still in soak is lifted out, and cautions come before the hand moves; then what must be at hand and done
    before the part goes on, the last look of a cover last; then, with the part on, its settings, but for those that
    were said to come before, and the work that was said to come after.
    """
    given = step.to_confirm
    cautions = [Confirmation(item, "caution") for item in given if item in step.cautions]
    new = [Confirmation(item, "new") for item in goes_in_new(record, step)]
    clips = [Confirmation(item, "clip") for item in looked_at(record, step)]
    on = puts_on(record, step)
    bath = lift_first(step)
    if bath and (bath in step.confirmed or (not step.back and in_soak(record, step))):
        cautions.insert(0, Confirmation(bath, "caution"))
    work = _work(step, on)
    settings = [Confirmation(a.text, "setting", after=on and not a.before) for a in step.adjust]
    before = [ask for ask in (*work, *settings) if not ask.after]
    after = [ask for ask in (*settings, *work) if ask.after]
    look = [Confirmation(LAST_LOOK, "look")] if LAST_LOOK in given else []
    found: dict[str, Confirmation] = {}
    for ask in (*cautions, *new, *clips, *before, *look, *after):
        found.setdefault(ask.item, ask)
    return tuple(found.values())


def _work(step: Step, on: bool) -> list[Confirmation]:
    """The work of the way back; what was said to come with the part on does so where it is put on at all."""
    jobs = step.on_the_way_back
    later = {job.asked for job in jobs if job.side == WITH_IT_ON and on} - set(step.at_refit)
    items = [*step.at_refit, *(job.asked for job in jobs)]
    return [Confirmation(item, "work", after=item in later) for item in items]


def to_ask(record: Record, step: Step) -> tuple[str, ...]:
    """Return all that has to be confirmed before a step is back, as `asks`."""
    return tuple(ask.item for ask in asks(record, step))


def unasked(record: Record, step: Step) -> tuple[str, ...]:
    """Return what of `to_ask` was not confirmed yet."""
    return tuple(item for item in to_ask(record, step) if item not in step.confirmed)
