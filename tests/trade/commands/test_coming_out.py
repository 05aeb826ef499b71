"""How a fastener came out: said of one, never carried to the next, said again on the way back."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from putback.errors import BadSessionFile
from putback.reports.account import WayBack
from putback.reports.todo import to_do
from putback.trade import commands as c
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.fastener import Thing, came_out_words
from putback.trade.record.machine import Machine
from tests.trade.hands import Hands

FILE = """
[machine]
name = "press"
[[session]]
start = 2025-03-01T10:00:00
[[session.step]]
do = "take off"
part = "lid"
put = "shelf"
bag = 1
fasteners = [
  { hole = "1", gauge = "832", length = ".372", came_out = ["seized", "slot chewed"], freed = "heat" },
  { hole = "3", same = true },
  { hole = "7", found = "empty" },
]
"""


def test_it_is_said_of_the_last_one_and_of_no_other() -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    hands.do(c.Enter(hole="1", size="#8-32 UNC x 3/8"))
    change = hands.do(c.CameOut(how=("slot chewed", "seized"), freed=" heat "))
    assert change.said == "step 1, hole 1: was seized, freed with heat, slot chewed"
    hands.do(c.Enter(hole="3", like=True))
    hands.do(c.Finish(put="shelf"))
    first, second = hands.record.get(Thing, 1), hands.record.get(Thing, 2)
    assert first.came_out == ("seized", "slot chewed") and not second.came_out
    told = [block.words for block in WayBack(hands.record, 1).account(hands.step(1)).of("fastener")]
    assert sum("was seized, freed with heat, slot chewed" in words for words in told) == 1 and len(told) == 2
    wanted = to_do(hands.record, hands.record.get(Machine, 1), now=hands.at).shopping
    assert [(w.count, w.why) for w in wanted] == [(1, "slot chewed")]
    assert "It did not come out seized" in hands.refused(c.CameOut(how=("tight",), freed="heat"))
    assert "is not how a fastener comes out" in hands.refused(c.CameOut(how=("well",)))  # type: ignore[arg-type]
    hands.do(c.CameOut(thing=1, how=()))
    assert came_out_words(hands.record.get(Thing, 1)) == ""


def test_a_session_file_says_it_row_by_row() -> None:
    now = datetime(2025, 6, 1, tzinfo=UTC)
    record = rehearse(read_session_file(FILE, "a.toml", now=now)).record
    assert [came_out_words(thing) for thing in record.all(Thing, 1) if thing.sort == "fastener"] == [
        "was seized, freed with heat, slot chewed",
        "",
        "",
    ]
    for old, new, sentence in (
        ('["seized", "slot chewed"]', '["odd"]', "came_out"),
        ('found = "empty"', 'found = "empty", came_out = ["easy"]', "nothing came out"),
    ):
        with pytest.raises(BadSessionFile, match=sentence):
            read_session_file(FILE.replace(old, new), "a.toml", now=now)
