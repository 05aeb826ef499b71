"""Any history, cut at any change, is the same record however it is kept: exported and taken in, folded, brought to a
newer format, joined with what it became."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from putback.errors import BadInput, Refused
from putback.reports.export import export_json
from putback.scans.bag_code import new_code
from putback.store import Store, check_folder, upgrade
from putback.store.apart import join_folders
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.files.importing import POINTS_TO, read_export, take_in
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change
from putback.trade.record.record import TABLES, Record
from tests.sampled import examples
from tests.strategies import AT, commands

Documents = dict[str, dict[int, Any]]


def history(data: st.DataObject) -> list[Change]:
    """What two machines came to, change by change."""
    record, done, rng = Record(), list[Change](), Random(1)

    def do(command: c.Command, machine: int) -> None:
        fresh = (new_code(rng, {bag.code for bag in record.all(Bag)}) for _ in iter(int, 1))
        change = rules.apply(record, machine, command, at=AT, codes=fresh)
        record.absorb(change)
        done.append(change)

    for name in ("press", "recorder"):
        do(c.NewMachine(name=name, serial="41?7", origin="us"), 0)
    do(c.StartSession(box="A"), 1)
    for _ in range(data.draw(st.integers(3, 16))):
        try:
            do(data.draw(commands(record, 1)), 1)
        except BadInput:
            continue
    return done


def documents(folder: Path) -> Documents:
    """All that a workshop holds; it must be sound."""
    assert check_folder(folder) == []
    with Store.open(folder, at=AT, who="Ann", read_only=True) as store:
        return {table: dict(store.documents(table)) for table in TABLES}


def written(folder: Path, changes: list[Change]) -> Path:
    """A workshop of these changes."""
    with Store.open(folder, at=AT, who="Ann") as store:
        store.commit_many((change, AT, "Ann") for change in changes)
    return folder


def numberless(record: Record) -> dict[str, list[dict[str, Any]]]:
    """A record without the numbers that its documents have, nor those by which they point at one another."""
    told = export_json(record, changes=0)
    return {
        table: [{name: value for name, value in row.items() if name not in ("id", *points)} for row in told[table]]
        for table, points in POINTS_TO.items()
    }


def join(one: Path, other: Path, into: Path) -> None:
    """Make one workshop of two; photos are named in them that nobody filed."""

    def wrong(folder: Path) -> str:
        return "; ".join(found.what for found in check_folder(folder))

    join_folders(one, other, into, codes=lambda taken: new_code(Random(7), taken), prove=wrong, at=AT, who="Ann")


@contextmanager
def a_newer_format() -> Iterator[None]:
    """As if the next version wrote another format, in which a document is what it was."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(upgrade.STEPS, upgrade.FORMAT, lambda table, old: old)
        patch.setattr(upgrade, "FORMAT", upgrade.FORMAT + 1)
        yield


@settings(
    max_examples=examples(4),
    suppress_health_check=[HealthCheck.data_too_large, HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # shrinking a day takes minutes
)
@given(st.data())
def test_it_is_the_same_record_however_it_is_kept(data: st.DataObject) -> None:
    changes = history(data)
    cut = data.draw(st.integers(2, len(changes)), label="cut")
    record = Record()
    for change in changes[:cut]:
        record.absorb(change)
    wanted = {table: record.documents(table) for table in TABLES}
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        folder = written(work / "cut", changes[:cut])
        assert documents(folder) == wanted

        text = json.dumps(export_json(record, changes=cut))
        found = read_export(text, "export.json", lambda code: True)  # the strategies have a code that is none
        into = Record()
        into.absorb(take_in(into, found, (new_code(Random(5), ()) for _ in iter(int, 1))).change)
        assert numberless(into) == numberless(record)

        with Store.open(folder, at=AT, who="Ann") as store:
            store.fold()
        assert documents(folder) == wanted

        whole = work / "whole"
        shutil.copytree(folder, whole)
        written(whole, changes[cut:])
        if len(changes) > cut:
            join(folder, whole, work / "joined")
            assert documents(work / "joined") == documents(whole)
        with pytest.raises(Refused, match="nothing to join"):
            join(whole, folder, work / "again")

        with a_newer_format():
            with Store.open(folder, at=AT, who="Ann") as store:
                assert store.writable
            assert documents(folder) == wanted
