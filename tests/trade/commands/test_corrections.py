"""Mending the record: what was written down wrong is said right, and everything else stays as it was."""

from __future__ import annotations

import pytest

from putback.planning.tasks import strict_reverse
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.commands.named_size import sized_anew
from putback.trade.files.importing import take_in
from putback.trade.record.fastener import Thing
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine, Part
from putback.trade.record.session import Session
from putback.trade.record.step import Adjustment, Step
from putback.trade.refit.way_back import tasks
from tests.trade.hands import Hands


def taken_back(hands: Hands, *commands: c.Command) -> None:
    """Do commands one after another and take them back; the record must be as before."""
    before = hands.documents()
    changes = [hands.do(command) for command in commands]
    for change in reversed(changes):
        hands.record.absorb(change.reversed(number=1, said=""))
    assert hands.documents() == before
    for change in changes:
        hands.record.absorb(change)


# -- a step ------------------------------------------------------------------------------------------


def test_every_field_of_a_past_step_can_be_said_right() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="housing"))
    hands.take_off("gard", "1", "3")
    hands.take_off("lid", "1")
    found = c.MendStep(
        step=1,
        name="guard",
        inside="housing",
        face="top",
        note=" found bent ",
        cautions=("drum turns", " "),
        adjust=(Adjustment(what="end stop", turns=2.5),),
        at_refit=("oil it",),
        tools=("no. 2 blade",),
        todo=(Job(do="do", what="rust"),),
        minutes=12.0,
        cover=True,
        put="box B",
    )
    taken_back(hands, found)
    step = hands.step(1)
    housing = hands.record.assembly_named(1, "housing")
    assert housing is not None
    assert (step.name, step.area, step.face, step.note) == ("guard", housing.id, "top", "found bent")
    assert step.cautions == ("drum turns",) and step.tools == ("no. 2 blade",) and step.at_refit == ("oil it",)
    assert step.adjust[0].turns == 2.5 and step.todo == (Job(do="do", what="rust"),)
    assert (step.minutes, step.cover, step.put) == (12.0, True, "box B")
    assert hands.where("guard") == {"box B": 1}
    part = hands.record.get(Part, step.part)
    assert (part.name, part.inside) == ("guard", housing.id)
    assert hands.step(2).name == "lid", "no other step was touched"


def test_a_list_given_empty_is_emptied_and_one_left_out_stays() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.do(c.MendStep(step=1, cautions=("hot",), tools=("blade",)))
    hands.do(c.MendStep(step=1, cautions=()))
    assert hands.step(1).cautions == () and hands.step(1).tools == ("blade",)


def test_what_was_confirmed_stays_so_unless_it_is_gone() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.do(c.MendStep(step=1, cautions=("hot", "heavy")))
    hands.do(c.Confirm(step=1, item="hot"))
    hands.do(c.Confirm(step=1, item="heavy"))
    hands.do(c.MendStep(step=1, cautions=("hot", "very heavy")))
    assert hands.step(1).confirmed == ("hot",)
    assert hands.step(1).unconfirmed == ("very heavy",)


def test_a_part_that_has_moved_since_is_carried_not_mended() -> None:
    hands = Hands()
    hands.take_off("lid")
    lid = hands.thing("lid")
    hands.do(c.Carry(thing=lid.id, count=1, source="shelf", target="away: plater"))
    assert "moved since" in hands.refused(c.MendStep(step=1, put="box B"))
    hands.do(c.Carry(thing=lid.id, count=1, source="away: plater", target="shelf"))
    assert "moved since" in hands.refused(c.MendStep(step=1, put="box B"))


def test_a_scrapped_part_stays_so_beside_its_replacement() -> None:
    hands = Hands()
    hands.take_off("lid", put="scrapped")
    hands.do(c.Replace(thing=hands.thing("lid").id))
    assert "replaced" in hands.refused(c.MendStep(step=1, put="shelf"))


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (c.MendStep(step=0, note="x"), "Say which step"),
        (c.MendStep(step=9, note="x"), "There is no step 9"),
        (c.MendStep(step=1, face="underneath"), "not a face"),  # type: ignore[arg-type]
        (c.MendStep(step=1, inside="nowhere"), "no assembly"),
        (c.MendStep(step=1, name="  "), "needs a name"),
        (c.MendStep(step=1, name="cam"), "there already"),
        (c.MendStep(step=1, minutes=-1.0), "at least 0 minutes, and at most a day"),
        (c.MendStep(step=1, put="fitted"), "comes off"),
        (c.MendStep(step=1, put="somewhere"), "not a place"),
        (c.MendStep(step=1, adjust=(Adjustment(what=" "),)), "needs a name"),
        (c.MendStep(step=1, todo=(Job(do="sell", what="it"),)), "sort of job"),  # type: ignore[arg-type]
        (c.MendStep(step=1), "Nothing to do"),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence(command: c.Command, words: str) -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.take_off("cam")
    assert words in hands.refused(command)


