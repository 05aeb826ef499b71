"""Words of a list as types: what is none is told of, and a newer version's word is carried as text."""

from __future__ import annotations

import msgspec
from msgspec import Raw

from putback.trade.files.proof import check_nouns
from putback.trade.record.fastener import CAME_OUT, FIELDS, HEADS, Said, Thing
from putback.trade.record.job import Job
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.words import strange_words

MACHINE = {"id": 1, "name": "press", "origin": "us"}
STEP = {"id": 1, "machine": 1, "number": 1, "name": "lid", "do": "unweld", "face": "front",
        "todo": [{"do": "get", "what": "felt", "when": "no hurry"},
                 {"do": "gild", "what": "lid", "when": "no hurry"}]}  # fmt: skip
THING = {"id": 1, "machine": 1, "step": 1, "sort": "fastener", "name": "screw", "hole": "1", "head": "egg",
         "came_out": ["easy", "singing"]}  # fmt: skip


def test_a_word_that_is_none_of_its_list_is_told_of_wherever_it_stands() -> None:
    step = msgspec.convert(STEP, Step)
    assert [found.fault for found in strange_words(step)] == [
        "“unweld” is not something done at a step.",
        "“gild” is not a sort of job.",
    ]
    assert [found.path for found in strange_words(step)] == [("do",), ("todo", 1, "do")]
    assert not list(strange_words(Said(head="pan"))) and not list(strange_words(Said()))
    (egg,) = strange_words(Said(head="egg"))  # type: ignore[arg-type]
    assert egg.refusal.startswith("“egg” is not a head; say fillister, pan, round") and egg.refusal.endswith(
        "oval point."
    )


def test_words_of_a_newer_version_are_carried_as_text_and_named_where_a_record_is_proved() -> None:
    record = Record()
    record.load("machines", {1: MACHINE})
    record.load("steps", {1: Raw(msgspec.json.encode(STEP))})
    record.load("things", {1: THING})
    step, thing = record.get(Step, 1), record.get(Thing, 1)
    assert (step.do, thing.head, thing.came_out) == ("unweld", "egg", ("easy", "singing"))
    assert [job.do for job in step.todo] == ["get", "gild"] and isinstance(step.todo[1], Job)
    assert record.documents("steps")[1] == STEP and record.documents("things")[1] == THING
    faults = {found.what for found in check_nouns(record)}
    assert {
        "“egg” is not a head.",
        "“singing” is not how a fastener comes out.",
        "“gild” is not a sort of job.",
    } <= faults


def test_the_lists_are_those_of_the_types() -> None:
    assert HEADS[0] == "fillister" and "" not in HEADS and CAME_OUT[2] == "seized"
    for field in FIELDS:
        for word in field.words:
            assert not list(strange_words(Said(**{field.name: word})))  # type: ignore[arg-type]
