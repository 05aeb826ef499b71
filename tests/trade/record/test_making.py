"""What is to be made: its measures on the job, told everywhere, kept in a session file and an export."""

from __future__ import annotations

from datetime import UTC, datetime

import msgspec
import pytest

from putback.errors import BadInput
from putback.reports.blocks import as_text
from putback.reports.export import export_json
from putback.reports.todo import left_to_do, to_do, todo_blocks
from putback.trade import commands as c
from putback.trade.files.importing import read_export
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.files.written_back import written_back
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from putback.trade.record.making import Dimension, unsaid_of
from putback.trade.record.step import Step
from tests.trade.hands import Hands

PIN = Job(
    do="make",
    what="pawl pin",
    measures=(Dimension("diameter", "250 +000 -001"), Dimension("over all", "1 1/4 +-.01")),
    material="silver steel",
    drawing="pin.jpg",
    count=2,
)


@pytest.fixture
def hands() -> Hands:
    """A pawl off an inch machine, whose pin is to be made."""
    made = Hands()
    made.take_off("pawl")
    made.do(c.SayJob(step=1, job=PIN))
    return made


def test_measures_are_kept_with_their_unit_and_told_with_their_limits(hands: Hands) -> None:
    job = hands.step(1).todo[0]
    assert [one.measure for one in job.measures] == [".250 +.000 -.001 in", "1 1/4 +-.01 in"]
    words = "2 pieces, of silver steel; diameter .250 +.000 -.001 in (.249 to .250 in); over all 1 1/4 +-.01 in"
    found = to_do(hands.record, hands.record.get(Machine, 1), now=hands.at)
    assert words in as_text(todo_blocks([found])) and words in left_to_do(found)[0]
    making = found.jobs[0].to_json()["making"]
    assert making["measures"][0] == {
        "of": "diameter",
        "measure": ".250 +.000 -.001 in",
        "unit": "in",
        "least": 0.249,
        "most": 0.25,
    }
    assert (making["count"], making["material"], making["drawing"]) == (2, "silver steel", "pin.jpg")


def test_what_cannot_be_made_says_why(hands: Hands) -> None:
    def refused(**fields: object) -> str:
        new = msgspec.structs.replace(PIN, what="cam", **fields)
        return hands.refused(c.SayJob(step=1, job=new))

    assert "is not a measure" in refused(measures=(Dimension("diameter", "thick"),))
    assert "two measures of the bore" in refused(measures=(Dimension("bore", "1/4"), Dimension("Bore", "3/8")))
    assert refused(count=0).startswith("From 1 to 1000 are made")
    assert refused(do="get") == "Only what is to be made has measures, a material, a drawing or a count."


def test_a_session_file_and_an_export_keep_the_measures(hands: Hands) -> None:
    kept = hands.step(1).todo
    back = written_back(hands.record, 1)
    assert back.unsaid == ()
    now = datetime(2025, 7, 1, tzinfo=UTC)
    assert rehearse(read_session_file(back.text, "it", now=now)).record.get(Step, 1).todo == kept
    exported = msgspec.json.encode(export_json(hands.record, changes=5)).decode()
    assert read_export(exported, "it", lambda code: True).get(Step, 1).todo == kept
    with pytest.raises(BadInput, match="is not a measure"):
        read_export(exported.replace(".250 +.000 -.001 in", "thick"), "it", lambda code: True)


def test_a_job_that_becomes_another_sort_loses_what_that_has_not(hands: Hands) -> None:
    for do in ("do", "get", "soak"):
        other = msgspec.structs.replace(hands.step(1).todo[0], do=do, **unsaid_of(do))
        hands.do(c.MendJob(step=1, what="pawl pin", job=other))
        assert hands.step(1).todo[0].making == ""


def test_a_measure_that_was_mended_is_there_again_once_that_is_taken_back(hands: Hands) -> None:
    fewer = msgspec.structs.replace(hands.step(1).todo[0], measures=())
    change = hands.do(c.MendJob(step=1, what="pawl pin", job=fewer))
    assert hands.step(1).todo[0].making == "2 pieces, of silver steel; drawing: pin.jpg"
    hands.record.absorb(change.reversed(number=4, said="taken back"))
    assert len(hands.step(1).todo[0].measures) == 2
