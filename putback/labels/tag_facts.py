"""What hang-tags and box labels say of a record."""

from __future__ import annotations

from datetime import date, datetime

from putback.errors import Refused
from putback.labels.cupboard import Shelf
from putback.labels.facts import BoxFacts, TagFacts
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.place import FITTED, LOOSE, bag_number, sort_of
from putback.trade.record.record import Record
from putback.trade.record.step import Step

UNTAGGED = frozenset({FITTED, "bag", "scrapped", "missing"})
"""Where a part is that needs no tag: on the machine, in a bag, or not there to hang one on."""


def tag_facts(record: Record, machine: Machine) -> list[TagFacts]:
    """Return a tag for each part that lies in no bag, each thing only loosened, and a step left half done.

    What is loosened, or hung with a tag where it lay loose, has the letter it was given at the bench; all
    else is called by its step's number, which stays the same as long as the record does. Raises
    Refused where there is nothing to tag.
    """
    tags = []
    for step in record.all(Step, machine.id):
        if step.back:
            continue
        if step.is_open:
            tags.append(_tag(machine, step, step.name, _half_done(record, step), step.began))
        elif step.do == "loosen":
            tags.append(_tag(machine, step, step.name, _loosened(record, step), step.ended))
        else:
            for thing in record.things_of(step):
                places = [p for p in record.standing(thing.id) if sort_of(p) not in UNTAGGED]
                letter = thing.tag if LOOSE in places else ""
                if places and (letter or thing.sort == "part"):
                    note = _off(record, step, places[0])
                    tags.append(_tag(machine, step, thing.called, note, step.ended, letter=letter))
    if not tags:
        raise Refused(f"Nothing of {machine.caption} needs a tag: no part lies outside a bag, no step is half done.")
    return tags


def _tag(machine: Machine, step: Step, what: str, note: str, stamp: str, *, letter: str = "") -> TagFacts:
    day: date | None = datetime.fromisoformat(stamp).date() if stamp else None
    return TagFacts(
        letter=letter or step.tag or str(step.number),
        what=what,
        note=note,
        machine=machine.name,
        serial=machine.serial,
        step=step.number,
        day=day,
    )


def _half_done(record: Record, step: Step) -> str:
    out = sum(thing.count for thing in record.things_of(step))
    bag = f" (bag {step.bag})" if step.bag and out else ""
    return f"half done: {out} out{bag}, still on the machine"


def _loosened(record: Record, step: Step) -> str:
    texts = [f"hole {t.spot}: {t.called} {t.turns:g} turns loose" for t in record.things_of(step) if t.turns]
    return "; ".join(texts) or "loosened, still on"


def _off(record: Record, step: Step, place: str) -> str:
    bags = sorted(
        {
            number
            for thing in record.things_of(step)
            for held in record.standing(thing.id)
            if (number := bag_number(held)) is not None
        }
    )
    texts = [f"its pieces: bag {', '.join(map(str, bags))}"] if bags else []
    texts += [place] if sort_of(place) not in ("shelf", "loose") else []
    texts += [job.called for job in step.todo if job.open]
    return "; ".join(texts)


def box_facts(record: Record, machine: Machine) -> list[BoxFacts]:
    """Return a label for each box in which bags of the machine lie, with its bags in order.

    Raises Refused where no bag lies in a box.
    """
    boxes: dict[str, list[Bag]] = {}
    for bag in sorted(record.all(Bag, machine.id), key=lambda bag: bag.number):
        if bag.box:
            boxes.setdefault(bag.box, []).append(bag)
    if not boxes:
        raise Refused(f"No bag of {machine.caption} lies in a box.")
    return [
        BoxFacts(letter, machine.name, machine.serial, tuple((bag.number, _in_a_word(record, bag)) for bag in bags))
        for letter, bags in sorted(boxes.items())
    ]


def shelves(record: Record, machine: Machine | None = None) -> list[Shelf]:
    """Return every box of every machine, or of one, with its bags in order; last of each those in no box.

    Raises Refused where there is no bag.
    """
    found: list[Shelf] = []
    for one in [machine] if machine is not None else record.all(Machine):
        boxes: dict[str, list[Bag]] = {}
        for bag in sorted(record.all(Bag, one.id), key=lambda bag: bag.number):
            boxes.setdefault(bag.box, []).append(bag)
        for letter, bags in sorted(boxes.items(), key=lambda item: (not item[0], item[0])):
            found.append(Shelf(one.caption, letter, tuple((bag.number, _in_a_word(record, bag)) for bag in bags)))
    if not found:
        raise Refused("There is no bag yet.")
    return found


def _in_a_word(record: Record, bag: Bag) -> str:
    """The parts whose pieces a bag holds, or that it is empty."""
    steps = {record.get(Thing, thing).step for thing in record.in_bag(bag)}
    names = dict.fromkeys(record.get(Step, step).name for step in sorted(steps))
    return ", ".join(names) or "empty"
