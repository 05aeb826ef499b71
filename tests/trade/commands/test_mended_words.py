"""What a mended step and a mended job say: the new value, and what came and went of a list."""

from __future__ import annotations

from putback.trade import commands as c
from putback.trade.record.job import Job
from putback.trade.record.making import Dimension
from tests.trade.hands import Hands


def test_mending_says_what_is_so_now_and_what_stands_there_no_more() -> None:
    hands = Hands(name="press")
    hands.take_off("lid", "1")
    felt = Job(do="get", what="felt", when="no hurry")
    told = hands.do(c.MendStep(step=1, put="bag 3", note="bent", todo=(felt,), cautions=("sharp",))).said
    assert told == (
        "step 1 mended: note: bent; where the part went: bag 3; jobs: to get: felt (no hurry); cautions: sharp"
    )
    told = hands.do(c.MendStep(step=1, note="", cautions=("hot",), todo=(felt,))).said
    assert told == "step 1 mended: note: taken out; jobs: as they were; cautions: hot, taken out: sharp"


def test_a_mended_job_says_what_is_new_of_it() -> None:
    hands = Hands(name="press")
    hands.take_off("lid", "1")
    pin = Job(do="make", what="pin", when="no hurry")
    hands.do(c.SayJob(step=1, job=pin))
    made = Job(do="make", what="pin", when="no hurry", material="silver steel", measures=(Dimension("bore", "6 mm"),))
    said = [
        hands.do(c.MendJob(step=1, what="pin", job=made)).said,
        hands.do(c.MendJob(step=1, what="pin", job=pin)).said,
        hands.do(c.MendJob(step=1, what="pin", job=Job(do="make", what="hinge pin", when="before it goes back"))).said,
    ]
    assert said == [
        "job mended: to make: pin; of silver steel; bore 6 mm (step 1)",
        "job mended: to make: pin; taken out: bore 6 mm; taken out: silver steel (step 1)",
        "job mended: to make: hinge pin, not to make: pin; before it goes back (step 1)",
    ]
