"""What a plan says of itself: tools counted by kind and size, and no proof of what is not known."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

from msgspec.structs import replace

from putback.reports.planning import refit_plan
from putback.trade import commands as c
from tests.trade.hands import Hands

SCREW = c.Enter(hole="1", readings={"gauge": "832", "length": ".372"}, thread="#8-32 UNC")
SLOTTED = {"head": "fillister", "drive": "slot"}


def a_machine(*steps: tuple[tuple[str, ...], dict[str, str] | None]) -> Hands:
    """A US machine of steps that need nothing: tools named, and the head and drive of the screw that came out."""
    hands = Hands(origin="us")
    for number, (tools, screw) in enumerate(steps, 1):
        hands.do(c.Begin(name=f"part {number}", needs=()))
        if screw is not None:
            hands.do(replace(SCREW, **screw))
        if tools:
            hands.do(c.Annotate(tools=tools))
        hands.do(c.Finish(put="shelf"))
    return hands


def test_a_tool_that_fits_counts_as_a_named_one() -> None:
    """A #8 fillister's slot takes the blade 1.2 x 6.5 (ASME B18.6.3, ISO 2380-1), which is also named."""
    hands = a_machine(
        (("Driver 1.2x6.5",), SLOTTED), (("wrench 7/16",), None), ((), SLOTTED), (("spanner 7/16",), None)
    )
    assert refit_plan(hands.record, 1).tool_changes == 4
    plan = refit_plan(hands.record, 1, "fewest-tools")
    assert (plan.tool_changes, plan.proved_best) == (2, True)
    assert plan.text.startswith("fewest tool changes (proved): ") and "2 tool changes," in plan.text


def test_steps_without_a_known_tool_are_said() -> None:
    hands = a_machine(((), SLOTTED), ((), {}), (("spanner 7/16",), None))
    plan = refit_plan(hands.record, 1, "fewest-tools")
    assert (plan.tool_changes, plan.proved_best, plan.to_json()["proved_best"]) == (2, False, False)
    assert "2 tool changes, of 2 steps with a known tool" in plan.text
    assert "(not proved: no tool is known for 1 step)" in plan.text
    assert "of 2 steps with a known tool" in refit_plan(hands.record, 1).text
    assert refit_plan(hands.record, 1, "fewest-bags").proved_best is True


def test_a_part_that_is_lifted_off_leaves_nothing_unknown() -> None:
    hands = a_machine(((), SLOTTED), ((), None))
    plan = refit_plan(hands.record, 1, "fewest-tools")
    assert plan.proved_best is True and "1 tool change, of 1 step with a known tool" in plan.text


def test_where_no_tool_is_known_none_is_counted() -> None:
    hands = a_machine(((), {}), ((), {}))
    plan = refit_plan(hands.record, 1, "fewest-tools")
    assert plan.proved_best is False
    assert plan.text == "fewest tool changes (not counted): 2 bag openings, no tool is known, 0 turns"


PLANS = """
import sys, time
asked = []
def told(name):
    def clock(*args):
        asked.append(name)
        return 0.0
    return clock
from pathlib import Path
from bench.plans import recorded, tangled
from putback.reports import planning
from putback.planning.masks import Work
from putback.planning.orders import fewest
from putback.planning.session_plan import fewest_sessions
for name in ("time", "monotonic", "perf_counter", "process_time", "thread_time", "time_ns", "monotonic_ns"):
    setattr(time, name, told(name))
hard = tangled(40, 3)
plan = fewest("bags", hard, Work(20_000))
cut = fewest_sessions(recorded(60, 5), 20, Work(20_000))
print(plan, cut, asked)
"""


def test_the_same_record_gives_the_same_plan_and_no_clock_is_read() -> None:
    """In fresh processes with other hashes of text; the search is cut short, so it is what was found, not a proof."""
    found = {
        subprocess.run(
            [sys.executable, "-c", PLANS],
            cwd=Path(__file__).parents[2],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(found) == 1
    (plan,) = found
    assert "proved_best=False" in plan and plan.rstrip().endswith("[]")


def test_no_module_of_the_plans_knows_a_clock() -> None:
    rooms = Path(__file__).parents[2] / "putback"
    modules = sorted((rooms / "planning").glob("*.py"))
    assert len(modules) > 10
    for path in [rooms / "reports" / "planning.py", *modules]:
        imported = {
            name.name if isinstance(node, ast.Import) else node.module or ""
            for node in ast.walk(ast.parse(path.read_text("utf-8")))
            if isinstance(node, ast.Import | ast.ImportFrom)
            for name in node.names
        }
        assert not imported & {"time", "datetime", "random", "putback.opening"}, path.name
