"""The record and TinyDB are one: every document is held once, and one door leads to it."""

from __future__ import annotations

import ast
import gc
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from msgspec import Raw
from tinydb import TinyDB
from tinydb.table import Document

import putback
from putback.errors import Damaged
from putback.store import Store, check_folder
from putback.store.tables import LiveTable
from putback.trade import commands as c
from putback.trade.files.session_file import read_session_file
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change, Edit
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.record import TABLES, document
from putback.trade.record.rows import Rows
from putback.workshop import Workshop

AT = "2025-03-01T10:00:00+00:00"
SAMPLES = Path(__file__).parents[1] / "sample_sessions"


@pytest.fixture(params=["memory", "disk", "disk again"])
def workshop(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Workshop]:
    """A machine taken apart in memory, on the disk, or on the disk and opened once more from its snapshot."""
    codes = count(1)

    def opened() -> Workshop:
        store = Store.in_memory() if request.param == "memory" else Store.open(tmp_path / "w", at=AT, who="Ann")
        return Workshop(store, clock=lambda: datetime(2025, 3, 1, tzinfo=UTC), codes=lambda taken: f"PB{next(codes)}")

    made = opened()
    text = (SAMPLES / "drum_recorder.toml").read_text("utf-8")
    made.play(read_session_file(text, "drum_recorder.toml", now=datetime(2026, 1, 1, tzinfo=UTC)), lambda done: None)
    if request.param == "disk again":
        made.store.fold()
        made.close()
        made = opened()
    with made:
        yield made


def plain(store: Store) -> dict[str, dict[int, Any]]:
    """All documents, asked of TinyDB."""
    return {table: {d.doc_id: dict(d) for d in store.db.table(table)} for table in sorted(store.db.tables())}


def replayed(store: Store) -> dict[str, dict[int, Any]]:
    """All documents, as the journal's lines come to."""
    found: dict[str, dict[int, Any]] = {}
    for entry in store.entries():
        for edit in entry.change.edits:
            if edit.new is None:
                del found[edit.table][edit.id]
            else:
                found.setdefault(edit.table, {})[edit.id] = edit.new
    return {table: rows for table, rows in sorted(found.items()) if rows}


def test_record_tinydb_and_journal_tell_the_same(workshop: Workshop) -> None:
    found = {table: rows for table in sorted(TABLES) if (rows := workshop.record.documents(table))}
    assert found == plain(workshop.store) == replayed(workshop.store)


def test_a_write_of_tinydbs_is_what_the_record_says_and_the_journal_holds(workshop: Workshop) -> None:
    record, store = workshop.record, workshop.store
    bag = record.get(Bag, 1)
    new = Thing(id=record.next_id("things"), machine=1, step=1, sort="fastener", name="screw", hole="9", start="bag 1")
    held = record.in_bag(bag)
    with store.stroke(Change(did="x", said="by hand", edits=(), machine=1), at=AT, who="Ann") as db:
        db.table("bags").update({"code": "PBOTHER"}, doc_ids=[1])
        db.table("things").insert(Document(document(new), new.id))
        assert record.bag_by_code("PBOTHER") is not None, "it is seen at once"
    assert record.bag_by_code("PBOTHER") == record.get(Bag, 1) and record.bag_by_code(bag.code) is None
    assert record.get(Thing, new.id) == new and record.in_bag(bag) == {**held, new.id: 1}
    edits = next(store.entries_back()).change.edits
    assert [(e.table, e.id, e.old, e.new) for e in edits] == [
        ("bags", 1, document(bag), {**document(bag), "code": "PBOTHER"}),
        ("things", new.id, None, document(new)),
    ]
    workshop.take_back(1)
    assert record.get(Bag, 1) == bag and record.find(Thing, new.id) is None and record.in_bag(bag) == held
    assert plain(store) == replayed(store)


def test_a_stroke_that_fails_leaves_the_record_as_it_was(workshop: Workshop) -> None:
    before = plain(workshop.store)
    bag = workshop.record.get(Bag, 1)
    with (
        pytest.raises(Damaged, match="Document 1 of table 'bags' cannot be read"),
        workshop.store.stroke(Change(did="x", said="", edits=()), at=AT, who="Ann") as db,
    ):
        db.table("bags").update({"code": "PBOTHER"}, doc_ids=[1])
        db.table("bags").update({"number": "one"}, doc_ids=[1])
    assert plain(workshop.store) == before and workshop.record.bag_by_code(bag.code) == bag


