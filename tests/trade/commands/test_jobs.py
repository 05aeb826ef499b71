"""Jobs: said, taken in hand, done; which stop a step on the way back, and what is still open at the end."""

from __future__ import annotations

import json
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.reports.blocks import as_text
from putback.reports.export import export_json
from putback.reports.plan import plan_blocks
from putback.reports.planning import refit_plan
from putback.reports.summary import open_questions, where_to_start
from putback.reports.todo import to_do, todo_blocks
from putback.trade import commands as c
from putback.trade.cautions.on_the_way_back import called_back
from putback.trade.checks.last_look import last_look
from putback.trade.checks.open_jobs import jobs_first, never_opened, open_jobs, still_open
from putback.trade.commands.cautions_called import called_for
from putback.trade.record.job import (
    AS_IT_IS,
    NOW,
    SORTS,
    STATES,
    WHENS,
    Job,
    as_kept,
    in_new_words,
    with_state,
)
from putback.trade.record.machine import Machine
from putback.trade.record.step import Soak
from putback.trade.refit.way_back import chases, what_waits
from tests.trade.hands import Hands

TIP = Job(do="do", what="tip broken off")
FELT = Job(do="get", what="felt")


@pytest.fixture
def hands() -> Hands:
    """A lid over a cam over a pin, all off; the pin's tip is broken."""
    made = Hands()
    for name in ("lid", "cam", "pin"):
        made.take_off(name, "5")
    made.do(c.Annotate(step=3, todo=(TIP, FELT)))
    return made


# -- the noun ----------------------------------------------------------------------------------------


def test_work_and_making_come_first_and_the_rest_has_no_hurry() -> None:
    usual = {sort: Job(do=sort, what="it").when for sort in SORTS}
    assert {sort for sort, when in usual.items() if when == WHENS[0]} == {"do", "make"}
    assert set(usual.values()) == {WHENS[0], WHENS[2]}
    assert Job(do="send out", what="it", when=WHENS[0]).first and not Job(do="make", what="it", when=WHENS[1]).first
    assert not Job(do="do", what="it", done=NOW).first


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (("mend", "tip broken off"), ("do", "mend: tip broken off", WHENS[0])),
        (("mend", "mend the tip"), ("do", "mend the tip", WHENS[0])),
        (("clean", "felt"), ("do", "clean felt", WHENS[0])),
        (("clean", "the rim: Cleaned with water"), ("do", "the rim: Cleaned with water", WHENS[0])),
        (("order", "felt"), ("get", "felt", WHENS[2])),
        (("make", "drip felt"), ("make", "drip felt", WHENS[0])),
    ],
)
def test_the_words_of_an_earlier_time_are_read_and_what_they_said_is_kept(
    old: tuple[str, str], new: tuple[str, str, str]
) -> None:
    job = msgspec.convert(in_new_words({"do": old[0], "what": old[1]}), Job)
    assert (job.do, job.what, job.when, job.state) == (*new, "to do")


@given(
    st.builds(
        Job,
        do=st.sampled_from(SORTS),
        what=st.text(min_size=1),
        when=st.sampled_from(["", *WHENS]),
        since=st.sampled_from(["", "2025-03-01T10:00:00+01:00"]),
        done=st.sampled_from(["", "2025-03-07T10:00:00Z"]),
        result=st.text(),
    )
)
def test_a_job_comes_back_as_it_was_from_file_and_export(job: Job) -> None:
    written = msgspec.to_builtins(job)
    assert msgspec.convert(written, Job) == job
    assert in_new_words(written) == written, "the words of today stay as they are"
    exported = json.loads(json.dumps(with_state(written)))
    assert exported["state"] in STATES and exported["state"] == job.state
    assert msgspec.convert(as_kept(exported), Job) == job


def test_an_export_that_says_another_state_than_its_stamps_is_refused() -> None:
    with pytest.raises(BadInput, match="“done”, and its stamps say that it is to do"):
        as_kept({"do": "get", "what": "felt", "state": "done"})


# -- said, in hand, done -----------------------------------------------------------------------------


def test_what_was_said_is_repeated(hands: Hands) -> None:
    text = hands.do(c.Annotate(step=2, todo=(Job(do="make", what="pin"),))).said
    assert text == "job noted: to make: pin (before it goes back) (step 2)"
    text = hands.do(c.Annotate(step=2, todo=(Job(do="test", what="does it turn?", when=WHENS[1]),))).said
    assert text == "job noted: to test: does it turn? (before the machine runs) (step 2)"


