"""`check`: files, balance and codes in one proof."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.errors import NotAWorkshop
from putback.reports.check import check_documents, check_workshop
from putback.reports.export import export_json
from putback.scans.bag_code import is_code
from putback.store import Store
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.record.change import Change, Edit
from putback.trade.record.record import Record

AT = "2025-03-01T10:00:00+00:00"


def filled(store: Store) -> Record:
    """A record in a store: two machines, a lid off with a screw in a bag."""
    record = Record()
    for machine, command in (
        (0, c.NewMachine(name="press")),
        (0, c.NewMachine(name="recorder")),
        (1, c.Begin(name="lid")),
        (1, c.Enter(hole="1")),
        (1, c.Finish(put="shelf")),
        (2, c.Begin(do="mark", name="lever")),
    ):
        change = rules.apply(record, machine, command, at=AT, codes=["PB3K7M2Q4"])
        store.commit(change, at=AT, who="Ann")
        record.absorb(change)
    return record


def test_a_sound_workshop_has_nothing_wrong(tmp_path: Path) -> None:
    with Store.open(tmp_path, at=AT, who="Ann") as store:
        filled(store)
    proof = check_workshop(tmp_path, lambda code: True)
    assert proof.ok and proof.to_json() == {"ok": True, "changes": 6, "findings": []}
    assert proof.text == "6 changes, nothing wrong: every line is whole and every thing is in one place."


def test_a_code_that_is_none_is_found() -> None:
    with Store.in_memory() as store:
        filled(store)
        found = [f"{f.where}: {f.what}" for f in check_documents(store, is_code)]
    assert is_code("PB3K7M2Q4") or found == ["press, bag 1: “PB3K7M2Q4” is not a bag code."]


def test_a_document_that_is_none_is_found_and_hides_nothing_else() -> None:
    with Store.in_memory() as store:
        filled(store)
        wrong = Edit("things", 1, dict(store.documents("things")[1]), {"id": 1, "colour": "red"})
        store.commit(Change(did="x", said="", edits=(wrong,)), at=AT, who="")
        found = [f"{f.where}: {f.what}" for f in check_documents(store, lambda code: False)]
    assert found[0].startswith("table things: Document 1 of table 'things' cannot be read")
    assert found[1:] == ["press, bag 1: “PB3K7M2Q4” is not a bag code."]


def test_where_there_is_no_workshop(tmp_path: Path) -> None:
    with pytest.raises(NotAWorkshop):
        check_workshop(tmp_path / "nowhere", is_code)


def test_one_machine_is_exported_alone() -> None:
    with Store.in_memory() as store:
        record = filled(store)
    everything = export_json(record, changes=6)
    assert [len(everything[table]) for table in ("machines", "parts", "steps", "things", "bags")] == [2, 1, 2, 2, 1]
    alone = export_json(record, changes=6, machine=2)
    assert [m["name"] for m in alone["machines"]] == ["recorder"] and [s["name"] for s in alone["steps"]] == ["lever"]
    assert alone["things"] == [] and alone["changes"] == 6
