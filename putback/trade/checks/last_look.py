"""The last look: before a cover closes, everything behind it that is still open."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from putback.trade.checks.all_jobs import waived
from putback.trade.checks.filled_holes import holes_of
from putback.trade.checks.ledger import bench_check, holdings, short_of
from putback.trade.checks.open_jobs import jobs_first
from putback.trade.checks.tools_out import tools_out
from putback.trade.record.phrases import few, times
from putback.trade.record.record import Record
from putback.trade.record.step import Step


class OpenEnd(Struct, frozen=True):
    """One thing to know before a cover closes."""

    words: str
    """What it is."""
    open: bool = True
    """Whether it wants a hand or an answer; else it is only said."""
    tools: tuple[str, ...] = ()
    """The tools, where it is about tools that are not counted back in."""


def behind(record: Record, cover: Step) -> list[Step]:
    """Return the steps behind a cover, in order: those that needed it off, themselves or through others."""
    found: dict[int, Step] = {}
    front = [cover]
    while front:
        here = front.pop()
        for step in record.steps_needing(here.machine, here.number):
            if step.number not in found:
                found[step.number] = step
                front.append(step)
    return [found[number] for number in sorted(found)]


def last_look(record: Record, cover: Step) -> list[OpenEnd]:
    """Return what is open behind a cover, and what is not as it was found; the open ones first.

    Behind it are the steps that needed it off. What lies loose, what is missing, and a tool that was used there
    and not counted back in may be behind any cover.
    """
    inside = behind(record, cover)
    found = [*_steps(record, inside), *_anywhere(record, cover), *_tools(record, cover, inside)]
    for step in inside:
        found += [OpenEnd(f"step {step.number}, {step.name}: {h.words}", h.open) for h in holes_of(record, step)]
        found += [OpenEnd(f"step {step.number}, {step.name}: {answer}", False) for answer in step.answers]
        still = [
            job
            for job in step.todo
            if job.open and not job.side and not (job.first and (not step.back or waived(step, job)))
        ]
        found += [OpenEnd(f"step {step.number}, {step.name}: {job.text}", False) for job in still]
    return sorted(dict.fromkeys(found), key=lambda end: not end.open)


def _steps(record: Record, inside: list[Step]) -> Iterator[OpenEnd]:
    for step in inside:
        if step.back or step.is_open or step.do in ("turn", "soak"):
            continue
        at = f"step {step.number}, {step.name}"
        if step.skipped:
            yield OpenEnd(f"{at}: skipped ({step.skipped})")
            for held in short_of(record, step):
                yield OpenEnd(f"{at}: {times(held.count, held.thing.called)} ({held.told})")
            for job in jobs_first(record, step):
                yield OpenEnd(f"{at}: {job.question}")
            settings = [a.text for a in step.adjust]
            work = [job.asked for job in step.on_the_way_back]
            for item in step.unconfirmed:
                if item in settings or item in step.at_refit or item in work:
                    yield OpenEnd(f"{at}: {'not set' if item in settings else 'not done'}: {item}")
        else:
            yield OpenEnd(f"{at}: not back")


def _anywhere(record: Record, cover: Step) -> Iterator[OpenEnd]:
    machine = cover.machine
    for held in bench_check(record, machine):
        if held.thing.step != cover.id:
            yield OpenEnd(f"loose on the bench: {times(held.count, held.thing.called)}")
    for held in holdings(record, machine, "missing"):
        yield OpenEnd(f"missing: {times(held.count, held.thing.called)}; is it in there?")
    outside = _ancestors(record, cover)
    for step in record.all(Step, machine):
        if step.do == "loosen" and not step.back and not step.is_open and step.number not in outside:
            yield OpenEnd(f"only loosened: {step.name}{f', tag {step.tag}' if step.tag else ''}")


def _ancestors(record: Record, step: Step) -> set[int]:
    found = {step.number}
    front = list(step.needs)
    while front:
        number = front.pop()
        need = record.step(step.machine, number)
        if need is not None and number not in found:
            found.add(number)
            front += need.needs
    return found


def _tools(record: Record, cover: Step, inside: list[Step]) -> Iterator[OpenEnd]:
    numbers = {step.number for step in inside}
    out = tools_out(record, cover.machine)
    missing = tuple(t.tool for t in out if t.missing)
    used = tuple(t.tool for t in out if not t.missing and t.step in numbers)
    if missing:
        yield OpenEnd(f"a tool is missing: {few(missing)}; is it in there?", tools=missing)
    if used:
        yield OpenEnd(f"tools not counted back in: {few(used)}", tools=used)
