"""The refit plan: the order of all steps on the way back, what it costs, and what is proved of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from putback.errors import BadInput
from putback.planning.masks import Work
from putback.planning.orders import Goal, Plan, cost, fewest
from putback.planning.orders import reverse_plan as strict
from putback.planning.session_plan import Stretches, fewest_sessions
from putback.planning.tasks import Task
from putback.trade.record.phrases import counted
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.orientation import UPRIGHT, lay_before
from putback.trade.refit.way_back import Waits, tasks, what_waits
from putback.trade.sizes.step_drivers import tool_unknown

ORDERS: dict[str, Goal | None] = {
    "reverse": None,
    "fewest-bags": "bags",
    "fewest-tools": "tools",
    "fewest-turns": "turns",
}
"""The orders a plan can be asked for, and what each has the fewest of."""

_FEWEST = {"bags": "bag openings", "tools": "tool changes", "turns": "turns"}
"""What each goal counts, in words."""

ORDER_STEPS = 60_000
"""Steps of search for an order: half a second to a second of a middling computer, where it is not proved before."""

SESSION_STEPS = 600_000
"""Steps of search for the fewest sessions: three or four seconds, where they are not proved before."""


class RefitPlan(Struct, frozen=True, kw_only=True):
    """A whole plan for one machine."""

    asked: str
    """The order it was asked for, one of ORDERS."""
    order: tuple[int, ...]
    """Every recorded step's number once, in the order they go back."""
    bag_openings: int
    """Bags to be opened on the way: a step's bag that the last step with any bag did not use."""
    tool_changes: int
    """Tools to be taken up, counted the same way."""
    turns: int
    """Times the machine is turned over; each is a lift."""
    at_least: int
    """No valid order has fewer of what was asked for; 0 for the strict reverse."""
    proved_best: bool | None
    """Whether no order has fewer of what was asked for; None for the strict reverse, which claims nothing."""
    waiting: tuple[Waits, ...]
    """Steps that cannot go back yet, and for what."""
    sessions: tuple[tuple[int, ...], ...] = ()
    """Step numbers of each session, where sessions were asked for; together they are `order`."""
    session_minutes: tuple[float, ...] = ()
    """What each session takes."""
    sessions_proved: bool = False
    """Whether no order needs fewer sessions."""
    tools_known: int = 0
    """Steps for which a tool is named or fits."""
    tools_unknown: int = 0
    """Steps that take a tool, and none is known."""

    @property
    def changes_text(self) -> str:
        """The tool changes, and of how many steps where not every step has a known tool."""
        if not self.tools_known:
            return "no tool is known"
        text = counted(self.tool_changes, "tool change")
        if self.tools_known == len(self.order):
            return text
        return f"{text}, of {counted(self.tools_known, 'step')} with a known tool"

    @property
    def text(self) -> str:
        """What the plan costs and claims, as one line."""
        costs = ", ".join(
            (
                counted(self.bag_openings, "bag opening"),
                self.changes_text,
                counted(self.turns, "turn"),
            )
        )
        if self.sessions:
            fewest = "the fewest, proved" if self.sessions_proved else "found, not proved the fewest"
            return f"{counted(len(self.sessions), 'session')} ({fewest}); {costs}"
        if self.proved_best is None:
            return f"strict reverse, always right: {costs}"
        word = _FEWEST[str(ORDERS[self.asked])]
        claim = "proved" if self.proved_best else f"found, not proved; at least {self.at_least}"
        if self.asked == "fewest-tools" and not self.tools_known:
            claim = "not counted"
        elif self.asked == "fewest-tools" and self.tools_unknown:
            claim = f"not proved: no tool is known for {counted(self.tools_unknown, 'step')}"
        return f"fewest {word} ({claim}): {costs}"

    def to_json(self) -> dict[str, Any]:
        """Return the plan as the command line prints it."""
        return {
            "order": list(self.order),
            "bag_openings": self.bag_openings,
            "tool_changes": self.tool_changes,
            "proved_best": self.proved_best,
            "waiting": [{"step": w.step, "for": w.text} for w in self.waiting],
            "sessions": [list(session) for session in self.sessions],
            "sessions_proved": self.sessions_proved,
        }


