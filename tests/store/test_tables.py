"""Our Table and Storage under a genuine TinyDB 4.9: its own contract, and the private funnel they rely on."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable
from importlib.metadata import version
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tinydb import TinyDB, where
from tinydb.storages import MemoryStorage
from tinydb.table import Document, Table

from putback.store.journal import Rows
from putback.store.tables import LiveDB, LiveStorage
from putback.trade.record.change import Edit


def live(rows: Rows) -> tuple[LiveDB, list[Edit]]:
    """A LiveDB that applies what it is given at once, and the edits it gave."""
    edits: list[Edit] = []

    def receive(got: Iterable[Edit]) -> None:
        for edit in got:
            edits.append(edit)
            if edit.new is None:
                del rows[edit.table][edit.id]
            else:
                rows.setdefault(edit.table, {})[edit.id] = edit.new

    return LiveDB(rows, receive, storage=LiveStorage), edits


def test_every_write_of_tinydb_passes_the_one_method_we_replace() -> None:
    """TinyDB is not ours: this fails when a version writes, or reads, past the funnel."""
    source = inspect.getsource(Table)
    assert version("tinydb").startswith("4.")
    assert len(re.findall(r"_storage\.write\(", source)) == 1
    assert "_storage.write(" in inspect.getsource(Table._update_table)
    assert len(re.findall(r"_storage\.read\(", source)) == 2
    for name in ("insert", "insert_multiple", "update", "update_multiple", "remove", "truncate"):
        assert "self._update_table(" in inspect.getsource(getattr(Table, name)), name
    for name in ("__iter__", "search", "get", "__len__"):
        assert "self._read_table()" in inspect.getsource(getattr(Table, name)), name


def test_a_write_hands_on_only_what_it_touched() -> None:
    db, edits = live({"bag": {n: {"n": n} for n in range(1000)}})
    db.table("bag").update({"full": True}, doc_ids=[7])
    assert edits == [Edit("bag", 7, {"n": 7}, {"n": 7, "full": True})]


def test_a_conditional_update_hands_on_only_what_changed() -> None:
    db, edits = live({"bag": {n: {"n": n} for n in range(20)}})
    assert db.table("bag").update({"n": 5}, where("n") >= 5) == list(range(5, 20))
    assert [e.id for e in edits] == list(range(6, 20))


def test_answers_share_nothing_with_the_store() -> None:
    rows: Rows = {"bag": {1: {"things": [1, 2], "more": {"deep": [3]}}}}
    db, _ = live(rows)
    for answer in (
        db.table("bag").get(doc_id=1),
        db.table("bag").get(doc_ids=[1])[0],
        db.table("bag").search(where("things").any([1]))[0],
        db.table("bag").all()[0],
    ):
        assert isinstance(answer, Document) and answer.doc_id == 1
        answer["things"].append(9)
        answer["more"]["deep"].clear()
    assert rows == {"bag": {1: {"things": [1, 2], "more": {"deep": [3]}}}}


def test_an_updater_that_raises_changes_nothing() -> None:
    rows: Rows = {"bag": {1: {"n": [1]}, 2: {"n": [2]}}}
    db, edits = live(rows)

    def bad(document: Any) -> None:
        document["n"].append(0)
        if 2 in document["n"]:
            raise RuntimeError("stop")

    with pytest.raises(RuntimeError, match="stop"):
        db.table("bag").update(bad)
    assert rows == {"bag": {1: {"n": [1]}, 2: {"n": [2]}}} and edits == []


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
    rows: Rows = {}
    ours = live(rows)[0].table("bag")
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
