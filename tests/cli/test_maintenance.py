"""The commands that keep: log, export, import, check and mending, as a person runs them."""

from __future__ import annotations

import csv
import json
import os
import re
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from putback import cli
from putback.opening import open_at
from putback.scans.bag_code import is_code
from putback.sizing.threads import all_threads, may_be_a_thread
from putback.store import Store
from putback.store.photos import keep_photo, photo_name
from putback.trade import commands as c
from putback.trade.record.change import Change, Edit
from putback.trade.record.record import TABLES

SAMPLES = Path(__file__).parents[2] / "sample_sessions"
AT = "2025-03-01T10:00:00+00:00"


class Ran:
    """What one run came to."""

    def __init__(self, status: int, out: str, err: str) -> None:
        self.status, self.out, self.err = status, out, err

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def sentence(self) -> str:
        """The one line of a run that could not do what was asked."""
        assert self.status == 2 and self.out == "", (self.status, self.out, self.err)
        assert len(self.err.splitlines()) == 1, self.err
        return self.err.strip().removeprefix("putback: ")


Run = Callable[..., Ran]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command line on the workshop `bench` of the test."""
    monkeypatch.setenv("PUTBACK_WORKSHOP", str(tmp_path / "bench"))

    def ran(*words: object) -> Ran:
        status = cli.main([str(word) for word in words])
        captured = capsys.readouterr()
        return Ran(status, captured.out, captured.err)

    return ran


@pytest.fixture
def played(run: Run) -> Run:
    """The same, with two machines taken apart."""
    for name in ("drum_recorder", "skein_winder"):
        assert run("replay", SAMPLES / f"{name}.toml").status == 0
    return run


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


# -- log ---------------------------------------------------------------------------------------------


def test_the_log_tells_every_change_newest_last(played: Run, tmp_path: Path) -> None:
    with open_at(tmp_path / "bench") as workshop:
        workshop.take_back(1)
        number = workshop.store.number
    rows = played("log", "--json").json
    assert [row["number"] for row in rows] == list(range(1, number + 1))
    assert set(rows[0]) == {"number", "at", "who", "machine", "did", "said", "undoes", "undone_by"}
    assert rows[-1]["did"] == "Undo" and rows[rows[-1]["undoes"] - 1]["undone_by"] == number
    text = played("log", "--last", 3)
    assert text.status == 0 and text.out.splitlines()[-1].lstrip().startswith(f"{number} ")
    assert len(played("log", "--last", 3, "--json").json) == 3
    winder = played("log", "--machine", "skein winder", "--json").json
    assert {row["machine"] for row in winder} == {"Skein winder 4?6"} and 0 < len(winder) < number
    assert played("log", "--last", 0).sentence == "--last takes a number from 1 up."
    assert "There is no machine" in played("log", "--machine", "toaster").sentence


def test_the_log_where_there_is_nothing(run: Run, tmp_path: Path) -> None:
    assert run("log").sentence == f"There is no workshop in {tmp_path / 'bench'}."
    with open_at(tmp_path / "bench"):
        pass
    assert run("log").out == "Nothing has been done yet.\n" and run("log", "--json").json == []


# -- export and import -------------------------------------------------------------------------------


def test_a_dated_file_for_its_owner_only(played: Run, tmp_path: Path) -> None:
    (tmp_path / "backups").mkdir()
    path = Path(played("export", "--out", tmp_path / "backups").out.strip())
    assert re.fullmatch(r"putback-\d{4}-\d\d-\d\d-\d{6}\.json", path.name) and path.parent == tmp_path / "backups"
    assert json.loads(path.read_text("utf-8")) == played("export").json
    assert os.name == "nt" or stat.S_IMODE(path.stat().st_mode) == 0o600


def test_an_old_export_stays_whole_until_the_new_one_is(
    played: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "all.json"
    path.write_text("the last one")

    def full(*given: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("putback.store.disk.Disk.write", full)
        assert played("export", "--out", path).sentence == f"{path} cannot be written: No space left on device."
    assert path.read_text() == "the last one" and [p.name for p in tmp_path.glob("all*")] == ["all.json"]
    assert played("export", "--out", path).status == 0 and json.loads(path.read_text("utf-8"))


def test_a_pipe_is_written_to_and_not_replaced(played: Run) -> None:
    assert played("export", "--out", os.devnull).out == f"{os.devnull}\n"
    assert not Path(os.devnull).is_file()


def test_spreadsheets_of_every_table(played: Run, tmp_path: Path) -> None:
    with open_at(tmp_path / "bench") as workshop:
        workshop.do(c.Annotate(step=1, note="=HYPERLINK(1)"), 1)
    result = played("export", "--csv", tmp_path / "sheets" / "new", "--json").json
    assert result == {"files": [str(tmp_path / "sheets" / "new" / f"{table}.csv") for table in (*TABLES, "fasteners")]}
    exported = played("export").json
    for table in TABLES:
        with open(tmp_path / "sheets" / "new" / f"{table}.csv", encoding="utf-8-sig", newline="") as file:
            rows = list(csv.DictReader(file))
        assert [int(row["id"]) for row in rows] == [found["id"] for found in exported[table]]
        for row, found in zip(rows, exported[table], strict=True):
            for field, value in found.items():
                if isinstance(value, str):
                    assert row[field].replace("'", "") == value.replace("'", ""), (table, field)
            assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row.values())
    both = played("export", "--csv", tmp_path / "sheets", "--out", tmp_path / "all.json")
    assert len(both.out.splitlines()) == 2 + len(TABLES), "the record, a sheet a table, and the fasteners joined"
    (tmp_path / "taken").write_text("")
    assert "cannot be made a folder" in played("export", "--csv", tmp_path / "taken").sentence


@pytest.mark.parametrize("thread", ["bag 0", "step 3", "-", "M", "hole 1\n2", "#8-32\x1b[2J"])
def test_a_thread_that_is_none_is_refused_at_import(played: Run, tmp_path: Path, thread: str) -> None:
    found = played("export").json
    next(t for t in found["things"] if t.get("thread"))["thread"] = thread
    path = tmp_path / "other.json"
    path.write_text(json.dumps(found), "utf-8")
    assert "is not the name of a thread" in played("import", path, "--workshop", tmp_path / "other").sentence


def test_a_thread_of_a_newer_version_is_carried_as_text(played: Run, tmp_path: Path) -> None:
    found, other = played("export").json, tmp_path / "other"
    for thing in found["things"]:
        if thing.get("thread"):
            thing["thread"] = thing["size"] = "Tr 10x2"
            break
    path = tmp_path / "other.json"
    path.write_text(json.dumps(found), "utf-8")
    assert played("import", path, "--workshop", other).status == 0
    assert played("export", "--workshop", other).json["things"] == found["things"]
    for machine in ("5?83", "4?6"):
        for words in (["alike"], ["summary"], ["refit"], ["book", "--out", tmp_path / f"{machine}.html"]):
            assert played(*words, "--machine", machine, "--workshop", other).status == 0, words
    assert played("check", "--workshop", other).status == 0
    assert "Tr 10x2" in (tmp_path / "5?83.html").read_text("utf-8") + (tmp_path / "4?6.html").read_text("utf-8")


def test_every_thread_of_the_tables_may_come_in() -> None:
    assert all(may_be_a_thread(thread.name) for thread in all_threads())


def test_out_and_in_again_loses_nothing(played: Run, tmp_path: Path) -> None:
    first, second = tmp_path / "one.json", tmp_path / "two.json"
    played("export", "--out", first)
    other = tmp_path / "other"
    found = played("import", first, "--workshop", other, "--json").json
    assert found == {
        "machines": ["Drum recorder 5?83", "Skein winder 4?6"],
        "changes": 1, "last": 1, "codes": [], "photos": [],
    }  # fmt: skip
    played("export", "--out", second, "--workshop", other)
    one, two = (json.loads(path.read_text("utf-8")) for path in (first, second))
    assert {**one, "changes": 1} == two
    assert played("check", "--workshop", other, "--json").json == {"ok": True, "changes": 1, "findings": []}
    for words in (["bags"], ["refit"], ["summary"]):
        assert played(*words, "--machine", "4?6", "--json").json == (
            played(*words, "--machine", "4?6", "--json", "--workshop", other).json
        )


def test_machines_move_from_workshop_to_workshop(played: Run, tmp_path: Path) -> None:
    path, other = tmp_path / "all.json", tmp_path / "other"
    played("export", "--out", path)
    taken = played("import", path, "--machine", "skein winder", "--workshop", other)
    assert taken.out == "Taken in: Skein winder 4?6.\n"
    before = files_of(other)
    assert "Skein winder 4?6 is in this workshop already; nothing was taken in." in (
        played("import", path, "--workshop", other).sentence
    )
    assert "There is no machine “toaster” in all.json" in (
        played("import", path, "--machine", "toaster", "--workshop", other).sentence
    )
    assert {k: v for k, v in files_of(other).items() if "lock" not in k} == {
        k: v for k, v in before.items() if "lock" not in k
    }
    assert played("import", path, "--machine", "5?83", "--workshop", other).status == 0
    assert {m["name"] for m in played("export", "--workshop", other).json["machines"]} == {
        "Drum recorder",
        "Skein winder",
    }
    assert played("bags", "--workshop", other, "--json").json == played("bags", "--machine", "5?83", "--json").json
    assert played("check", "--workshop", other).status == 0


def test_codes_that_clash_are_settled_and_told(played: Run, tmp_path: Path) -> None:
    path, other = tmp_path / "one.json", tmp_path / "other"
    played("export", "--machine", "skein winder", "--out", path)
    value = json.loads(path.read_text("utf-8"))
    value["machines"][0]["name"] = "Skein winder, the other"
    path.write_text(json.dumps(value), "utf-8")
    was = [bag["code"] for bag in value["bags"]]
    assert played("import", path, "--workshop", other, "--json").json["codes"] == []
    codes = played("import", path, "--json").json["codes"]
    assert [code["was"] for code in codes] == was and all(is_code(code["now"]) for code in codes)
    assert set(codes[0]) == {"machine", "bag", "was", "now", "held_by"}
    assert codes[0]["machine"] == "Skein winder, the other 4?6" and codes[0]["held_by"] == "bag 1 of Skein winder 4?6"
    assert played("check").status == 0
    now = [bag["code"] for bag in played("bags", "--machine", "Skein winder, the other", "--json").json]
    assert now == [code["now"] for code in codes] and not set(now) & set(was)

    value["machines"][0]["name"] = "A third"
    path.write_text(json.dumps(value), "utf-8")
    lines = played("import", path).out.splitlines()
    assert lines[0] == "Taken in: A third 4?6." and lines[-1].startswith("Print a new label for each of them")
    assert all(f"came with the code {code}" in line for code, line in zip(was, lines[1:-1], strict=True))


def test_what_is_not_sound_changes_nothing(played: Run, tmp_path: Path) -> None:
    path = tmp_path / "one.json"
    played("export", "--machine", "skein winder", "--out", path)
    value = json.loads(path.read_text("utf-8"))
    value["machines"][0]["name"] = "Another"
    value["moves"][3]["count"] = 2
    path.write_text(json.dumps(value), "utf-8")
    before = files_of(tmp_path / "bench")
    sentence = played("import", path).sentence
    assert sentence.startswith("one.json: Another 4?6") and "fault" in sentence
    assert files_of(tmp_path / "bench") == before
    assert played("import", path, "--workshop", tmp_path / "new").status == 2
    assert not (tmp_path / "new").exists(), "no workshop is made for a file that is none"
    assert "is larger than" not in played("import", tmp_path / "nowhere.json").sentence
    assert "is a folder" in played("import", tmp_path).sentence
    assert "is not JSON" in played("import", SAMPLES / "skein_winder.toml").sentence


def test_photos_to_copy_are_told_and_every_photo_is_proved(run: Run, tmp_path: Path) -> None:
    (tmp_path / "IMG_1.JPG").write_bytes(b"a picture")
    name = photo_name(tmp_path / "IMG_1.JPG")
    with open_at(tmp_path / "there") as workshop:
        workshop.do(c.NewMachine(name="press"))
        workshop.do(c.FilePhotos(photos=(c.FiledPhoto(file=name, name="IMG_1.JPG"),)), 1)
    run("export", "--workshop", tmp_path / "there", "--out", tmp_path / "x.json")
    found = run("import", tmp_path / "x.json")
    assert found.out.splitlines()[-1].startswith("1 photo to copy from the other workshop's photos into ")
    proof = run("check", "--json")
    assert proof.status == 1 and proof.json["findings"] == [
        {"what": "is named by the record, and its file is not there", "where": f"photo 1 ({name})"}
    ]
    keep_photo(tmp_path / "IMG_1.JPG", tmp_path / "bench" / "photos")
    assert run("check").status == 0
    (tmp_path / "bench" / "photos" / name).write_bytes(b"a pikture")
    assert "changed or damaged" in run("check", "--json").json["findings"][0]["what"]


def test_check_lists_what_of_the_settings_cannot_be_used(tmp_path: Path, run: Run) -> None:
    run("replay", SAMPLES / "drum_recorder.toml")
    (tmp_path / "bench" / "settings.toml").write_text("[bell]\nasks = 1\n[look]\ntheme = 'pink'\n")
    result = run("check", "--json")
    assert result.status == 1
    assert [found["where"] for found in result.json["findings"]] == ["settings.toml, line 2", "settings.toml, line 4"]
    (tmp_path / "bench" / "settings.toml").write_text("[bell]\nasks = true\n")
    assert run("check").status == 0


# -- check and mending -------------------------------------------------------------------------------


def test_every_reference_is_proved(played: Run, tmp_path: Path) -> None:
    with Store.open(tmp_path / "bench", at=AT, who="") as store:
        thing = dict(store.documents("things")[1])
        edits = (Edit("things", 1, thing, {**thing, "step": 999, "head": "egg"}),)
        store.commit(Change(did="Break", said="", edits=edits, machine=1), at=AT, who="")
    found = played("check", "--json")
    what = [finding["what"] for finding in found.json["findings"]]
    assert found.status == 1 and "“egg” is not a head." in what and "It came off at a step that is not there." in what


def test_a_damaged_workshop_is_mended_into_a_new_one(played: Run, tmp_path: Path) -> None:
    journal = tmp_path / "bench" / "workshop.journal"
    lines = journal.read_bytes().splitlines(keepends=True)
    sound = played("export").json
    lines[20] = lines[20].replace(b'"at":"2', b'"at":"3', 1)
    lines[40] = b"x" * 50 + lines[40][50:]
    journal.write_bytes(b"".join(lines))
    before = files_of(tmp_path / "bench")
    found = played("check", "--mend", tmp_path / "new", "--json")
    assert found.status == 1 and files_of(tmp_path / "bench") == before
    value = found.json
    assert set(value) == {"ok", "changes", "findings", "into", "lost", "repaired", "new"}
    assert value["into"] == str(tmp_path / "new") and value["changes"] == sound["changes"]
    assert len(value["repaired"]) == 1 and "line 21" in value["repaired"][0] and value["lost"] == [40]
    assert any("line 41" in finding["where"] for finding in value["findings"])
    assert (tmp_path / "new" / "damaged.txt").exists()
    assert played("check", "--workshop", tmp_path / "new", "--json").json == value["new"]
    rows = played("log", "--workshop", tmp_path / "new", "--json").json
    assert rows[39]["did"] == "Lost" and len(rows) == sound["changes"]


def test_mending_as_text(played: Run, tmp_path: Path) -> None:
    journal = tmp_path / "bench" / "workshop.journal"
    data = bytearray(journal.read_bytes())
    data[5000] ^= 1
    journal.write_bytes(data)
    found = played("check", "--mend", tmp_path / "new")
    lines = found.out.splitlines()
    assert found.status == 1 and lines[-2] == "Nothing is lost."
    assert re.fullmatch(r".*new has \d+ changes; the old folder is as it was\.", lines[-1])
    whole = played("check", "--workshop", tmp_path / "new", "--mend", tmp_path / "copy")
    assert whole.status == 0 and whole.out.startswith("Nothing was wrong; this is a copy.\n")
    assert played("check", "--mend", tmp_path / "new").sentence.endswith("holds a workshop already; name a new folder.")
    assert "lies inside the damaged workshop" in played("check", "--mend", tmp_path / "bench" / "x").sentence
    assert played("check", "--mend", " ").sentence == "--mend must name a folder."
    assert "There is no workshop" in played("check", "--workshop", tmp_path / "no", "--mend", tmp_path / "y").sentence


# -- a backup ----------------------------------------------------------------------------------------


def test_a_backup_of_a_workshop_that_is_open(played: Run, tmp_path: Path) -> None:
    (tmp_path / "p.png").write_bytes(b"a picture")
    keep_photo(tmp_path / "p.png", tmp_path / "bench" / "photos")
    with open_at(tmp_path / "bench") as workshop:
        number = workshop.store.number
        text = played("backup", tmp_path / "one")
        assert text.status == 0 and text.out.startswith(f"{tmp_path / 'one'}: {number} changes, 1 photo, ")
        assert text.out.endswith("; proved, nothing wrong.\n")
        plain = played("backup", tmp_path / "two", "--plain")
        assert plain.status == 0 and len(plain.out.splitlines()) == 1
        told = played("backup", tmp_path / "three", "--json").json
    size = sum(len(data) for name, data in files_of(tmp_path / "three").items() if name != "workshop.lock")
    assert told == {
        "ok": True, "into": str(tmp_path / "three"), "changes": number, "photos": 1, "bytes": size, "findings": []
    }  # fmt: skip
    for name in ("one", "two", "three"):
        assert played("check", "--workshop", tmp_path / name).status == 0
        assert played("export", "--workshop", tmp_path / name).json == played("export").json
    assert "is not empty" in played("backup", tmp_path / "one").sentence
    assert "lies inside" in played("backup", tmp_path / "bench" / "x").sentence
    assert played("backup", " ").sentence == "DIR names no folder."
    assert "There is no workshop" in played("backup", "--workshop", tmp_path / "no", tmp_path / "four").sentence


def test_a_backup_of_a_record_that_does_not_add_up_is_made_and_says_so(played: Run, tmp_path: Path) -> None:
    picture = tmp_path / "p.png"
    picture.write_bytes(b"a picture")
    name = keep_photo(picture, tmp_path / "bench" / "photos")
    with open_at(tmp_path / "bench") as workshop:
        workshop.do(c.FilePhotos(photos=(c.FiledPhoto(file=name, name="IMG_1.JPG"),)), 1)
    (tmp_path / "bench" / "photos" / name).unlink()
    ran = played("backup", tmp_path / "copy")
    assert ran.status == 1 and "It is a true copy of a record in which this is wrong:" in ran.out
    assert "its file is not there" in ran.out
    assert not played("backup", tmp_path / "other", "--json").json["ok"]


def test_a_machine_is_written_back_as_a_session_file(run: Run, tmp_path: Path) -> None:
    run("replay", SAMPLES / "skein_winder.toml")
    file = tmp_path / "again.toml"
    ran = run("export", "--session-file", file, "--json")
    assert (ran.status, ran.err) == (0, "") and ran.json == {"file": str(file), "unsaid": []}
    assert run("export", "--session-file").out == file.read_text("utf-8")
    other = ("--workshop", tmp_path / "other")
    assert run("replay", file, *other).status == 0
    assert run("export", "--session-file", *other).out == file.read_text("utf-8")
    assert run("export", "--session-file", file, "--csv", tmp_path).sentence.startswith("--session-file goes alone")
