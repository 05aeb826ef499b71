"""A journal cut after it was confirmed is missed, by the mark that a clean close leaves in the lock file."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from bench.proving import small_workshop, state_of
from bench.strokes import AT, Bench
from putback.cli import main
from putback.store import Store, check_folder, mend
from putback.store.check import walk_folder
from putback.store.lock import Mark, read_mark
from tests.sampled import examples


@pytest.fixture
def whole(folder: Path) -> Path:
    """Nine changes: three in each of two histories, three in the journal; closed."""
    small_workshop(folder)
    return folder


def cut(whole: Path, to: Path, length: int, *, lock: bytes | None) -> Path:
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(whole, to)
    os.truncate(to / "workshop.journal", length)
    if lock is None:
        (to / "workshop.lock").unlink()
    else:
        (to / "workshop.lock").write_bytes(lock)
    return to


def ends(whole: Path) -> list[int]:
    """Where each line of the journal ends."""
    found, at = [], 0
    for line in (whole / "workshop.journal").read_bytes().splitlines(keepends=True):
        found.append(at := at + len(line))
    return found


def test_a_clean_close_leaves_a_mark_and_an_open_copy_keeps_it(whole: Path) -> None:
    mark = read_mark(whole / "workshop.lock")
    assert mark is not None and (mark.number, mark.length) == (9, ends(whole)[-1])
    assert json.loads((whole / "workshop.lock").read_bytes())["closed"]["epoch"].endswith(".3")
    with Store.open(whole, at=AT, who="Ann") as store:
        assert read_mark(whole / "workshop.lock") == mark
        assert store.writable
    assert read_mark(whole / "workshop.lock") == mark


def test_a_tail_cut_at_every_byte_is_told_with_the_mark_and_without(whole: Path) -> None:
    """What a copy that was cut off leaves in the lock file counts as the mark of its opening."""
    closed, journal = (whole / "workshop.lock").read_bytes(), (whole / "workshop.journal").read_bytes()
    crashed = json.dumps({"who": "Ann", "at": AT, "host": "h", "process": 1, "mark": json.loads(closed)["closed"]})
    marks = ends(whole)
    for length in range(marks[0], marks[-1]):
        near = any(abs(length - end) < 2 for end in marks)
        if not near and length % examples(3, 1):  # every byte in the long run
            continue
        kept = 6 + sum(end <= length for end in marks[1:])
        first = "change 9" if kept == 8 else f"changes {kept + 1} to 9"
        (whole / "workshop.journal").write_bytes(journal[:length])
        for lock in (closed, crashed.encode()):
            (whole / "workshop.lock").write_bytes(lock)
            # to write, and by the whole history, where the cut is near an end: between them it is all the same
            with Store.open(whole, at=AT, who="Ann", read_only=not near) as store:
                assert not store.writable and store.number == kept
                assert f"lost after confirmation: {first}." in store.notes[-1], store.notes
                assert not any("before it was confirmed" in note for note in store.notes)
            if near:
                found = [f.what for f in check_folder(whole)]
                assert found == [f"is cut short; lost after confirmation: {first}"], "looking does not forget it"
        if near:
            (whole / "workshop.lock").unlink()
            walked = walk_folder(whole)
            assert walked.found == () and "cannot be told" in walked.notes[-1]
            assert (len(walked.notes) == 2) == (length not in marks)
            with Store.open(whole, at=AT, who="Ann") as store:
                assert store.writable and store.number == kept
                assert any("cannot be told" in note for note in store.notes) == (length not in marks)


def test_mending_goes_on_from_a_cut_tail(whole: Path, tmp_path: Path) -> None:
    with Store.open(whole, at=AT, who="Ann", read_only=True) as store:
        before = state_of(store)
    copy = cut(whole, tmp_path / "copy", ends(whole)[1] + 7, lock=(whole / "workshop.lock").read_bytes())
    with Store.open(copy, at=AT, who="Ann") as store:
        kept = state_of(store)
    assert kept != before
    report = mend(copy, tmp_path / "new", at=AT, who="Ann")
    assert report.lost == (8, 9) and report.changes == 9
    assert any("lost after confirmation: changes 8 to 9" in found.what for found in report.findings)
    with Store.open(tmp_path / "new", at=AT, who="Ann") as store:
        assert store.writable and store.number == 9 and state_of(store) == kept
    assert walk_folder(tmp_path / "new").notes == ()


def test_an_older_snapshot_and_journal_put_back_are_missed(whole: Path, tmp_path: Path) -> None:
    """As a sync does that brings the lock file first and the rest not at all."""
    shutil.copytree(whole, tmp_path / "old")
    with Store.open(whole, at=AT, who="Ann") as store:
        for change, _, _ in list(Bench(2, per_step=3).strokes(12))[9:]:
            store.commit(change, at=AT, who="Ann")
        store.fold()
    for name in ("workshop.json", "workshop.journal"):
        shutil.copy(tmp_path / "old" / name, whole / name)
    with Store.open(whole, at=AT, who="Ann") as store:
        assert not store.writable and "changes 10 to 12" in store.notes[-1]


@pytest.mark.parametrize(
    "words",
    [b"", b"{}", b"nonsense", b"[" * 5000, b'{"closed":{"epoch":"1.1","number":-1,"length":0}}',
     b'{"closed":{"epoch":"ffffffff.9","number":99,"length":0}}',
     b'{"closed":{"epoch":"x","number":1e999,"length":0}}'],
)  # fmt: skip
def test_words_that_are_no_mark_of_this_workshop_lose_nothing(whole: Path, words: bytes) -> None:
    (whole / "workshop.lock").write_bytes(words)
    assert check_folder(whole) == []
    with Store.open(whole, at=AT, who="Ann") as store:
        assert store.writable and store.number == 9


def test_a_mark_beyond_all_reason_is_told_and_mended_around(whole: Path, tmp_path: Path) -> None:
    mark = read_mark(whole / "workshop.lock")
    assert mark is not None
    words = {"closed": {"epoch": mark.epoch, "number": 2**62, "length": 1}}
    (whole / "workshop.lock").write_text(json.dumps(words))
    assert len(check_folder(whole)) == 1
    assert mend(whole, tmp_path / "new", at=AT, who="Ann").changes == 9


def test_a_reader_that_loads_while_the_writer_closes_sees_no_loss(whole: Path) -> None:
    """The mark is read before the journal, so it is never further on than the journal that is read after it."""
    writer = Store.open(whole, at=AT, who="Ann")
    for change, _, _ in list(Bench(2, per_step=3).strokes(12))[9:]:
        writer.commit(change, at=AT, who="Ann")
    with Store.open(whole, at=AT, who="Bob") as reader:
        assert reader.number == 12 and "Ann has had" in reader.notes[-1]
        writer.close()
    assert read_mark(whole / "workshop.lock") == Mark(f"{writer.workshop_id}.3", 12, ends(whole)[-1])


def test_check_tells_it_in_text_and_json(whole: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.truncate(whole / "workshop.journal", ends(whole)[1] + 7)
    assert main(["--workshop", str(whole), "check", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert not told["ok"] and told["findings"][0] == {
        "what": "is cut short; lost after confirmation: changes 8 to 9",
        "where": "workshop.journal, line 3",
    }
    (whole / "workshop.lock").unlink()
    main(["--workshop", str(whole), "check", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert told["notes"][0] == "workshop.journal, line 3 was cut short while it was written; it is left out."
    assert "cannot be told" in told["notes"][1]
    main(["--workshop", str(whole), "check"])
    assert "line 3 was cut short" in capsys.readouterr().out
