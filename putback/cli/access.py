"""Which workshop and which machine a command line names.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from putback.cli.streams import path_from, print_json, print_plain, print_text, say_error, wants_json
from putback.errors import BadInput

if TYPE_CHECKING:
    from putback.reports.blocks import Block
    from putback.trade.record.machine import Machine
    from putback.workshop import Workshop


def workshop_folder(args: argparse.Namespace) -> Path:
    """Return the folder that --workshop, PUTBACK_WORKSHOP or the user's data folder names."""
    named: str | None = getattr(args, "workshop", None)
    if named is not None and not named.strip():
        raise BadInput("--workshop must name a folder.")
    named = named or os.environ.get("PUTBACK_WORKSHOP")
    if named:
        return path_from(named)
    from platformdirs import user_data_path

    return user_data_path("putback", appauthor=False) / "workshop"


def open_workshop(args: argparse.Namespace, *, write: bool = False, make: bool = True, insist: bool = True) -> Workshop:
    """Open the workshop of a command; what the store has to tell goes to standard error.

    Raises a StoreError, or, with `insist`, BadInput where it is to be written and can only be read.
    """
    from putback.opening import open_at

    workshop = open_at(workshop_folder(args), read_only=not write, must_exist=not (write and make))
    notes = workshop.store.notes
    if write and insist and not workshop.store.writable:
        workshop.close()
        raise BadInput(f"{notes[-1]} Nothing was written.")
    for note in notes:
        say_error(note)
    if workshop.left:
        from putback.trade.record.machine import Machine
    for machine, message in workshop.left.items():
        say_error(f"{workshop.record.get(Machine, machine).caption}: {message}")
    return workshop


def chosen(args: argparse.Namespace, workshop: Workshop) -> Machine:
    """Return the machine that --machine names, or that of the last change."""
    return workshop.machine(getattr(args, "machine", ""))


def wants_plain(args: argparse.Namespace) -> bool:
    """Tell whether words alone are wanted: asked for here, or by the settings of the workshop."""
    from putback.settings import settings_in

    return bool(getattr(args, "plain", False)) or settings_in(workshop_folder(args))[0].look.plain


def show(args: argparse.Namespace, json: Callable[[], object], blocks: Callable[[], Iterable[Block]]) -> None:
    """Print a report in the form that is wanted: JSON, or its blocks as words alone or as text."""
    from putback.reports.blocks import as_text, as_words

    tell(args, json, lambda: as_text(blocks()), lambda: as_words(blocks()))


def tell(
    args: argparse.Namespace,
    json: Callable[[], object],
    text: Callable[[], str],
    plain: Callable[[], str] | None = None,
) -> None:
    """Print what a command has to say in the form that is wanted: JSON, words alone, or text.

    Without `plain` the words are those of the text, without its insets and columns.
    """
    if wants_json(args):
        print_json(json())
    elif not wants_plain(args):
        print_text(text())
    elif plain is not None:
        print_plain(plain())
    else:
        from putback.reports.spoken import lines_of

        print_plain("\n".join(lines_of(text())))
