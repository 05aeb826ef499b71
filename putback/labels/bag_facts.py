"""What the labels of a machine's bags say, read from the record."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from datetime import datetime

from putback.labels import wording
from putback.labels.facts import Contents, LabelFacts
from putback.trade.record.bag import Bag, Move
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.place import bag_number
from putback.trade.record.record import Record
from putback.trade.record.step import Step

_LOOSE = ("piece", "part")
_ORDER = (*_LOOSE, "fastener")


class BagFacts:
    """The labels of one machine's bags; what all of them need is gathered once."""

    def __init__(self, record: Record, machine: Machine) -> None:
        self._record, self._machine = record, machine
        self._heads: dict[str, set[str]] = {}
        self._drives: dict[str, set[str]] = {}
        for thing in record.all(Thing, machine.id):
            if thing.sort not in _LOOSE:
                self._heads.setdefault(thing.called, set()).add(thing.head)
                self._drives.setdefault(thing.called, set()).add(thing.drive)
        self._filled: dict[int, set[int]] = {}
        for move in record.all(Move, machine.id):
            number = bag_number(move.target)
            if move.step and number is not None:
                self._filled.setdefault(number, set()).add(move.step)

    def of(self, bag: Bag) -> LabelFacts:
        """Return what the label of a bag says: whose it is, its steps, and its contents by size."""
        record, machine = self._record, self._machine
        sizes: Counter[tuple[str, str]] = Counter()
        filled = set(self._filled.get(bag.number, ()))
        for number, count in record.in_bag(bag).items():
            thing = record.get(Thing, number)
            sizes[thing.sort if thing.sort in _LOOSE else "fastener", self._told_apart(thing)] += count
            filled.add(thing.step)
        steps = sorted((record.get(Step, step) for step in filled), key=lambda step: step.number)
        stamp = bag.closed or bag.opened
        return LabelFacts(
            code=bag.code,
            machine=machine.name,
            serial=machine.serial,
            bag=bag.number,
            box=bag.box,
            parts=tuple(dict.fromkeys(step.name for step in steps)),
            steps=tuple(step.number for step in steps),
            contents=_in_order([Contents(count, size, sort) for (sort, size), count in sizes.most_common()]),
            day=datetime.fromisoformat(stamp).date() if stamp else None,
            model=machine.model,
        )

    def _told_apart(self, thing: Thing) -> str:
        """What a thing is called, with head and drive where the machine has that size with several."""
        head = "form" if thing.name == "nut" else "head"  # a ring, a wing, a cap: a nut has no head
        more = [f"{thing.head or 'other'} {head}"] if len(self._heads.get(thing.called, ())) > 1 else []
        more += [f"{thing.drive or 'other'} drive"] if len(self._drives.get(thing.called, ())) > 1 else []
        return ", ".join([thing.called, *more])


def _in_order(contents: list[Contents]) -> tuple[Contents, ...]:
    """Lines as a label says them: loose pieces, which are lost unseen, parts, then sizes by thread."""
    thread_of = {line: line.size.partition(" x ")[0] for line in contents}
    weight: Counter[str] = Counter()
    for line in contents:
        weight[thread_of[line]] += line.count

    def place(line: Contents) -> tuple[int, tuple[int, str], int]:
        thread = thread_of[line]
        by_thread = (-weight[thread], thread) if line.sort == "fastener" else (0, "")
        return _ORDER.index(line.sort), by_thread, -line.count

    return tuple(sorted(contents, key=place))


def label_facts(record: Record, bag: Bag) -> LabelFacts:
    """Return what the label of one bag says."""
    return BagFacts(record, record.get(Machine, bag.machine)).of(bag)


def label_words(facts: LabelFacts) -> str:
    """What a label says, in a sentence: kept when it is printed, to tell later whether it still says so."""
    held = ", ".join(f"{line.count} {line.size}" for line in facts.contents)
    box = f"box {facts.box}" if facts.box else ""
    whose = " ".join(filter(None, (facts.machine, facts.serial)))
    said = (box, ", ".join(facts.parts), wording.steps_words(facts.steps), held or "empty", whose)
    return "; ".join(filter(None, said))


def words_of_labels(record: Record, machine: Machine, only: Collection[int] = ()) -> dict[int, str]:
    """Return what the labels of a machine's bags say now, of all or of those numbered `only`, by number."""
    bags = sorted(record.all(Bag, machine.id), key=lambda bag: bag.number)
    facts = BagFacts(record, machine)
    return {bag.number: label_words(facts.of(bag)) for bag in bags if not only or bag.number in only}


def to_print_anew(record: Record, machine: Machine, only: Collection[int] = ()) -> dict[int, str]:
    """Return what the labels say that are not printed yet or say something else by now, by the number of the bag."""
    printed = {bag.number: bag.label for bag in record.all(Bag, machine.id)}
    now = words_of_labels(record, machine, only)
    return {number: words for number, words in now.items() if printed[number] != words}
