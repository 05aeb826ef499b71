"""Which tools are out: named at a step and not counted back in since. One left inside is worse than a lost screw
(common practice, no source)."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from putback.trade.checks.hang_tags import untagged
from putback.trade.checks.ledger import holdings
from putback.trade.record.breaks import Break
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.trade.sizes.tools import read_tool

NONE_OUT = "no tool was entered as out"
"""What is said of the tools where nobody named any: of those nothing is known, and they are counted by eye."""


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
    return read_tool(name).called


def tools_out(record: Record, machine: int) -> list[ToolOut]:
    """Return the tools of a machine's last session that were not counted back in, and all that are missing.

    They keep the order in which they were named, those missing since an earlier session first. A count covers
    the steps done by then; a tool named again later is out again.
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
    used: dict[str, ToolOut] = {}
    for step in _steps_of_last_session(record, machine):
        touched = datetime.fromisoformat(step.back or step.ended or step.began)
        for tool in step.tools:
            name = plain_tool(tool)
            if name in missing or name not in back_at or back_at[name] < touched:
                used[name] = ToolOut(tool, step.number, name in missing)
    return [ToolOut(tool, 0, True) for name, tool in missing.items() if name not in used] + [*used.values()]


def tools_text(record: Record, machine: int) -> str:
    """Return what is known of the tools of a machine's last session where none of them is out.

    That every one is back is said only of tools that were entered as out: of others nothing is known.
    """
    named = any(step.tools for step in _steps_of_last_session(record, machine))
    return "every tool entered as out is back" if named else NONE_OUT


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


def not_seen_to(record: Record, machine: int) -> bool:
    """Tell whether a session would end with a tool out, something borrowed, or something loose without a tag."""
    return bool(tools_out(record, machine) or untagged(record, machine) or holdings(record, machine, "borrowed"))


def notes_for_return(record: Record, machine: int) -> list[str]:
    """Return the notes that were left for this return, oldest first: those of the stretch that ended last.

    A note that was left before the stretch before that was shown when that one began.
    """
    sessions = list(record.all(Session, machine))
    ended = [(s, seg) for s in sessions for seg in s.segments if seg.end]
    if not ended:
        return []
    session, last = ended[-1]
    notes = _left_since(record, machine, last.start)
    if session.ended:
        notes += session.parting.splitlines()
    return list(dict.fromkeys(notes))


def notes_since(record: Record, machine: int) -> list[str]:
    """Return the notes that were left for the next return: those since the last stretch began."""
    sessions = list(record.all(Session, machine))
    return _left_since(record, machine, sessions[-1].segments[-1].start) if sessions else []


def _left_since(record: Record, machine: int, start: str) -> list[str]:
    since = datetime.fromisoformat(start)
    return [stop.note for stop in record.all(Break, machine) if stop.note and datetime.fromisoformat(stop.at) >= since]
