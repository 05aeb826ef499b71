"""Files that a synced drive leaves beside a workshop's own are named, however they are called, and judged by what is in
them. The names are made up of what such programs have in common: a word, a person, a machine, a date, a number."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from bench.proving import small_workshop
from bench.strokes import AT, Bench
from putback.cli import main
from putback.store import Store
from putback.store.backup import back_up
from putback.store.beside import Beside, beside, judged
from putback.store.folder import Folder

NAMES = [
    "workshop (conflicted copy 2025-03-01).{}",
    "workshop (Zoë's conflicted copy 2025-03-01 101010).{}",
    "workshop (1).{}",
    "workshop 2.{}",
    "workshop-BENCHTOP.{}",
    "workshop.conflict-20250301-101010-ABCDEF.{}",
    "workshop_conflict-20250301-101010.{}",
    "workshop (copie en conflit).{}",
    "workshop (in Konflikt stehende Kopie).{}",
    "workshop の競合コピー.{}",
    "Copy of workshop.{}",
    "workshop.{}.orig",
    "workshop.{}~",
    "WORKSHO~1.{}",
    "whatever it is called",
]


@pytest.fixture
def whole(folder: Path) -> Path:
    """Nine changes: three in each of two histories, three in the journal; closed."""
    small_workshop(folder)
    return folder


@pytest.fixture
def apart(whole: Path, tmp_path: Path) -> Path:
    """A copy of the folder in which two changes more were made."""
    report = back_up(whole, tmp_path / "other")
    with Store.open(report.into, at=AT, who="Zoë") as store:
        for change, at, _ in list(Bench(2, per_step=3).strokes(11))[9:]:
            store.commit(change, at=at, who="Zoë")
    return report.into


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("ending", ["journal", "json"])
@pytest.mark.parametrize("place", ["", "history"])
def test_every_spelling_is_named_at_opening_and_by_check(whole: Path, name: str, ending: str, place: str) -> None:
    twin = whole / place / name.format(ending)
    shutil.copy(whole / f"workshop.{ending}", twin)
    kind = "journal" if ending == "journal" else "snapshot"
    assert beside(Folder(whole)) == [Beside(twin, kind)]
    with Store.open(whole, at=AT, who="Ann") as store:
        assert store.writable and len(store.notes) == 1
        assert store.notes[0].startswith(f"Beside the workshop's own files lies {Folder(whole).place(twin)}, as when ")
    findings, notes = judged(Folder(whole))
    assert not findings and "it may be removed" in notes[0], "it is the same as the workshop's own"


@pytest.mark.parametrize("place", ["", "history"])
def test_what_another_computer_entered_is_a_finding(whole: Path, apart: Path, place: str) -> None:
    twin = whole / place / "workshop (2).journal"
    shutil.copy(apart / "workshop.journal", twin)
    findings, notes = judged(Folder(whole))
    assert [f.where for f in findings] == [Folder(whole).place(twin)] and not notes
    assert "from change 10 on it holds what is not in the record" in findings[0].what


def test_a_twin_of_a_stretch_that_is_folded_by_now(whole: Path, apart: Path) -> None:
    shutil.copy(whole / "workshop.journal", whole / "older.txt")
    shutil.copy(apart / "workshop.journal", whole / "workshop (2).journal")
    with Store.open(whole, at=AT, who="Ann") as store:
        store.fold()
    findings, notes = judged(Folder(whole))
    assert ["from change 10 on" in found.what for found in findings] == [True]
    assert len(notes) == 1 and notes[0].startswith("older.txt is a second journal; all that is in it, up to change 9")


def test_a_snapshot_of_another_fold_a_torn_file_and_another_workshop(whole: Path, apart: Path, tmp_path: Path) -> None:
    with Store.open(apart, at=AT, who="Zoë") as store:
        store.fold()
    shutil.copy(apart / "workshop.json", whole / "workshop (2).json")
    (whole / "workshop (3).json").write_bytes((apart / "workshop.json").read_bytes()[:300])
    (whole / "workshop (4).journal").write_bytes(b"\0" * 900)
    (whole / "workshop (5).lock").touch()
    (whole / "settings-BENCHTOP.toml").touch()
    with Store.open(tmp_path / "strange", at=AT, who="Bob"):
        pass
    shutil.copy(tmp_path / "strange" / "workshop.journal", whole / "workshop (6).journal")
    findings, notes = judged(Folder(whole))
    told = {found.where: found.what for found in findings}
    assert "of this workshop up to change 11" in told["workshop (2).json"]
    assert told["workshop (3).json"].startswith("is a second snapshot, and ")
    assert told["workshop (4).journal"].startswith("is not one of the workshop's files")
    assert told["workshop (6).journal"].startswith("is a journal of another workshop")
    assert sorted(told) == [
        f"workshop ({n}).{end}" for n, end in ((2, "json"), (3, "json"), (4, "journal"), (6, "journal"))
    ]
    assert len(notes) == 2 and all("holds nothing of the record" in note for note in notes)


def test_what_has_nothing_to_do_with_the_record_is_left_alone(whole: Path) -> None:
    for name in (
        "notes.txt",
        "putback-2025-03-01-181530.json",
        ".workshop.journal.part",
        "workshop.jpg",
        "damaged.txt",
    ):
        (whole / name).write_text('{"putback": "export"}')
    (whole / "workshop.json.aside").write_bytes((whole / "workshop.json").read_bytes())
    (whole / "history" / "format-1.json").write_bytes((whole / "workshop.json").read_bytes())
    assert beside(Folder(whole)) == []
    with Store.open(whole, at=AT, who="Ann") as store:
        assert store.notes == ()


def test_the_reason_why_a_copy_only_reads_stays_the_last_word(whole: Path) -> None:
    shutil.copy(whole / "workshop.journal", whole / "workshop (1).journal")
    with Store.open(whole, at=AT, who="Ann"), Store.open(whole, at=AT, who="Bob") as second:
        assert second.notes[0].startswith("Beside") and "Ann has had" in second.notes[-1]


def test_commands_say_it_in_one_line_and_check_tells(
    whole: Path, apart: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copy(apart / "workshop.journal", whole / "workshop (2).journal")
    for command in (["log"], ["log", "--json"], ["backup", str(tmp_path / "copy")]):
        main(["--workshop", str(whole), *command])
        assert capsys.readouterr().err.splitlines() == [
            "putback: Beside the workshop's own files lies workshop (2).journal, as when two computers had a synced "
            "folder open: `putback check` says what it is."
        ]
    assert not (tmp_path / "copy" / "workshop (2).journal").exists()
    assert main(["--workshop", str(whole), "check", "--json"]) == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    assert found[-1]["where"] == "workshop (2).journal" and "from change 10 on" in found[-1]["what"]
    main(["--workshop", str(whole), "check"])
    assert "workshop (2).journal: is a second journal, of another computer" in capsys.readouterr().out