def test_an_assembly_cannot_be_said_to_sit_inside_itself() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="head"))
    hands.do(c.AddAssembly(name="neck", inside="head"))
    hands.do(c.Begin(name="head", whole=True))
    hands.do(c.Finish(put="shelf"))
    assert "inside itself" in hands.refused(c.MendStep(step=1, inside="neck"))


# -- a fastener --------------------------------------------------------------------------------------


def test_a_fastener_goes_to_the_right_hole_and_a_taken_one_is_refused() -> None:
    hands = Hands()
    hands.take_off("lid", "1", "3")
    one = hands.thing("screw", "1")
    taken_back(hands, c.MendFastener(thing=one.id, hole="7"))
    assert hands.record.get(Thing, one.id).hole == "7"
    assert "Hole 3 has its screw" in hands.refused(c.MendFastener(thing=one.id, hole="3"))
    assert "not a hole" in hands.refused(c.MendFastener(thing=one.id, hole="0"))


def test_what_stands_in_for_a_fastener_goes_to_the_right_hole_with_it() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    one = hands.thing("screw", "1")
    hands.do(c.Carry(thing=one.id, count=1, source="bag 1", target="missing"))
    hands.do(c.Replace(thing=one.id))
    new = hands.record.stand_ins(one.id)[0]
    assert "stands in" in hands.refused(c.MendFastener(thing=new.id, hole="4"))
    hands.do(c.MendFastener(thing=one.id, hole="4"))
    assert hands.record.get(Thing, new.id).hole == "4"
    hands.do(c.MendFastener(thing=new.id, head="pan"))
    assert hands.record.get(Thing, new.id).head == "pan"


def test_new_readings_name_the_size_anew() -> None:
    """#6-32 and its stocked length 1/4 in: the screw-thread tables in tests/reference give its limits."""
    hands = Hands(origin="us")
    hands.take_off("lid", "1")
    one = hands.thing("screw", "1")
    command = sized_anew(
        hands.record, 1, c.MendFastener(thing=one.id, readings={"gauge": "632", "length": ".247"}, head="pan")
    )
    hands.do(command)
    mended = hands.record.get(Thing, one.id)
    assert mended.size == "#6-32 UNC x 1/4" and mended.thread == "#6-32 UNC" and mended.head == "pan"
    assert hands.record.threads(1) == {"#6-32 UNC": 1}


def test_a_head_alone_names_the_length_anew() -> None:
    """A countersunk screw is measured over all, one with a head under it (as the length rules say)."""
    hands = Hands(origin="us")
    hands.do(c.Begin(name="lid"))
    hands.do(c.Enter(hole="1", readings={"gauge": "832", "length": ".372"}, head="fillister"))
    one = hands.thing("screw", "1")
    command = sized_anew(hands.record, 1, c.MendFastener(thing=one.id, head="flat"))
    assert command.size == "#8-32 UNC x 3/8" and command.head == "flat"
    assert sized_anew(hands.record, 1, c.MendFastener(thing=one.id, note="x")).size is None


def test_of_a_hole_found_empty_only_hole_and_note_are_mended() -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    hands.do(c.Enter(hole="1", found="empty"))
    empty = hands.thing("screw", "1")
    assert "found empty" in hands.refused(c.MendFastener(thing=empty.id, head="pan"))
    hands.do(c.MendFastener(thing=empty.id, hole="2", note="clean"))
    assert hands.record.get(Thing, empty.id).hole == "2"


def test_a_fastener_goes_to_the_right_bag_and_the_plan_knows() -> None:
    hands = Hands()
    hands.take_off("lid", "1", "3")
    one = hands.thing("screw", "1")
    taken_back(hands, c.Rebag(thing=one.id))
    assert hands.where("screw", "1") == {"bag 2": 1} and hands.where("screw", "3") == {"bag 1": 1}
    assert hands.record.bags_filled_by(hands.step(1).id) == {1, 2}
    assert tasks(hands.record, 1)[0].bags == {1, 2}
    assert "in bag 2 already" in hands.refused(c.Rebag(thing=one.id, bag=2))
    hands.do(c.CloseBag(number=1))
    assert "Bag 1 is closed" in hands.refused(c.Rebag(thing=one.id, bag=1))


