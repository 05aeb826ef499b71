"""What goes to the printer and comes from the camera: `putback labels` and `putback photos`.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from putback.cli.access import chosen, open_workshop, workshop_folder
from putback.cli.streams import path_from, print_json, print_text, say_error, wants_json
from putback.errors import BadInput

if TYPE_CHECKING:
    from putback.workshop import Workshop


def labels(args: argparse.Namespace) -> int:
    """Write labels as PDF and PNG."""
    from putback.labels.bag_labels import Printed, bag_labels, blank_labels
    from putback.labels.printer import DOTS, LEAST_MODULE, PrinterProfile
    from putback.labels.sheets import read_sheet
    from putback.opening import fresh_code
    from putback.settings import settings_in

    pool = args.pool
    if pool is not None and not 1 <= pool <= 10_000:
        raise BadInput("--pool takes a number from 1 to 10000.")
    label_settings = settings_in(workshop_folder(args))[0].labels
    on = read_sheet(
        args.paper or label_settings.paper or "A4", label=args.label, rows=args.grid, edge=args.edge, step=args.step
    )
    printer = PrinterProfile(
        dpi=args.dpi if args.dpi is not None else label_settings.dots or DOTS,
        least_module=args.module if args.module is not None else label_settings.least_module or LEAST_MODULE,
        inches=on.paper == "Letter",
    )
    of_bags = pool is None and not (args.tags or args.boxes or args.commands)
    with open_workshop(args, write=of_bags, make=False, insist=False) as workshop:
        out = path_from(args.out) if args.out else workshop_folder(args) / "out"
        aside = "" if args.commands else _aside(args, workshop, out)
        if pool is not None:
            printed = blank_labels(workshop.record, pool, out, fresh_code, on, printer, start=args.start)
        elif args.tags or args.boxes:
            from putback.labels.printing import write_box_labels, write_tags
            from putback.labels.tag_facts import box_facts, tag_facts

            record, machine = workshop.record, chosen(args, workshop)
            if args.tags:
                paths = write_tags(tag_facts(record, machine), out, paper=on, printer=printer, start=args.start)
            else:
                paths = write_box_labels(box_facts(record, machine), out, paper=on, printer=printer, start=args.start)
            printed = Printed(tuple(paths))
        elif args.commands:
            from putback.cli.workbench import keymap
            from putback.labels.printing import write_command_sheet
            from putback.tui.keyboard.command_codes import STROKES

            strokes = [stroke.facts(keymap(args)) for stroke in STROKES]
            printed = Printed((write_command_sheet(strokes, out, paper=on.paper, printer=printer),))
        else:
            from putback.labels.bag_facts import to_print_anew
            from putback.trade.commands import LabelsPrinted

            machine = chosen(args, workshop)
            only = args.bag or (list(to_print_anew(workshop.record, machine)) if args.changed else ())
            if args.changed and not only:
                raise BadInput(f"Every label of {machine.caption} is printed, and nothing on it has changed since.")
            printed = bag_labels(
                workshop.record, machine, out, on, printer, only=only, start=args.start, full=not args.code_alone
            )
            anew = to_print_anew(workshop.record, machine, only)
            if anew and workshop.store.writable:
                workshop.do(LabelsPrinted(says=anew), machine.id)
            elif anew:
                say_error("That these labels were printed is not recorded: the workshop can only be read now.")
    for note in filter(None, (aside, *printed.notes)):
        say_error(note)
    if wants_json(args):
        print_json([str(path) for path in printed.paths])
    else:
        print_text("\n".join(str(path) for path in printed.paths))
    return 0


def _aside(args: argparse.Namespace, workshop: Workshop, out: Path) -> str:
    """Keep a sheet of another machine's labels before it is written over; return a sentence on it."""
    from putback.labels.whose import BLANK, set_aside

    whose = BLANK if args.pool is not None else chosen(args, workshop).caption
    return set_aside(out, "tags" if args.tags else "boxes" if args.boxes else "labels", whose)


def photos(args: argparse.Namespace) -> int:
    """Pair a folder of camera files with steps, and file them."""
    from putback.opening import LocalZone
    from putback.photos.filing import file_folder

    with open_workshop(args, write=True, make=False) as workshop:
        machines = [chosen(args, workshop)] if getattr(args, "machine", "") else workshop.machines()
        if not machines:
            raise BadInput("There is no machine in this workshop yet.")
        clock = path_from(args.clock) if args.clock is not None else None
        into = workshop_folder(args) / "photos"
        filing = file_folder(
            workshop, path_from(args.folder), machines, into, LocalZone(), clock=clock, codes=args.codes
        )
    if wants_json(args):
        print_json(filing.to_json())
    else:
        print_text(filing.text)
    return 0
