"""How the machines of a workshop stand."""

from __future__ import annotations

from putback.reports.blocks import as_text
from putback.reports.machines import machine_blocks, machine_lines, machine_state
from putback.trade import commands as c
from putback.trade.checks.ledger import on_without, short_of
from tests.trade.hands import Hands


def test_a_machine_comes_apart_goes_back_waits_and_is_done() -> None:
    hands = Hands()
    assert machine_state(hands.record, 1) == "coming apart"
    for name in ("lid", "bell"):
        hands.take_off(name, "5")
    assert machine_state(hands.record, 1) == "coming apart"
    hands.put_back(2)
    assert machine_state(hands.record, 1) == "going back"
    hands.do(c.CarryNamed(what="lid", step=1, count=1, source="shelf", target="away: plater"))
    assert machine_state(hands.record, 1) == "waiting"
    hands.do(c.CarryNamed(what="lid", step=1, count=1, source="away: plater", target="shelf"))
    hands.put_back(1)
    assert machine_state(hands.record, 1) == "done"


def test_days_are_counted_since_the_last_hand_at_it() -> None:
    hands = Hands()
    line = machine_lines(hands.record, now=hands.at)[0]
    assert (line.touched, line.text) == ("", "not begun")
    hands.do(c.StartSession())
    hands.take_off("lid", "5")
    hands.do(c.EndSession())
    assert machine_lines(hands.record, now=hands.at)[0].text == "coming apart, today"
    found = machine_lines(hands.record, now="2025-03-04T11:00:00+00:00")
    assert found[0].days == 3 and found[0].text == "coming apart, 3 days since 1 Mar"
    assert "next: look at step 1 first" in as_text(machine_blocks(found))
    assert found[0].to_json()["state"] == "coming apart"


def test_a_machine_that_is_back_without_a_screw_says_so() -> None:
    hands = Hands()
    hands.take_off("lid", "1", "3")
    hands.do(c.Trouble(what="lost", step=1, hole="3"))
    [held] = short_of(hands.record, hands.step(1))
    hands.do(c.Confirm(step=1, item=on_without(held), anyway="it goes on without"))
    hands.put_back(1)
    [line] = machine_lines(hands.record, now=hands.at)
    assert line.state == "done" and line.text.startswith("done, 1 thing not in its place")
    assert line.next == (
        "every step is back; still open: hole 3: #8-32 UNC x 3/8 lost, and is not back; missing (step 1)"
    )