def test_what_has_moved_since_is_moved_from_bag_to_bag() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    one = hands.thing("screw", "1")
    hands.do(c.Carry(thing=one.id, count=1, source="bag 1", target="borrowed: a photograph"))
    assert "in no bag" in hands.refused(c.Rebag(thing=one.id, bag=2))
    hands.do(c.Carry(thing=one.id, count=1, source="borrowed: a photograph", target="bag 1"))
    hands.do(c.Rebag(thing=one.id))
    assert hands.where("screw") == {"bag 2": 1}


# -- bags --------------------------------------------------------------------------------------------


def test_a_bag_is_split_and_merged_again() -> None:
    hands = Hands()
    hands.take_off("lid", "1", "3")
    hands.take_off("cam", "1", bag=1)
    cam = hands.thing("screw", "1")
    taken_back(hands, c.SplitBag(number=1, things=(cam.id,)))
    assert hands.record.in_bag(hands.bag(2)) == {cam.id: 1} and len(hands.record.in_bag(hands.bag(1))) == 2
    taken_back(hands, c.MergeBags(number=2, into=1))
    assert hands.record.in_bag(hands.bag(2)) == {} and len(hands.record.in_bag(hands.bag(1))) == 3


def test_a_part_coming_off_goes_on_with_the_bag_that_its_own_was_tipped_into() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    hands.do(c.Begin(name="cam"))
    hands.do(c.Enter(hole="1"))
    hands.do(c.MergeBags(number=2, into=1))
    hands.do(c.Enter(hole="3"))
    assert hands.where("screw", "3") == {"bag 1": 1}


def test_what_cannot_be_split_or_merged_is_refused() -> None:
    hands = Hands()
    hands.take_off("lid", "1", "3")
    hands.take_off("cam", "5")
    first, other = hands.thing("screw", "1"), hands.thing("screw", "5")
    for command, words in (
        (c.SplitBag(number=9, things=(1,)), "no bag 9"),
        (c.SplitBag(number=1, things=()), "Say what"),
        (c.SplitBag(number=1, things=(other.id,)), "not in bag 1"),
        (c.SplitBag(number=1, things=(first.id,), into=1), "already"),
        (c.SplitBag(number=2, things=(other.id,)), "nothing would stay behind"),
        (c.MergeBags(number=1, into=1), "into itself"),
        (c.MergeBags(number=1, into=9), "no bag 9"),
    ):
        assert words in hands.refused(command)
    hands.do(c.CloseBag(number=2))
    assert "Bag 2 is closed" in hands.refused(c.MergeBags(number=1, into=2))
    assert "Bag 2 is closed" in hands.refused(c.MergeBags(number=2, into=1))


# -- what was forgotten ------------------------------------------------------------------------------


def names_of(hands: Hands) -> list[str]:
    return [step.name for step in hands.record.all(Step, 1)]


def test_a_forgotten_step_shifts_numbers_and_everything_that_names_one() -> None:
    hands = Hands()
    hands.do(c.StartSession())
    for name in ("lid", "cam", "bell", "foot"):
        hands.take_off(name, "1")
    hands.do(c.SetNeeds(step=4, needs=(1, 3)))
    hands.do(c.WalkBack(step=3, answer="not so"))
    bell = hands.step(3)
    taken_back(hands, c.InsertStep(before=2, name="spring", put="box B"))
    assert names_of(hands) == ["lid", "spring", "cam", "bell", "foot"]
    assert [hands.step(n).needs for n in range(1, 6)] == [(), (1,), (1, 2), (3,), (1, 4)]
    assert hands.where("spring") == {"box B": 1}
    walked = hands.record.get(Session, 1).walked[0]
    assert hands.record.get(Step, walked.step_id).number == 4 and walked.step_id == bell.id
    assert hands.last.name == "foot" and hands.record.open_step(1) is None
    assert strict_reverse(tasks(hands.record, 1)) == (5, 4, 3, 2, 1)
    assert [s.number for s in hands.record.steps_of_session(1)] == [1, 2, 3, 4, 5]
    for number in (5, 4, 3, 2, 1):
        hands.put_back(number)
    assert hands.balance.keys() == {"fitted"}


def test_an_answer_of_the_walk_back_follows_its_step_into_another_workshop() -> None:
    hands, other = Hands(), Hands(name="lathe")
    hands.do(c.StartSession())
    hands.take_off("lid")
    hands.do(c.WalkBack(step=1, answer="not so"))
    for name in ("chuck", "tailstock"):
        other.take_off(name)
    other.record.absorb(take_in(other.record, hands.record, ()).change)
    walked = next(session for session in other.record.all(Session) if session.walked).walked[0]
    assert other.record.get(Step, walked.step_id).name == "lid"


