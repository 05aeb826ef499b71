"""What a plan says of itself: tools counted by kind and size, and no proof of what is not known."""

from __future__ import annotations

from putback.reports.planning import refit_plan
from putback.trade import commands as c
from tests.trade.hands import Hands

SLOTTED = {"head": "fillister", "drive": "slot"}


def a_machine(*steps: tuple[tuple[str, ...], dict[str, str] | None]) -> Hands:
    """A US machine of steps that need nothing: tools named, and the head and drive of the screw that came out."""
    hands = Hands(origin="us")
    for number, (tools, screw) in enumerate(steps, 1):
        hands.do(c.Begin(name=f"part {number}", needs=()))
        if screw is not None:
            hands.do(c.Enter(hole="1", readings={"gauge": "832", "length": ".372"}, thread="#8-32 UNC", **screw))
        if tools:
            hands.do(c.Annotate(tools=tools))
        hands.do(c.Finish(put="shelf"))
    return hands


def test_a_tool_that_fits_counts_as_a_named_one() -> None:
    """A #8 fillister's slot takes the blade 1.2 x 6.5 (ASME B18.6.3, ISO 2380-1), which is also named."""
    hands = a_machine(
        (("Driver 1.2x6.5",), SLOTTED), (("wrench 7/16",), None), ((), SLOTTED), (("spanner 7/16",), None)
    )  # fmt: skip
    assert refit_plan(hands.record, 1).tool_changes == 4
    plan = refit_plan(hands.record, 1, "fewest-tools")
    assert (plan.tool_changes, plan.proved_best) == (2, True)
    assert plan.told.startswith("fewest tool changes (proved): ") and "2 tool changes," in plan.told


def test_steps_without_a_known_tool_are_said() -> None:
    hands = a_machine(((), SLOTTED), ((), {}), (("spanner 7/16",), None))
    plan = refit_plan(hands.record, 1, "fewest-tools")
    assert (plan.tool_changes, plan.proved_best, plan.to_json()["proved_best"]) == (2, False, False)
    assert "2 tool changes, of 2 steps with a known tool" in plan.told
    assert "(not proved: no tool is known for 1 step)" in plan.told
    assert "of 2 steps with a known tool" in refit_plan(hands.record, 1).told
    assert refit_plan(hands.record, 1, "fewest-bags").proved_best is True


def test_a_part_that_is_lifted_off_leaves_nothing_unknown() -> None:
    hands = a_machine(((), SLOTTED), ((), None))
    plan = refit_plan(hands.record, 1, "fewest-tools")
    assert plan.proved_best is True and "1 tool change, of 1 step with a known tool" in plan.told


def test_where_no_tool_is_known_none_is_counted() -> None:
    hands = a_machine(((), {}), ((), {}))
    plan = refit_plan(hands.record, 1, "fewest-tools")
    assert plan.proved_best is False
    assert plan.told == "fewest tool changes (not counted): 2 bag openings, no tool is known, 0 turns"
