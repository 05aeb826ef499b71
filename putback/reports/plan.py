"""The refit plan as data and as text: what goes on next, out of which bag, into which hole."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from putback.progress import each
from putback.reports.account import Account, WayBack
from putback.reports.account.lines import CAUTIONS, block_text, text_lines
from putback.reports.planning import RefitPlan
from putback.trade.cautions.dangers import FIRST
from putback.trade.checks.ledger import left_over, reachable
from putback.trade.checks.open_jobs import still_open
from putback.trade.record.fastener import Thing
from putback.trade.record.phrases import counted
from putback.trade.record.place import bag_number
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.orientation import lay_it, walk_lying
from putback.trade.refit.pace import time_left
from putback.trade.refit.way_back import Reach, chases


class Fetch(Struct, frozen=True):
    """One thing to take up for a step at refit."""

    thing: Thing
    """What goes in, a replacement where there is one."""
    count: int
    """How many."""
    place: str
    """Where it lies."""


def to_fetch(record: Record, step: Step) -> list[Fetch]:
    """Return what a step puts back, by bag and then hole: first the part, then its fasteners."""
    found = []
    for thing in record.things_of(step):
        for place, count in sorted(reachable(record, thing).items()):
            found.append(Fetch(thing, count, place))
    order = {"part": 0, "piece": 1, "fastener": 2}
    return sorted(found, key=lambda f: (order[f.thing.sort], bag_number(f.place) or 0, f.thing.goes_in, f.thing.id))


class PlanLine(Struct, frozen=True):
    """One line of a plan."""

    sort: str
    """head, session, step, caution, line (what belongs to the head or the step above it), or end."""
    words: str
    """What it says."""
    step: int = 0
    """The step's number, where the line is about one."""


def plan_lines(record: Record, machine: int, plan: RefitPlan, *, caption: str) -> Iterator[PlanLine]:
    """Give the plan line by line. Steps that are back already are left out."""
    off = {step.number: step for step in record.all(Step, machine) if not step.back and not step.is_open}
    waiting = {w.step: w for w in plan.waiting}
    if not plan.order:
        yield PlanLine("head", f"Refit plan for {caption}: nothing was taken off, so there is nothing to put back.")
        return
    yield PlanLine("head", f"Refit plan for {caption}: {len(off)} of {counted(len(plan.order), 'step')} to go")
    yield PlanLine("head", plan.text if len(off) == len(plan.order) else f"with what is back already: {plan.text}")
    if off:
        ready = len(off) - len(waiting)
        yield PlanLine("head", f"Time left: {time_left(record, machine).text}")
        first = chases(record, machine)
        if first:
            text = f"{counted(ready, 'step')} can go back before it stops; chase first: {first[0].text}"
            yield PlanLine("head", text)
            for row in first[1:]:
                yield PlanLine("line", f"then {row.text}")
    session_of = {number: i for i, numbers in enumerate(plan.sessions, 1) for number in numbers}
    session = 0
    if not off:
        yield PlanLine("head", "Nothing is off.")
    for account in plan_accounts(record, machine, plan):
        number = account.step.number
        if number not in off:
            continue
        if session_of.get(number, session) != session:
            session = session_of[number]
            yield PlanLine("session", f"Session {session}, {plan.session_minutes[session - 1]:.0f} min")
        yield PlanLine("step", account.heading + (f", {account.faces}" if account.faces else ""), number)
        for sort, words in text_lines(account):
            yield PlanLine(sort, words, number)
    at_last = walk_lying(record, machine, plan.order)[1]
    if off and at_last:
        yield PlanLine("end", f"At last, turn the machine: {lay_it(at_last)}.")
    still = still_open(record, machine)
    if still:
        yield PlanLine("end", "Still open:")
        for words in still:
            yield PlanLine("line", words)


def plan_accounts(record: Record, machine: int, plan: RefitPlan) -> tuple[Account, ...]:
    """Return the accounts of a plan's steps, in its order: each says how the machine has to be laid by then."""
    way = WayBack(record, machine, plan.waiting)
    lie, _ = walk_lying(record, machine, plan.order)
    steps = (record.step(machine, number) for number in each(plan.order, "steps of the way back"))
    return tuple(way.account(step, lie.get(step.number, "")) for step in steps if step is not None)


def plan_json(record: Record, machine: int, plan: RefitPlan) -> dict[str, Any]:
    """Return the plan as the command line prints it, with the account of each step in the order of the plan."""
    return plan.to_json() | {"account": [account.to_json() for account in plan_accounts(record, machine, plan)]}


def plan_text(record: Record, machine: int, plan: RefitPlan, *, caption: str) -> str:
    """Return the plan as lines of text. Steps that are back already are left out."""
    out = []
    for line in plan_lines(record, machine, plan, caption=caption):
        if line.sort in ("session", "step", "end"):
            out.append("")
        if line.sort == "step":
            out.append(f"{line.step:>4}  {line.words}")
        elif line.sort in ("head", "session", "end"):
            out.append(line.words)
        else:
            inset = "      " if line.step else "  "
            out.append(f"{inset}{'! ' if line.sort == 'caution' else ''}{line.words}")
    return "\n".join(out)


def everything_home(record: Record, machine: int) -> bool:
    """Tell whether every step is back but those on hold, and nothing is left over."""
    return all(step.back or step.on_hold for step in record.all(Step, machine)) and not left_over(record, machine)


def reach_json(found: Reach) -> dict[str, Any]:
    """Return the least work to reach a part as the command line prints it."""
    return {
        "steps": list(found.steps),
        "fasteners": found.fasteners,
        "bags": list(found.bags),
        "minutes": found.minutes,
    }


def reach_lines(record: Record, machine: int, found: Reach) -> Iterator[PlanLine]:
    """Give the steps of a way to a part, each with what to beware of; last of all whose rules come first."""
    way = WayBack(record, machine)
    steps = [step for number in found.steps if (step := record.step(machine, number)) is not None]
    ruled = False
    for step in steps:
        yield PlanLine("step", f"{step.do} {step.name}", step.number)
        for block in way.account(step, "").of(*CAUTIONS):
            ruled |= block.words == FIRST
            if block.words != FIRST:
                yield PlanLine("caution", block_text(block), step.number)
    if len(steps) > 1:
        yield PlanLine("line", f"the way back: {', '.join(map(str, found.way_back))}")
    if ruled:
        yield PlanLine("line", FIRST)


def reach_text(record: Record, machine: int, found: Reach, *, part: str) -> str:
    """Return the least work to reach a part as lines of text."""
    if not found.steps:
        return f"{part}: nothing is in the way."
    leads = {"step": "{:>4}  ", "caution": "      ! "}
    lines = reach_lines(record, machine, found)
    out = [f"{leads.get(line.sort, '').format(line.step)}{line.words}" for line in lines]
    bags = f"bags {', '.join(map(str, found.bags))}" if found.bags else "no bag"
    work = f"{counted(len(found.steps), 'step')}, {counted(found.fasteners, 'fastener')}"
    return "\n".join([*out, f"{work}, about {found.minutes:.0f} min, {bags}"])
