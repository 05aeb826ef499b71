"""What holds of the holes of a step whatever is said of them: one screw in each, on the face it is on."""

from __future__ import annotations

from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance
from putback.trade.record.fastener import Thing
from tests.trade.hands import Hands


def bracket() -> Hands:
    """A bracket held from three faces: two screws in front, two at the right, one on top."""
    hands = Hands()
    hands.do(c.Begin(name="bracket", face="front"))
    for hole, face in (("1", ""), ("3", ""), ("3", "right"), ("5", "right"), ("5", "top")):
        hands.do(c.Enter(hole=hole, face=face, size="#8-32 UNC x 3/8", thread="#8-32 UNC", length="3/8"))  # type: ignore[arg-type]
    hands.do(c.Finish(put="shelf"))
    return hands


def spots(hands: Hands) -> list[str]:
    """The holes of the last step, as entered."""
    return [thing.spot for thing in hands.record.things_of(hands.last) if thing.hole]


def at(hands: Hands, spot: str) -> Thing:
    """What came out of a hole of the last step."""
    return next(thing for thing in hands.record.things_of(hands.last) if thing.spot == spot)


def test_the_holes_of_a_steps_own_face_go_with_it_and_the_others_stay() -> None:
    hands = bracket()
    hands.do(c.MendStep(step=1, face="left"))
    assert spots(hands) == ["1", "3", "3, right", "5, right", "5, top"]
    assert "Hole 3 has its " in hands.refused(c.MendStep(step=1, face="right"))
    hands.do(c.MendStep(step=1, face="top"))
    assert spots(hands) == ["1", "3", "3, right", "5, right", "5"]
    assert not list(check_balance(hands.record))


def test_a_hole_is_said_right_with_its_face() -> None:
    hands = bracket()
    lone = at(hands, "5, top")
    assert "Hole 3, right has its " in hands.refused(c.MendFastener(thing=lone.id, hole="3", face="right"))
    assert "hole 5, top is hole 3, left now" in hands.do(c.MendFastener(thing=lone.id, hole="3", face="left")).said
    hands.do(c.MendFastener(thing=lone.id, hole="2"))
    assert at(hands, "2, left").id == lone.id, "the face stays where only the place is said"
    hands.do(c.MendFastener(thing=lone.id, face="front"))
    assert at(hands, "2").id == lone.id, "that of the step is not said again"
    assert "Each fastener has its own hole" in hands.refused(
        c.MendFastener(thing=lone.id, face="left", also=(at(hands, "1").id,))
    )


def test_two_screws_change_holes_across_faces_and_what_replaces_one_is_on_its_face() -> None:
    hands = bracket()
    hands.do(c.Trouble(what="goes in another hole", step=1, hole="5", face="top", into="3 right"))
    assert at(hands, "5, top").goes_in == "3, right" and at(hands, "3, right").goes_in == "5, top"
    hands.do(c.Trouble(what="goes in another hole", step=1, hole="5", face="top", into="5 top"))
    assert at(hands, "5, top").goes_into == at(hands, "3, right").goes_into == ""
    hands.do(c.Trouble(what="lost", step=1, hole="3", face="right"))
    hands.do(c.Trouble(what="another goes in", step=1, hole="3", face="right", size="#8-32 UNC x 1/2", readings={}))
    new = hands.record.stand_ins(at(hands, "3, right").id)[0]
    assert (new.spot, new.goes_in) == ("3, right", "3, right")
    holes = "its holes are 1, 3; right 3, 5; top 5"
    assert holes in hands.refused(c.Trouble(what="lost", step=1, hole="9", face="top"))


def test_put_back_and_off_again_from_every_face_nothing_is_counted_twice() -> None:
    hands = bracket()
    hands.put_back(1)
    before = len(list(hands.record.all(Thing, 1)))
    hands.do(c.Begin(name="bracket", face="right"))
    for hole, face in (("3", "right"), ("5", ""), ("1", "front"), ("3", "front"), ("5", "top")):
        hands.do(c.Enter(hole=hole, face=face, kind="screw", size="#8-32 UNC x 3/8"))  # type: ignore[arg-type]
    assert len(list(hands.record.all(Thing, 1))) == before, "a fastener is known by its hole, so by its face too"
    assert spots(hands) == ["1, front", "3, front", "3", "5", "5, top"]


def test_taken_back_the_face_in_hand_is_the_one_before() -> None:
    hands = bracket()
    hands.do(c.Begin(name="lever", face="left"))
    hands.do(c.Enter(hole="5", size="M5x0.8 x 8 mm"))
    change = hands.do(c.TurnFace(face="right"))
    assert {edit.table for edit in change.edits} == {"steps"}
    hands.do(c.Enter(hole="5", kind="nut", size="M5x0.8"))
    assert spots(hands) == ["5", "5, right"], "without a word the hole is on the face turned to"
