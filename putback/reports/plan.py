"""The refit plan as data and as text: what goes on next, out of which bag, into which hole."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from putback.progress import each
from putback.reports.account import Account, WayBack
from putback.reports.account.lines import CAUTIONS, account_blocks, block_text, now_line, spoken_lines
from putback.reports.blocks import Block
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
from putback.trade.refit.way_back import Reach, chases, steps_off


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


def plan_blocks(record: Record, machine: int, plan: RefitPlan, *, caption: str) -> Iterator[Block]:
    """Give the plan as blocks. Steps that are back already are left out."""
    off = {step.number: step for step in record.all(Step, machine) if not step.back and not step.is_open}
    waiting = {w.step: w for w in plan.waiting}
    if not plan.order:
        nothing = f"Refit plan for {caption}: nothing was taken off, so there is nothing to put back."
        yield Block(nothing, "title")
        return
    yield Block(f"Refit plan for {caption}: {len(off)} of {counted(len(plan.order), 'step')} to go", "title")
    yield Block(plan.text if len(off) == len(plan.order) else f"with what is back already: {plan.text}")
    if off:
        ready = len(off) - len(waiting)
        yield Block(f"Time left: {time_left(record, machine).text}")
        first = chases(record, machine)
        if first:
            yield Block(f"{counted(ready, 'step')} can go back before it stops; chase first: {first[0].text}")
            yield from (Block(f"then {row.text}", inset=2) for row in first[1:])
    session_of = {number: i for i, numbers in enumerate(plan.sessions, 1) for number in numbers}
    to_go = sorted({session_of[number] for number in off if number in session_of})  # those all of which is back are not
    session = 0
    if not off:
        yield Block("Nothing is off.")
    for account in plan_accounts(record, machine, plan):
        number = account.step.number
        if number not in off:
            continue
        if session_of.get(number, session) != session:
            session = session_of[number]
            yield Block(
                f"Session {to_go.index(session) + 1}, {plan.session_minutes[session - 1]:.0f} min",
                "heading",
                apart=True,
            )
        heading = account.heading + (f", {account.faces}" if account.faces else "")
        yield _step_block(number, heading, apart=True)
        yield from account_blocks(account, inset=6)
    at_last = walk_lying(record, machine, plan.order)[1]
    if off and at_last:
        yield Block(f"At last, turn the machine: {lay_it(at_last)}.", apart=True)
    still = still_open(record, machine)
    if still:
        yield Block("Still open:", "heading", apart=True)
        yield from (Block(words, inset=2) for words in still)


def _step_block(number: int, words: str, *, apart: bool) -> Block:
    """A step as a heading, its number before it."""
    return Block(sort="heading", cells=(str(number), words), widths=(-4,), apart=apart, said=f"step {number}: {words}")


def plan_accounts(record: Record, machine: int, plan: RefitPlan) -> tuple[Account, ...]:
    """Return the accounts of a plan's steps, in its order: each says how the machine has to be laid by then."""
    way = WayBack(record, machine, plan.waiting)
    lie, _ = walk_lying(record, machine, plan.order)
    steps = (record.step(machine, number) for number in each(plan.order, "steps of the way back"))
    return tuple(way.account(step, lie.get(step.number, "")) for step in steps if step is not None)


def plan_json(record: Record, machine: int, plan: RefitPlan) -> dict[str, Any]:
    """Return the plan as the command line prints it, with the account of each step in the order of the plan."""
    return plan.to_json() | {"account": [account.to_json() for account in plan_accounts(record, machine, plan)]}


def next_blocks(record: Record, account: Account) -> Iterator[Block]:
    """Give the account of the step that goes on next: last what is to do now."""
    step = account.step
    yield Block(account.heading, "title")
    yield Block(f"step {step.number}{f', {account.faces}' if account.faces else ''}")
    left = len(steps_off(record, step.machine))
    yield Block(f"{counted(left, 'step')} to go, {time_left(record, step.machine).text}")
    yield from map(Block, (*spoken_lines(account), now_line(account)))


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


def reach_blocks(record: Record, machine: int, found: Reach, *, part: str) -> Iterator[Block]:
    """Give the least work to reach a part: what it comes to, its steps, and last of all whose rules come first."""
    if not found.steps:
        yield Block(f"{part}: nothing is in the way.")
        return
    work = f"{counted(len(found.steps), 'step')}, {counted(found.fasteners, 'fastener')}"
    bags = ", ".join(map(str, found.bags))
    yield Block(said=f"to reach {part}: {work}")
    yield Block(said=f"about {found.minutes:.0f} min")
    yield Block(said=f"bags: {bags}" if bags else "no bag")
    way = WayBack(record, machine)
    steps = [step for number in found.steps if (step := record.step(machine, number)) is not None]
    ruled = False
    for step in steps:
        yield _step_block(step.number, f"{step.do} {step.name}", apart=False)
        for block in way.account(step, "").of(*CAUTIONS):
            ruled |= block.words == FIRST
            if block.words != FIRST:
                yield Block(block_text(block), "caution", inset=6)
    if len(steps) > 1:
        yield Block(f"the way back: {', '.join(map(str, found.way_back))}")
    if ruled:
        yield Block(FIRST)
    yield Block(f"{work}, about {found.minutes:.0f} min, {f'bags {bags}' if bags else 'no bag'}", said="")
