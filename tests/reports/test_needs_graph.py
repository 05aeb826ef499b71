"""The needs as a graph: read back by what reads such graphs, and no word of the person's acts in it."""

from __future__ import annotations

import re

import pytest

from putback.errors import BadInput
from putback.reports.needs_graph import needs_graph
from putback.trade import commands as c
from putback.trade.commands.rules import apply
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def test_nodes_and_arrows_are_the_steps_and_their_needs(sample_press: Record) -> None:
    wanted = {(need, step.number) for step in sample_press.all(Step) for need in step.needs}
    for form, arrow in (("dot", r"^  s(\d+) -> s(\d+);$"), ("mermaid", r"^  s(\d+) --> s(\d+)$")):
        text = needs_graph(sample_press, 1, form)
        assert {(int(a), int(b)) for a, b in re.findall(arrow, text, re.M)} == wanted
        assert len(re.findall(r"^  s\d+ ?\[", text, re.M)) == sum(1 for _ in sample_press.all(Step))


def test_a_name_with_signs_stays_a_name() -> None:
    record = Record()
    for command in (c.NewMachine(name="press"), c.Begin(name='lid"]; x -> y \\'), c.Finish(put="shelf")):
        record.absorb(apply(record, 1, command, at="2025-03-01T10:00:00+00:00", codes=["PB3K7M2Q4"]))
    assert '[label="1 lid\\"]; x -> y \\\\"]' in needs_graph(record, 1, "dot")
    assert "lid#34;#93;#59; x -#62; y #92;" in needs_graph(record, 1, "mermaid")
    with pytest.raises(BadInput, match="not a form"):
        needs_graph(record, 1, "png")
