"""The record: what it takes in, what it refuses, and that its answers cost no more in a larger workshop."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from time import perf_counter

import msgspec
import pytest
from msgspec import Raw

from putback.errors import Damaged, Refused
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change, Edit
from putback.trade.record.fastener import Thing
from putback.trade.record.indexes import Indexes
from putback.trade.record.machine import Machine, Part
from putback.trade.record.record import TABLES, Noun, Record, document
from putback.trade.record.step import Step
from tests.trade.hands import Hands

SAMPLES = sorted((Path(__file__).parents[3] / "sample_sessions").glob("*.toml"))
NOW = datetime(2026, 1, 1, tzinfo=UTC)


@pytest.mark.parametrize(
    ("table", "number", "found", "message"),
    [
        ("bags", 1, {"id": 1, "machine": 1, "number": "one", "code": "X"}, "Document 1 of table 'bags' cannot be read"),
        ("bags", 1, {"id": 1, "machine": 1}, "missing required field"),
        ("bags", 2, {"id": 1, "machine": 1, "number": 1, "code": "X"}, "it says that it is 1"),
        ("drawers", 1, {"id": 1}, "Document 1 of table 'drawers' cannot be read"),
    ],
)
def test_a_document_that_is_no_noun_is_damage(table: str, number: int, found: dict[str, object], message: str) -> None:
    with pytest.raises(Damaged) as fault:
        Record().absorb(Change(did="x", said="", edits=(Edit(table, number, None, found),)))
    assert message in str(fault.value)


def as_text(documents: dict[int, dict[str, object]]) -> dict[int, Raw]:
    return {number: Raw(msgspec.json.encode(found)) for number, found in documents.items()}


def answers(record: Record, machine: int) -> list[object]:
    """What the record says of a machine, question by question."""
    found: list[object] = [record.places(machine), record.threads(machine), record.open_session(machine)]
    found += [[*record.all(kind, machine)] for kind in TABLES.values()]
    found += [record.account(machine, place) for place in record.places(machine)]
    for step in record.all(Step, machine):
        found += [record.things_of(step), record.moves_of(step.id), record.steps_needing(machine, step.number)]
    for bag in record.all(Bag, machine):
        found += [record.in_bag(bag), record.steps_filling(bag), record.bag_by_code(bag.code)]
    for thing in record.all(Thing, machine):
        found += [record.standing(thing.id), record.stand_ins(thing.id)]
    return found


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_what_is_loaded_at_once_answers_as_what_came_in_one_by_one(path: Path) -> None:
    record = rehearse(read_session_file(path.read_text("utf-8"), path.name, now=NOW)).record
    at_once = Record()
    for table in TABLES:
        at_once.load(table, as_text(record.documents(table)))
    assert answers(at_once, 1) == answers(record, 1)
    one_by_one = Indexes()
    for table, kind in TABLES.items():
        for noun in sorted(record.all(kind, 1), key=lambda noun: noun.id):
            one_by_one.add(table, noun)
    filled = Indexes()
    for table, kind in TABLES.items():
        filled.fill(table, sorted(record.all(kind, 1), key=lambda noun: noun.id))
    apart = ("accounts", "numbers", "changes", "tree_changes")  # the last two only grow, to tell that something changed
    assert all(vars(one_by_one)[name] == vars(filled)[name] for name in vars(filled) if name not in apart)
    assert vars(one_by_one.accounts) == vars(filled.accounts)
    assert {t: n for t, n in filled.numbers.items() if n} == {t: n for t, n in one_by_one.numbers.items() if n}


def test_what_is_still_text_answers_as_what_was_read() -> None:
    hands = Hands()
    hands.do(c.StartSession())
    hands.take_off("lid", "1", "3")
    hands.take_off("fan", "1")
    hands.do(c.Begin(name="cover"))
    hands.do(c.Enter(hole="7"))
    first = workshop_of(6)  # a machine that is never asked about in between
    documents = {table: first.documents(table) for table in TABLES}
    for table, rows in hands.documents().items():
        for number, found in rows.items():
            theirs = {"id": number + 100, "machine": 9} | ({"step": found["step"] + 100} if found.get("step") else {})  # type: ignore[operator]
            if "thing" in found:
                theirs["thing"] = found["thing"] + 100  # type: ignore[operator]
            documents[table][9 if table == "machines" else number + 100] = (
                found | {"id": 9} if table == "machines" else found | theirs
            )
    read, unread = Record(), Record()
    for table, rows in documents.items():
        read.load(table, rows)
        unread.load(table, as_text(rows))
    assert answers(unread, 9) == answers(read, 9)
    change = rules.apply(unread, 9, c.Enter(hole="9"), at="2025-03-02T10:00:00+00:00", codes=["PBNEW"])
    read.absorb(change)
    unread.absorb(change)
    assert answers(unread, 9) == answers(read, 9)
    assert answers(unread, 1) == answers(read, 1)
    assert [unread.documents(table) for table in TABLES] == [read.documents(table) for table in TABLES]


def test_a_text_that_is_no_noun_is_damage_where_it_is_asked_for() -> None:
    record = Record()
    sound: dict[str, object] = {"id": 1, "machine": 1, "number": 1}
    odd: dict[str, object] = {"id": 2, "machine": 2, "number": "two"}
    record.load("steps", as_text({1: sound, 2: odd}))
    assert record.step(1, 1) is not None
    with pytest.raises(Damaged, match="Document 2 of table 'steps' cannot be read"):
        record.step(2, 1)
    with pytest.raises(Damaged, match="Document 3 of table 'steps' cannot be read"):
        record.load("steps", as_text({3: {"id": 3, "number": 3}}))


def test_numbers_are_never_given_twice() -> None:
    hands = Hands()
    change = hands.do(c.Begin(name="lid"))
    hands.record.absorb(change.reversed(number=2, said=""))
    assert hands.record.next_id("steps") == 2
    later = Record()
    later.load("steps", {}, 7)
    assert later.next_id("steps") == 8


def test_what_is_not_there_is_none_or_refused() -> None:
    record = Hands().record
    assert record.find(Bag, 3) is None and record.step(1, 1) is None and record.last_step(9) is None
    assert record.bag(1, 1) is None and record.bag_by_code("PB") is None and record.highest_bag(1) == 0
    assert record.last_taken_out(1) is None and record.open_session(1) is None and record.off_at(5) is None
    assert record.total(1, "shelf") == 0 and record.account(1, "shelf") == {} and record.standing(4) == {}
    with pytest.raises(Refused, match=r"There is no bag 3 in this workshop\."):
        record.get(Bag, 3)


def test_documents_are_what_a_file_gives_back() -> None:
    step = Step(id=1, machine=1, number=1, needs=(), tools=("a", "b"))
    assert document(step) == {"id": 1, "machine": 1, "number": 1, "tools": ["a", "b"]}


def test_answers_are_copies() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    hands.record.standing(1)["shelf"] = 9
    hands.record.account(1, "bag 1")[1] = 9
    assert hands.record.standing(1) == {"bag 1": 1} and hands.record.account(1, "bag 1") == {1: 1}


def test_the_last_fastener_is_the_one_entered_last() -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    hands.do(c.Enter(hole="1"))
    first = hands.thing("screw")
    hands.do(c.Enter(hole="3", found="empty"))
    hands.do(c.EnterPiece(name="ball"))
    assert hands.record.last_taken_out(1) == first
    hands.do(c.Finish(put="scrapped"))
    hands.do(c.Carry(thing=first.id, count=1, source="bag 1", target="missing"))
    hands.do(c.Replace(thing=first.id))
    assert hands.record.last_taken_out(1) == hands.record.get(Thing, first.id), "and what stands in for it is not"


def workshop_of(parts: int) -> Record:
    """A record with that many parts, each off by a step of one screw in a bag of its own, and one machine more."""
    record = Record()
    rows: dict[type[Noun], list[Noun]] = {kind: [] for kind in (Machine, Part, Step, Thing, Bag)}
    rows[Machine] = [Machine(id=1, name="press"), Machine(id=2, name="other")]
    for n in range(1, parts + 1):
        rows[Part].append(Part(id=n, machine=1, name=f"part {n}"))
        needs = (n - 1,) if n > 1 else ()
        rows[Step].append(Step(id=n, machine=1, number=n, name=f"part {n}", part=n, bag=n, ended="x", needs=needs))
        thing = Thing(id=n, machine=1, step=n, sort="fastener", name="screw", hole="1", start=f"bag {n}", thread="M4")
        rows[Thing].append(thing)
        rows[Bag].append(Bag(id=n, machine=1, number=n, code=f"PB{n}"))
    for table, kind in (("machines", Machine), ("parts", Part), ("steps", Step), ("things", Thing), ("bags", Bag)):
        record.load(table, {noun.id: document(noun) for noun in rows[kind]})
    return record


def stroke(record: Record, parts: int) -> float:
    """The least time, of several, for what one fastener asks of the record, and for taking it back."""
    times = []
    for _ in range(25):
        began, done = perf_counter(), []
        for command in (c.Begin(name="new part"), c.Enter(hole="5", size="M4", thread="M4"), c.Finish(put="shelf")):
            done.append(rules.apply(record, 1, command, at="2025-03-01T10:00:00+00:00", codes=["PBNEW"]))
            record.absorb(done[-1])
        assert record.last_taken_out(1) is not None and record.part_named(1, "NEW part", 0) is not None
        assert record.highest_bag(1) == parts + 1 and record.open_session(1) is None
        assert record.total(1, f"bag {parts}") == 1 and len(record.steps_needing(1, parts)) == 1
        for change in reversed(done):
            record.absorb(change.reversed(number=1, said=""))
        times.append(perf_counter() - began)
    return min(times)


def test_a_stroke_costs_no_more_in_a_workshop_forty_times_as_large() -> None:
    small, large = workshop_of(100), workshop_of(4000)
    # The sorted lists of numbers are moved in memory when one is taken out, hence not quite one to one.
    assert stroke(large, 4000) < 4 * stroke(small, 100)
