"""Bags: `putback bag`, by its code or a picture of its label, and the ledger `putback bags`.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from putback.cli.access import chosen, open_workshop, show, tell
from putback.cli.streams import path_from, say_error, shown, wants_json
from putback.dates import day
from putback.errors import BadInput

if TYPE_CHECKING:
    from putback.trade.record.bag import Bag
    from putback.trade.record.machine import Machine
    from putback.trade.record.record import Record
    from putback.workshop import Workshop

_NUMBER = re.compile(r"(?:bag )?(\d{1,9})", re.IGNORECASE)


def bag(args: argparse.Namespace) -> int:
    """Say what is in a bag: by its number on the machine, its code, what its label scans as, or a picture."""
    from putback.reports.bags import bag_blocks, bag_card
    from putback.scans.bag_code import read_code
    from putback.trade.record.bag import Bag

    words = " ".join(args.code)
    if bool(words) == (args.image is not None):
        raise BadInput("Say which bag: its number, its code, or --image FILE (see putback bag --help).")
    picture = path_from(args.image) if args.image is not None else None
    if picture is not None and picture.is_dir():
        return _bags_in(picture, args)
    with open_workshop(args) as workshop:
        if numbered := _NUMBER.fullmatch(words):
            found = bag_numbered(workshop.record, chosen(args, workshop), int(numbered[1]))
            if not getattr(args, "machine", ""):
                _say_whose(workshop, found)
        else:
            if picture is not None:
                from putback.photos.codes_in_pictures import code_in

                code = code_in(picture)
            else:
                code = read_code(words, [b.code for b in workshop.record.all(Bag)])
            found = workshop.bag(code, getattr(args, "machine", ""))
        card = bag_card(workshop.record, found)
        if args.label and not wants_json(args):
            _show_label(workshop, found)
            return 0
        show(args, card.to_json, lambda: bag_blocks(card))
    return 0


def _say_whose(workshop: Workshop, found: Bag) -> None:
    """Say on standard error whose bag is told, where another machine has one of that number, too."""
    from putback.trade.record.bag import Bag
    from putback.trade.record.machine import Machine

    record = workshop.record
    others = [one for one in record.all(Bag) if one.number == found.number and one.machine != found.machine]
    if others:
        mine, theirs = (workshop.record.get(Machine, one.machine).caption for one in (found, others[0]))
        more = f" and {len(others) - 1} more" if len(others) > 1 else ""
        say_error(f"This is bag {found.number} of {mine}; {theirs}{more} has one, too: --machine says whose is meant.")


def bag_numbered(record: Record, machine: Machine, number: int) -> Bag:
    """Return bag `number` of a machine. Raises BadInput where it has none of that number."""
    found = record.bag(machine.id, number)
    if found is None:
        raise BadInput(f"{machine.caption} has no bag {number}.")
    return found


def _show_label(workshop: Workshop, found: Bag) -> None:
    """Print a bag's label: in colour where the terminal may have it, in ASCII where it has no blocks."""
    from putback.labels.bag_facts import label_facts
    from putback.labels.terminal import terminal_label

    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
    ascii_only = shown("█", sys.stdout) != "█"
    width = shutil.get_terminal_size().columns
    for line in terminal_label(label_facts(workshop.record, found), width, colour=colour, ascii_only=ascii_only):
        # Our own colours are the only controls that may pass; the words are cleaned of any.
        pieces = line.split("\x1b")
        print(*(shown(piece, sys.stdout) for piece in pieces), sep="\x1b")


def _bags_in(folder: Path, args: argparse.Namespace) -> int:
    """Say which bags the pictures of a folder show."""
    from putback.photos.bag_pictures import bag_pictures_text, bags_in_folder

    with open_workshop(args) as workshop:
        rows = bags_in_folder(workshop.record, folder)
    tell(args, lambda: [row.to_json() for row in rows], lambda: bag_pictures_text(rows, folder))
    return 0


def _sheet(args: argparse.Namespace, workshop: Workshop) -> int:
    """Write the sheet for the cupboard door: bags and boxes of all machines, or of the one named."""
    from putback.cli.access import workshop_folder
    from putback.labels.printing import write_cupboard_sheet
    from putback.labels.tag_facts import shelves

    machine = chosen(args, workshop) if getattr(args, "machine", "") else None
    path = write_cupboard_sheet(
        shelves(workshop.record, machine), workshop_folder(args) / "out", day=day(workshop.now())
    )
    tell(args, lambda: {"file": str(path)}, lambda: str(path), lambda: str(path))
    return 0


def bags(args: argparse.Namespace) -> int:
    """Print the bag ledger."""
    from putback.reports.bags import bag_rows, ledger_blocks

    with open_workshop(args) as workshop:
        if args.sheet:
            return _sheet(args, workshop)
        rows = bag_rows(workshop.record, chosen(args, workshop).id)
        known = [{"code": r.code, "number": r.number, "state": r.state, "count": r.count} for r in rows]
        show(args, lambda: known, lambda: ledger_blocks(rows))
    return 0
