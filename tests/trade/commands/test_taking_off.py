"""Taking off: steps, holes, needs, what is said, and a part that comes off once more."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine, Part
from putback.trade.record.step import Adjustment, Doing, Soak
from tests.trade.hands import Hands

SCREW = c.Enter(hole="1", size="#8-32 UNC x 3/8")


def begun(**more: object) -> Hands:
    """Hands with a lid coming off."""
    hands = Hands()
    hands.do(replace(c.Begin(name="lid", face="top"), **more))
    return hands


# -- beginning ---------------------------------------------------------------------------------------


def test_a_part_comes_off_with_its_screws_in_a_new_bag() -> None:
    hands = Hands()
    step = hands.take_off("lid", "1", "3", "5a", face="top")
    assert (step.number, step.part, step.face, step.bag, step.put) == (1, 1, "top", 1, "shelf")
    assert hands.balance == {"bag": 3, "shelf": 1}
    assert hands.where("screw", "5a") == {"bag 1": 1} and hands.where("lid") == {"shelf": 1}
    assert hands.record.off_at(1) == step


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.Begin(name=" "), "A part needs a name."),
        (c.Begin(name="lid", do="smash"), "“smash” is not something done at a step; say take off, let down"),  # type: ignore[arg-type]
        (c.Begin(name="lid", face="underneath"), "“underneath” is not a face; say front, "),  # type: ignore[arg-type]
        (c.Begin(name="lid", inside="bell"), "There is no assembly “bell” on this machine."),
        (c.Begin(name="lid", bag=-1), "A bag has a number from 1 to 99999; -1 was said."),
        (c.Begin(name="lid", needs=(1,)), "Step 1 cannot need itself: that makes a circle."),
        (c.Begin(name="lid", needs=(2,)), "Step 1 needs step 2, and there is no step 2."),
        (c.Begin(name="lid", needs=(-1,)), "Step 1 needs step -1, and there is no step -1."),
        (SCREW, "Nothing is coming off; begin a part first."),
        (c.EnterPiece(name="ball"), "Nothing is coming off; begin a part first."),
        (c.Finish(), "Nothing is coming off; begin a part first."),
        (c.TurnFace(face="top"), "Nothing is coming off; begin a part first."),
        (c.TakeBag(), "Nothing is coming off; begin a part first."),
        (c.Annotate(note="x"), "Nothing is coming off; begin a part first."),
        (c.Annotate(step=4, note="x"), "There is no step 4."),
    ],
)
def test_what_cannot_begin_is_refused(command: c.Command, message: str) -> None:
    assert message in Hands().refused(command)


def test_one_step_at_a_time() -> None:
    hands = begun()
    assert hands.refused(c.Begin(name="cam")) == "Step 1, lid, is not done yet."


@pytest.mark.parametrize("do", ["take off", "undo", "loosen", "drive out", "let down"])
def test_what_is_off_already_does_not_come_off(do: Doing) -> None:
    hands = Hands()
    hands.take_off("lid")
    assert hands.refused(c.Begin(name="LID", do=do)) == "LID is off already, since step 1."


def test_a_set_of_pieces_is_off_too_though_it_went_nowhere_as_one() -> None:
    hands = Hands()
    hands.do(c.Begin(name="feet"))
    hands.do(c.EnterPiece(name="foot", count=4))
    hands.do(c.Finish())
    assert hands.balance == {"bag": 4}
    assert "is off already" in hands.refused(c.Begin(name="feet"))


def test_the_same_name_inside_another_assembly_is_another_part() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="bell"))
    hands.take_off("cover")
    hands.take_off("cover", inside="bell")
    assert [(p.name, p.inside) for p in hands.record.all(Part, 1)] == [("bell", 0), ("cover", 0), ("cover", 1)]


def test_an_assembly_is_known_wherever_it_comes_off() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="base"))
    hands.do(c.AddAssembly(name="drum"))
    step = hands.take_off("drum", inside="base", whole=True)
    assert step.part == 2 and step.area == 1 and step.whole
    assert "is off already" in hands.refused(c.Begin(name="drum"))


def test_steps_that_take_nothing_off_put_nothing_on_the_tree() -> None:
    hands = Hands()
    for do in ("mark", "measure", "soak"):
        hands.do(c.Begin(do=do, name="lever"))
        hands.do(c.Finish(minutes=3))
    hands.do(c.Begin(do="turn", name="machine", state="on its side"))
    hands.do(c.Finish())
    assert not list(hands.record.all(Part, 1)) and hands.balance == {}
    assert hands.record.get(Machine, 1).lies == "on its side"
    assert hands.step(1).minutes == 3 and hands.last.minutes is None


# -- needs -------------------------------------------------------------------------------------------


def test_a_step_needs_the_one_before_unless_it_could_have_come_off_any_time() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.take_off("cam")
    hands.take_off("foot", needs=())
    hands.take_off("pin", needs=(2, 1, 2))
    assert [hands.step(n).needs for n in (1, 2, 3, 4)] == [(), (1,), (), (1, 2)]


def test_work_inside_an_assembly_that_is_off_stands_by_itself() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="case"))
    hands.do(c.AddAssembly(name="head", inside="case"))
    hands.take_off("lid", inside="case")
    hands.take_off("head", inside="case", whole=True)
    hands.take_off("head cover", inside="head")
    hands.take_off("tray", inside="case")
    hands.take_off("wheel", inside="head")
    hands.take_off("lamp", inside="case")
    # 1 lid, 2 head off, 3 in the head, 4 on the machine again, 5 in the head, 6 on the machine
    assert [hands.step(n).needs for n in range(1, 7)] == [(), (1,), (2,), (2,), (3,), (4,)]


def test_needs_are_said_afterwards_and_only_earlier_ones() -> None:
    hands = Hands()
    for name in ("lid", "cam", "pin"):
        hands.take_off(name)
    assert hands.do(c.SetNeeds(step=3, needs=())).said == "step 3: could have come off any time"
    assert hands.do(c.SetNeeds(step=3, needs=(1,))).said == "step 3 needs 1"
    for needs, text in (((3,), "itself"), ((2, 9), "there is no step 9"), ((0,), "there is no step 0")):
        assert text in hands.refused(c.SetNeeds(step=3, needs=needs))
    assert "Nothing to do" in hands.refused(c.SetNeeds(step=3, needs=(1, 1)))
    text = hands.refused(c.SetNeeds(step=1, needs=(2,)))
    assert text == "Step 1 (lid) needs 2 (cam) and 2 needs 1: a circle."
    assert hands.refused(c.SetNeeds(step=2, needs=(3,))) == "Step 2 cannot need step 3, pin, which was done later."
    hands.do(c.SetNeeds(step=3, needs=(2,)))
    text = hands.refused(c.SetNeeds(step=1, needs=(3,)))
    assert text == "Step 1 (lid) needs 3 (pin), 3 needs 2 (cam) and 2 needs 1: a circle."
    assert hands.refused(c.SetNeeds(step=8, needs=())) == "There is no step 8."


def test_what_is_back_on_the_machine_cannot_be_needed_off() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.take_off("cam", needs=())
    hands.put_back(1)
    assert "Step 1, lid, is back already, so step 2 cannot need it off." in hands.refused(
        c.SetNeeds(step=2, needs=(1,))
    )
    assert "is back already" in hands.refused(c.Begin(name="pin", needs=(1,)))
    hands.do(c.Begin(name="pin"))
    assert hands.last.needs == (2,)


# -- fasteners and pieces ----------------------------------------------------------------------------


def test_a_hole_is_named_once() -> None:
    hands = begun()
    hands.do(SCREW)
    text = hands.refused(c.Enter(hole="1", size="#6-32 UNC x 1/4"))
    assert text == "Hole 1 has its screw #8-32 UNC x 3/8 already; add a letter, as 1a, if there are two."
    hands.do(c.Enter(hole="1a", size="#8-32 UNC x 3/8"))
    assert "as 1b, if" in hands.refused(c.Enter(hole="1a", kind="bolt"))


def test_what_is_stacked_shares_the_hole() -> None:
    hands = begun()
    hands.do(SCREW)
    for kind in ("nut", "washer", "shim", "spacer", "spring clip", "retaining ring", "key", "split pin"):
        hands.do(c.Enter(hole="1", kind=kind))
    assert hands.balance == {"bag": 9}
    for kind in ("bolt", "shoulder screw", "set screw", "stud", "taper pin", "straight pin", "rivet"):
        assert "Hole 1 has its screw" in hands.refused(c.Enter(hole="1", kind=kind))


def test_a_hole_found_empty_is_a_finding_and_counts_nothing() -> None:
    hands = begun()
    hands.do(c.Enter(hole="3", found="empty", note="bright ring"))
    assert "Hole 3 is noted as found empty" in hands.refused(c.Enter(hole="3"))
    hands.do(SCREW)
    assert "Hole 1 has its screw" in hands.refused(c.Enter(hole="1", found="empty"))
    hands.do(c.Finish(put="shelf", count=1))
    assert hands.balance == {"bag": 1, "shelf": 1}
    hands.put_back(1)
    assert hands.balance == {"fitted": 2}


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("hole", "10", "“10” is not a hole"),
        ("kind", "nail", "“nail” is not a kind of fastener; say screw"),
        ("kind", "", "is not a kind of fastener"),
        ("head", "egg", "“egg” is not a head"),
        ("drive", "spoon", "“spoon” is not a drive"),
        ("hand", "both", "“both” is not a hand of a thread; say left, right"),
        ("small_end", "underneath", "“underneath” is not a face for a small end"),
        ("found", "full", "“full” is not a way to find a hole"),
        ("readings", {"colour": "red"}, "“colour” is not a reading of a fastener; say gauge"),
        ("turns", -1.0, "Turns must be a number from 0"),
        ("turns", float("inf"), "Turns must be a number from 0"),
        ("turns", float("nan"), "Turns must be a number from 0"),
        ("note", "half \ud800 of one", "half a character"),
        ("note", "x" * 1_000_001, "too much at once"),
    ],
)
def test_what_is_no_fastener_is_refused(field: str, value: object, message: str) -> None:
    assert message in begun().refused(replace(c.Enter(hole="1"), **{field: value}))


def test_a_fastener_keeps_everything_that_was_said() -> None:
    hands = begun()
    found = {"size": "M4x0.7", "thread": "M4x0.7", "length": "", "verdict": "sure", "head": "pan", "drive": "cross"}
    more = {"hand": "left", "small_end": "back", "should_be": "#8-32 UNC x 1/2", "note": "ran rough"}
    hands.do(replace(c.Enter(hole="7", kind="bolt", readings={"od": "3.9"}), **found, **more))
    thing = hands.thing("bolt")
    assert {name: getattr(thing, name) for name in (*found, *more)} == {**found, **more}
    assert thing.readings == {"od": "3.9"} and hands.record.threads(1) == {"M4x0.7": 1}
    hands.do(c.Enter(hole="8", hand="right"))
    assert hands.thing("screw").hand == ""


def test_what_is_only_loosened_stays_on_with_its_tag() -> None:
    hands = Hands()
    hands.do(c.Begin(do="loosen", name="clamp", tag="A"))
    hands.do(c.Enter(hole="5", kind="bolt", turns=2.5))
    hands.do(c.Finish())
    assert hands.balance == {"fitted": 1} and hands.last.tag == "A" and not hands.last.takes_off
    assert hands.put_back(1).said == "step 1, clamp, is back"


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.EnterPiece(name=""), "A loose piece needs a name"),
        (c.EnterPiece(name="ball", count=0), "from 1 to 10000; 0 was said"),
        (c.EnterPiece(name="ball", count=10_001), "from 1 to 10000"),
        (c.EnterPiece(name="ball", put="fitted"), "ball comes off, so it cannot go to “fitted”"),
        (c.EnterPiece(name="ball", put="somewhere"), "“somewhere” is not a place"),
    ],
)
def test_what_is_no_piece_is_refused(command: c.Command, message: str) -> None:
    assert message in begun().refused(command)


def test_pieces_go_into_the_bag_or_to_a_place_of_their_own() -> None:
    hands = begun()
    assert hands.do(c.EnterPiece(name="spring", count=3)).said == "3 x spring into bag 1"
    assert hands.do(c.EnterPiece(name="foot", put="away: on order")).said == "foot: away: on order"
    assert hands.where("spring") == {"bag 1": 3} and hands.where("foot") == {"away: on order": 1}


# -- what is said ------------------------------------------------------------------------------------


def test_notes_gather_on_a_step() -> None:
    hands = begun()
    hands.do(c.Annotate(cautions=("hot", "hot", " "), tools=("driver",), note=" one "))
    hands.do(c.Annotate(cautions=("hot", "sharp"), at_refit=("oil",), cover=True, note="two"))
    hands.do(c.Annotate(adjust=(Adjustment(what="stop", turns=1),), todo=(Job(do="get", what="felt"),)))
    hands.do(c.Annotate(soak=Soak("penetrant", 24)))
    step = hands.last
    assert step.cautions == ("hot", "sharp") and step.note == "one\ntwo" and step.cover
    assert step.at_refit == ("oil",) and step.tools == ("driver",) and step.soak == Soak("penetrant", 24)
    assert step.adjust[0].turns == 1 and step.todo == (Job(do="get", what="felt"),)
    hands.do(c.Annotate(cover=False))
    assert not hands.last.cover
    assert "Nothing to do" in hands.refused(c.Annotate(note="  ", cautions=("hot",)))


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.Annotate(todo=(Job(do="sell", what="it"),)), "“sell” is not a sort of job; say do, soak, make, get"),  # type: ignore[arg-type]
        (c.Annotate(soak=Soak("acid", 0)), "A soak must be longer than 0 hours"),
        (c.Annotate(soak=Soak("acid", float("nan"))), "A soak must be longer than 0 hours"),
        (c.Annotate(adjust=(Adjustment(what=" "),)), "A setting needs a name"),
        (c.Annotate(adjust=(Adjustment(what="stop", turns=float("inf")),)), "Turns must be"),
    ],
)
def test_what_cannot_be_said_of_a_step_is_refused(command: c.Command, message: str) -> None:
    assert message in begun().refused(command)


def test_a_face_is_turned_until_it_has_holes_then_the_next_ones_are_on_another() -> None:
    hands = begun()
    hands.do(c.TurnFace(face="left"))
    assert hands.last.face == "left" and "is not a face" in hands.refused(c.TurnFace(face="underneath"))  # type: ignore[arg-type]
    hands.do(c.TurnFace(face=""))
    assert hands.last.face == ""  # type: ignore[comparison-overlap]
    hands.do(c.TurnFace(face="left"))
    hands.do(SCREW)
    assert "top face for the next holes; so far left 1" in hands.do(c.TurnFace(face="top")).said
    assert (hands.last.face, hands.last.face_in_hand) == ("left", "top")
    assert "say which one comes next" in hands.refused(c.TurnFace(face=""))
    assert "hole 1, top: " in hands.do(SCREW).said, "the same place on another face is another hole"
    assert "Hole 1, top has its " in hands.refused(SCREW)
    hands.do(c.TurnFace(face="left"))
    assert hands.last.face_in_hand == "left" and "Hole 1 has its " in hands.refused(SCREW)
    hands.do(c.TurnFace(face="inside"))
    hands.do(c.Finish(put="shelf"))
    assert (hands.last.face, hands.last.facing) == ("left", "")
    assert [t.spot for t in hands.record.things_of(hands.last) if t.hole] == ["1", "1, top"]


# -- the end of a step -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.Finish(count=2), "Step 1, lid: 2 counted by hand, 1 in the record."),
        (c.Finish(put="fitted"), "lid comes off, so it cannot go to “fitted”."),
        (c.Finish(put="nowhere"), "“nowhere” is not a place"),
        (c.Finish(minutes=-1), "at least 0 minutes, and at most a day"),
        (c.Finish(minutes=1441), "at least 0 minutes, and at most a day"),
        (c.Finish(minutes=float("nan")), "at least 0 minutes, and at most a day"),
    ],
)
def test_what_cannot_end_a_step_is_refused(command: c.Command, message: str) -> None:
    hands = begun()
    hands.do(SCREW)
    assert message in hands.refused(command)


@pytest.mark.parametrize(
    ("do", "put", "balance"),
    [
        ("take off", "", {"loose": 1}),
        ("take off", "away: plater", {"away": 1}),
        ("take off", "kept with drum", {"kept with": 1}),
        ("take off", "scrapped", {"scrapped": 1}),
        ("undo", "", {}),
        ("undo", "bag 7", {"bag": 1}),
        ("drive out", "", {}),
        ("let down", "", {}),
    ],
)
def test_where_the_part_goes(do: Doing, put: str, balance: dict[str, int]) -> None:
    hands = Hands()
    hands.do(c.Begin(do=do, name="lid"))
    hands.do(c.Finish(put=put))
    assert hands.balance == balance
    assert bool(hands.record.off_at(1)) == bool(balance)


# -- once more ---------------------------------------------------------------------------------------


def test_a_part_that_comes_off_once_more_is_counted_once() -> None:
    hands = Hands()
    hands.take_off("lid", "1", "3", face="top")
    hands.put_back(1)
    assert hands.balance == {"fitted": 3}
    step = hands.take_off("lid", "1", "5", face="top")
    # the screw of hole 1 and the lid are the same things; the one in hole 5 was never seen before
    assert hands.balance == {"fitted": 1, "bag": 2, "shelf": 1}
    assert [(t.name, t.hole) for t in hands.record.things_of(step)] == [("screw", "1"), ("lid", ""), ("screw", "5")]
    assert hands.record.released_by(1) == {1: 1, 2: 1, 3: 1}, "what the first time took out stays told"
    hands.put_back(2)
    assert hands.balance == {"fitted": 4}


def test_a_screw_of_another_face_or_kind_is_another_one() -> None:
    hands = Hands()
    hands.take_off("lid", "1", face="top")
    hands.put_back(1)
    hands.do(c.Begin(name="lid", face="left"))
    hands.do(SCREW)
    hands.do(c.TurnFace(face="top"))
    hands.do(c.Enter(hole="1", kind="washer"))
    hands.do(c.Finish(put="shelf"))
    assert hands.balance == {"fitted": 1, "bag": 2, "shelf": 1}


def test_what_was_loosened_and_then_comes_off_is_counted_once() -> None:
    hands = Hands()
    hands.do(c.Begin(do="loosen", name="clamp"))
    hands.do(c.Enter(hole="5", turns=3, size="M5"))
    hands.do(c.Finish())
    hands.do(c.Begin(name="clamp"))
    hands.do(c.Enter(hole="5", size="M5"))
    hands.do(c.Finish(put="shelf"))
    assert hands.balance == {"bag": 1, "shelf": 1}
    assert hands.thing("screw").turns == 0


def test_pieces_put_back_come_off_again_as_the_same() -> None:
    hands = Hands()
    for _ in range(2):
        hands.do(c.Begin(name="feet"))
        hands.do(c.EnterPiece(name="foot", count=4))
        hands.do(c.Finish())
        assert hands.balance == {"bag": 4}
        hands.put_back(hands.last.number)
    assert hands.balance == {"fitted": 4}


def test_a_replacement_comes_off_as_itself() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    screw = hands.thing("screw").id
    hands.do(c.Carry(thing=screw, count=1, source="bag 1", target="missing"))
    hands.do(c.Replace(thing=screw, put="bag 1"))
    hands.put_back(1)
    hands.take_off("lid", "1")
    assert hands.balance == {"bag": 1, "shelf": 1, "scrapped": 1}
    assert hands.thing("screw").replaces == screw
    hands.put_back(2)
    assert hands.balance == {"fitted": 2, "scrapped": 1}
