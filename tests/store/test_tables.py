"""Our Table and Storage under a genuine TinyDB 4.9: its own contract, kept by what TinyDB shows to everybody."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct
from tinydb import TinyDB, where
from tinydb.storages import MemoryStorage, Storage
from tinydb.table import Document, Table

import putback
from putback.errors import Damaged, Refused
from putback.store.tables import LiveDB, LiveStorage, LiveTable, text_of
from putback.trade.record.change import Edit
from putback.trade.record.rows import Rows

Plain = dict[str, dict[int, dict[str, Any]]]


def live(rows: Plain) -> tuple[LiveDB, list[Edit]]:
    """A LiveDB that applies what it is given at once, and the edits it gave."""
    edits: list[Edit] = []

    def receive(got: tuple[Edit, ...]) -> None:
        edits.extend(got)
        db.put(db.ready((e.table, e.id, None if e.new is None else text_of(e.new)) for e in got))

    tables = {name: Rows(name, {n: text_of(d) for n, d in table.items()}) for name, table in rows.items()}
    db = LiveDB(tables, receive, storage=LiveStorage)
    return db, edits


def plain(db: LiveDB) -> Plain:
    """All that it holds."""
    return {name: {d.doc_id: dict(d) for d in db.table(name)} for name in db.tables()}


def test_every_way_of_tinydbs_table_is_ours() -> None:
    """TinyDB is not ours: this fails when a version has a way to ask or to write that would pass us by."""
    ways = {name for name, what in vars(Table).items() if callable(what) and not name.startswith("_")}
    ways |= {"__iter__", "__len__"}
    apart = {"document_class", "document_id_class", "query_cache_class"}
    assert ways - apart <= set(vars(LiveTable))
    assert {name for name in vars(Storage) if not name.startswith("_")} == {"read", "write", "close"}


def test_nothing_private_of_tinydb_is_used() -> None:
    database = TinyDB(storage=MemoryStorage)
    everywhere = [database, database.table("t"), database.storage]
    names = {name for what in everywhere for name in (*dir(what), *vars(what))}
    private = {name for name in names if name.startswith("_") and not name.startswith("__")}
    assert {"_update_table", "_read_table", "_storage", "_tables"} <= private
    for path in sorted((Path(putback.__file__).parent / "store").rglob("*.py")):
        if "tinydb" not in path.read_text("utf-8"):
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            name = node.attr if isinstance(node, ast.Attribute) else getattr(node, "name", "")
            assert name not in private, f"{path.name}, line {getattr(node, 'lineno', 0)}"


def test_a_write_hands_on_only_what_it_touched() -> None:
    db, edits = live({"bag": {n: {"n": n} for n in range(1000)}})
    db.table("bag").update({"full": True}, doc_ids=[7])
    assert edits == [Edit("bag", 7, {"n": 7}, {"n": 7, "full": True})]


def test_a_conditional_update_hands_on_only_what_changed() -> None:
    db, edits = live({"bag": {n: {"n": n} for n in range(20)}})
    assert db.table("bag").update({"n": 5}, where("n") >= 5) == list(range(5, 20))
    assert [e.id for e in edits] == list(range(6, 20))


def test_answers_share_nothing_with_the_store() -> None:
    rows: Plain = {"bag": {1: {"things": [1, 2], "more": {"deep": [3]}}}}
    db, _ = live(rows)
    for answer in (
        db.table("bag").get(doc_id=1),
        db.table("bag").get(doc_ids=[1])[0],
        db.table("bag").search(where("things").any([1]))[0],
        db.table("bag").all()[0],
    ):
        assert answer.doc_id == 1
        answer["things"].append(9)
        answer["more"]["deep"].clear()
    assert plain(db) == rows


def test_an_updater_that_raises_changes_nothing() -> None:
    rows: Plain = {"bag": {1: {"n": [1]}, 2: {"n": [2]}}}
    db, edits = live(rows)

    def bad(document: Any) -> None:
        document["n"].append(0)
        if 2 in document["n"]:
            raise RuntimeError("stop")

    with pytest.raises(RuntimeError, match="stop"):
        db.table("bag").update(bad)
    assert plain(db) == rows and edits == []


def test_numbers_are_never_made_up() -> None:
    db, _ = live({})
    with pytest.raises(ValueError, match="given its number"):
        db.table("bag").insert({"n": 1})
    with pytest.raises(ValueError, match="already exists"):
        db.table("bag").insert_multiple([Document({}, 1), Document({}, 1)])
    assert db.table("bag").insert(Document({"n": 1}, 5)) == 5
    assert db.tables() == {"bag"}


def test_dropping_tables_is_a_change_like_any_other() -> None:
    db, edits = live({"bag": {1: {}, 2: {}}, "thing": {3: {}}})
    db.drop_table("bag")
    assert [(e.table, e.id, e.new) for e in edits] == [("bag", 1, None), ("bag", 2, None)]
    db.drop_tables()
    assert db.tables() == set()


class Bag(Struct, frozen=True, omit_defaults=True):
    """A noun, as a record would read it."""

    id: int
    count: int = 0


class Listener:
    """Who keeps the sum of a table's counts, and is told of every change."""

    def __init__(self, rows: Rows) -> None:
        self.rows = rows
        self.told: list[tuple[Bag | None, Bag | None]] = []
        self.readied = 0
        rows.read_as(Bag, self)

    def ready_for(self, table: str, number: int, after: Bag | None) -> None:
        self.readied += 1

    def follow(self, table: str, number: int, after: Bag | None) -> None:
        self.told.append((self.rows.get(number), after))


