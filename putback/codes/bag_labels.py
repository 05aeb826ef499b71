"""Labels for the bags of a record, and blank ones to be bound later."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Container
from datetime import datetime
from pathlib import Path

from putback.codes.facts import Contents, LabelFacts
from putback.errors import Refused
from putback.trade.bag import Bag, Move
from putback.trade.fastener import Thing
from putback.trade.machine import Machine
from putback.trade.place import bag_number
from putback.trade.record import Record
from putback.trade.step import Step


def label_facts(record: Record, bag: Bag) -> LabelFacts:
    """Return what the label of a bag says: whose it is, its steps, and its contents by size."""
    machine = record.get(Machine, bag.machine)
    held = record.in_bag(bag)
    sizes: Counter[str] = Counter()
    steps: dict[int, str] = {}
    for number, count in held.items():
        thing = record.get(Thing, number)
        sizes[thing.called] += count
        step = record.get(Step, thing.step)
        steps[step.number] = step.name
    for move in record.all(Move, bag.machine):
        if move.step and bag_number(move.target) == bag.number:
            step = record.get(Step, move.step)
            steps[step.number] = step.name
    stamp = bag.closed or bag.opened
    return LabelFacts(
        code=bag.code,
        machine=machine.name,
        serial=machine.serial,
        bag=bag.number,
        box=bag.box,
        parts=tuple(dict.fromkeys(name for _, name in sorted(steps.items()))),
        steps=tuple(sorted(steps)),
        contents=tuple(Contents(count, size) for size, count in sizes.most_common()),
        day=datetime.fromisoformat(stamp).date() if stamp else None,
    )


def bag_labels(record: Record, machine: Machine, out: Path) -> list[Path]:
    """Write the labels of all bags of a machine into `out`; return the paths, the sheet first.

    Raises Refused where there is no bag, DiskTrouble where `out` cannot be written.
    """
    bags = sorted(record.all(Bag, machine.id), key=lambda bag: bag.number)
    if not bags:
        raise Refused(f"There is no bag of {machine.caption} yet.")
    return _write([label_facts(record, bag) for bag in bags], out)


def blank_labels(record: Record, pool: int, out: Path, new_code: Callable[[Container[str]], str]) -> list[Path]:
    """Write `pool` blank labels with fresh codes into `out`; return the paths, the sheet first."""
    taken = {bag.code for bag in record.all(Bag)}
    fresh = []
    for _ in range(pool):
        code = new_code(taken)
        taken.add(code)
        fresh.append(LabelFacts(code))
    return _write(fresh, out)


def _write(facts: list[LabelFacts], out: Path) -> list[Path]:
    from putback.codes.labels import write_labels

    return write_labels(facts, out)
