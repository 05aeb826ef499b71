"""What the record has to say of a machine: the summary, the way back, what is to do, what looks alike."""

from __future__ import annotations

import argparse

from putback.cli.shop import chosen, open_workshop
from putback.cli.streams import print_json, print_text, wants_json

PLAN_SECONDS = 2.0
"""How long a plan may be searched for."""


def summary(args: argparse.Namespace) -> int:
    """Print the end-of-session summary."""
    from putback.reports.summary import session_numbered, summarise, summary_text

    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        session = session_numbered(workshop.record, machine, args.session)
        told = summarise(workshop.record, machine, session, now=workshop.now())
        if wants_json(args):
            print_json(told.to_json())
        else:
            print_text(summary_text(told))
    return 0


def refit(args: argparse.Namespace) -> int:
    """Print the refit plan."""
    from putback.opening import share_of
    from putback.reports.plan import plan_text
    from putback.reports.planning import refit_plan

    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        plan = refit_plan(
            workshop.record, machine.id, args.order, session_minutes=args.sessions, budget=share_of(PLAN_SECONDS)
        )
        if wants_json(args):
            print_json(plan.to_json())
        else:
            print_text(plan_text(workshop.record, machine.id, plan, caption=machine.caption))
    return 0


def reach(args: argparse.Namespace) -> int:
    """Print the least that must come off to reach a part."""
    from putback.reports.plan import reach_json, reach_text
    from putback.trade.refit import reach as least

    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        found = least(workshop.record, machine.id, args.part, now=args.now)
        if wants_json(args):
            print_json(reach_json(found))
        else:
            print_text(reach_text(workshop.record, machine.id, found, part=args.part))
    return 0


def todo(args: argparse.Namespace) -> int:
    """Print what is left to do."""
    from putback.reports.todo import to_do, todo_text

    with open_workshop(args) as workshop:
        found = to_do(workshop.record, chosen(args, workshop), now=workshop.now())
        if wants_json(args):
            print_json(found.to_json())
        else:
            print_text(todo_text(found))
    return 0


def alike(args: argparse.Namespace) -> int:
    """Print which fasteners interchange and which only look alike."""
    from putback.reports.alike import alike as compare
    from putback.reports.alike import alike_text

    with open_workshop(args) as workshop:
        found = compare(workshop.record, chosen(args, workshop))
        if wants_json(args):
            print_json(found.to_json())
        else:
            print_text(alike_text(found))
    return 0
