"""Rules for sessions: sitting down, breaks, leaving, and the walk-back.

They touch sessions only, so taking back can pass over them.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.phrases import quoted
from putback.trade.record.record import Record
from putback.trade.record.session import ANSWERS, Segment, Session, WalkBackAnswer, minutes_between


class StartSession(Command, frozen=True, kw_only=True):
    """Sit down at the bench."""

    can_be_taken_back = False
    is_work = False

    title: str = ""
    """What it is about; empty where not said."""
    target: float = 40.0
    """Minutes that a segment should last, from 1 to a day's."""
    box: str = ""
    """The box for bags begun in it, by its name; empty for none."""
    note: str = ""
    """A note to oneself, shown while it goes on; empty for none."""


class Pause(Command, frozen=True, kw_only=True):
    """Stop the segment."""

    can_be_taken_back = False
    is_work = False
    is_of_the_clock = True


class Resume(Command, frozen=True, kw_only=True):
    """Begin the next segment."""

    can_be_taken_back = False
    is_work = False
    is_of_the_clock = True


class WasAway(Command, frozen=True, kw_only=True):
    """Say that nobody was at the bench since a stamp: that time is a break, and the next segment begins now."""

    can_be_taken_back = False
    is_work = False
    is_of_the_clock = True

    since: str
    """When the last work ended: a stamp with its offset, in the segment that runs."""


class EndSession(Command, frozen=True, kw_only=True):
    """Leave the bench, with a note to oneself."""

    can_be_taken_back = False
    is_work = False
    is_of_the_end = True

    note: str = ""
    """What the next return shows first; empty for none."""


class MendSession(Command, frozen=True, kw_only=True):
    """Say something of the session that goes on: what it is about, how long a segment should last, the box for its
    bags. What is None stays."""

    can_be_taken_back = False
    is_work = False

    title: str | None = None
    """What it is about; empty for nothing."""
    target: float | None = None
    """Minutes to the bell, at least one and at most a day."""
    box: str | None = None
    """The box that bags begun from now on go into; empty for none."""


class WalkBack(Command, frozen=True, kw_only=True):
    """Answer for one step of the walk-back: true, not so, cannot see it now."""

    can_be_taken_back = False
    is_work = False

    step: int
    """The number of the step that was looked at."""
    answer: str
    """A key of `record.session.ANSWERS`."""


def going_on(draft: Draft) -> Session:
    """Return the session that goes on. Raises Refused where there is none."""
    session = draft.record.open_session(draft.machine)
    if session is None:
        raise Refused("No session is running; start one first.")
    return session


def last_session(record: Record, machine: int) -> Session | None:
    """Return the machine's last session, gone on or ended; None before the first."""
    return max(record.all(Session, machine), key=lambda session: session.number, default=None)


def start_session(draft: Draft, command: StartSession) -> Change:
    """Sit down at the bench."""
    if draft.record.open_session(draft.machine):
        raise Refused("A session is running already.")
    check_target(command.target)
    number = 1 + draft.record.count(Session, draft.machine)
    session = Session(
        id=draft.new_id(Session),
        machine=draft.machine,
        number=number,
        title=command.title,
        target=command.target,
        box=command.box,
        note=command.note,
        segments=(Segment(draft.at),),
    )
    draft.put(session)
    return draft.change("StartSession", f"session {number} begins")


def check_target(minutes: float) -> None:
    """Raise BadInput where no segment can last so many minutes."""
    if not 1 <= minutes <= 24 * 60:
        raise BadInput("A segment lasts from one minute to a day.")


def mend_session(draft: Draft, command: MendSession) -> Change:
    """Say something of the session that goes on."""
    session = going_on(draft)
    said: dict[str, str | float] = {}
    if command.title is not None:
        said["title"] = command.title.strip()
    if command.target is not None:
        check_target(command.target)
        said["target"] = command.target
    if command.box is not None:
        said["box"] = command.box.strip()
    changed = {name: value for name, value in said.items() if getattr(session, name) != value}
    draft.alter(session, **changed)
    shown = {name: f"{value:g}" if isinstance(value, float) else value or "none" for name, value in changed.items()}
    words = [f"{_SAID[name]} {value}" for name, value in shown.items()]
    return draft.change("MendSession", f"session {session.number}: {', '.join(words) or 'as it was'}")


_SAID = {"title": "about", "target": "minutes to the bell:", "box": "box"}
"""What can be said of a session that goes on, in words."""


def pause(draft: Draft, _: Pause) -> Change:
    """Stop the segment."""
    session = going_on(draft)
    if session.paused:
        raise Refused("The session is paused already.")
    *before, last = session.segments
    draft.alter(session, segments=(*before, replace(last, end=draft.at)))
    return draft.change("Pause", f"paused in segment {len(session.segments)}")


def resume(draft: Draft, _: Resume) -> Change:
    """Begin the next segment."""
    session = going_on(draft)
    if not session.paused:
        raise Refused("The session is running already.")
    draft.alter(session, segments=(*session.segments, Segment(draft.at)))
    return draft.change("Resume", f"segment {len(session.segments) + 1} begins")


def was_away(draft: Draft, command: WasAway) -> Change:
    """Take the time since a stamp for a break: the segment ends there, and the next one begins now."""
    session = going_on(draft)
    if session.paused:
        raise Refused("The session is paused already.")
    *before, last = session.segments
    since, now = _time(command.since), datetime.fromisoformat(draft.at)
    if not datetime.fromisoformat(last.start) <= since <= now:
        raise Refused(f"The segment began at {last.start[11:16]}; a break in it lies between then and now.")
    ended = replace(last, end=command.since)
    draft.alter(session, segments=(*before, ended, Segment(draft.at)))
    away = minutes_between(command.since, draft.at)
    return draft.change("WasAway", f"a break of {away:.0f} min since {command.since[11:16]}")


def _time(stamp: str) -> datetime:
    try:
        found = datetime.fromisoformat(stamp)
    except ValueError as fault:
        raise BadInput(f"{quoted(stamp)} is not a date and time.") from fault
    if found.tzinfo is None:
        raise BadInput(f"{quoted(stamp)} has no offset.")
    return found


def end_session(draft: Draft, command: EndSession) -> Change:
    """Leave the bench."""
    session = going_on(draft)
    segments = session.segments
    if not session.paused:
        segments = (*segments[:-1], replace(segments[-1], end=draft.at))
    note = "\n".join(filter(None, (session.note, command.note)))
    draft.alter(session, segments=segments, ended=draft.at, note=note, parting=command.note)
    return draft.change("EndSession", f"session {session.number} ends")


def walk_back(draft: Draft, command: WalkBack) -> Change:
    """Keep an answer of the walk-back: in the session that goes on, else in the last one, since looking begins none."""
    session = draft.record.open_session(draft.machine) or last_session(draft.record, draft.machine)
    if session is None:
        raise Refused("There was no session yet: there is nothing to walk back over.")
    if command.answer not in ANSWERS:
        raise BadInput(f"The walk-back is answered with {', '.join(ANSWERS)}.")
    step = draft.record.step(draft.machine, command.step)
    if step is None:
        raise Refused(f"There is no step {command.step}.")
    draft.alter(session, walked=(*session.walked, WalkBackAnswer(step.number, command.answer, draft.at, step.id)))
    return draft.change("WalkBack", f"walk-back of step {command.step}: {ANSWERS[command.answer]}")


RULES: dict[type[Command], Any] = {
    StartSession: start_session,
    Pause: pause,
    Resume: resume,
    WasAway: was_away,
    EndSession: end_session,
    MendSession: mend_session,
    WalkBack: walk_back,
}
