"""How the machine lies: one answer for the card of a step and for the plan of them all."""

from __future__ import annotations

from hands import Hands

from putback.trade import commands as c
from putback.trade.lying import lay_before, lies_for
from putback.trade.orders import fewest
from putback.trade.refit import jobs
from putback.trade.step import Step


def test_the_machine_lies_as_the_record_left_it() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="drum"))
    hands.take_off("lid")
    hands.do(c.Begin(do="turn", name="press", state="on its left cheek"))
    hands.do(c.Finish())
    hands.take_off("drum")
    hands.take_off("pawl", inside="drum")  # on the bench: it does not mind
    hands.do(c.Begin(do="turn", name="press", state="upright"))
    hands.do(c.Finish())
    hands.do(c.Begin(do="turn", name="press"))  # turned, and not said how it lies: as before
    hands.do(c.Finish())
    hands.take_off("foot", needs=(5,))
    work = jobs(hands.record, 1)
    assert [job.lies for job in work] == ["upright", None, "on its left cheek", None, None, None, "upright"]
    assert [job.lies or "" for job in work] == [lies_for(hands.record, s) for s in hands.record.all(Step, 1)]
    at_last = lay_before(hands.record, 1)[0]
    assert at_last == "upright"
    plan = fewest("turns", work, lying=at_last, at_last="upright")
    assert (plan.turns, plan.proved_best) == (2, True)
