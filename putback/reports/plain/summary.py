"""The summary of a session and what is to do, as lines to be spoken."""

from __future__ import annotations

from putback.reports.plain.cards import spoken_text
from putback.reports.summary import Summary, balance_lines, balance_proved, clock_text, done_text
from putback.reports.todo import ToDo, frees_text, todo_lines
from putback.trade.record.phrases import counted, minutes_text
from putback.trade.record.place import going


def summary_lines(summary: Summary) -> list[str]:
    """Return the summary, one fact a line, still to be spoken."""
    s = summary
    out = [f"{s.machine}, session {s.session}", *([s.title] if s.title else [])]
    out.append(f"from {clock_text(s.start)} to {clock_text(s.end)}")
    out.append(f"{minutes_text(s.minutes)} hands on in {counted(s.segments, 'segment')}")
    if s.session > 1:
        out.append(f"{minutes_text(s.minutes_all)} in all sessions")
    out.append(f"next time: {s.next}")
    out += [f"note: {note}" for note in (*s.notes, *s.note.splitlines())]
    out.append(f"done: {done_text(s)}")
    for line in s.steps:
        inside = f", inside {', '.join(line.path)}" if line.path else ""
        counts = [counted(line.fasteners, "fastener")] if line.fasteners else []
        counts += [counted(line.pieces, "loose piece")] if line.pieces else []
        counts += [f"bag {', '.join(map(str, line.bags))}"] if line.bags else []
        counts += [f"the part {going(line.put)}"] if line.put else []
        out.append("; ".join([f"step {line.number}: {line.text}{inside}", *counts]))
    if s.back:
        out.append(f"put back: step {', '.join(map(str, s.back))}")
    out += [f"not as it was found: {hole}" for hole in s.holes]
    out += [f"seen and noted, {words}" for words in s.seen]
    out += [f"of the machine itself: {words}" for words in s.of_machine]
    if s.sizes:
        out.append("fasteners that came out, by size:")
        out += [f"{count} of {size}" for size, count in s.sizes.items()]
    out += [f"bag {b.number}: {b.state}, {b.count} in it" for b in s.bags]
    for area, minutes in s.areas.items():
        out.append(f"time at {area or 'the machine itself'}: {minutes_text(minutes)}")
    out.append(f"open questions: {len(s.questions)}")
    out += s.questions
    out.append("where everything is now:")
    out += balance_lines(s)
    return [*out, balance_proved(s)]


def summary_plain(summary: Summary) -> str:
    """Return the summary as it is spoken."""
    return spoken_text(summary_lines(summary))


def todo_plain(found: ToDo) -> str:
    """Return what is left to do."""
    lines = [f"{title.lower()}: {line}" for title, rows in todo_lines(found) for line in rows]
    first = [f"first: {frees_text(found)}"] if frees_text(found) else []
    done = [f"done: {row.text}" for row in found.done_jobs]
    cautions = [f"caution: {words}" for words in found.cautions]
    return spoken_text([found.machine, *first, *(lines or ["nothing is left to do"]), *cautions, *done])
