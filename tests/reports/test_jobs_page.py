"""The lines of the jobs page: in groups, over all machines, gathered again only where something changed."""

from __future__ import annotations

from putback.reports.blocks import as_text
from putback.reports.jobs_page import GROUPS, JobsKept, first_of_all, job_lines, lines_of_machine
from putback.reports.todo import to_do, todo_blocks
from putback.trade import commands as c
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from tests.trade.hands import Hands


def test_lines_stand_in_their_groups_and_the_one_that_frees_most_is_named() -> None:
    hands = Hands()
    for name in ("lid", "bell", "base"):
        hands.take_off(name, "5")
    for number, job in (
        (3, Job(do="do", what="wipe")),
        (2, Job(do="get", what="felt")),
        (2, Job(do="do", what="polish")),
    ):
        hands.do(c.SayJob(step=number, job=job))
    hands.do(c.CarryNamed(what="bell", step=2, count=1, source="shelf", target="away: plater"))
    hands.do(c.Trouble(what="lost", step=1, hole="5"))
    kept = JobsKept()
    found = kept.all(hands.record, now=hands.at)
    lines = job_lines(hands.record, found)
    assert [line.group for line in lines] == sorted((line.group for line in lines), key=GROUPS.index)
    grouped = {group: [line.text.split(" (")[0] for line in lines if line.group == group] for group in GROUPS}
    assert grouped["now, here"] == ["to do: wipe"] and grouped["stuck"] == ["to do: polish"]
    assert grouped["sent out"][0].startswith("plater, 1 thing since 1 Mar: bell")
    assert grouped["to get"] == ["to get: felt", "#8-32 UNC x 3/8 screw: 3"]
    assert first_of_all(found) == "First: to do: wipe (it frees 1 of the 3 steps that it holds up)"
    assert kept.all(hands.record, now=hands.at)[0] is found[0], "nothing changed"
    hands.do(c.WorkOn(step=3, what="wipe", state="done"))
    assert "wipe" not in " ".join(line.text for line in job_lines(hands.record, kept.all(hands.record, now=hands.at)))


def test_a_part_on_hold_stands_among_what_is_stuck_with_its_reason() -> None:
    hands = Hands()
    hands.do(c.Begin(name="motor"))
    hands.do(c.PutOnHold(reason="the penetrant works till tomorrow", in_the_way=False))
    machine = hands.record.get(Machine, 1)
    [line] = [one for one in lines_of_machine(to_do(hands.record, machine, now=hands.at)) if one.group == "stuck"]
    assert line.text == "step 1, motor, on hold: the penetrant works till tomorrow"
    assert "Stuck\n  step 1, motor, on hold: the penetrant works" in as_text(
        todo_blocks([to_do(hands.record, machine, now=hands.at)])
    )
