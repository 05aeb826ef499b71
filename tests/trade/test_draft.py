"""A change in the making, and the words of a refusal."""

from __future__ import annotations

import pytest
from hands import Hands

from putback.errors import Refused
from putback.trade import commands as c
from putback.trade.change import Change, Edit
from putback.trade.draft import LARGEST, Draft
from putback.trade.fastener import Thing
from putback.trade.wording import counted, few, instead, quoted, times


@pytest.fixture
def draft() -> Draft:
    """A draft over a lid with one screw in bag 1."""
    hands = Hands()
    hands.take_off("lid", "1")
    return Draft(hands.record, 1, hands.at, ["PBA", "PBB"])


def test_a_draft_sees_its_own_edits_and_the_record_does_not(draft: Draft) -> None:
    screw = draft.get(Thing, 1)
    draft.move(screw, 1, "bag 1", "bag 7")
    assert draft.standing(1) == {"bag 7": 1} and draft.record.standing(1) == {"bag 1": 1}
    draft.alter(screw, note="worn")
    assert draft.get(Thing, 1).note == "worn" and draft.record.get(Thing, 1).note == ""
    bag = draft.bag(7)
    assert bag is not None and bag.code == "PBA" and draft.record.bag(1, 7) is None
    draft.move(screw, 1, "bag 7", "bag 8")
    with pytest.raises(Refused, match="There is no label left for bag 9"):
        draft.move(screw, 1, "bag 8", "bag 9")


def test_a_change_leaves_out_what_came_out_as_it_was(draft: Draft) -> None:
    screw = draft.get(Thing, 1)
    draft.alter(draft.alter(screw, note="worn"), note="")
    assert draft.change("Test", "nothing").edits == ()
    draft.alter(screw, note="worn")
    (edit,) = draft.change("Test", "a note").edits
    assert (edit.table, edit.id) == ("things", 1) and edit.old is not None and edit.new is not None
    assert edit.new == {**edit.old, "note": "worn"}


def test_a_change_has_a_sensible_size(draft: Draft) -> None:
    draft.alter(draft.get(Thing, 1), note="x" * LARGEST)
    with pytest.raises(Refused, match="That is too much at once: 1000 kB; a change has at most 1000"):
        draft.change("Test", "too much")


def test_half_a_character_is_refused_before_any_file_sees_it(draft: Draft) -> None:
    draft.alter(draft.get(Thing, 1), note="\ud83d")
    with pytest.raises(Refused, match="half a character"):
        draft.change("Test", "half")


def test_numbers_go_up_within_a_draft(draft: Draft) -> None:
    assert [draft.new_id(Thing) for _ in range(3)] == [3, 4, 5]


def test_a_change_is_reversed_edit_by_edit() -> None:
    edits = (Edit("a", 1, None, {"x": 1}), Edit("b", 2, {"x": 1}, {"x": 2}), Edit("c", 3, {"x": 3}, None))
    change = Change(did="Do", said="done", edits=edits, machine=4)
    back = change.reversed(number=9, said="undone")
    assert (back.did, back.said, back.machine, back.undoes) == ("Undo", "undone", 4, 9)
    assert back.edits == (Edit("c", 3, None, {"x": 3}), Edit("b", 2, {"x": 2}, {"x": 1}), Edit("a", 1, {"x": 1}, None))


def test_a_bag_begun_with_its_step_gets_its_label(draft: Draft) -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid", bag=4))
    assert hands.record.bag(1, 4) is None, "a bag is begun when something goes in"
    hands.do(c.Enter(hole="1"))
    assert hands.bag(4).code == "PB0000001"


# -- words -------------------------------------------------------------------------------------------


def test_what_was_said_is_quoted_on_one_short_line() -> None:
    assert quoted("lid") == "“lid”"
    assert quoted("a\n  b\tc") == "“a b c”"
    assert quoted("x" * 100) == f"“{'x' * 57}...”"
    assert quoted(7) == "“7”"


def test_the_nearest_word_is_offered_else_all_there_are() -> None:
    known = ("take off", "let down", "Undo")
    assert instead("take of", known) == "; did you mean “take off”?"
    assert instead("UNDOO", known) == "; did you mean “Undo”?"
    assert instead("smash", known) == "; there is Undo, let down, take off."
    assert instead("smash", ()) == "."
    assert instead("zzz", [f"word {n}" for n in range(25)]) == "."


def test_counts_are_said_as_a_person_does() -> None:
    assert (times(1, "ball"), times(3, "ball")) == ("ball", "3 x ball")
    assert (counted(1, "step"), counted(0, "step"), counted(2, "step")) == ("1 step", "0 steps", "2 steps")
    assert few(["a", "b"]) == "a, b" and few(list("abcdefghij"), 3) == "a, b, c and 7 more" and few([]) == ""
