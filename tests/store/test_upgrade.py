"""Every format that ever was still opens, and brings its documents forward; the old files stay."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bench.proving import state_of
from putback.reports.check import check_workshop
from putback.reports.export import export_json
from putback.scans.bag_code import is_code
from putback.store import Store, check_folder, mend, upgrade
from putback.trade.commands import WorkOn
from putback.trade.files.importing import read_export
from putback.trade.record.change import Change, Document, Edit
from putback.trade.record.job import usual_when
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.workshop import Workshop

AT = "2025-04-01T10:00:00+01:00"
GOLDEN = Path(__file__).parent / "golden"


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A copy of the golden workshop of format 1, as it was written when that was new."""
    return copied(1, tmp_path)


def copied(number: int, tmp_path: Path) -> Path:
    """A copy of the golden workshop of a format."""
    return Path(shutil.copytree(GOLDEN / f"format-{number}", tmp_path / f"old-{number}"))


def test_there_is_a_golden_workshop_of_every_format() -> None:
    assert sorted(p.name for p in GOLDEN.iterdir()) == [f"format-{n}" for n in range(1, upgrade.FORMAT + 1)]
    assert sorted(upgrade.STEPS) == list(range(1, upgrade.FORMAT))


@pytest.mark.parametrize("number", range(1, upgrade.FORMAT + 1))
def test_a_format_reads_as_it_was_written(number: int, tmp_path: Path) -> None:
    """What stands here was written down when the files were made, and compared with them by eye."""
    old = copied(number, tmp_path)
    assert check_folder(old) == []
    with Store.open(old, at=AT, who="Ann") as store:
        assert store.writable and bool(store.notes) == (number < upgrade.FORMAT)
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


EARLIER = Path(__file__).parent / "earlier"
"""Made with the program of that time: all four sorts of what was left to do, in the history, the snapshot and the
journal, one of them taken back again."""

JOBS_NOW = [
    (1, "do", "clean felt"), (1, "get", "4 rubber feet"), (1, "do", "mend the split corner"),
    (2, "do", "mend: tip broken off"), (2, "make", "drip felt"),
    (3, "do", "the rim: clean with water only"), (3, "get", "pawl spring"),
]  # fmt: skip
"""What they are now, step by step."""


def jobs_of(record: Record) -> list[tuple[int, str, str]]:
    """Every job of a record, with its step; none of them in hand or done, each with the usual time of its sort."""
    found = [(step.number, job) for step in record.all(Step) for job in step.todo]
    assert all(job.state == "to do" and job.when == usual_when(job.do) for _, job in found)
    return [(number, job.do, job.what) for number, job in found]


def test_what_was_left_to_do_is_a_job_now_and_can_be_gone_on_with(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(EARLIER / "left-to-do", tmp_path / "w"))
    assert check_workshop(folder, is_code).ok
    with Workshop.open(
        folder, clock=lambda: datetime(2025, 4, 1, tzinfo=UTC), codes=lambda taken: "", who="Ann"
    ) as workshop:
        assert "older format" in workshop.store.notes[0]
        assert jobs_of(workshop.record) == JOBS_NOW
        step = workshop.record.step(1, 2)
        assert step is not None and step.note == "penny side up, mark to the drum"
        workshop.bring_again(1)
        assert jobs_of(workshop.record)[5] == (2, "get", "a new tip")
        workshop.do(WorkOn(step=2, what="a new tip", state="in hand"), 1)
        while (last := workshop.last_done(1)) is not None:
            workshop.take_back(1)
            assert last.number
        assert jobs_of(workshop.record) == []
    assert check_workshop(folder, is_code).ok


def test_an_export_of_that_time_is_taken_in_with_its_jobs() -> None:
    text = (EARLIER / "left-to-do.export.json").read_text("utf-8")
    record = read_export(text, "old.json", is_code)
    assert jobs_of(record) == JOBS_NOW
    again = read_export(json.dumps(export_json(record, changes=1)), "new.json", is_code)
    assert list(again.all(Step)) == list(record.all(Step))


def kept_in(new: object, old: object) -> bool:
    """Whether everything that `old` says stands in `new`, which may say more."""
    if isinstance(old, dict):
        return isinstance(new, dict) and all(key in new and kept_in(new[key], value) for key, value in old.items())
    if isinstance(old, list):
        return isinstance(new, list) and len(new) == len(old) and all(map(kept_in, new, old))
    return new == old


@pytest.mark.parametrize("name", ["same-again", "between-sessions"])
def test_a_workshop_of_an_earlier_version_says_all_that_it_said_then(tmp_path: Path, name: str) -> None:
    """`between-sessions` was made with the program of its time, by a session file and a way back: holes on two faces, a
    step on hold and taken up, a part taken off whole and opened, first look, settings, jobs, soaks, a trip, spares,
    trouble with two screws, a printed label, an act taken back and one brought again."""
    text = (EARLIER / f"{name}.export.json").read_text("utf-8")
    then = json.loads(text)
    folder = Path(shutil.copytree(EARLIER / name, tmp_path / "w"))
    clock = iter(datetime(2027, 1, 1, tzinfo=UTC) + timedelta(minutes=minute) for minute in range(1000))
    with Workshop.open(folder, clock=lambda: next(clock), codes=lambda taken: "", who="Ann") as workshop:
        assert kept_in(export_json(workshop.record, changes=then["changes"]), then)
        while workshop.last_done(1) is not None:
            workshop.take_back(1)
        assert not list(workshop.record.all(Step))
    assert check_workshop(folder, is_code).ok
    again = export_json(read_export(text, "then.json", is_code), changes=then["changes"])
    assert kept_in(again, then)


def metric(table: str, document: Document) -> Document:
    """A made-up step out of the format of today: bags call their number `label`."""
    if table != "bag":
        return document
    changed = dict(document)
    changed["label"] = changed.pop("number")
    return changed


@pytest.fixture
def tomorrow(monkeypatch: pytest.MonkeyPatch) -> None:
    """A Putback whose format is one on."""
    monkeypatch.setattr(upgrade, "FORMAT", upgrade.FORMAT + 1)
    monkeypatch.setitem(upgrade.STEPS, upgrade.FORMAT - 1, metric)


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
    assert json.loads((old / "workshop.json").read_bytes())["putback"]["1"]["format"] == upgrade.FORMAT
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
