"""The last page: a machine on one sheet at the end of its way back, and what of it nobody has said the end of."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from putback.dates import day
from putback.reports.blocks import Block
from putback.sizing.units import Unit
from putback.trade.cautions.dangers import FIRST
from putback.trade.cautions.irreversible import is_kept_as_found
from putback.trade.checks.all_jobs import JobAt, jobs_kept
from putback.trade.checks.filled_holes import Hole, holes_at_refit
from putback.trade.checks.ledger import left_over
from putback.trade.checks.open_jobs import still_open
from putback.trade.record.bag import Move
from putback.trade.record.fastener import Thing
from putback.trade.record.first_look import still_open as unanswered
from putback.trade.record.job import BEFORE_IT_RUNS, DONE
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import counted, times
from putback.trade.record.place import MISSING
from putback.trade.record.record import Record
from putback.trade.record.step import Adjustment, Step
from putback.trade.record.trip import CHANGED, DAMAGED, Sent
from putback.trade.refit.as_set import as_set_words
from putback.trade.refit.way_back import steps_off

OILED = re.compile(r"\b(?:oil|grease|lubricat)", re.IGNORECASE)
"""Words of an oil point."""

NAMED = 9
"""Steps that are not back yet, named at most."""

AS_FOUND = "As found, and now"
"""The title over what was seen at the first look; what became of it is said on the machine's card."""

BY_HAND = "turn it by hand through a whole cycle, every cover on, before it runs by itself"
"""The first check of any machine (common practice, no source)."""


class Line(Struct, frozen=True):
    """One line of the last page."""

    words: str
    """What it says."""
    open: bool = False
    """Whether a hand or an answer is still wanted: it has a box to tick."""


class Section(Struct, frozen=True):
    """Some lines under a title."""

    title: str
    """The title."""
    lines: tuple[Line, ...]
    """The lines, the open ones first."""


class LastPage(Struct, frozen=True):
    """A machine at the end."""

    machine: str
    """Name and serial."""
    as_of: str
    """The day it is of."""
    steps: int
    """How many steps were taken down."""
    back: int
    """How many of them are back."""
    sections: tuple[Section, ...]
    """What there is to say."""

    @property
    def open(self) -> int:
        """How many lines still want a hand or an answer."""
        return sum(line.open for section in self.sections for line in section.lines)

    @property
    def heading(self) -> str:
        """How it stands, in a line."""
        state = (
            "every step is back" if self.back == self.steps else f"{self.back} of {counted(self.steps, 'step')} back"
        )
        return f"{state}; {counted(self.open, 'line')} still open" if self.open else f"{state}; nothing is open"

    def blocks(self) -> Iterator[Block]:
        """Give it as blocks; what is open has a box to tick."""
        yield Block(f"The last page of {self.machine}, {day(self.as_of)}", "title")
        yield Block(self.heading)
        yield from self.section_blocks()

    def section_blocks(self) -> Iterator[Block]:
        """Give what there is to say, title by title."""
        for section in self.sections:
            yield Block(section.title, "heading", apart=True)
            yield from (Block(line.words, "open" if line.open else "line", inset=2) for line in section.lines)

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine,
            "as_of": self.as_of,
            "steps": self.steps,
            "back": self.back,
            "open": self.open,
            "sections": [
                {"title": s.title, "lines": [{"words": one.words, "open": one.open} for one in s.lines]}
                for s in self.sections
            ],
        }


def last_page(record: Record, machine: Machine, *, now: str) -> LastPage:
    """Return the last page of a machine; `now` is the stamp of the day it is made."""
    steps = list(record.all(Step, machine.id))
    holes, jobs = holes_at_refit(record, machine.id), list(jobs_kept(record, machine.id))
    runs = "should it ever run" if is_kept_as_found(machine.intent) else "before it runs"
    sections = (
        ("Every hole", _holes(holes, steps)),
        ("Not back, or left over", _over(record, machine.id)),
        ("Jobs", _jobs(record, machine.id, jobs)),
        ("Settings as found and as set", _settings(machine, steps)),
        (f"First checks, {runs}", _checks(record, machine, jobs)),
        (
            "What was changed, and what can be put back",
            [*_changed(record, machine.id, holes, steps), *_thrown(record, machine.id)],
        ),
        (AS_FOUND, _as_found(machine)),
        ("Next time", _next_time(machine, steps)),
    )
    return LastPage(
        machine=machine.caption,
        as_of=now[:10],
        steps=len(steps),
        back=len(steps) - len(steps_off(record, machine.id)),
        sections=tuple(
            Section(title, tuple(sorted(lines, key=lambda line: not line.open))) for title, lines in sections if lines
        ),
    )


def _at(step: Step) -> str:
    return f"step {step.number}, {step.name}"


