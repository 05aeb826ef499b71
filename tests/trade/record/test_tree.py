"""The assembly tree: what sits around a part, and all of it in order."""

from __future__ import annotations

from putback.trade import commands as c
from putback.trade.record.machine import Part
from putback.trade.record.tree import around, in_tree
from tests.trade.hands import Hands


def test_a_part_has_what_it_sits_in_around_it_and_the_tree_has_assemblies_first() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="case"))
    hands.take_off("lid")
    hands.do(c.AddAssembly(name="bell", inside="case"))
    hands.take_off("cam", inside="bell")
    ids = {part.name: part.id for part in hands.record.all(Part, 1)}
    assert [part.name for part in around(hands.record, ids["cam"])] == ["cam", "bell", "case"]
    assert list(around(hands.record, 0)) == []
    tree = [(depth, part.name, len(kin)) for depth, part, kin in in_tree(hands.record, 1)]
    assert tree == [(0, "case", 1), (1, "bell", 1), (2, "cam", 0), (0, "lid", 0)]
    assert [part.name for _, part, _ in in_tree(hands.record, 1, {ids["case"]})] == ["case", "bell", "lid"]
