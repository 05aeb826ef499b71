"""Whose labels a sheet has: it says so itself, so that those of another machine are kept and not written over."""

from __future__ import annotations

import os
import re
from pathlib import Path

from putback.errors import DiskTrouble

BLANK = "blank labels"
"""Whose a sheet of blank labels is."""

_SAID = re.compile(rb"/Subject \(of ([0-9a-f]*)\)")
_LONGEST = 60
"""Characters of a name in the name of a file."""


def signed(whose: str) -> str:
    """Return how a PDF says whose it is, as its subject."""
    return f"of {whose.encode().hex()}"


def whose_sheet(path: Path) -> str:
    """Return whose labels a PDF has; empty where there is none, or it does not say."""
    try:
        found = _SAID.search(path.read_bytes())
    except OSError:
        return ""
    return bytes.fromhex(found[1].decode()).decode("utf-8", "replace") if found is not None else ""


def set_aside(out: Path, sheet: str, whose: str) -> str:
    """Keep a sheet of another's labels under that one's name before it is written over; return a sentence on it.

    Empty where there is none. Raises DiskTrouble where it cannot be renamed.
    """
    path = out / f"{sheet}.pdf"
    other = whose_sheet(path)
    if not other or other == whose:
        return ""
    name = "".join(c if c.isalnum() else "-" for c in other)[:_LONGEST].strip("-").lower()
    kept = path.with_name(f"{sheet}-{name}.pdf")
    try:
        os.replace(path, kept)
    except OSError as fault:
        raise DiskTrouble(f"{path.name} of {other} could not be kept: {fault.strerror or fault}") from fault
    return f"{path.name} was that of {other}: it is kept as {kept.name}."
