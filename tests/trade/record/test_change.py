"""A change as data."""

from __future__ import annotations

from putback.trade.record.change import Change, Edit


def test_a_change_is_reversed_edit_by_edit() -> None:
    edits = (Edit("a", 1, None, {"x": 1}), Edit("b", 2, {"x": 1}, {"x": 2}), Edit("c", 3, {"x": 3}, None))
    change = Change(did="Do", said="done", edits=edits, machine=4)
    back = change.reversed(number=9, said="undone")
    assert (back.did, back.said, back.machine, back.undoes) == ("Undo", "undone", 4, 9)
    assert back.edits == (Edit("c", 3, None, {"x": 3}), Edit("b", 2, {"x": 2}, {"x": 1}), Edit("a", 1, {"x": 1}, None))
