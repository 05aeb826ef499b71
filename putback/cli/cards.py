"""Cards without the screen: `putback card`, of whatever the words name, and `putback walk-back`.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from putback.cli.access import chosen, open_workshop, show
from putback.cli.bags import bag_numbered
from putback.errors import BadInput

if TYPE_CHECKING:
    from putback.reports.cards import Card
    from putback.reports.finding import Findable
    from putback.trade.record.bag import Bag
    from putback.trade.record.machine import Machine
    from putback.trade.record.record import Record

_STEP = re.compile(r"(?:step )?(\d{1,9})(?:,? hole ([1-9][a-z]?(?:,? [a-z]+)?))?", re.IGNORECASE)
_BAG = re.compile(r"bag (\d{1,9})", re.IGNORECASE)

FIRST_LOOK = ("first-look", "first look", "machine")
"""Words for the card of the machine itself."""

NAMED = 5
"""How many of several things that some words may mean are named."""


def card(args: argparse.Namespace) -> int:
    """Print the card of what the words name: a step, a part, a fastener, a piece, a bag, or the machine as it came."""
    from putback.reports.bags import bag_blocks, bag_card
    from putback.reports.card_blocks import card_blocks
    from putback.reports.first_look import first_look
    from putback.trade.record.bag import Bag

    with open_workshop(args) as workshop:
        record, machine = workshop.record, chosen(args, workshop)
        words = " ".join(" ".join(args.words).split())
        if words.casefold() in FIRST_LOOK:
            look = first_look(machine)
            show(args, look.to_json, look.blocks)
            return 0
        found = card_named(record, machine, words)
        if isinstance(found, Bag):
            held = bag_card(record, found)
            show(args, held.to_json, lambda: bag_blocks(held))
        else:
            show(args, found.to_json, lambda: card_blocks(record, found))
    return 0


def card_named(record: Record, machine: Machine, words: str) -> Card | Bag:
    """Return the card, or the bag, that words name on a machine. Raises BadInput where that is not one thing."""
    from putback.reports.cards import step_card, thing_card
    from putback.reports.finding import entries, find
    from putback.trade.record.holes import spot_of

    numbered = _STEP.fullmatch(words)
    if numbered:
        step = record.step(machine.id, int(numbered[1]))
        if step is None:
            raise BadInput(f"{machine.caption} has no step {numbered[1]}.")
        if numbered[2] is None:
            return step_card(record, step)
        at = spot_of(step, numbered[2])
        thing = next((t for t in record.things_of(step) if t.spot == at), None)
        if thing is None:
            raise BadInput(f"Step {step.number}, {step.name}, has nothing in hole {numbered[2]}.")
        return thing_card(record, thing)
    if in_it := _BAG.fullmatch(words):
        return bag_numbered(record, machine, int(in_it[1]))
    known = [entry for entry in entries(record) if entry.machine_id == machine.id and entry.sort != "machine"]
    return _of_entry(record, _one_of(words, [hit.entry for hit in find(known, words).hits]))


def _one_of(words: str, hits: list[Findable]) -> Findable:
    """Return the one that is meant: what is called so exactly, a part before the steps on it; else the only one."""
    exactly = [entry for entry in hits if words.casefold() in entry.exactly]
    meant = [entry for entry in exactly if entry.sort == exactly[0].sort] or hits
    if not meant:
        raise BadInput(f"Nothing matches all of “{words}”.")
    if len(meant) > 1:
        named = "; ".join(f"{entry.name} ({entry.detail})" if entry.detail else entry.name for entry in meant[:NAMED])
        more = f" and {len(meant) - NAMED} more" if len(meant) > NAMED else ""
        raise BadInput(f"“{words}” may be {len(meant)} things: {named}{more}. Type more words.")
    return meant[0]


def _of_entry(record: Record, entry: Findable) -> Card | Bag:
    from putback.reports.cards import part_card, step_card, thing_card
    from putback.trade.record.bag import Bag
    from putback.trade.record.fastener import Thing
    from putback.trade.record.machine import Part
    from putback.trade.record.step import Step

    if entry.sort == "bag":
        return record.get(Bag, entry.id)
    if entry.sort == "part":
        return part_card(record, record.get(Part, entry.id))
    if entry.sort == "step":
        return step_card(record, record.get(Step, entry.id))
    return thing_card(record, record.get(Thing, entry.id))


def walk_back(args: argparse.Namespace) -> int:
    """Print the last three steps, newest first, what is open, and where to start."""
    from putback.reports.card_blocks import walk_blocks
    from putback.reports.walking import walk_back as walked

    with open_workshop(args) as workshop:
        walk = walked(workshop.record, chosen(args, workshop), now=workshop.now())
        show(args, walk.to_json, lambda: walk_blocks(workshop.record, walk))
    return 0
