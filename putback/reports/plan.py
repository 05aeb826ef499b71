"""The refit plan as data and as text: what goes on next, out of which bag, into which hole."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from putback.trade.fastener import Thing
from putback.trade.ledger import left_over, reachable
from putback.trade.place import bag_number
from putback.trade.record import Record
from putback.trade.refit import Reach, Waits, jobs, what_waits
from putback.trade.step import Step
from putback.trade.wording import counted, times

ORDERS = ("reverse", "fewest-bags", "fewest-tools")
"""The orders a plan can be asked for."""


class RefitPlan(Struct, frozen=True):
    """A whole plan for one machine."""

    order: tuple[int, ...]
    """Every recorded step's number once, in the order they go back."""
    bag_openings: int
    """Bags to be opened on the way: a step's bag that the last step with any bag did not use."""
    tool_changes: int
    """Tools to be taken up, counted the same way."""
    proved_best: bool | None
    """Whether no order costs less; None for the strict reverse, which claims nothing."""
    waiting: tuple[Waits, ...]
    """Steps that cannot go back yet, and for what."""

    def to_json(self) -> dict[str, Any]:
        """Return the plan as the command line prints it."""
        return {
            "order": list(self.order),
            "bag_openings": self.bag_openings,
            "tool_changes": self.tool_changes,
            "proved_best": self.proved_best,
            "waiting": [{"step": w.step, "for": w.told} for w in self.waiting],
            "sessions": [],
        }


class Fetch(Struct, frozen=True):
    """One thing to take up for a step at refit."""

    thing: Thing
    """What goes in, a replacement where there is one."""
    count: int
    """How many."""
    place: str
    """Where it lies."""


def reverse_plan(record: Record, machine: int) -> RefitPlan:
    """Return the strict reverse, which is always right."""
    from putback.trade.needs import strict_reverse
    from putback.trade.orders import cost

    work = jobs(record, machine)
    order = strict_reverse(work)
    price = cost(order, work)
    return RefitPlan(tuple(order), price.bag_openings, price.tool_changes, None, tuple(what_waits(record, machine)))


def to_fetch(record: Record, step: Step) -> list[Fetch]:
    """Return what a step puts back, by bag and then hole: first the part, then its fasteners."""
    found = []
    for thing in record.things_of(step):
        for place, count in sorted(reachable(record, thing).items()):
            found.append(Fetch(thing, count, place))
    order = {"part": 0, "piece": 1, "fastener": 2}
    return sorted(found, key=lambda f: (order[f.thing.sort], bag_number(f.place) or 0, f.thing.hole, f.thing.id))


def plan_text(record: Record, machine: int, plan: RefitPlan, *, caption: str) -> str:
    """Return the plan as lines of text. Steps that are back already are left out."""
    off = {step.number: step for step in record.all(Step, machine) if not step.back and not step.is_open}
    waiting = {w.step: w for w in plan.waiting}
    out = [f"Refit plan for {caption}: {len(off)} of {counted(len(plan.order), 'step')} to go"]
    claim = {None: "strict reverse, always right", True: "fewest, proved", False: "found, not proved fewest"}
    openings, changes = counted(plan.bag_openings, "bag opening"), counted(plan.tool_changes, "tool change")
    out.append(f"{openings}, {changes} ({claim[plan.proved_best]})")
    if not off:
        out.append("Nothing is off.")
    for number in plan.order:
        step = off.get(number)
        if step is None:
            continue
        out.append("")
        out.append(f"{number:>4}  {at_refit(step)}" + (f", {step.face} face" if step.face else ""))
        if number in waiting:
            out.append(f"      waits for {waiting[number].told}")
        out += [f"      ! {caution}" for caution in step.cautions]
        out += [f"      first: {task}" for task in step.at_refit]
        out += [f"      set {a.told}" for a in step.adjust]
        if step.tools:
            out.append(f"      tools: {', '.join(step.tools)}")
        for fetch in to_fetch(record, step):
            t = fetch.thing
            hole = f"hole {t.hole}: " if t.hole else ""
            hand = ", LEFT-HAND thread" if t.hand == "left" else ""
            out.append(f"      {fetch.place}: {hole}{times(fetch.count, t.called)}{hand}")
        if step.do == "loosen":
            for t in record.things_of(step):
                out.append(f"      tighten hole {t.hole}: {t.called}, {t.turns:g} turns")
    return "\n".join(out)


def at_refit(step: Step) -> str:
    """Return what refit does with a step, in words: `put on lid` for one that took it off."""
    if step.do == "turn":
        return f"{step.name} was turned: {step.state}" if step.state else f"{step.name} was turned"
    verb = {
        "take off": "put on",
        "let down": "wind up",
        "drive out": "drive in",
        "undo": "do up",
        "loosen": "tighten",
        "mark": "look at the mark:",
        "measure": "measure again:",
        "soak": "was soaked:",
    }[step.do]
    return f"{verb} {step.name}"


def everything_home(record: Record, machine: int) -> bool:
    """Tell whether every step is back and nothing is left over."""
    return all(step.back for step in record.all(Step, machine)) and not left_over(record, machine)


def reach_json(found: Reach) -> dict[str, Any]:
    """Return the least work to reach a part as the command line prints it."""
    return {
        "steps": list(found.steps),
        "fasteners": found.fasteners,
        "bags": list(found.bags),
        "minutes": found.minutes,
    }


def reach_text(record: Record, machine: int, found: Reach, *, part: str) -> str:
    """Return the least work to reach a part as lines of text."""
    if not found.steps:
        return f"{part}: nothing is in the way."
    steps = [record.step(machine, number) for number in found.steps]
    out = [f"{step.number:>4}  {step.do} {step.name}" for step in steps if step is not None]
    bags = f"bags {', '.join(map(str, found.bags))}" if found.bags else "no bag"
    work = f"{counted(len(steps), 'step')}, {counted(found.fasteners, 'fastener')}"
    return "\n".join([*out, f"{work}, about {found.minutes:.0f} min, {bags}"])
