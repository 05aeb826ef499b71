"""What the record has to say of a machine: the summary, the way back, what is to do, what looks alike.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from putback.cli.access import chosen, open_workshop, show, tell

if TYPE_CHECKING:
    from putback.trade.record.machine import Machine
    from putback.trade.record.record import Record


def summary(args: argparse.Namespace) -> int:
    """Print the end-of-session summary."""
    from putback.reports.summary import session_numbered, summarise
    from putback.reports.summary_blocks import summary_blocks

    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        session = session_numbered(workshop.record, machine, args.session)
        found = summarise(workshop.record, machine, session, now=workshop.now())
        show(args, found.to_json, lambda: summary_blocks(found))
    return 0


def refit(args: argparse.Namespace) -> int:
    """Print the refit plan."""
    from putback.reports.plan import plan_blocks, plan_json
    from putback.reports.planning import refit_plan

    with open_workshop(args) as workshop:
        record, machine = workshop.record, chosen(args, workshop)
        if args.next:
            return _next(args, record, machine)
        if args.graph is not None:
            from putback.reports.needs_graph import needs_graph

            graph = needs_graph(record, machine.id, args.graph)
            tell(args, lambda: {"form": args.graph, "graph": graph}, lambda: graph, lambda: graph)
            return 0
        plan = refit_plan(record, machine.id, args.order, session_minutes=args.sessions)
        show(
            args,
            lambda: plan_json(record, machine.id, plan),
            lambda: plan_blocks(record, machine.id, plan, caption=machine.caption),
        )
    return 0


def _next(args: argparse.Namespace, record: Record, machine: Machine) -> int:
    """Print the card of the step that refit goes on with."""
    from putback.reports.account import WayBack
    from putback.reports.going_back import next_step
    from putback.reports.plan import next_blocks
    from putback.trade.refit.way_back import steps_off, what_waits

    waits = what_waits(record, machine.id)
    step = next_step(record, steps_off(record, machine.id), waits)
    if step is None:
        tell(args, lambda: None, lambda: f"{machine.caption}: nothing is off.")
        return 0
    account = WayBack(record, machine.id, waits).account(step)
    blocks = list(next_blocks(record, account))
    lines = [block.words for block in blocks]
    show(args, lambda: {"step": step.number, "lines": lines, "account": account.to_json()}, lambda: blocks)
    return 0


def reach(args: argparse.Namespace) -> int:
    """Print the least that must come off to reach a part."""
    from putback.reports.plan import reach_blocks, reach_json
    from putback.trade.refit.way_back import reach as least

    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        part = " ".join(args.part)
        found = least(workshop.record, machine.id, part, now=args.now)
        show(args, lambda: reach_json(found), lambda: reach_blocks(workshop.record, machine.id, found, part=part))
    return 0


def alike(args: argparse.Namespace) -> int:
    """Print which fasteners interchange and which only look alike."""
    from putback.reports.alike import alike as compare
    from putback.reports.alike import alike_blocks

    with open_workshop(args) as workshop:
        found = compare(workshop.record, chosen(args, workshop))
        show(args, found.to_json, lambda: alike_blocks(found))
    return 0
