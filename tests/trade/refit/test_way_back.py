"""What waits for what, what the planner is given, and the least work to reach a part."""

from __future__ import annotations

import pytest

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.refit.way_back import fasteners_out, reach, steps_off, tasks, what_waits
from tests.trade.hands import Hands


@pytest.fixture
def hands() -> Hands:
    """Lid, then tray and cam each needing the lid, then a pin needing the cam."""
    made = Hands()
    made.take_off("lid", "1", "3")
    made.take_off("tray", "5", needs=(1,))
    made.take_off("cam", "5", needs=(1,))
    made.take_off("pin", "7", needs=(3,))
    return made


def test_a_step_and_all_it_stands_on_wait_for_what_is_away(hands: Hands) -> None:
    assert what_waits(hands.record, 1) == []
    hands.do(c.Carry(thing=hands.thing("cam").id, count=1, source="shelf", target="away: plater"))
    hands.do(c.Carry(thing=hands.thing("screw", "7").id, count=1, source="bag 4", target="missing"))
    waits = {w.step: w.text for w in what_waits(hands.record, 1)}
    pin, cam = "screw #8-32 UNC x 3/8 (missing)", "cam (away: plater)"
    assert waits == {1: f"{cam}, {pin}", 3: f"{cam}, {pin}", 4: pin}
    hands.put_back(2)
    assert [s.number for s in steps_off(hands.record, 1)] == [4, 3, 1]
    hands.do(c.Replace(thing=hands.thing("screw", "7").id))
    assert {w.step: w.text for w in what_waits(hands.record, 1)} == {1: cam, 3: cam}


def test_a_step_that_is_open_or_back_waits_for_nothing(hands: Hands) -> None:
    hands.put_back(4)
    hands.do(c.Begin(name="bell"))
    hands.do(c.EnterPiece(name="ball", put="missing"))
    assert what_waits(hands.record, 1) == [] and len(tasks(hands.record, 1)) == 4


def test_the_planner_is_given_every_finished_step(hands: Hands) -> None:
    hands.do(c.AddAssembly(name="bell"))
    hands.do(c.Begin(do="turn", name="machine", state="on its side", inside="bell"))
    hands.do(c.Annotate(tools=("spanner",)))
    hands.do(c.Finish(minutes=4))
    hands.do(c.Begin(do="let down", name="spring"))
    hands.do(c.Finish())
    lid, *_, turn, spring = tasks(hands.record, 1)
    assert (lid.number, set(lid.needs), set(lid.bags), lid.lies, lid.minutes) == (1, set(), {1}, "upright", 3)
    assert (set(turn.tools), turn.area, turn.lies, turn.minutes) == ({"spanner"}, "bell", None, 4)
    assert spring.lies == "on its side"
    assert lid.good_stop and not spring.good_stop


def test_reaching_a_part_takes_its_own_step_and_all_it_needed(hands: Hands) -> None:
    found = reach(hands.record, 1, " PIN ")
    assert found.steps == (1, 3, 4) and found.fasteners == 4 and found.bags == (1, 3, 4)
    assert found.minutes == sum(j.minutes for j in tasks(hands.record, 1) if j.number != 2)
    assert reach(hands.record, 1, "tray").steps == (1, 2)


def test_a_scrapped_part_is_reached_as_if_the_machine_were_whole(hands: Hands) -> None:
    pin = next(t for t in hands.record.things_of(hands.step(4)) if t.part)
    (place,) = hands.record.standing(pin.id)
    hands.do(c.Carry(thing=pin.id, count=1, source=place, target="scrapped"))
    found = reach(hands.record, 1, "pin")
    assert found.steps == (1, 3, 4) and found.bags == (1, 3, 4), "who makes a new one asks exactly that"
    assert reach(hands.record, 1, "pin", now=True).steps == ()


def test_what_is_off_already_need_not_come_off(hands: Hands) -> None:
    assert reach(hands.record, 1, "pin", now=True).steps == ()
    hands.put_back(4)
    hands.put_back(3)
    assert reach(hands.record, 1, "pin", now=True).steps == (3, 4)
    assert reach(hands.record, 1, "pin").steps == (1, 3, 4), "as if the machine were whole"


def test_a_part_nobody_took_off_is_told_the_nearest(hands: Hands) -> None:
    with pytest.raises(BadInput, match=r"No step took off “pim”; did you mean “pin”\?"):
        reach(hands.record, 1, "pim")
    with pytest.raises(BadInput, match=r"No step took off “flywheel”; the parts are lid, tray, cam, pin\.$"):
        reach(hands.record, 1, "flywheel")


def test_two_parts_of_one_name_are_told_apart(hands: Hands) -> None:
    hands.do(c.AddAssembly(name="bell"))
    hands.take_off("lid", inside="bell")
    with pytest.raises(BadInput, match=r"more than one “lid”: step 1 in the machine, step 5 in bell\. Rename"):
        reach(hands.record, 1, "lid")


def test_what_comes_off_outweighs_what_was_only_worked_on() -> None:
    hands = Hands()
    hands.do(c.Begin(do="soak", name="bush"))
    hands.do(c.Finish())
    hands.take_off("bush", "2")
    assert reach(hands.record, 1, "bush").steps == (1, 2)
    hands.do(c.Begin(do="mark", name="lever"))
    hands.do(c.Finish())
    assert reach(hands.record, 1, "lever").steps == (1, 2, 3)
    assert fasteners_out(hands.record, hands.step(2)) == 1
    assert fasteners_out(hands.record, hands.step(1)) == 0


def test_a_part_taken_off_once_more_is_reached_by_its_last_step(hands: Hands) -> None:
    hands.put_back(4)
    hands.take_off("pin", "7", needs=(3,))
    assert reach(hands.record, 1, "pin").steps == (1, 3, 5)