def test_a_job_is_taken_in_hand_and_done_with_its_stamps(hands: Hands) -> None:
    assert hands.do(c.WorkOn(step=3, what="tip broken off", state="in hand")).said == (
        "in hand: tip broken off (step 3)"
    )
    begun = hands.at
    assert hands.step(3).todo == (Job(do="do", what="tip broken off", since=begun), FELT)
    done = c.WorkOn(step=3, what=" Tip  broken off", state="done", result="brazed  and filed")
    assert hands.do(done).said == "done: tip broken off (step 3): brazed and filed"
    job = hands.step(3).todo[0]
    assert (job.since, job.done, job.result, job.state) == (begun, hands.at, "brazed and filed", "done")
    assert job.stands == "done 1 Mar: brazed and filed"
    hands.do(c.WorkOn(step=3, what="tip broken off", state="done", result="brazed again"))
    assert hands.step(3).todo[0].done == job.done, "only what came of it is said anew"
    assert hands.do(c.WorkOn(step=3, what="tip broken off", state="to do")).said == "to do: tip broken off (step 3)"
    assert hands.step(3).todo == (TIP, FELT)


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.WorkOn(step=9, what="felt", state="done"), "There is no step 9."),
        (c.WorkOn(step=0, what="felt", state="done"), "Nothing is coming off"),
        (c.WorkOn(step=3, what="felt", state="half done"), "“half done” is not a state of a job; say to do, in hand"),
        (c.WorkOn(step=3, what="cork", state="done"), "Step 3 has no job about “cork”; its jobs are: “tip broken off”"),
        (c.WorkOn(step=1, what="cork", state="done"), "Step 1 has no job about “cork”; its jobs are: none."),
        (c.WorkOn(step=3, what="felt", state="done", do="make"), "Step 3 has no job about “felt”"),
        (c.WorkOn(step=3, what="felt", state="done", do="sell"), "“sell” is not a sort of job"),
        (c.WorkOn(step=3, what="felt", state="to do"), "“felt” is to do already."),
        (c.WorkOn(step=3, what="felt", state="in hand", result="cut"), "A result is entered when the job is done."),
        (c.Annotate(step=3, todo=(Job(do="sell", what="it"),)), "“sell” is not a sort of job"),  # type: ignore[arg-type]
        (c.Annotate(step=3, todo=(Job(do="get", what="it", when="soon"),)), "“soon” is not a time for a job"),  # type: ignore[arg-type]
        (c.Annotate(step=3, todo=(Job(do="get", what=" "),)), "Say what the job is about."),
        (c.Annotate(step=3, todo=(Job(do="get", what="it", since="yesterday"),)), "“yesterday” is not a date and time"),
        (c.Annotate(step=3, todo=(Job(do="get", what="it", done="2025-03-01"),)), "is not a date and time with an of"),
        (
            c.Annotate(step=3, todo=(Job(do="get", what="Felt", when=WHENS[0]),)),
            "“to get: Felt” is among the jobs of this step already: to do.",
        ),
        (c.Annotate(step=3, todo=(FELT,)), "Nothing to do"),
        (c.MendStep(step=3, todo=(FELT, Job(do="get", what="FELT"))), "“to get: FELT” is there twice."),
        (c.MendStep(step=3, todo=(Job(do="order", what="felt"),)), "“order” is not a sort of job"),  # type: ignore[arg-type]
    ],
)
def test_what_cannot_be_said_of_a_job_is_refused(hands: Hands, command: c.Command, message: str) -> None:
    assert message in hands.refused(command)


def test_two_jobs_about_the_same_are_told_apart_by_their_sort(hands: Hands) -> None:
    hands.do(c.Annotate(step=3, todo=(Job(do="make", what="felt"),)))
    assert hands.refused(c.WorkOn(step=3, what="felt", state="done")) == (
        "Step 3 has several jobs about “felt”; say which: get, make."
    )
    hands.do(c.WorkOn(step=3, what="felt", state="done", do="make"))
    assert [job.state for job in hands.step(3).todo] == ["to do", "to do", "done"]


def test_now_is_the_stamp_of_the_change() -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    hands.do(c.Annotate(todo=(Job(do="make", what="felt", since=NOW), Job(do="get", what="wax", done=NOW))))
    assert [(job.since, job.done) for job in hands.last.todo] == [(hands.at, ""), ("", hands.at)]
    found = c.MendStep(step=1, todo=(Job(do="test", what=" it \n runs ", done=NOW, result=" well "),))
    hands.do(found)
    assert hands.last.todo == (Job(do="test", what="it runs", done=hands.at, result="well"),)


