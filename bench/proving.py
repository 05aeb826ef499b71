"""What the fault proofs share: states to compare with, and a sentence to stop with."""

from __future__ import annotations

from pathlib import Path

from bench.strokes import AT, WHO, Bench
from putback.store import Store
from putback.store.disk import Disk
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


def small_workshop(folder: Path, strokes: int = 9, fold_at: tuple[int, ...] = (3, 6)) -> list[State]:
    """A workshop with history, snapshot and journal; gives its states, change by change."""
    changes = [change for change, _, _ in Bench(2, per_step=3).strokes(strokes)]
    with Store.open(folder, at=AT, who=WHO) as store:
        for change in changes:
            number = store.commit(change, at=AT, who=WHO)
            if number in fold_at:
                store.fold()
    return expected_states(changes)


def need(condition: bool, what: str) -> None:
    """Stop the proof with a sentence."""
    if not condition:
        raise AssertionError(what)


class Watched(Disk):
    """The real disk, with `before` called before each of its actions."""

    def before(self, what: str) -> None:
        """Do something before an action, which has that name; what this raises comes in the action's place."""
        raise NotImplementedError

    def make_folder(self, path: Path) -> None:
        self.before("make folder")
        super().make_folder(path)

    def create(self, path: Path) -> int:
        self.before("create")
        return super().create(path)

    def write(self, file: int, data: bytes) -> None:
        self.before("write")
        super().write(file, data)

    def flush(self, file: int) -> None:
        self.before("flush")
        super().flush(file)

    def cut(self, file: int, length: int) -> None:
        self.before("cut")
        super().cut(file, length)

    def close(self, file: int) -> None:
        self.before("close")
        super().close(file)

    def rename(self, old: Path, new: Path) -> None:
        self.before("rename")
        super().rename(old, new)

    def second_name(self, old: Path, new: Path) -> None:
        self.before("second name")
        super().second_name(old, new)

    def remove(self, path: Path) -> None:
        self.before("remove")
        super().remove(path)

    def flush_folder(self, path: Path) -> None:
        self.before("flush folder")
        super().flush_folder(path)
