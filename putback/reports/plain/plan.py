"""The way back as lines to be spoken: the whole plan, one step as its card, and the least work to reach a part."""

from __future__ import annotations

from collections.abc import Iterator

from putback.reports.account import Account
from putback.reports.account.lines import now_line, spoken_lines
from putback.reports.plain.cards import spoken_text
from putback.reports.plan import plan_lines, reach_lines
from putback.reports.planning import RefitPlan
from putback.trade.record.phrases import counted
from putback.trade.record.record import Record
from putback.trade.refit.pace import time_left
from putback.trade.refit.way_back import Reach, steps_off


def plan_plain(record: Record, machine: int, plan: RefitPlan, *, caption: str) -> str:
    """Return the plan, a fact a line. Steps that are back already are left out."""
    leads = {"step": "step {}: ", "caution": "caution: "}
    lines = plan_lines(record, machine, plan, caption=caption)
    return spoken_text(f"{leads.get(line.sort, '').format(line.step)}{line.words}" for line in lines)


def account_lines(record: Record, account: Account) -> Iterator[str]:
    """Give the account of one step in lines, still to be spoken: last what is to do now."""
    step = account.step
    yield account.heading
    yield f"step {step.number}{f', {account.faces}' if account.faces else ''}"
    left = len(steps_off(record, step.machine))
    yield f"{counted(left, 'step')} to go, {time_left(record, step.machine).text}"
    yield from spoken_lines(account)
    yield now_line(account)


def reach_plain(record: Record, machine: int, found: Reach, *, part: str) -> str:
    """Return the least work to reach a part."""
    if not found.steps:
        return spoken_text([f"{part}: nothing is in the way"])
    lines = [f"to reach {part}: {counted(len(found.steps), 'step')}, {counted(found.fasteners, 'fastener')}"]
    lines += [f"about {found.minutes:.0f} min"]
    lines += [f"bags: {', '.join(map(str, found.bags))}"] if found.bags else ["no bag"]
    leads = {"step": "step {}: ", "caution": "caution: "}
    for line in reach_lines(record, machine, found):
        lines.append(f"{leads.get(line.sort, '').format(line.step)}{line.words}")
    return spoken_text(lines)
