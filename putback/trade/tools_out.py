"""Which tools are out: named at a step and not counted back in since. One left inside is worse than a lost screw
(common practice, no source)."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from putback.trade.breaks import Break
from putback.trade.record import Record
from putback.trade.session import Session
from putback.trade.step import Step


class ToolOut(Struct, frozen=True):
    """One tool that is out."""

    tool: str
    """Its name, as the person says it."""
    step: int
    """The number of the step that named it last; 0 where none of this session did."""
    missing: bool = False
    """Whether it was looked for at a count and was not there."""


def plain_tool(name: str) -> str:
    """Return a tool's name as two spellings of it compare."""
    return " ".join(name.casefold().split())


def tools_out(record: Record, machine: int) -> list[ToolOut]:
    """Return the tools of a machine's last session that were not counted back in, and all that are missing.

    Missing ones come first. A count covers the steps done by then; a tool named again later is out again.
    """
    counts = [stop for stop in record.all(Break, machine) if stop.counted]
    back_at: dict[str, datetime] = {}
    missing: dict[str, str] = {}
    for count in counts:
        gone = {plain_tool(tool) for tool in count.missing}
        for tool in count.tools:
            name = plain_tool(tool)
            if name in gone:
                missing[name] = tool
            else:
                missing.pop(name, None)
                back_at[name] = datetime.fromisoformat(count.at)
    used: dict[str, tuple[str, int]] = {}
    for step in _steps_of_last_session(record, machine):
        touched = datetime.fromisoformat(step.back or step.ended or step.began)
        for tool in step.tools:
            name = plain_tool(tool)
            if name not in back_at or back_at[name] < touched:
                used[name] = (tool, step.number)
    found = [ToolOut(tool, used.pop(name, ("", 0))[1], True) for name, tool in missing.items()]
    return found + [ToolOut(tool, number) for tool, number in used.values()]


def missing_tools(record: Record, machine: int) -> list[str]:
    """Return the tools that were not there when they were counted, and were not found since."""
    return [out.tool for out in tools_out(record, machine) if out.missing]


def _steps_of_last_session(record: Record, machine: int) -> list[Step]:
    """Return the steps done or put back in the machine's last session, in order."""
    sessions = list(record.all(Session, machine))
    if not sessions:
        return []
    last = sessions[-1]
    start = datetime.fromisoformat(last.start)
    return [
        step
        for step in record.all(Step, machine)
        if step.session == last.id or (step.back and datetime.fromisoformat(step.back) >= start)
    ]


def notes_for_return(record: Record, machine: int) -> list[str]:
    """Return the notes that were left for this return, oldest first: those of the stretch that ended last.

    A note that was left before the stretch before that was shown when that one began.
    """
    sessions = list(record.all(Session, machine))
    ended = [(s, seg) for s in sessions for seg in s.segments if seg.end]
    if not ended:
        return []
    session, last = ended[-1]
    since = datetime.fromisoformat(last.start)
    notes = [stop.note for stop in record.all(Break, machine) if stop.note and datetime.fromisoformat(stop.at) >= since]
    if session.ended:
        notes += session.note.splitlines()
    return list(dict.fromkeys(notes))