def test_one_that_could_come_off_any_time_is_not_tied_to_the_one_written_in_before_it() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.take_off("label", needs=())
    hands.do(c.InsertStep(before=2, name="spring"))
    assert hands.step(3).needs == () and hands.step(2).needs == (1,)
    hands.do(c.InsertStep(before=1, name="dust cover"))
    assert hands.step(2).needs == (1,), "the first had no need since it was the first"


def test_a_step_is_written_in_before_the_one_being_done() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    hands.do(c.Begin(name="cam"))
    hands.do(c.InsertStep(before=2, name="spring"))
    hands.do(c.Enter(hole="1"))
    hands.do(c.Finish(put="shelf"))
    assert names_of(hands) == ["lid", "spring", "cam"]
    assert hands.thing("screw", "1").step == hands.step(3).id


def test_a_step_written_in_at_refit_needs_nothing_that_is_back() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.take_off("cam", needs=())
    hands.put_back(1)
    hands.do(c.InsertStep(before=2, name="spring"))
    assert hands.step(2).needs == ()
    assert "is back already" in hands.refused(c.InsertStep(before=3, name="clip", needs=(1,)))


def test_how_the_machine_lies_is_what_the_last_turn_left() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.do(c.InsertStep(before=1, do="turn", name="machine", state="on its side"))
    assert hands.record.get(Machine, 1).lies == "on its side"
    hands.do(c.InsertStep(before=1, do="turn", name="machine", state="upright"))
    assert hands.step(1).state == "upright"


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (c.InsertStep(before=0, name="x"), "no step 0"),
        (c.InsertStep(before=3, name="x"), "no step 3"),
        (c.InsertStep(before=2, name=" "), "needs a name"),
        (c.InsertStep(before=2, name="x", do="smash"), "not something done"),  # type: ignore[arg-type]
        (c.InsertStep(before=2, name="x", face="underneath"), "not a face"),  # type: ignore[arg-type]
        (c.InsertStep(before=2, name="x", inside="nowhere"), "no assembly"),
        (c.InsertStep(before=2, name="x", put="fitted"), "comes off"),
        (c.InsertStep(before=2, name="x", needs=(2,)), "circle"),
        (c.InsertStep(before=2, name="x", minutes=float("nan")), "at least 0 minutes, and at most a day"),
        (c.InsertStep(before=2, name="lid"), "comes off at step 1 already"),
        (c.InsertStep(before=2, name="cam"), "comes off at step 2 already"),
        (c.InsertStep(before=2, name="lid", do="undo"), "comes off at step 1 already"),
        (c.EnterLate(step=0, hole="1"), "Say at which step"),
        (c.EnterLate(step=9, hole="1"), "no step 9"),
        (c.EnterLate(step=1, hole="1"), "Hole 1 has its screw"),
        (c.EnterPieceLate(step=1, name="ball", count=0), "Pieces are counted"),
    ],
)
def test_what_cannot_be_written_in_is_refused(command: c.Command, words: str) -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    hands.take_off("cam", "1")
    assert words in hands.refused(command)


def test_a_forgotten_screw_and_spring_come_from_their_step() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    hands.take_off("cam", "1")
    screw = c.EnterLate(step=1, hole="3", size="#8-32 UNC x 3/8")
    taken_back(hands, screw, c.EnterPieceLate(step=1, name="spring"))
    assert hands.thing("screw", "3").step == hands.step(1).id
    assert hands.where("screw", "3") == {"bag 1": 1} == hands.where("spring")
    hands.do(c.EnterLate(step=1, hole="5", size="#8-32 UNC x 3/8", bag=2))
    assert hands.where("screw", "5") == {"bag 2": 1} and hands.step(1).bag == 1
    hands.put_back(2)
    hands.put_back(1)
    assert "back already" in hands.refused(c.EnterLate(step=1, hole="7"))
    assert hands.balance.keys() == {"fitted"}


def test_a_step_is_written_into_a_long_record_at_once() -> None:
    """A thousand steps shift in one change, which a change of what is typed may never be as large as."""
    hands = Hands()
    for number in range(300):
        change = rules.apply(hands.record, 1, c.Begin(name=f"part {number}"), at=hands.at)
        hands.record.absorb(change)
        change = rules.apply(hands.record, 1, c.Annotate(note="x" * 2000), at=hands.at)
        hands.record.absorb(change)
        change = rules.apply(hands.record, 1, c.Finish(put="shelf"), at=hands.at)
        hands.record.absorb(change)
    hands.do(c.InsertStep(before=1, name="dust cover"))
    assert hands.last.number == 301 and hands.step(301).needs == (300,)
