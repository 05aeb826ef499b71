"""Which workshop and which machine a command line names."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from putback.cli.streams import path_from, say_error
from putback.errors import BadInput

if TYPE_CHECKING:
    from putback.trade.machine import Machine
    from putback.workshop import Workshop


def workshop_folder(args: argparse.Namespace) -> Path:
    """Return the folder that --workshop, PUTBACK_WORKSHOP or the user's data folder names."""
    named: str | None = getattr(args, "workshop", None)
    if named is not None and not named.strip():
        raise BadInput("--workshop names no folder.")
    named = named or os.environ.get("PUTBACK_WORKSHOP")
    if named:
        return path_from(named)
    from platformdirs import user_data_path

    return user_data_path("putback", appauthor=False) / "workshop"


def open_workshop(args: argparse.Namespace, *, write: bool = False, make: bool = True) -> Workshop:
    """Open the workshop of a command; what the store has to tell goes to standard error.

    Raises a StoreError, or BadInput where it is to be written and can only be read.
    """
    from putback.opening import open_at

    workshop = open_at(workshop_folder(args), read_only=not write, must_exist=not (write and make))
    notes = workshop.store.notes
    if write and not workshop.store.writable:
        workshop.close()
        raise BadInput(f"{notes[-1]} Nothing was written.")
    for note in notes:
        say_error(note)
    return workshop


def chosen(args: argparse.Namespace, workshop: Workshop) -> Machine:
    """Return the machine that --machine names, or that of the last change."""
    return workshop.machine(getattr(args, "machine", ""))