def test_words_of_a_job_call_up_their_cautions(hands: Hands) -> None:
    """Also those of what came of it, and on the way back those of an open job: it is done before the part goes on."""
    machine = hands.record.get(Machine, 1)
    bath = Job(do="do", what="frame: derusting bath")
    causes = [called.cause for called in called_for(c.Annotate(todo=(bath,)), machine)]
    assert causes == ["acid"]
    done = c.WorkOn(step=3, what="tip broken off", state="done", result="soft soldered")
    assert [called.cause for called in called_for(done, machine)] == ["lead"]
    hands.do(c.Annotate(step=3, todo=(bath,)))
    assert "acid" in [called.cause for called in called_back(hands.record, hands.step(3))]
    hands.do(c.WorkOn(step=3, what=bath.what, state="done"))
    assert "acid" not in [called.cause for called in called_back(hands.record, hands.step(3))]


# -- on the way back ---------------------------------------------------------------------------------


def test_a_step_with_a_job_to_be_done_first_is_not_ready_nor_what_waits_for_it(hands: Hands) -> None:
    assert {w.step: w.text for w in what_waits(hands.record, 1)} == dict.fromkeys(
        (1, 2, 3), "to do first: tip broken off"
    )
    assert what_waits(hands.record, 1)[0].line == "to do first: tip broken off"
    plan = refit_plan(hands.record, 1).to_json()
    assert plan["waiting"][0] == {"step": 1, "for": "to do first: tip broken off"}
    assert [row.text for row in chases(hands.record, 1)] == ["to do: tip broken off, holds up 3 steps"]
    assert hands.refused(c.PutBack(step=3)) == (
        "Step 3, pin: to do first: tip broken off; say that it is done, or put the part on as it is."
    )
    hands.do(c.WorkOn(step=3, what="tip broken off", state="in hand"))
    assert hands.refused(c.PutBack(step=3)).startswith("Step 3, pin: to do first")
    hands.do(c.WorkOn(step=3, what="tip broken off", state="done"))
    assert what_waits(hands.record, 1) == [] and chases(hands.record, 1) == []
    hands.put_back(3)


def test_what_is_away_and_what_is_to_be_done_are_both_named(hands: Hands) -> None:
    hands.do(c.CarryNamed(what="pin", step=3, count=1, source="shelf", target="away: plater"))
    assert {w.text for w in what_waits(hands.record, 1)} == {"pin (away: plater); to do first: tip broken off"}
    assert [row.text for row in chases(hands.record, 1)] == ["pin (away: plater) holds up 3 steps"]
    assert what_waits(hands.record, 1)[0].line == "waits for pin (away: plater); to do first: tip broken off"


def test_a_part_goes_back_as_it_is_and_the_end_names_what_is_open(hands: Hands) -> None:
    assert hands.refused(c.Confirm(step=3, item=TIP.question)) == (
        "Step 3: to do first: tip broken off. Say that it is done, or that the part goes on as it is."
    )
    assert "nothing like" in hands.refused(c.Confirm(step=3, item=FELT.question, anyway=AS_IT_IS))
    text = hands.do(c.Confirm(step=3, item=TIP.question, anyway=AS_IT_IS)).said
    assert text == "step 3: to do first: tip broken off: put on as it is"
    assert jobs_first(hands.record, hands.step(3)) == [] and what_waits(hands.record, 1) == []
    assert "nothing like" in hands.refused(c.Confirm(step=3, item=TIP.question, anyway=AS_IT_IS))
    for number in (3, 2, 1):
        hands.put_back(number)
    assert [(step.number, job) for step, job in open_jobs(hands.record, 1)] == [(3, TIP), (3, FELT)]
    still = [
        "to do: tip broken off (before it goes back, put on as it is, step 3)",
        "to get: felt (no hurry, step 3)",
    ]
    assert still_open(hands.record, 1) == still
    assert where_to_start(hands.record, 1) == f"every step is back; still open: {'; '.join(still)}"
    plan = plan_blocks(hands.record, 1, refit_plan(hands.record, 1), caption="press")
    lines = [block.words for block in plan]
    assert lines[-3:] == ["Still open:", *still] and lines[-4] == "Nothing is off."
    for what in ("tip broken off", "felt"):
        hands.do(c.WorkOn(step=3, what=what, state="done"))
    assert where_to_start(hands.record, 1) == "nothing: every step is back"
    assert still_open(hands.record, 1) == []


def test_a_step_that_comes_off_again_asks_again(hands: Hands) -> None:
    hands.do(c.Confirm(step=3, item=TIP.question, anyway=AS_IT_IS))
    hands.put_back(3)
    hands.do(c.TakeOffAgain(step=3))
    assert jobs_first(hands.record, hands.step(3)) == [TIP] and hands.step(3).answers == ()


