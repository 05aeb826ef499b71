"""A change in the making."""

from __future__ import annotations

import pytest

from putback.errors import Refused
from putback.trade import commands as c
from putback.trade.commands.draft import LARGEST, Draft
from putback.trade.record.fastener import Thing
from tests.trade.hands import Hands


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


def test_a_bag_begun_with_its_step_gets_its_label(draft: Draft) -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid", bag=4))
    assert hands.record.bag(1, 4) is None, "a bag is begun when something goes in"
    hands.do(c.Enter(hole="1"))
    assert hands.bag(4).code == "PB0000001"
