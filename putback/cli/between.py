"""What can be done between two sessions: jobs, what is sent out, the machines and how they stand.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from putback.cli.access import chosen, open_workshop, show, tell, workshop_folder
from putback.cli.streams import path_from
from putback.dates import day

if TYPE_CHECKING:
    from putback.sheets.writing import Printed
    from putback.trade.record.machine import Machine
    from putback.workshop import Workshop


def _machines(args: argparse.Namespace, workshop: Workshop) -> list[Machine]:
    """Return the machine that --machine names, else all of them."""
    return [chosen(args, workshop)] if getattr(args, "machine", "") else workshop.machines()


def todo(args: argparse.Namespace) -> int:
    """Print what is left to do, machine by machine."""
    from putback.reports.todo import to_do, todo_blocks

    if args.make_sheet:
        return _to_make(args)
    if args.get or args.csv or args.sheet:
        return _to_get(args)
    with open_workshop(args) as workshop:
        found = [to_do(workshop.record, machine, now=workshop.now()) for machine in _machines(args, workshop)]
        show(args, lambda: [one.to_json() for one in found], lambda: todo_blocks(found))
    return 0


def _paper(args: argparse.Namespace) -> str:
    """Return the paper that the settings name for labels, where it is a sheet of its own."""
    from putback.labels.sheets import as_set
    from putback.settings import settings_in
    from putback.sheets.writing import paper_of

    return paper_of(as_set(settings_in(workshop_folder(args))[0].labels)[0])


def _out(args: argparse.Namespace) -> Path:
    return path_from(args.out) if args.out is not None else workshop_folder(args) / "out"


def _print(args: argparse.Namespace, workshop: Workshop, sheet: Printed) -> int:
    """Write a sheet and tell where it is."""
    from putback.sheets.writing import write_sheet

    path = write_sheet(sheet, _out(args), paper=_paper(args), day=day(workshop.now()))
    tell(args, lambda: {"file": str(path)}, lambda: str(path), lambda: str(path))
    return 0


def _to_make(args: argparse.Namespace) -> int:
    """Write a sheet for each thing that is to be made."""
    from putback.photos.thumbnails import Thumbnails
    from putback.sheets.to_make import made_of, to_make

    with open_workshop(args) as workshop:
        things = to_make(workshop.record, _machines(args, workshop), Thumbnails(workshop_folder(args)))
        return _print(args, workshop, made_of(things))


def _to_get(args: argparse.Namespace) -> int:
    """Print the list of what to get, over all machines."""
    from putback.reports.to_get import get_blocks, get_csv, get_lines
    from putback.reports.wanted import noted_to_get, wanted_things

    with open_workshop(args) as workshop:
        record = workshop.record
        found = [
            one
            for machine in _machines(args, workshop)
            for one in (*wanted_things(record, machine.id), *noted_to_get(record, machine.id))
        ]
        lines = get_lines(record, found)
        if args.sheet:
            from putback.sheets.to_get import to_get

            of = chosen(args, workshop).caption if getattr(args, "machine", "") else ""
            return _print(args, workshop, to_get(lines, of=of))
        known = [line.to_json() for line in lines]
        if args.csv:
            tell(args, lambda: known, lambda: get_csv(lines))
        else:
            show(args, lambda: known, lambda: get_blocks(lines))
    return 0


def sent(args: argparse.Namespace) -> int:
    """Print what is out of the house: to whom, since when, and what waits for it."""
    from putback.reports.sent import parcel_blocks, sent_blocks, sent_out

    with open_workshop(args) as workshop:
        found = [one for machine in _machines(args, workshop) for one in sent_out(workshop.record, machine.id)]
        if args.sheet:
            from putback.photos.thumbnails import Thumbnails
            from putback.sheets.parcels import parcels

            return _print(args, workshop, parcels(workshop.record, found, Thumbnails(workshop_folder(args))))
        blocks = parcel_blocks if args.list else sent_blocks
        show(args, lambda: [one.to_json() for one in found], lambda: blocks(found))
    return 0


def machines(args: argparse.Namespace) -> int:
    """Print the machines: how each stands, days since it was touched, what is due, what it waits for."""
    from putback.reports.machines import machine_blocks, machine_lines

    with open_workshop(args) as workshop:
        found = machine_lines(workshop.record, now=workshop.now())
        show(args, lambda: [line.to_json() for line in found], lambda: machine_blocks(found))
    return 0


def spares(args: argparse.Namespace) -> int:
    """Print the spares of the workshop, by size and count."""
    from putback.reports.spares import spare_blocks, spare_lines

    with open_workshop(args) as workshop:
        found = spare_lines(workshop.record)
        show(args, lambda: [line.to_json() for line in found], lambda: spare_blocks(found))
    return 0
