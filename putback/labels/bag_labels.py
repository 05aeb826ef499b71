"""Labels for the bags of a record, and blank ones to be bound later."""

from __future__ import annotations

from collections.abc import Callable, Collection, Container
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from putback.errors import BadInput, Refused
from putback.labels.bag_facts import BagFacts
from putback.labels.facts import LabelFacts
from putback.labels.paper import Grid
from putback.labels.printer import PrinterProfile
from putback.labels.printing import make_labels, write_made
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record

if TYPE_CHECKING:
    from putback.labels.layout import Label


@dataclass(frozen=True, slots=True)
class Printed:
    """What was written, and what a label could not say."""

    paths: tuple[Path, ...]
    """The sheet first, then one picture a label."""
    notes: tuple[str, ...] = ()
    """A sentence for each label whose square had to leave something out, or one for many of them."""


def bag_labels(
    record: Record,
    machine: Machine,
    out: Path,
    on: Grid,
    printer: PrinterProfile,
    *,
    only: Collection[int] = (),
    start: int = 1,
    full: bool = True,
) -> Printed:
    """Write the labels of all bags of a machine, or of those numbered `only`, into `out`.

    Without `full` the squares hold their codes alone. Raises Refused where there is no bag, BadInput for
    a label that is too small and for two bags with one code, DiskTrouble where `out` cannot be written.
    """
    return write_bag_labels(bag_label_facts(record, machine, only), out, on, printer, start=start, full=full)


def bag_label_facts(record: Record, machine: Machine, only: Collection[int] = ()) -> list[LabelFacts]:
    """Return what stands on the labels of all bags of a machine, or of those numbered `only`.

    Raises Refused where there is no bag, BadInput for one that is not there and for two with one code.
    """
    bags = sorted(record.all(Bag, machine.id), key=lambda bag: bag.number)
    if not bags:
        raise Refused(f"There is no bag of {machine.caption} yet.")
    if absent := sorted(set(only) - {bag.number for bag in bags}):
        raise BadInput(f"There is no bag {absent[0]} of {machine.caption}.")
    for bag in bags:
        refuse_twins(record, bag.code)
    chosen = [bag for bag in bags if not only or bag.number in only]
    facts = BagFacts(record, machine)
    return [facts.of(bag) for bag in chosen]


def refuse_twins(record: Record, code: str) -> None:
    """Raise BadInput where more than one bag has a code, naming them."""
    bags = record.bags_by_code(code)
    if len(bags) > 1:
        owners = [f"bag {bag.number} of {record.get(Machine, bag.machine).caption}" for bag in bags]
        raise BadInput(
            f"Two bags have the code {code}: {' and '.join(owners[:2])}. Give one a new bag, and move its things there."
        )


def blank_labels(
    record: Record,
    pool: int,
    out: Path,
    new_code: Callable[[Container[str]], str],
    on: Grid,
    printer: PrinterProfile,
    *,
    start: int = 1,
) -> Printed:
    """Write `pool` blank labels with fresh codes into `out`; errors as `bag_labels`."""
    taken = {bag.code for bag in record.all(Bag)}
    fresh = []
    for _ in range(pool):
        code = new_code(taken)
        taken.add(code)
        fresh.append(LabelFacts(code))
    return write_bag_labels(fresh, out, on, printer, start=start)


def write_bag_labels(
    facts: list[LabelFacts], out: Path, on: Grid, printer: PrinterProfile, *, start: int = 1, full: bool = True
) -> Printed:
    """Write labels of which all is known into `out`: it asks no record. Errors as `bag_labels`."""
    labels = make_labels(facts, on, printer, full=full)
    paths = write_made(labels, out, on, printer, start=start)
    notes = tuple(filter(None, map(_left_out, labels)))
    if len(notes) > _MANY:
        notes = (
            f"{len(notes)} of {len(labels)} QR codes hold less than is printed beside them: a larger label or a finer"
            f" printer (--dpi) would give them room. --code-alone leaves the summary out: larger modules.",
        )
    return Printed(tuple(paths), notes)


_MANY = 3
"""What more QR codes than that leave out is told in one sentence for all of them."""


def _left_out(label: Label) -> str:
    """A sentence on what a label's square could not say, or nothing."""
    gone = label.payload.left_out
    if not gone:
        return ""
    name = f"Bag {label.facts.bag}" if label.facts.bag is not None else label.facts.code
    if label.code_alone:
        return f"{name}: the label is too small for a summary; its QR code holds the bag's code alone."
    return f"{name}: left out of the QR code: {', '.join(gone)}."
