"""Which labels are to be printed anew, and that heads and drives stand where they tell two bags apart."""

from __future__ import annotations

import pytest

from putback.errors import Refused
from putback.labels.bag_facts import label_facts, to_print_anew, words_of_labels
from putback.trade import commands as c
from putback.trade.commands.rules import apply
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record

AT = "2025-03-01T10:00:00+00:00"


def done(*commands: c.Command) -> Record:
    record = Record()
    for number, command in enumerate(commands):
        record.absorb(apply(record, 1, command, at=AT, codes=[f"PB{number:07}"]))
    return record


LID = (
    c.NewMachine(name="press", origin="us"),
    c.Begin(name="lid"),
    c.Enter(hole="1", size="#8-32 UNC x 3/8", head="round"),
    c.EnterPiece(name="spring"),
    c.Finish(put="shelf"),
    c.Begin(name="guard"),
    c.TakeBag(number=2),
    c.Enter(hole="1", size="#8-32 UNC x 3/8", head="pan"),
    c.Finish(put="shelf"),
)


def test_heads_stand_where_a_size_has_several_and_loose_pieces_come_first() -> None:
    record = done(*LID)
    one, two = (label_facts(record, bag) for bag in record.all(Bag))
    assert [(line.count, line.size, line.sort) for line in one.contents] == [
        (1, "spring", "piece"),
        (1, "screw #8-32 UNC x 3/8, round head", "fastener"),
    ]
    assert [line.size for line in two.contents] == ["screw #8-32 UNC x 3/8, pan head"]


def test_a_label_is_printed_anew_when_it_says_something_else() -> None:
    record = done(*LID)
    machine = record.get(Machine, 1)
    assert list(to_print_anew(record, machine)) == [1, 2]
    words = words_of_labels(record, machine)
    assert words[2] == "guard; step 2; 1 screw #8-32 UNC x 3/8, pan head; press"
    record.absorb(apply(record, 1, c.LabelsPrinted(says=words), at=AT, codes=[]))
    assert to_print_anew(record, machine) == {}
    record.absorb(apply(record, 1, c.StockTake(bag=1, thing=2, counted=0), at=AT, codes=[]))
    assert list(to_print_anew(record, machine)) == [1] and to_print_anew(record, machine, [2]) == {}


def test_labels_of_no_bag_are_refused() -> None:
    record = done(*LID)
    with pytest.raises(Refused, match="no bag 9"):
        apply(record, 1, c.LabelsPrinted(says={9: "x"}), at=AT, codes=[])
    with pytest.raises(Refused, match="No label"):
        apply(record, 1, c.LabelsPrinted(says={}), at=AT, codes=[])