def test_every_line_of_the_journal_goes_through_the_tables(workshop: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever a command does is put by the Table of our TinyDB, and nothing else changes a table."""
    passed: list[tuple[str, int]] = []
    inside = False
    put, settle = LiveTable.put, Rows.settle

    def watched_put(table: LiveTable, number: int, ready: Any) -> None:
        nonlocal inside
        inside = True
        passed.append((table.name, number))
        put(table, number, ready)
        inside = False

    def watched_settle(rows: Rows, number: int, ready: Any) -> None:
        assert inside, "only a table of TinyDB's may"
        settle(rows, number, ready)

    before = workshop.store.number
    monkeypatch.setattr(LiveTable, "put", watched_put)
    monkeypatch.setattr(Rows, "settle", watched_settle)
    workshop.do(c.NewMachine(name="press"))
    machine = workshop.machines()[-1].id
    for command in (c.StartSession(), c.Begin(name="lid"), c.Enter(hole="1"), c.Finish(put="shelf"), c.EndSession()):
        workshop.do(command, machine)
    workshop.take_back(machine)
    workshop.bring_again(machine)
    entries = [entry for entry in workshop.store.entries() if entry.number > before]
    assert len(entries) == 8
    assert passed == [(edit.table, edit.id) for entry in entries for edit in entry.change.edits]


def test_a_record_that_follows_a_store_changes_nothing_itself(workshop: Workshop) -> None:
    machine = document(workshop.record.get(Machine, 1))
    with pytest.raises(TypeError, match="follows a store"):
        workshop.record.absorb(Change(did="x", said="", edits=(Edit("machines", 1, machine, None),)))
    with pytest.raises(TypeError, match="follows a store"):
        workshop.record.load("machines", {2: {**machine, "id": 2}})
    assert plain(workshop.store) == replayed(workshop.store)


def reachable(*roots: object) -> Iterator[Any]:
    """Everything that hangs on some objects, without modules, classes and functions."""
    seen: set[int] = set()
    todo: list[Any] = list(roots)
    while todo:
        found = todo.pop()
        if id(found) in seen or isinstance(found, type | type(ast) | type(reachable)):
            continue
        seen.add(id(found))
        yield found
        todo += gc.get_referents(found)


def test_every_document_is_held_once(workshop: Workshop) -> None:
    for machine in workshop.machines():
        workshop.record.last_step(machine.id)
    workshop._done.clear()  # the last changes are kept at hand, to take them back
    kinds = tuple(TABLES.values())
    nouns: Counter[type] = Counter()
    holders: Counter[int] = Counter()
    for found in reachable(workshop.store, workshop.record):
        assert not isinstance(found, Raw), "once it is asked for, the text has gone"
        if isinstance(found, kinds):
            nouns[type(found)] += 1
        elif isinstance(found, dict):
            assert not {"id", "machine"} <= found.keys(), "no document lies about as a dict"
        for inner in gc.get_referents(found):
            if isinstance(inner, kinds):
                holders[id(inner)] += 1
    there = {kind: len(workshop.store.documents(table)) for table, kind in TABLES.items()}
    assert nouns == {kind: number for kind, number in there.items() if number}
    assert set(holders.values()) == {1}


def test_only_their_owners_change_tables() -> None:
    """Where in the package the methods are called that change a table: where it is read, written, or a record's own."""
    changing: dict[str, set[str]] = {"lay": set(), "settle": set(), "read_as": set()}
    package = Path(putback.__file__).parent
    for path in sorted(package.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in changing:
                changing[node.func.attr].add(path.stem)
    assert changing == {"lay": {"journal", "kept"}, "settle": {"tables", "kept"}, "read_as": {"kept"}}


def test_stock_tinydb_opens_the_snapshot(workshop: Workshop, tmp_path: Path) -> None:
    """With TinyDB's own classes, as docs/formats.md says."""
    if not (tmp_path / "w").exists():
        pytest.skip("a workshop in memory has no file")
    workshop.do(c.NewMachine(name="press"))
    workshop.store.fold()
    with TinyDB(tmp_path / "w" / "workshop.json", encoding="utf-8") as stock:
        found = {table: {d.doc_id: dict(d) for d in stock.table(table)} for table in stock.tables()}
    assert found.pop("putback")[1]["number"] == workshop.store.number and len(found.pop("checksum")) == 1
    assert found == plain(workshop.store)
    assert check_folder(tmp_path / "w") == []
