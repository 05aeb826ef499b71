"""Where a part goes that nothing else is said of: a setting of its machine."""

from __future__ import annotations

from putback.trade.record.machine import Machine
from putback.trade.record.place import SHELF
from putback.trade.record.record import Record
from putback.trade.record.session import Session


def usual_place(record: Record, machine: int) -> str:
    """Return where the parts of a machine go: the shelf, or the box of the session, where it is set so and has one."""
    found = record.find(Machine, machine)
    if found is None or found.parts_go != "box":
        return SHELF
    session = record.open_session(machine) or next(reversed(list(record.all(Session, machine))), None)
    return f"box {session.box}" if session is not None and session.box else SHELF
