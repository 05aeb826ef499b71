"""Random lives of a workshop against a plain dictionary: commits, undo, folds, restarts, torn ends, a reader."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from bench.proving import state_of
from putback.store import Store, check_folder
from putback.trade.record.change import Change, Edit

AT = "2025-03-01T10:00:00+01:00"

edits = st.tuples(st.sampled_from(["bag", "thing"]), st.integers(1, 4), st.none() | st.integers(0, 9))
happenings = st.one_of(
    st.tuples(st.just("commit"), st.lists(edits, max_size=4)),
    st.tuples(st.just("commit"), st.lists(edits, max_size=4)),
    st.tuples(st.just("take back")),
    st.tuples(st.just("fold")),
    st.tuples(st.just("restart")),
    st.tuples(st.just("torn"), st.integers(1, 60)),
    st.tuples(st.just("follow")),
)


def as_change(state: dict[tuple[str, int], Any], wanted: list[tuple[str, int, int | None]]) -> Change:
    """The change that puts the wanted values, each edit starting from what the one before it left."""
    now = dict(state)
    made = []
    for table, number, value in wanted:
        old = now.get((table, number))
        new = None if value is None else {"value": value}
        if old is None and new is None:
            continue
        made.append(Edit(table, number, old, new))
        now[table, number] = new
    return Change(did="Test", said="", edits=tuple(made))


@settings(max_examples=35, deadline=None)
@given(st.lists(happenings, max_size=25))
def test_a_workshop_is_what_its_changes_made_it(story: list[tuple[Any, ...]]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "w"
        store = Store.open(folder, at=AT, who="Ann")
        reader = Store.open(folder, at=AT, who="Bob", read_only=True)
        memory = Store.in_memory()
        model: list[dict[tuple[str, int], Any]] = [{}]
        changes: list[Change] = []
        for kind, *details in story:
            if kind == "commit" or (kind == "take back" and changes):
                if kind == "commit":
                    change = as_change(model[-1], details[0])
                else:
                    change = changes[-1].reversed(number=len(changes), said="took back")
                    assert next(store.entries_back()).change == changes[-1]
                for one in (store, memory):
                    assert one.commit(change, at=AT, who="Ann") == len(changes) + 1
                changes.append(change)
                state = dict(model[-1])
                for edit in change.edits:
                    state[edit.table, edit.id] = edit.new
                model.append({key: value for key, value in state.items() if value is not None})
            elif kind == "fold":
                store.fold()
            elif kind == "restart":
                store.close()
                store = Store.open(folder, at=AT, who="Ann")
                assert store.writable and store.notes == ()
            elif kind == "torn":
                store.close()
                with open(folder / "workshop.journal", "ab") as file:
                    file.write(b'{"v":1,"epoch":"half a line that nobody was ever told of'[: details[0]])
                store = Store.open(folder, at=AT, who="Ann")
                assert store.writable and "cut short" in store.notes[0]
            elif kind == "follow":
                known = reader.number
                assert [entry.change for entry in reader.follow()] == changes[known:]
                assert reader.number == store.number and state_of(reader) == state_of(store)
            there = {(table, n): d for table, rows in state_of(store).items() for n, d in rows.items()}
            assert there == model[-1] and store.number == len(changes)
        assert state_of(memory) == state_of(store)
        assert [entry.change for entry in store.entries()] == changes
        assert [entry.change for entry in memory.entries()] == changes
        assert [entry.change for entry in store.entries_back()] == changes[::-1]
        reader.follow()
        assert state_of(reader) == state_of(store) and [e.change for e in reader.entries()] == changes
        for one in (reader, store, memory):
            one.close()
        assert check_folder(folder) == []