def _holes(holes: list[Hole], steps: list[Step]) -> list[Line]:
    found = [hole for hole in holes if hole.open or "empty, as found" in hole.words]
    lines = [Line(f"{_at(hole.step)}: {hole.words}", hole.open) for hole in found]
    if not any(line.open for line in lines) and any(step.back for step in steps):
        every = "every other hole" if lines else "every hole"
        lines.append(Line(f"of the steps that are back, {every} has what came out of it, or says why not"))
    return lines


def _over(record: Record, machine: int) -> list[Line]:
    off = steps_off(record, machine)
    named = ", ".join(f"{step.number} {step.name}" for step in off[:NAMED])
    more = f" and {len(off) - NAMED} more" if len(off) > NAMED else ""
    steps = [Line(f"{counted(len(off), 'step')} not back: {named}{more}", open=True)] if off else []
    waiting = {step.id for step in off}
    lies = [held for held in left_over(record, machine) if not held.thing.went_into]  # of those their hole tells
    over = [held for held in lies if held.thing.step not in waiting or held.place == MISSING]
    things = [Line(f"{times(held.count, held.thing.called)}: {held.told}", open=True) for held in over]
    return [*steps, *things] or [Line("every bag is empty, nothing is left over")]


def _jobs(record: Record, machine: int, jobs: list[JobAt]) -> list[Line]:
    done = [one for one in jobs if one.job.state == DONE]
    lines = [Line(words, open=True) for words in still_open(record, machine)]
    lines += [Line(f"{one.job.called}: {one.job.result or 'done'} ({one.where})") for one in done]
    return lines


def _settings(machine: Machine, steps: list[Step]) -> list[Line]:
    """Return each setting as found and as it should be, and as it was set; one that nobody has set is open."""
    unit: Unit = "mm" if machine.unit == "mm" else "in"

    def line(at: str, setting: Adjustment, *, done: bool) -> Line:
        why = f" ({setting.why})" if setting.why else ""
        now = as_set_words(setting, unit) or ("set so" if done else "")
        return Line(f"{at}: {setting.text}{why}{f'; {now}' if now else ''}", open=not (done or now))

    own = [line("the machine", setting, done=False) for setting in machine.adjust]
    return own + [
        line(_at(step), setting, done=setting.text in step.confirmed) for step in steps for setting in step.adjust
    ]


def _next_time(machine: Machine, steps: list[Step]) -> list[Line]:
    found = [Line(f"the machine: {words}") for words in machine.next_time]
    return found + [Line(f"{_at(step)}: {words}") for step in steps for words in step.next_time]


def _checks(record: Record, machine: Machine, jobs: list[JobAt]) -> list[Line]:
    first = [one for one in jobs if one.job.when == BEFORE_IT_RUNS or one.job.do == "test"]
    lines = [Line(one.job.called, one.job.open) for one in first]
    if machine.intent == "run":
        lines += _to_run(record, machine.id, jobs)
    return [*lines, Line(f"{BY_HAND}. {FIRST}", open=not is_kept_as_found(machine.intent))]


def _to_run(record: Record, machine: int, jobs: list[JobAt]) -> list[Line]:
    """Return the oil points and what goes in only once, of a machine that is to run."""
    oiled = [
        Line(f"oil: {one.job.what} ({one.where})", one.job.open)
        for one in jobs
        if OILED.search(one.job.what) and one.job.side
    ]
    once: dict[str, int] = {}
    for thing in record.all(Thing, machine):
        if thing.once and not thing.replaces:
            once[thing.called] = once.get(thing.called, 0) + max(1, thing.count)
    return [*oiled, *(Line(f"goes in once, has to be new next time: {times(n, called)}") for called, n in once.items())]


def _changed(record: Record, machine: int, holes: list[Hole], steps: list[Step]) -> list[Line]:
    found = [hole for hole in holes if not hole.open and "empty, as found" not in hole.words]
    lines = [Line(f"{_at(hole.step)}: {hole.words}") for hole in found]
    lines += [Line(words) for words in _by_others(record, machine)]
    return lines + [Line(f"{_at(step)}: {answer}") for step in steps for answer in step.answers]


def _thrown(record: Record, machine: int) -> list[Line]:
    """Return what was thrown away of a machine kept as found, with the reason."""
    return [
        Line(f"{times(move.count, record.get(Thing, move.thing).called)} thrown away, because: {move.because}")
        for move in record.all(Move, machine)
        if move.because
    ]


def _by_others(record: Record, machine: int) -> Iterator[str]:
    """Give what came back changed or damaged of all that was sent out: by whom, what for, and what was seen."""
    for sent in record.all(Sent, machine):
        if sent.how in (CHANGED, DAMAGED):
            thing = record.get(Thing, sent.thing)
            what = f", {sent.what}" if sent.what else ""
            yield f"{_at(record.get(Step, thing.step))}: {sent.how} by {sent.to}{what}: {thing.called}, {sent.note}"


def _as_found(machine: Machine) -> list[Line]:
    wanting = unanswered(machine.first_look)
    return [Line(one.text, one in wanting) for one in machine.first_look]
