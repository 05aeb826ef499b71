"""Every format that ever was still opens, and brings its documents forward; the old files stay."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from bench.proving import state_of
from putback.store import Store, check_folder, mend, upgrade
from putback.trade.change import Change, Document, Edit

AT = "2025-04-01T10:00:00+01:00"
GOLDEN = Path(__file__).parent / "golden"


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A copy of the golden workshop of format 1, as it was written when that was new."""
    return Path(shutil.copytree(GOLDEN / "format-1", tmp_path / "old"))


def test_there_is_a_golden_workshop_of_every_format() -> None:
    assert sorted(p.name for p in GOLDEN.iterdir()) == [f"format-{n}" for n in range(1, upgrade.FORMAT + 1)]
    assert sorted(upgrade.STEPS) == list(range(1, upgrade.FORMAT))


def test_format_1_reads_as_it_was_written(old: Path) -> None:
    """What stands here was written down when the files were made, and compared with them by eye."""
    assert check_folder(old) == []
    with Store.open(old, at=AT, who="Ann") as store:
        assert store.writable and store.notes == ()
        assert (store.number, store.workshop_id) == (7, "7f3a91c2")
        assert set(store.documents("thing")) == {1, 2, 11, 12}
        assert store.last_id("thing") == 12 and store.last_id("note") == 1
        assert store.documents("bag")[1] == {
            "machine": 1,
            "number": 1,
            "code": "PB0000017",
            "state": "open",
            "count": 2,
        }
        assert store.documents("note")[1] == {
            "text": 'said "so" \\ and\nmore',
            "shims": [0.5, [1]],
            "none": None,
            "yes": True,
        }
        told = [(e.number, e.at, e.who, e.change.did, e.change.undoes) for e in store.entries()]
        assert told == [
            (1, "2025-03-01T10:00:00+01:00", "Ann", "TakeOut", 0),
            (2, "2025-03-02T10:00:00+01:00", "Ann", "TakeOut", 0),
            (3, "2025-03-03T10:00:00+01:00", "Ann", "TakeOut", 0),
            (4, "2025-03-04T10:00:00+01:00", "Ann", "Undo", 3),
            (5, "2025-03-05T10:00:00+01:00", "Zoë", "TakeOut", 0),
            (6, "2025-03-06T10:00:00+01:00", "Zoë", "TakeOut", 0),
            (7, "2025-03-07T10:00:00+01:00", "Zoë", "Note", 0),
        ]


def metric(table: str, document: Document) -> Document:
    """A made-up step out of format 1: bags call their number `label`."""
    if table != "bag":
        return document
    changed = dict(document)
    changed["label"] = changed.pop("number")
    return changed


@pytest.fixture
def tomorrow(monkeypatch: pytest.MonkeyPatch) -> None:
    """A Putback whose format is one on."""
    monkeypatch.setattr(upgrade, "FORMAT", 2)
    monkeypatch.setitem(upgrade.STEPS, 1, metric)


@pytest.mark.usefixtures("tomorrow")
def test_an_older_format_is_brought_forward_everywhere(old: Path) -> None:
    before = (old / "workshop.json").read_bytes()
    with Store.open(old, at=AT, who="Ann") as store:
        assert store.writable and "older format" in store.notes[0]
        assert store.documents("bag")[1]["label"] == 1 and "number" not in store.documents("bag")[1]
        assert all(
            "number" not in (e.new or {}) for entry in store.entries() for e in entry.change.edits if e.table == "bag"
        )
        for entry in list(store.entries_back())[:3]:
            store.commit(entry.change.reversed(number=entry.number, said="took back"), at=AT, who="Ann")
        assert set(store.documents("thing")) == {1, 2}
        after = state_of(store)
    assert (old / "history" / "format-1.json").read_bytes() == before
    assert json.loads((old / "workshop.json").read_bytes())["putback"]["1"]["format"] == 2
    assert check_folder(old) == []
    with Store.open(old, at=AT, who="Ann") as store:
        assert state_of(store) == after and store.notes == () and store.number == 10
        store.fold()
        store.commit(Change(did="x", said="", edits=(Edit("bag", 99, None, {"label": 99}),)), at=AT, who="")
        store.fold()
    assert (old / "history" / "format-1.json").exists()


@pytest.mark.usefixtures("tomorrow")
def test_a_reader_brings_forward_in_memory_only(old: Path) -> None:
    before = {p: p.read_bytes() for p in old.rglob("*") if p.is_file()}
    with Store.open(old, at=AT, who="Ann", read_only=True) as store:
        assert store.documents("bag")[1]["label"] == 1
    assert {p: p.read_bytes() for p in old.rglob("*") if p.is_file()} == before


@pytest.mark.usefixtures("tomorrow")
def test_mending_brings_forward_too(old: Path, tmp_path: Path) -> None:
    mend(old, tmp_path / "new", at=AT, who="Ann")
    with Store.open(tmp_path / "new", at=AT, who="Ann") as store:
        assert store.documents("bag")[1]["label"] == 1 and store.number == 7
    assert check_folder(tmp_path / "new") == []