def test_who_follows_a_table_is_told_of_every_write_and_reads_nouns() -> None:
    db, _ = live({"bag": {1: {"id": 1, "count": 2}, 2: {"id": 2}}})
    rows = db.table("bag").rows
    listener = Listener(rows)
    assert db.table("bag").insert(Document({"id": 3, "count": 5}, 3)) == 3
    db.table("bag").update({"count": 1}, where("count") == 5)
    db.table("bag").remove(doc_ids=[1])
    assert listener.told == [(None, Bag(3, 5)), (Bag(3, 5), Bag(3, 1)), (Bag(1, 2), None)]
    assert dict(rows) == {2: Bag(2), 3: Bag(3, 1)} and rows[3] is rows[3]
    with pytest.raises(Damaged, match="Document 3 of table 'bag' cannot be read"):
        db.table("bag").update({"count": "many"}, doc_ids=[3])
    assert rows[3] == Bag(3, 1) and listener.readied == len(listener.told) == 3


def test_a_storage_is_read_and_written_as_tinydb_does_it() -> None:
    """A stock Table over our storage: dearer, and the same."""
    db, edits = live({"bag": {1: {"n": 1}, 2: {"n": 2}}, "thing": {5: {}}})
    table = Table(db.storage, "bag")
    table.update({"n": 3}, doc_ids=[2])
    table.insert(Document({"n": 4}, 7))
    assert edits == [Edit("bag", 2, {"n": 2}, {"n": 3}), Edit("bag", 7, None, {"n": 4})]
    assert plain(db) == {"bag": {1: {"n": 1}, 2: {"n": 3}, 7: {"n": 4}}, "thing": {5: {}}}


def test_half_a_character_is_refused() -> None:
    db, edits = live({})
    with pytest.raises(Refused, match="half a character"):
        db.table("bag").insert(Document({"name": "\ud800"}, 1))
    assert edits == []


numbers = st.integers(1, 6)
values = st.integers(0, 3)
actions = st.one_of(
    st.tuples(st.just("insert"), numbers, values),
    st.tuples(st.just("upsert"), numbers, values),
    st.tuples(st.just("update by number"), st.lists(numbers, max_size=3, unique=True), values),
    st.tuples(st.just("update where"), values, values),
    st.tuples(st.just("update all"), values),
    st.tuples(st.just("remove by number"), st.lists(numbers, max_size=3, unique=True)),
    st.tuples(st.just("remove where"), values),
    st.tuples(st.just("truncate")),
)


def act(table: Table, action: tuple[Any, ...]) -> Any:
    """One action on a TinyDB table; what it answers, or the name of what it raises."""
    kind, *given_ = action
    try:
        if kind == "insert":
            return table.insert(Document({"v": given_[1], "list": [given_[1]]}, given_[0]))
        if kind == "upsert":
            return table.upsert(Document({"v": given_[1], "up": True}, given_[0]))
        if kind == "update by number":
            return table.update({"v": given_[1]}, doc_ids=given_[0])
        if kind == "update where":
            return sorted(table.update({"v": given_[1]}, where("v") == given_[0]))
        if kind == "update all":
            return sorted(table.update(lambda d: d.__setitem__("v", (d["v"] + given_[0]) % 4)))
        if kind == "remove by number":
            return table.remove(doc_ids=given_[0])
        if kind == "remove where":
            return sorted(table.remove(where("v") == given_[0]))
        return table.truncate()
    except ValueError as error:
        return str(error)


@settings(max_examples=150, deadline=None)
@given(st.lists(actions, max_size=12))
def test_our_tables_answer_as_tinydbs_own(story: list[tuple[Any, ...]]) -> None:
    """The reference is TinyDB's own Table over its own MemoryStorage."""
    ours = live({})[0].table("bag")
    stock = TinyDB(storage=MemoryStorage).table("bag")
    for action in story:
        assert act(ours, action) == act(stock, action)
        assert {d.doc_id: d for d in ours} == {d.doc_id: d for d in stock}
        assert len(ours) == len(stock)
        for value in range(4):
            condition = where("v") == value
            assert sorted(d.doc_id for d in ours.search(condition)) == sorted(d.doc_id for d in stock.search(condition))
            assert ours.count(condition) == stock.count(condition)
            assert ours.contains(condition) == stock.contains(condition)
        for number in range(1, 7):
            assert ours.get(doc_id=number) == stock.get(doc_id=number)
            assert ours.contains(doc_id=number) == stock.contains(doc_id=number)
