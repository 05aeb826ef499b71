"""What the fault proofs share: states to compare with, and a sentence to stop with."""

from __future__ import annotations

from putback.store import Store
from putback.trade.record.change import Change, Document

State = dict[str, dict[int, Document]]


def state_of(store: Store) -> State:
    """All documents of a store, as plain values of their own."""
    return {name: {d.doc_id: dict(d) for d in store.db.table(name)} for name in sorted(store.db.tables())}


def expected_states(changes: list[Change]) -> list[State]:
    """The documents after 0, 1, 2 … changes, worked out without a store."""
    states: list[State] = [{}]
    for change in changes:
        state = {name: dict(rows) for name, rows in states[-1].items()}
        for edit in change.edits:
            if edit.new is None:
                del state[edit.table][edit.id]
            else:
                state.setdefault(edit.table, {})[edit.id] = edit.new
        states.append({name: rows for name, rows in state.items() if rows})
    return states


def need(condition: bool, what: str) -> None:
    """Stop the proof with a sentence."""
    if not condition:
        raise AssertionError(what)
