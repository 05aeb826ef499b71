"""`check_folder`: what it finds, and where it says it is."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.proving import small_workshop
from bench.strokes import AT, Bench
from putback.errors import NewerVersion, NotAWorkshop
from putback.store import Store, StoreFinding, check_folder, snapshot
from putback.store.disk import Disk
from putback.store.line import Head, change_line, head_line
from putback.trade.record.change import Change, Edit


@pytest.fixture
def whole(folder: Path) -> Path:
    """Nine changes: three in each of two histories, three in the journal."""
    small_workshop(folder)
    return folder


def found(folder: Path) -> list[tuple[str, str]]:
    return [(finding.where, finding.what) for finding in check_folder(folder)]


def edit_lines(path: Path, edit: Callable[[list[bytes]], list[bytes]]) -> None:
    path.write_bytes(b"".join(edit(path.read_bytes().splitlines(keepends=True))))


def test_a_whole_workshop_is_clean_and_untouched(whole: Path) -> None:
    before = {path: path.read_bytes() for path in whole.rglob("*") if path.is_file()}
    assert check_folder(whole) == []
    assert {path: path.read_bytes() for path in whole.rglob("*") if path.is_file()} == before


def test_a_workshop_in_use_and_one_cut_short_are_clean(whole: Path) -> None:
    with Store.open(whole, at=AT, who="Ann"):
        assert check_folder(whole) == []
    with open(whole / "workshop.journal", "ab") as file:
        file.write(b'{"v":1,"epo')
    assert check_folder(whole) == []


def test_no_workshop_is_not_a_clean_one(tmp_path: Path) -> None:
    with pytest.raises(NotAWorkshop):
        check_folder(tmp_path)
    (tmp_path / "workshop.json").write_text("{}")
    with pytest.raises(NotAWorkshop, match="not written by Putback"):
        check_folder(tmp_path)


def test_a_damaged_line_is_named(whole: Path) -> None:
    edit_lines(whole / "workshop.journal", lambda t: [*t[:2], t[2].replace(b"fillister", b"fellister"), *t[3:]])
    assert found(whole) == [("workshop.journal, line 3", "does not fit its checksum")]
    edit_lines(whole / "history" / "000001.journal", lambda t: [t[0], b"\n", *t[2:]])
    assert found(whole)[0] == ("history/000001.journal, line 2", "does not read as a journal line")


def test_a_damaged_history_is_found_though_opening_does_not_need_it(whole: Path) -> None:
    edit_lines(whole / "history" / "000002.journal", lambda t: [t[0], t[1].replace(b"top", b"tup"), *t[1:]])
    assert found(whole)
    with Store.open(whole, at=AT, who="Ann") as store:
        assert store.writable


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (lambda t: [t[0], *t[2:]], ("workshop.journal, line 2", "is change 8 where 7 belongs")),
        (lambda t: [t[0], t[1], t[1], *t[2:]], ("workshop.journal, line 3", "is change 7 where 8 belongs")),
        (lambda t: [t[0], t[2], t[1], t[3]], ("workshop.journal, line 2", "is change 8 where 7 belongs")),
    ],
)
def test_a_broken_sequence_is_found(
    whole: Path, edit: Callable[[list[bytes]], list[bytes]], told: tuple[str, str]
) -> None:
    edit_lines(whole / "workshop.journal", edit)
    assert told in found(whole)


def test_a_missing_file_is_named(whole: Path) -> None:
    for name in ("workshop.json", "workshop.journal", "history/000001.journal", "history/000002.journal"):
        copy = whole.with_name("copy")
        shutil.copytree(whole, copy)
        (copy / name).unlink()
        assert (name, "is missing") in found(copy), found(copy)
        shutil.rmtree(copy)


def test_a_journal_of_another_workshop_is_named(whole: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    small_workshop(other)
    shutil.copy(other / "workshop.journal", whole / "workshop.journal")
    where, what = found(whole)[0]
    assert where == "workshop.journal, line 1" and what.startswith("belongs to another workshop (")


@pytest.mark.parametrize("data", [b"", b"\n", b"nonsense", b"[" * 100_000, bytes(10_000)])
def test_a_journal_that_is_none_is_named(whole: Path, data: bytes) -> None:
    (whole / "workshop.journal").write_bytes(data)
    findings = check_folder(whole)
    assert findings and all(f.where.startswith("workshop.journal") for f in findings)
    with Store.open(whole, at=AT, who="Ann") as store:
        assert not store.writable and "workshop.journal" in store.notes[0] and store.number == 6


def test_a_snapshot_that_tells_another_story_is_named_by_table(whole: Path) -> None:
    good = snapshot.read(whole / "workshop.json")
    rows = {name: {n: dict(d) for n, d in table.items()} for name, table in good.tables.items()}
    rows["bag"][1]["count"] = 99
    del rows["thing"][2]
    snapshot.write(Disk(), whole / "workshop.json", good.title, rows)
    assert check_folder(whole)[:2] == [
        StoreFinding("is not what the log comes to", "workshop.json, bag 1"),
        StoreFinding("is not what the log comes to", "workshop.json, thing 2"),
    ]


def test_a_damaged_snapshot_is_named_down_to_the_document(whole: Path) -> None:
    path = whole / "workshop.json"
    path.write_bytes(path.read_bytes().replace(b"screw 3", b"screw 8"))
    assert found(whole) == [
        ("workshop.json", "does not fit its checksum"),
        ("workshop.json, thing 3", "is not what the log comes to"),
    ]


def test_a_log_that_contradicts_itself_is_found(whole: Path) -> None:
    with open(whole / "workshop.journal", "rb") as file:
        epoch = file.readline().split(b'"')[5].decode()
    wrong = Change(did="x", said="", edits=(Edit("bag", 1, {"never": "so"}, {"count": 3}),))
    with open(whole / "workshop.journal", "ab") as file:
        file.write(change_line(epoch, 10, AT, "", wrong)[0])
    assert found(whole) == [("workshop.journal, line 5", "starts from another bag 1 than the log holds")]


def test_a_snapshot_ahead_of_its_journals_is_found(whole: Path) -> None:
    shutil.rmtree(whole / "history")
    head = Head(version=1, epoch=snapshot.read(whole / "workshop.json").title.workshop + ".3", after=2)
    (whole / "workshop.journal").write_bytes(head_line(head))
    assert ("workshop.json", "holds change 6, but the journals end with change 2") in found(whole)


def test_a_newer_format_is_refused(whole: Path) -> None:
    head = Head(version=3, epoch="7f3a91c2.3", after=6)
    (whole / "workshop.journal").write_bytes(head_line(head))
    with pytest.raises(NewerVersion, match="format 3"):
        check_folder(whole)


def test_a_folder_in_the_middle_of_a_fold_is_clean_and_finished_by_opening(folder: Path) -> None:
    class Stopping(Disk):
        names = 0

        def rename(self, old: Path, new: Path) -> None:
            if new.name == "workshop.journal" and self.names:
                raise KeyboardInterrupt
            super().rename(old, new)

    disk = Stopping()
    store = Store.open(folder, at=AT, who="Ann", disk=disk)
    store.commit_many(Bench(1).strokes(5))
    disk.names = 1
    with pytest.raises(KeyboardInterrupt):
        store.fold()
    store.close()
    assert check_folder(folder) == []
    with Store.open(folder, at=AT, who="Bob", read_only=True) as reader:
        assert reader.number == 5 and len(list(reader.entries())) == 5
        with Store.open(folder, at=AT, who="Ann") as writer:
            assert writer.writable
            writer.commit_many([(Change(did="x", said="", edits=()), AT, "")])
        assert [e.number for e in reader.follow()] == [6]
    assert check_folder(folder) == []
