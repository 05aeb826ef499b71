"""`mend`: what is saved, what is lost, and that the old folder stays as it is."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest

from bench.proving import expected_states, small_workshop, state_of
from bench.strokes import AT, Bench
from putback.errors import Damaged, NewerVersion, NotAWorkshop, Refused
from putback.store import Store, check_folder, mend
from putback.store.line import Head, head_line
from putback.trade.record.change import Change, Edit


@pytest.fixture
def whole(folder: Path) -> Path:
    """Nine changes: three in each of two histories, three in the journal."""
    small_workshop(folder)
    return folder


def mended_state(folder: Path) -> dict[str, dict[int, dict[str, object]]]:
    assert check_folder(folder) == []
    with Store.open(folder, at=AT, who="Ann") as store:
        assert store.writable and store.notes == ()
        return state_of(store)


def wreck(path: Path, line: int) -> None:
    """Overwrite the middle of a line with something that no one byte explains."""
    lines = path.read_bytes().splitlines(keepends=True)
    text = lines[line - 1]
    lines[line - 1] = text[:20] + b"spilt penetrant" + text[40:]
    path.write_bytes(b"".join(lines))


def test_a_whole_workshop_is_copied_change_for_change(whole: Path, tmp_path: Path) -> None:
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert (report.changes, report.lost, report.repaired, report.findings) == (9, (), (), ())
    with Store.open(whole, at=AT, who="Ann") as old, Store.open(tmp_path / "new", at=AT, who="Ann") as new:
        assert list(old.entries()) == list(new.entries()) and state_of(old) == state_of(new)
        assert old.workshop_id != new.workshop_id
        assert new.last_id("thing") == old.last_id("thing")


def test_the_old_folder_is_never_touched(whole: Path, tmp_path: Path) -> None:
    wreck(whole / "workshop.journal", 3)
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in whole.rglob("*") if path.is_file()}
    mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert {p: (p.read_bytes(), p.stat().st_mtime_ns) for p in whole.rglob("*") if p.is_file()} == before


def test_what_a_lost_line_did_is_learnt_from_what_came_after(whole: Path, tmp_path: Path) -> None:
    """Change 8 makes thing 8, move 8, and adds to step 3 and bag 3; change 9 tells how it found those two."""
    states = expected_states([change for change, _, _ in Bench(2, per_step=3).strokes(9)])
    wreck(whole / "workshop.journal", 3)
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert (report.changes, report.lost, report.repaired) == (9, (8,), ())
    assert [f.where for f in report.findings] == ["workshop.journal, line 3"]
    expected = states[9]
    del expected["thing"][8], expected["move"][8]  # nothing after it speaks of these
    assert mended_state(tmp_path / "new") == expected
    kept = (tmp_path / "new" / "damaged.txt").read_bytes()
    assert kept.startswith(b"# workshop.journal, line 3\n") and b"spilt penetrant" in kept
    with Store.open(tmp_path / "new", at=AT, who="Ann") as store:
        lost = next(entry for entry in store.entries() if entry.number == 8)
        assert lost.change.did == "Lost" and {(e.table, e.id) for e in lost.change.edits} == {("step", 3), ("bag", 3)}
        assert [entry.number for entry in store.entries()] == list(range(1, 10))


def test_a_snapshot_gives_back_what_a_lost_line_did(whole: Path, tmp_path: Path) -> None:
    states = expected_states([change for change, _, _ in Bench(2, per_step=3).strokes(9)])
    wreck(whole / "history" / "000002.journal", 3)
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert report.lost == (5,)
    assert mended_state(tmp_path / "new") == states[9]


@pytest.mark.parametrize(
    "names",
    [
        ["history/000001.journal"],
        ["history/000002.journal"],
        ["history/000001.journal", "history/000002.journal", "history/000002.json"],
        ["workshop.json"],
        ["workshop.json", "history/000002.json"],
    ],
)
def test_files_that_are_gone_are_made_up_for_by_the_others(whole: Path, tmp_path: Path, names: list[str]) -> None:
    states = expected_states([change for change, _, _ in Bench(2, per_step=3).strokes(9)])
    for name in names:
        (whole / name).unlink()
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert report.changes == 9
    assert len(report.lost) == 3 * sum("journal" in name for name in names)
    assert mended_state(tmp_path / "new") == states[9]


def test_the_snapshot_alone_is_a_workshop_again(whole: Path, tmp_path: Path) -> None:
    states = expected_states([change for change, _, _ in Bench(2, per_step=3).strokes(9)])
    shutil.rmtree(whole / "history")
    (whole / "workshop.journal").unlink()
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert report.lost == tuple(range(1, 10)), "the mark of the close knows of three more"
    assert mended_state(tmp_path / "new") == states[6]


def test_a_journal_without_its_head_is_read_by_its_lines(whole: Path, tmp_path: Path) -> None:
    states = expected_states([change for change, _, _ in Bench(2, per_step=3).strokes(9)])
    wreck(whole / "workshop.journal", 1)
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert report.lost == () and mended_state(tmp_path / "new") == states[9]


def test_lines_of_another_workshop_are_left_out(whole: Path, tmp_path: Path) -> None:
    states = expected_states([change for change, _, _ in Bench(2, per_step=3).strokes(9)])
    other = tmp_path / "other"
    small_workshop(other)
    with open(whole / "workshop.journal", "ab") as file:
        file.write((other / "workshop.journal").read_bytes())
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert report.lost == () and mended_state(tmp_path / "new") == states[9]
    assert [(f.where, f.what) for f in report.findings] == [
        ("workshop.journal", "has 4 lines of another workshop; left out")
    ]


def test_a_last_line_cut_short_is_nothing_lost(whole: Path, tmp_path: Path) -> None:
    with open(whole / "workshop.journal", "ab") as file:
        file.write(b'{"v":1,"epoch":"torn')
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert (report.changes, report.lost, report.findings) == (9, (), ())


def test_any_heap_of_damage_gives_a_clean_workshop(whole: Path, tmp_path: Path) -> None:
    """Bytes wrecked at random all over the folder: whatever comes out checks clean and goes on."""
    rng = random.Random(11)
    for round_ in range(25):
        copy, new = tmp_path / f"copy{round_}", tmp_path / f"new{round_}"
        shutil.copytree(whole, copy)
        for path in rng.sample(sorted(p for p in copy.rglob("*.j*") if p.is_file()), 3):
            data = bytearray(path.read_bytes())
            for _ in range(rng.randint(1, 4)):
                start = rng.randrange(len(data))
                piece = rng.choice([b"\n", b"\0" * 40, b"}{", rng.randbytes(30), b""])
                data[start : start + rng.choice([0, 1, 30, 400])] = piece
            path.write_bytes(data)
        try:
            report = mend(copy, new, at=AT, who="Ann")
        except Damaged as error:
            assert "Nothing can be saved" in str(error)
            continue
        assert check_folder(new) == []
        with Store.open(new, at=AT, who="Ann") as store:
            assert store.number == report.changes
            numbers = [entry.number for entry in store.entries()]
            assert numbers == list(range(1, report.changes + 1))
            store.commit(Change(did="x", said="", edits=(Edit("new", 1, None, {}),)), at=AT, who="Ann")


def test_photos_go_along_and_links_do_not(whole: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_text("not yours")
    photos = whole / "photos" / "sunday"
    photos.mkdir(parents=True)
    (photos / "one.jpg").write_bytes(b"picture")
    (photos / "two.jpg").symlink_to(secret)
    (whole / "settings.toml").write_text("[bell]\n")
    mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert sorted(p.name for p in (tmp_path / "new" / "photos").rglob("*")) == ["one.jpg", "sunday"]
    assert (tmp_path / "new" / "photos" / "sunday" / "one.jpg").read_bytes() == b"picture"
    assert (tmp_path / "new" / "settings.toml").read_text() == "[bell]\n"


def test_where_it_cannot_go(whole: Path, tmp_path: Path) -> None:
    with pytest.raises(NotAWorkshop, match="There is no workshop"):
        mend(tmp_path / "nothing", tmp_path / "new", at=AT, who="")
    with pytest.raises(Refused, match="holds a workshop already"):
        mend(whole, whole, at=AT, who="")
    with pytest.raises(Refused, match="inside the damaged workshop"):
        mend(whole, whole / "new", at=AT, who="")
    taken = tmp_path / "taken"
    taken.mkdir()
    (taken / "letter.txt").write_text("dear")
    with pytest.raises(NotAWorkshop, match="holds other things"):
        mend(whole, taken, at=AT, who="")
    empty = tmp_path / "empty"
    empty.mkdir()
    (empty / "workshop.journal").write_bytes(b"nonsense\n")
    with pytest.raises(Damaged, match="Nothing can be saved"):
        mend(empty, tmp_path / "new", at=AT, who="")
    assert not (tmp_path / "new").exists()


def test_a_number_that_cannot_be_is_not_believed(whole: Path, tmp_path: Path) -> None:
    from putback.store.line import change_line

    epoch = (whole / "workshop.journal").read_bytes().split(b'"')[5].decode()
    with open(whole / "workshop.journal", "ab") as file:
        file.write(change_line(epoch, 10**15, AT, "", Change(did="x", said="", edits=()))[0])
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert report.changes == 9 and "claims to be change 1000000000000000" in report.findings[0].what


def test_a_newer_format_is_refused_unless_it_is_damage(whole: Path, tmp_path: Path) -> None:
    path = whole / "workshop.json"
    path.write_bytes(path.read_bytes().replace(b'"format":2', b'"format":3'))
    report = mend(whole, tmp_path / "new", at=AT, who="Ann")
    assert report.changes == 9 and report.lost == ()
    (whole / "workshop.journal").write_bytes(head_line(Head(version=3, epoch="7f3a91c2.3", after=6)))
    with pytest.raises(NewerVersion):
        mend(whole, tmp_path / "newer", at=AT, who="Ann")
