"""The way back as lines to be spoken: the whole plan, one step as its card, and the least work to reach a part."""

from __future__ import annotations

from collections.abc import Iterator

from putback.reports.going_back import Asked, Going
from putback.reports.plain.cards import told
from putback.reports.plan import at_refit, fetched, plan_lines
from putback.reports.planning import RefitPlan
from putback.reports.refit_words import told_of
from putback.trade.dangers_back import told_back
from putback.trade.driver import drivers_for
from putback.trade.pace import time_left
from putback.trade.record import Record
from putback.trade.refit import Reach, steps_off
from putback.trade.wording import counted

_LAST = {
    "waits": "it cannot go back yet: {line}",
    "first": "it cannot go back yet: {line}",
    "covered": "it cannot go back yet: {line}",
    "turn": "to do now: {line}",
    "put": "to do now: put it back",
}


def plan_plain(record: Record, machine: int, plan: RefitPlan, *, caption: str) -> str:
    """Return the plan, a fact a line. Steps that are back already are left out."""
    leads = {"step": "step {}: ", "caution": "caution: "}
    lines = plan_lines(record, machine, plan, caption=caption)
    return told(f"{leads.get(line.sort, '').format(line.step)}{line.words}" for line in lines)


def going_lines(record: Record, going: Going) -> Iterator[str]:
    """Give the card of one step at refit in lines, still to be spoken.

    What to beware of comes first, then what goes where, last what to do now.
    """
    step = going.step
    yield at_refit(step)
    yield f"step {step.number}{f', {step.face} face' if step.face else ''}"
    left = len(steps_off(record, step.machine))
    yield f"{counted(left, 'step')} to go, {time_left(record, step.machine).told}"
    if step.skipped:
        yield f"skipped: {step.skipped}"
    if going.turn:
        yield f"turn first: {going.turn}"
    yield from (f"caution: {caution}" for caution in going.cautions)
    yield from (f"caution: {told}" for told in told_back(going.dangers, (*going.step.cautions, *going.cautions)))
    for asked in going.asked:
        yield _asked(asked)
        if asked.sort == "look" and not asked.done:
            yield from (f"{'open' if end.open else 'to know'}: {end.words}" for end in going.look)
    if step.tools:
        yield f"tools: {', '.join(step.tools)}"
    drivers = drivers_for(record, step)
    if drivers:
        yield f"lay out: {drivers}"
    for fetch in going.fetch:
        yield fetched(fetch)
    yield from told_of(record, step)
    last = _LAST.get(going.next, "to do now: confirm: {line}")
    yield last.format(line=going.line)


def _asked(asked: Asked) -> str:
    lead = {"caution": "caution: ", "look": ""}.get(asked.sort, "to confirm: ")
    return f"{'confirmed, ' if asked.done else ''}{lead}{asked.words}"


def reach_plain(record: Record, machine: int, found: Reach, *, part: str) -> str:
    """Return the least work to reach a part."""
    if not found.steps:
        return told([f"{part}: nothing is in the way"])
    steps = [record.step(machine, number) for number in found.steps]
    lines = [f"to reach {part}: {counted(len(steps), 'step')}, {counted(found.fasteners, 'fastener')}"]
    lines += [f"about {found.minutes:.0f} min"]
    lines += [f"bags: {', '.join(map(str, found.bags))}"] if found.bags else ["no bag"]
    lines += [f"step {step.number}: {step.do} {step.name}" for step in steps if step is not None]
    if len(steps) > 1:
        lines.append(f"the way back: {', '.join(map(str, found.way_back))}")
    return told(lines)
