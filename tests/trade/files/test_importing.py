"""An exported record comes back as it went out, and nothing that is not sound comes in."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from functools import cache
from random import Random
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from putback.errors import BadInput, Refused
from putback.reports.export import export_json
from putback.scans.bag_code import is_code, new_code
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance, trial_balance
from putback.trade.commands import rules
from putback.trade.files.importing import POINTS_TO, TakenIn, read_export, take_in
from putback.trade.files.proof import prove
from putback.trade.record.bag import Bag, Move
from putback.trade.record.change import Change
from putback.trade.record.machine import Machine
from putback.trade.record.record import TABLES, Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from tests.sampled import examples
from tests.strategies import AT, commands

Exported = dict[str, Any]


def codes(seed: int, record: Record) -> Iterator[str]:
    """Bag codes by a chance of their own."""
    rng = Random(seed)
    while True:
        yield new_code(rng, {bag.code for bag in record.all(Bag)})


def do(record: Record, command: c.Command, machine: int, *, seed: int = 1) -> Change:
    change = rules.apply(record, machine, command, at=AT, codes=codes(seed, record))
    record.absorb(change)
    return change


def press(name: str = "press", serial: str = "41?7", *, seed: int = 1) -> Record:
    """A machine with a lid off, a screw and a spring in a bag, a setting, a session that has ended."""
    record = Record()
    do(record, c.NewMachine(name=name, serial=serial, origin="us"), 0)
    for command in (
        c.StartSession(title="the lid", box="B"),
        c.AddAssembly(name="case"),
        c.Begin(name="lid", inside="case", face="top"),
        c.Enter(hole="1", readings={"gauge": "832"}, size="#8-32 UNC x 3/8", head="fillister", drive="slot"),
        c.EnterPiece(name="spring", count=3),
        c.Annotate(cautions=("glass",), note="=cmd"),
        c.Finish(put="away: plater"),
        c.Begin(name="cam", needs=()),
        c.Enter(hole="5", found="empty"),
        c.Finish(put="scrapped"),
        c.Replace(thing=5, put="shelf", size="M5"),
        c.WalkBack(step=1, answer="true"),
        c.EndSession(note="so far"),
    ):
        do(record, command, 1, seed=seed)
    return record


def text_of(record: Record, **more: Any) -> str:
    return json.dumps(export_json(record, changes=9, **more))


def everything(record: Record) -> Exported:
    return export_json(record, changes=0)


def any_code(code: str) -> bool:
    return True


def taken(into: Record, text: str, *, is_code: Callable[[str], bool] = is_code) -> TakenIn:
    found = take_in(into, read_export(text, "record.json", is_code), codes(99, into))
    into.absorb(found.change)
    return found


# -- out and in again --------------------------------------------------------------------------------


@settings(
    max_examples=examples(12),
    deadline=None,
    suppress_health_check=[HealthCheck.data_too_large, HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # shrinking a day takes minutes
)
@given(st.data())
def test_what_goes_out_comes_in_again(data: st.DataObject) -> None:
    """Whatever was done at the bench, and taken back: exported, taken in and exported, it is the same."""
    record = Record()
    done = [do(record, c.NewMachine(name="press", serial="41?7", origin="us"), 0)]
    done.append(do(record, c.NewMachine(name="recorder"), 0))
    done.append(do(record, c.StartSession(box="A"), 1))
    done.append(do(record, c.Begin(name="lid", face="top"), 1))
    for _ in range(data.draw(st.integers(0, 30), label="how long a day")):
        machine = data.draw(st.sampled_from([1, 1, 2]))
        try:
            done.append(do(record, data.draw(commands(record, machine)), machine))
        except BadInput:
            continue
    for _ in range(data.draw(st.integers(0, 3), label="taken back")):
        if len(done) > 4:
            record.absorb(done.pop().reversed(number=1, said=""))
    # The strategies make up codes that only a reader of labels would refuse.
    assert list(prove(record, any_code)) == [], "what commands make is sound"

    into = Record()
    found = taken(into, text_of(record), is_code=any_code)
    assert everything(into) == everything(record) and found.codes == ()
    for one in record.all(Machine):
        assert trial_balance(into, one.id) == trial_balance(record, one.id)
    into.absorb(found.change.reversed(number=1, said=""))
    assert everything(into) == everything(Record()), "it is one change, and can be taken back as one"


def test_two_workshops_become_one() -> None:
    here, there = press(), press("recorder", "5?83", seed=2)
    found = taken(here, text_of(there))
    assert found.machines == ("recorder 5?83",) and found.codes == () and found.change.machine == 2
    assert list(prove(here, is_code)) == []
    assert [machine.id for machine in here.all(Machine)] == [1, 2]
    one, two = (export_json(here, changes=0, machine=n) for n in (1, 2))
    assert one == export_json(press(), changes=0, machine=1)
    for table, rows in two.items():
        if table in TABLES:
            assert len(rows) == len(there.documents(table))
            assert all(row.get("machine", row["id"]) == 2 for row in rows)
    assert [step.needs for step in here.all(Step, 2)] == [step.needs for step in there.all(Step, 1)]


def test_a_code_that_is_on_a_bag_here_is_settled_with_a_fresh_one() -> None:
    here, there = press(seed=1), press("recorder", "5?83", seed=1)
    clash = next(here.all(Bag)).code
    assert next(there.all(Bag)).code == clash
    found = taken(here, text_of(there))
    (code,) = found.codes
    assert (code.machine, code.bag, code.was, code.held) == ("recorder 5?83", 1, clash, "bag 1 of press 41?7")
    assert code.now != clash and is_code(code.now)
    came = f"Bag 1 of recorder 5?83 came with the code {clash}"
    assert code.text == f"{came}, which bag 1 of press 41?7 has; now {code.now}."
    assert found.change.said == "taken in: recorder 5?83; 1 bag with a fresh code"
    assert [bag.code for bag in here.all(Bag)] == [clash, code.now] and list(prove(here, is_code)) == []


def test_a_fresh_code_is_not_one_that_comes_in() -> None:
    here, there = press(seed=1), press("recorder", "5?83", seed=1)
    do(there, c.Begin(name="foot"), 1, seed=3)
    do(there, c.TakeBag(), 1, seed=3)
    coming = [bag.code for bag in there.all(Bag)]
    found = read_export(text_of(there), "r", is_code)
    result = take_in(here, found, iter([coming[1], coming[1], "PB0000017"]))
    assert [code.now for code in result.codes] == ["PB0000017"]
    with pytest.raises(Refused, match="There is no fresh code left for bag 1"):
        take_in(here, found, iter([coming[1]]))


def test_a_machine_that_is_there_already_is_refused() -> None:
    here = press()
    before = everything(here)
    with pytest.raises(Refused, match=r"press 41\?7 is in this workshop already"):
        taken(here, text_of(press("PRESS", "41?7", seed=2)))
    both = press()
    taken(both, text_of(press("recorder", "5", seed=2)))
    with pytest.raises(Refused, match="nothing was taken in"):
        taken(here, text_of(both))
    assert everything(here) == before


def test_one_machine_of_several_is_taken() -> None:
    both = press()
    taken(both, text_of(press("recorder", "5", seed=2)))
    here = Record()
    found = read_export(text_of(both), "r", is_code)
    result = take_in(here, found, codes(1, here), [2])
    here.absorb(result.change)
    assert result.machines == ("recorder 5",) and list(prove(here, is_code)) == []
    assert export_json(here, changes=0) == export_json(both, changes=0, machine=2)
    with pytest.raises(Refused, match="no machine to take in"):
        take_in(Record(), read_export(text_of(Record()), "r", is_code), codes(1, here))


def test_a_session_that_goes_on_comes_in_as_it_is() -> None:
    there = press()
    do(there, c.StartSession(), 1)
    here = Record()
    taken(here, text_of(there))
    assert here.open_session(1) == there.open_session(1)


# -- what is not taken in ----------------------------------------------------------------------------


def _set(table: str, place: int, **fields: Any) -> Any:
    return lambda value: value[table][place].update(fields)


@cache
def _sound() -> str:
    return text_of(press())


SPOILT: list[tuple[Any, str]] = [
    (lambda v: v.update(putback="snapshot"), "It is not a record that putback export wrote"),
    (lambda v: v.update(version=2), "It is of version 2, and this Putback reads up to 1; use a newer one"),
    (lambda v: v.update(version=True), "It does not say of which version it is"),
    (lambda v: v.pop("moves"), "The table moves is missing, or is not a list"),
    (lambda v: v.update(wishes=[]), "“wishes” is not a table of a record"),
    (lambda v: v["things"].append({"name": "x"}), "things, document 7: it has no number"),
    (lambda v: v["things"].append(v["things"][0]), "things 1: it is there twice"),
    (_set("things", 0, id=10**12), "things, document 1: it has no number"),
    (_set("things", 0, colour="red"), "things 1: “colour” is not a field here"),
    (_set("steps", 0, adjust=[{"what": "stop", "by": 3}]), "steps 1: “by” is not a field here"),
    (_set("things", 0, count="two"), "Document 1 of table 'things' cannot be read"),
    (_set("things", 0, count=2), "thing 1 .*: It is 2, and its places hold|thing 1 .*: Its count is 2"),
    (_set("things", 0, count=10**400), "is a number far beyond anything in a record"),
    (_set("things", 0, step=9), "It came off at a step that is not there"),
    (_set("things", 0, part=9), "It is a part that is not there"),
    (_set("things", 0, note="\ud800"), "things 1: a text holds half a character"),
    (_set("things", 0, name="nail"), "“nail” is not a kind of fastener"),
    (_set("things", 0, hole="12"), "“12” is not a hole"),
    (_set("things", 0, head="egg"), "“egg” is not a head"),
    (_set("things", 0, start="the moon"), "“the moon” is not a place"),
    (_set("things", 0, readings={"colour": "red"}), "“colour” is not a reading of a fastener"),
    (_set("things", 0, verdict="maybe"), "“maybe” is not a verdict"),
    (_set("moves", 0, target="bag 9"), "It is in bag 9, which is not there"),
    (_set("moves", 0, source="shelf"), "move 1: It takes 1 from “shelf”, where 0 is at that time|its places hold"),
    (_set("moves", 0, thing=77), "It moves thing 77, which is not there"),
    (_set("moves", 0, at="new\nline"), "“new line” is not a date and time with an offset"),
    (_set("moves", 0, at="yesterday"), "“yesterday” is not a date and time with an offset"),
    (_set("moves", 0, at="2025-03-01T10:00:00"), "is not a date and time with an offset"),
    (_set("steps", 0, do="smash"), "“smash” is not something done at a step"),
    (_set("steps", 0, face="underneath"), "“underneath” is not a face"),
    (_set("steps", 0, part=99), "It names a part that is not there"),
    (_set("steps", 0, session=99), "It names session 99, which is not there"),
    (_set("steps", 1, needs=[7]), "It needs 7; only earlier steps can be needed"),
    (_set("steps", 0, name="  "), "It needs a name"),
    (_set("steps", 0, name="lid\x1b[31m"), "is not how a name is written"),
    (_set("steps", 0, todo=[{"do": "sell", "what": "it"}]), "“sell” is not a sort of job"),
    (_set("steps", 0, soak={"what": "oil", "hours": -1}), "Its soak in hours is -1"),
    (_set("parts", 1, inside=2), "lid sits inside itself"),
    (_set("parts", 0, machine=8), "It belongs to machine 8, which is not there"),
    (_set("bags", 0, code="PB3K7M2Q5"), "bag 1: “PB3K7M2Q5” is not a bag code"),
    (_set("bags", 0, number=0), "Its number is 0|It is in bag 1, which is not there"),
    (_set("sessions", 0, segments=[]), "It never began"),
    (_set("sessions", 0, segments=[{"start": AT}]), "It has ended, and its last segment is still running"),
    (_set("sessions", 0, number=2), "The session numbers do not run from 1 without a gap"),
    (_set("machines", 0, origin="mars"), "“mars” is not an origin"),
    (lambda v: v["machines"].append({**v["machines"][0], "id": 2}), "more than one machine of that name and serial"),
]


@pytest.mark.parametrize(("spoil", "message"), SPOILT, ids=[str(n) for n in range(len(SPOILT))])
def test_what_is_not_sound_is_refused_with_its_place(spoil: Any, message: str) -> None:
    value = json.loads(_sound())
    spoil(value)
    with pytest.raises(BadInput, match=f"^record.json: .*({message})") as refusal:
        read_export(json.dumps(value), "record.json", is_code)
    assert "\n" not in str(refusal.value)


NO_EXPORTS = ["", "{", "[]", "3", '"x"', "nul", "[" * 200_000, '{"a":' * 200_000, "1" * 5000, "NaN"]


@pytest.mark.parametrize("text", NO_EXPORTS, ids=[text[:6] for text in NO_EXPORTS])
def test_what_is_no_export_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"^bad\.json: It is"):
        read_export(text, "bad.json", is_code)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_one_value_spoilt_is_refused_or_sound(data: st.DataObject) -> None:
    """A field of any document set to anything: refused in one sentence, or as sound as before; no third way."""
    value = json.loads(_sound())
    table = data.draw(st.sampled_from([t for t in TABLES if value[t]]))
    row = data.draw(st.sampled_from(value[table]))
    field = data.draw(st.sampled_from([f.encode_name for f in msgspec.structs.fields(TABLES[table])]))
    scalars = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=5), st.integers(-1, 9))
    row[field] = data.draw(st.recursive(scalars, lambda inner: st.lists(inner, max_size=2), max_leaves=3))
    try:
        found = read_export(json.dumps(value), "x", is_code)
    except BadInput as refusal:
        assert str(refusal).startswith("x: ") and "\n" not in str(refusal)
        return
    into = Record()
    into.absorb(take_in(into, found, codes(1, into)).change)
    assert list(check_balance(into)) == [] and list(prove(into, is_code)) == []
    for machine in into.all(Machine):
        assert sum(trial_balance(into, machine.id).values()) == sum(t.get("count", 1) for t in value["things"])


def test_every_field_that_holds_a_number_of_a_document_is_known() -> None:
    """A noun that gets a new field of that sort must be thought of here."""
    plain = {"id", "count", "number", "bag", "first_bag", "came", "gone"}
    for table, noun in TABLES.items():
        whole = {f.encode_name for f in msgspec.structs.fields(noun) if f.type is int}
        assert whole - plain == set(POINTS_TO[table]), table
    assert set(POINTS_TO) == set(TABLES)


def test_reading_leaves_the_value_alone() -> None:
    value = json.loads(_sound())
    again = copy.deepcopy(value)
    read_export(json.dumps(value), "x", is_code)
    assert value == again
    assert {Move, Session} <= set(TABLES.values())
