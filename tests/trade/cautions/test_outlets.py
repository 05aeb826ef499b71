"""Every outlet that tells of work tells its usual caution, whose rules come first, and that licensed work can be sent
out: the list, the card, the way back, the book, what goes in the parcel; on the screen before the work, once a session.
"""

from __future__ import annotations

import json
from html import unescape
from pathlib import Path

import pytest

from putback.book.contents import gather
from putback.book.html import html_of
from putback.book.markdown import markdown_of
from putback.reports.blocks import as_text, as_words
from putback.reports.plan import plan_blocks, plan_json
from putback.reports.planning import refit_plan
from putback.reports.sent import parcel_blocks, sent_out
from putback.reports.spoken import spoken
from putback.reports.todo import to_do, todo_blocks
from putback.sheets.parcels import parcel_sheet
from putback.sheets.to_make import to_make
from putback.trade import commands as c
from putback.trade.cautions.dangers import DANGERS, FIRST, MOTOR, SEND_OUT
from putback.trade.cautions.on_the_way_back import BACK
from putback.trade.record.job import SORTS, Job
from putback.trade.record.machine import Machine
from tests.trade.cautions.test_dangers import CALLED
from tests.trade.hands import Hands

WORK = {cause: words for cause, words in CALLED if cause != MOTOR}
"""Some work for each cause."""


@pytest.fixture(scope="module")
def outlets() -> dict[str, str]:
    """What each outlet says of a machine on which there is a job of every cause, of every sort in turn."""
    hands = Hands(name="press")
    for number, (cause, words) in enumerate(WORK.items(), 1):
        hands.take_off(f"part {number}")
        job = Job(do=SORTS[number % len(SORTS)], what=words, when="no hurry")
        made = Job(do="make", what=f"a jig: {words}", when="no hurry")
        assert cause and hands.do(c.Annotate(step=number, todo=(job, made)))
    hands.do(c.SendOut(to="plater", what="; ".join(WORK.values()), things=(hands.thing("part 1").id,)))
    machine, record = hands.record.get(Machine, 1), hands.record
    todo, plan = to_do(record, machine, now=hands.at), refit_plan(record, 1)
    book = gather(record, machine, now=hands.at, look=Path)
    sent = sent_out(record, 1)
    return {
        "todo": as_text(todo_blocks([todo])),
        "todo --json": json.dumps(todo.to_json(), ensure_ascii=False),
        "todo --plain": "\n".join(spoken(line) for line in as_text(todo_blocks([todo])).splitlines()),
        "refit": as_text(plan_blocks(record, 1, plan, caption="press")),
        "refit --json": json.dumps(plan_json(record, 1, plan), ensure_ascii=False),
        "refit --plain": as_words(plan_blocks(record, 1, plan, caption="press")),
        "book.html": unescape(html_of(book)),
        "book.md": markdown_of(book, str),
        "parcel": as_text(parcel_blocks(sent)),
        "parcel, printed": "\n".join(parcel_sheet(record, sent[0]).under),
        "to make, printed": "\n".join(words for one in to_make(record, [machine]) for words in one.cautions),
        "sent --json": json.dumps([one.to_json() for one in sent], ensure_ascii=False),
    }


def test_each_outlet_tells_each_caution(outlets: dict[str, str]) -> None:
    for danger in DANGERS:
        if danger.cause == MOTOR:
            continue
        for name, said in outlets.items():
            known = {danger.words, BACK.get(danger.cause, danger.words)}
            assert any(_flat(words) in _flat(said) for words in known), (danger.cause, name)


def test_each_outlet_defers_to_local_rules_and_offers_to_send_out(outlets: dict[str, str]) -> None:
    for name, said in outlets.items():
        assert FIRST in said, name
        assert "send it out" in said, name
    assert SEND_OUT in outlets["todo"] and SEND_OUT in outlets["parcel"]


def _flat(words: str) -> str:
    """Words without what an outlet writes otherwise: signs, breaks, capitals."""
    return "".join(letter for letter in words.casefold() if letter.isalnum())
