"""Hang-tags: letters for what is only loosened, and for what lies loose on the bench over a break."""

from __future__ import annotations

from putback.trade.checks.ledger import Holding, bench_check
from putback.trade.record.fastener import Thing
from putback.trade.record.record import Record
from putback.trade.record.step import Step

LETTERS = tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
"""What can stand on a hang-tag."""


def tags_in_use(record: Record, machine: int) -> dict[str, str]:
    """Return what hangs where on a machine: the letter, and what it hangs on."""
    used = {step.tag: step.name for step in record.all(Step, machine) if step.tag and not step.back}
    used |= {held.thing.tag: held.thing.called for held in bench_check(record, machine) if held.thing.tag}
    return used


def tag_holder(record: Record, machine: int, tag: str) -> str:
    """Return what a tag hangs on; empty where it is free."""
    return tags_in_use(record, machine).get(tag, "")


def free_tag(record: Record, machine: int) -> str:
    """Return the first letter that hangs on nothing; empty where all are used."""
    used = tags_in_use(record, machine)
    return next((letter for letter in LETTERS if letter not in used), "")


def untagged(record: Record, machine: int) -> list[Holding]:
    """Return what lies loose on the bench without a tag; at a break there should be nothing."""
    return [held for held in bench_check(record, machine) if not held.thing.tag]


def loose_text(thing: Thing) -> str:
    """Return a thing that lies loose, with its tag where it has one."""
    return f"{thing.called} (tag {thing.tag})" if thing.tag else thing.called
