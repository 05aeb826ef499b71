"""A backup of an open workshop is whole, proved, and at one moment of it; or it is not there at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from bench.backups import back_up_between, write_between
from bench.faults import Failing
from bench.proving import small_workshop, state_of
from bench.strokes import AT
from putback.errors import Damaged, DiskTrouble, NotAWorkshop, Refused
from putback.store import Store, check_folder
from putback.store.backup import back_up
from putback.store.check import walk_folder
from putback.store.lock import read_mark
from putback.store.photos import keep_photo


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture
def whole(folder: Path) -> Path:
    """Nine changes: three in each of two histories, three in the journal; closed. A photo, and settings."""
    small_workshop(folder)
    picture = folder.parent / "p.png"
    picture.write_bytes(b"a picture")
    keep_photo(picture, folder / "photos")
    (folder / "settings.toml").write_text("# mine\n")
    (folder / "out").mkdir()
    (folder / "out" / "book.html").write_text("made anew any time")
    return folder


def test_before_each_write_and_in_the_middle_of_it(tmp_path: Path) -> None:
    counts = back_up_between(tmp_path, strokes=5)
    assert counts["backups"] > 50 and counts["one beyond"] > 3


def test_while_it_is_written_to_and_folded(tmp_path: Path) -> None:
    counts = write_between(tmp_path, strokes=40)
    assert counts["backups"] > 15 and counts["changes meanwhile"] > 20


def test_all_of_it_but_what_can_be_made_anew(whole: Path, tmp_path: Path) -> None:
    before = files_of(whole)
    report = back_up(whole, tmp_path / "new" / "copy")
    assert files_of(whole) == before, "the workshop is only read"
    left = {name: data for name, data in before.items() if not name.startswith("out")}
    assert files_of(report.into) == left
    assert (report.changes, report.photos, report.walked.found) == (9, 1, ())
    assert report.size == sum(len(data) for name, data in left.items() if name != "workshop.lock")
    assert read_mark(report.into / "workshop.lock") == read_mark(whole / "workshop.lock")
    with Store.open(whole, at=AT, who="Ann", read_only=True) as one, Store.open(report.into, at=AT, who="B") as other:
        assert state_of(one) == state_of(other) and list(one.entries()) == list(other.entries())


def test_a_torn_last_line_stays_behind_and_a_copy_has_a_mark_of_its_own(whole: Path, tmp_path: Path) -> None:
    (whole / "workshop.lock").unlink()
    with open(whole / "workshop.journal", "ab") as file:
        file.write(b'{"v":1,"epoch"')
    report = back_up(whole, tmp_path / "copy")
    assert report.changes == 9 and "cannot be told" in report.walked.notes[0]
    assert walk_folder(report.into).notes == () and check_folder(report.into) == []


@pytest.mark.parametrize("harm", ["cut", "line", "history", "snapshot", "no journal"])
def test_a_damaged_workshop_is_told_and_leaves_nothing(whole: Path, tmp_path: Path, harm: str) -> None:
    journal = whole / "workshop.journal"
    if harm == "cut":
        os.truncate(journal, len(b"".join(journal.read_bytes().splitlines(keepends=True)[:3])))
    elif harm == "line":
        journal.write_bytes(journal.read_bytes().replace(b"took out", b"took in!", 1))
    elif harm == "history":
        (whole / "history" / "000001.journal").unlink()
    elif harm == "snapshot":
        (whole / "workshop.json").write_bytes(b"{}")
    else:
        journal.unlink()
    with pytest.raises(Damaged, match="and so would be a copy"):
        back_up(whole, tmp_path / "copy")
    assert not (tmp_path / "copy").exists()
    (tmp_path / "empty").mkdir()
    with pytest.raises(Damaged):
        back_up(whole, tmp_path / "empty")
    assert list((tmp_path / "empty").iterdir()) == []


def test_where_no_copy_may_stand(whole: Path, tmp_path: Path) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / ".hidden").touch()
    (tmp_path / "broken off" / "copy.aside").mkdir(parents=True)
    for into, why in (
        (tmp_path / "full", r"is not empty \(.hidden\)"),
        (tmp_path / "broken off", "holds copy.aside, which a copy that was broken off left"),
        (whole, "lies inside the workshop"),
        (whole / "copy", "lies inside the workshop"),
        (whole.parent / "p.png", "is a file"),
    ):
        with pytest.raises(Refused, match=why):
            back_up(whole, into)
    with pytest.raises(NotAWorkshop):
        back_up(tmp_path / "nothing", tmp_path / "copy")
    assert not (whole / "copy").exists() and not (tmp_path / "copy").exists()


def test_a_refused_write_leaves_nothing(whole: Path, tmp_path: Path) -> None:
    at = 0
    while at < 200:
        disk = Failing(at, errno.ENOSPC)
        try:
            back_up(whole, tmp_path / "copy", disk=disk)
        except DiskTrouble as trouble:
            assert str(trouble).endswith("the disk is full; none is there.")
            assert not (tmp_path / "copy").exists(), disk.failed
        else:
            break
        at += 1
    assert 20 < at < 200
