"""A session file tried in memory before anything is written."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import BadInput, BadSessionFile
from putback.progress import each
from putback.trade.commands import Enter
from putback.trade.commands.named_size import sized
from putback.trade.commands.rules import apply
from putback.trade.files.session_file import SessionFile
from putback.trade.record.record import Record


class Rehearsal(Struct, frozen=True):
    """A session file that was tried and has no error."""

    file: SessionFile
    """The file, with every fastener's size named."""
    record: Record
    """What it comes to in a workshop of its own."""


def rehearse(file: SessionFile) -> Rehearsal:
    """Play `file` into an empty record.

    Raises BadSessionFile with one sentence naming file, step and error.
    """
    record = Record()
    acts = []
    for number, act in enumerate(each(file.acts, "acts tried")):
        command = act.command
        try:
            if isinstance(command, Enter):
                command = sized(record, 1, command)
            codes = (f"rehearsal {number}", f"rehearsal {number} too")
            record.absorb(apply(record, 1, command, at=act.at, codes=codes))
        except BadInput as fault:
            raise BadSessionFile(f"{file.name}: {act.where}: {fault}") from fault
        acts.append(replace(act, command=command))
    return Rehearsal(replace(file, acts=tuple(acts)), record)