def test_a_job_that_has_time_stops_nothing(hands: Hands) -> None:
    mended = (Job(do="do", what="tip broken off", when=WHENS[1]), FELT)
    hands.do(c.MendStep(step=3, todo=mended))
    assert what_waits(hands.record, 1) == []
    hands.put_back(3)


def test_a_skipped_step_with_a_job_holds_nothing_up_and_the_last_look_names_it(hands: Hands) -> None:
    hands.do(c.MendStep(step=1, cover=True))
    hands.do(c.SkipStep(step=3, reason="no braze here"))
    assert [w.step for w in what_waits(hands.record, 1)] == [3]
    words = {end.words: end.open for end in last_look(hands.record, hands.step(1))}
    assert words["step 3, pin: to do first: tip broken off"]
    assert not words["step 3, pin: to get: felt (no hurry)"], "to know, not to see to"
    hands.put_back(2)


def test_a_turn_with_a_job_first_does_not_tick_itself_off() -> None:
    hands = Hands()
    hands.do(c.Begin(do="turn", name="machine", state="on its back"))
    hands.do(c.Finish())
    hands.take_off("lid")
    hands.do(c.Annotate(step=1, todo=(Job(do="do", what="pad the bench"),)))
    hands.put_back(2)
    assert not hands.step(1).back
    hands.do(c.WorkOn(step=1, what="pad the bench", state="done"))
    hands.put_back(1)


def test_a_unit_kept_whole_and_never_opened_and_a_running_soak_are_still_open() -> None:
    hands = Hands()
    hands.take_off("feed unit", whole=True)
    hands.take_off("bush")
    hands.do(c.Annotate(soak=Soak("bush in penetrant", 24), step=2))
    assert [step.number for step in never_opened(hands.record, 1)] == [1]
    text = "feed unit came off in one piece, to be opened later, and was not (step 1)"
    assert still_open(hands.record, 1) == [text, "still soaking: bush in penetrant (step 2)"]
    assert text in open_questions(hands.record, 1, now=hands.at)
    hands.do(c.EndSoak(step=2))
    hands.do(c.AddAssembly(name="roller", inside="feed unit"))
    hands.take_off("shaft", inside="roller")
    assert still_open(hands.record, 1) == [], "opened at an assembly of its own counts"


# -- what leaves the bench ---------------------------------------------------------------------------


def test_the_list_tells_every_job_with_its_state(hands: Hands) -> None:
    hands.do(c.WorkOn(step=3, what="tip broken off", state="in hand"))
    begun = hands.at
    hands.do(c.WorkOn(step=3, what="felt", state="done", result="from the spares"))
    found = to_do(hands.record, hands.record.get(Machine, 1), now=hands.at)
    rows: list[dict[str, Any]] = found.to_json()["jobs"]
    same = {"takes": None, "side": None, "of": "step 3, pin", "step": 3, "bag": None, "hole": None, "stuck": None}
    same["making"] = None
    assert rows == [
        {
            "do": "do", "what": "tip broken off", "when": WHENS[0], "state": "in hand", "since": begun, "done": None,
            "result": "", "frees": 3, "holds_up": 3, **same,
        },
        {
            "do": "get", "what": "felt", "when": WHENS[2], "state": "done", "since": None, "done": hands.at,
            "result": "from the spares", "frees": 0, "holds_up": 0, **same,
        },
    ]  # fmt: skip
    text = as_text(todo_blocks([found]))
    assert "Now, here\n  to do: tip broken off (in hand since 1 Mar, before it goes back, step 3)" in text
    assert "First: to do: tip broken off frees 3 steps of the way back." in text
    assert "Done\n  to get: felt (done 1 Mar: from the spares, step 3)" in text
    exported = export_json(hands.record, changes=1)["steps"][2]["todo"]
    assert [job["state"] for job in exported] == ["in hand", "done"] and exported[0]["since"] == begun


def test_what_is_to_get_is_ordered_and_not_in_hand() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    hands.do(c.SayJob(step=1, job=Job(do="get", what="felt")))
    assert hands.do(c.WorkOn(step=1, what="felt", state="in hand")).said == "ordered: felt (step 1)"
    [job] = hands.step(1).todo
    assert job.stands == "ordered since 1 Mar" and job.state == "in hand", "the record and its export keep their word"
    found = to_do(hands.record, hands.record.get(Machine, 1), now=hands.at)
    assert "to get: felt (ordered since 1 Mar" in as_text(todo_blocks([found]))
