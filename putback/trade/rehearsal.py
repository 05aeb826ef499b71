"""A session file tried in memory before anything is written."""

from __future__ import annotations

from putback.errors import BadInput, BadSessionFile
from putback.trade.commands import Enter, apply
from putback.trade.record import Record
from putback.trade.session_file import SessionFile
from putback.trade.sized import sized


def rehearse(file: SessionFile) -> Record:
    """Play `file` into an empty record and return that.

    Raises BadSessionFile with one sentence naming file, step and fault.
    """
    record = Record()
    for number, act in enumerate(file.acts):
        try:
            command = act.command
            if isinstance(command, Enter):
                command = sized(record, 1, command)
            codes = (f"rehearsal {number}", f"rehearsal {number} too")
            record.absorb(apply(record, 1, command, at=act.at, codes=codes))
        except BadInput as fault:
            raise BadSessionFile(f"{file.name}: {act.where}: {fault}") from fault
    return record