def refit_plan(
    record: Record,
    machine: int,
    asked: str = "reverse",
    *,
    session_minutes: float | None = None,
) -> RefitPlan:
    """Return the plan for a machine.

    `asked` is one of ORDERS; `session_minutes` cuts it into the fewest sessions of at most that length, for
    which the order may change. The searches are bounded by counted steps and read no clock: the same record
    gives the same plan. Raises BadInput for an unknown order, and for a session that is shorter than its longest
    step, naming that.
    """
    wanted = to_search(record, machine, asked)
    return plan_of(record, machine, wanted, wanted.search(), session_minutes=session_minutes)


class ToSearch(Struct, frozen=True):
    """What an order is searched for: a value by itself, so that the search may run beside the record's changes."""

    asked: str
    """The order, one of ORDERS."""
    work: tuple[Task, ...]
    """The steps with their needs, bags, tools and minutes."""
    lies: str
    """How the machine lies now."""

    @property
    def words(self) -> str:
        """What it has the fewest of, in words; empty for the strict reverse."""
        goal = ORDERS[self.asked]
        return "" if goal is None else f"fewest {_FEWEST[goal]}"

    def search(self) -> Plan:
        """Return the best order that is found; it takes up to a second or two, and tells how far it is."""
        goal = ORDERS[self.asked]
        if goal is None:
            return strict(self.work, self.lies, UPRIGHT)
        return fewest(goal, self.work, Work(ORDER_STEPS), self.lies, UPRIGHT)


def to_search(record: Record, machine: int, asked: str) -> ToSearch:
    """Return what an order of a machine's steps is searched for. Raises BadInput for an unknown order."""
    if asked not in ORDERS:
        raise BadInput(f"“{asked}” is not an order of a plan; say {', '.join(ORDERS)}.")
    return ToSearch(asked, tuple(tasks(record, machine)), lay_before(record, machine)[0])


def plan_of(
    record: Record, machine: int, wanted: ToSearch, plan: Plan, *, session_minutes: float | None = None
) -> RefitPlan:
    """Return the plan that an order comes to, cut into sessions where that is asked for; errors as `refit_plan`."""
    asked, work, lies, goal = wanted.asked, wanted.work, wanted.lies, ORDERS[wanted.asked]
    cut: Stretches | None = None
    if session_minutes is not None:
        if not session_minutes > 0:
            raise BadInput("A session must be longer than 0 minutes.")
        _long_enough(record, machine, work, session_minutes)
        cut = fewest_sessions(work, session_minutes, Work(SESSION_STEPS), like=plan.order)
    if cut is not None and cut.order != plan.order:
        price = cost(cut.order, work, lies, UPRIGHT)
        openings, changes, turns, proved = price.bag_openings, price.tool_changes, price.turns, None
        if goal is not None:
            proved = plan.proved_best and getattr(price, _COUNT[goal]) == getattr(plan, _COUNT[goal])
    else:
        openings, changes, turns, proved = plan.bag_openings, plan.tool_changes, plan.turns, plan.proved_best
    told = {task.number for task in work if task.tools}
    known = len(told)
    rest = (step for step in record.all(Step, machine) if step.number not in told and not step.is_open)
    unknown = sum(tool_unknown(record, step) for step in rest)
    if goal == "tools" and (unknown or not known):
        proved = False
    return RefitPlan(
        asked=asked,
        order=cut.order if cut is not None else plan.order,
        bag_openings=openings,
        tool_changes=changes,
        turns=turns,
        at_least=plan.lower_bound if goal is not None else 0,
        proved_best=proved,
        waiting=tuple(what_waits(record, machine)),
        sessions=cut.sessions if cut is not None else (),
        session_minutes=cut.minutes if cut is not None else (),
        sessions_proved=cut.proved if cut is not None else False,
        tools_known=known,
        tools_unknown=unknown,
    )


_COUNT = {"bags": "bag_openings", "tools": "tool_changes", "turns": "turns"}


def _long_enough(record: Record, machine: int, work: Sequence[Task], minutes: float) -> None:
    for task in work:
        if task.minutes > minutes:
            step = record.step(machine, task.number)
            name = step.name if step is not None else ""
            raise BadInput(
                f"Step {task.number}, {name}, takes {task.minutes:g} min: a session of {minutes:g} min is too short."
            )
