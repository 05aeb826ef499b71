"""The command line's contract: JSON shapes, exit codes, one sentence on standard error, nothing lost."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from putback import __version__, cli
from putback.opening import open_at
from putback.scans.bag_code import is_code
from putback.store.line import seal
from putback.trade import commands as c
from putback.trade.record.record import TABLES

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_sessions"

FILE = """
[machine]
name = "Fare stamp"
serial = "41?7"
origin = "us"
[assemblies]
case = {}
[[session]]
start = 2025-03-01T10:00:00
title = "outside"
box = "A"
[[session.step]]
do = "take off"
part = "lid"
in = "case"
bag = 1
put = "shelf"
minutes = 4
tools = ["driver"]
cautions = ["heavy"]
fasteners = [{ hole = "1", gauge = "832", length = ".372" }, { hole = "3", same = true }]
close = [1]
[[session.step]]
do = "take off"
part = "bell"
bag = 2
put = "away: plater"
minutes = 6
loose = [{ name = "ball", count = 3 }]
"""


class Ran:
    """What one run came to."""

    def __init__(self, status: int, out: str, err: str) -> None:
        self.status, self.out, self.err = status, out, err

    @property
    def json(self) -> Any:
        """Standard output as the one JSON value it must be."""
        return json.loads(self.out)

    @property
    def sentence(self) -> str:
        """The one line on standard error of a run that could not do what was asked."""
        lines = self.err.splitlines()
        assert self.status == 2 and self.out == "" and len(lines) == 1, (self.status, self.out, self.err)
        assert lines[0].startswith("putback: ") and "Traceback" not in lines[0]
        return lines[0].removeprefix("putback: ")


Run = Callable[..., Ran]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command line in this process, on the workshop `bench` of the test."""
    monkeypatch.setenv("PUTBACK_WORKSHOP", str(tmp_path / "bench"))

    def ran(*words: object) -> Ran:
        try:
            status = cli.main([str(word) for word in words])
        except SystemExit as ended:  # argparse, after --help and --version
            status = int(ended.code or 0)
        captured = capsys.readouterr()
        return Ran(status, captured.out, captured.err)

    return ran


def process(*words: object, **more: Any) -> subprocess.CompletedProcess[str]:
    """Runs a command line in a process of its own."""
    command = [sys.executable, "-m", "putback", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=ROOT, **more)


@pytest.fixture
def day(tmp_path: Path) -> Path:
    """A small session file."""
    path = tmp_path / "day.toml"
    path.write_text(FILE, "utf-8")
    return path


@pytest.fixture
def played(run: Run, day: Path) -> Run:
    """The same, with the small session played."""
    assert run("replay", day).status == 0
    return run


def state_of(folder: Path) -> dict[str, bytes]:
    """Every file of a folder but its lock, byte for byte."""
    found = (path for path in sorted(folder.rglob("*")) if path.is_file() and path.suffix != ".lock")
    return {str(path.relative_to(folder)): path.read_bytes() for path in found}


# -- the line itself ---------------------------------------------------------------------------------


def test_version_and_help(run: Run) -> None:
    assert run("--version").out == f"putback {__version__}\n"
    found = run("--help")
    assert found.status == 0 and all(name in found.out for name in ("replay", "refit", "bags", "check"))
    assert run("replay", "--help").status == 0


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["fly"], "there is no command fly (see putback --help)"),
        (["bgas"], "there is no command bgas; did you mean bags"),
        (["bag"], "Say which bag: its number, its code, or --image FILE"),
        (["summary", "--session", "two"], "invalid int value: 'two'"),
        (["bags", "--all"], "unrecognized arguments: --all"),
        (["bags", "--mach", "x"], "unrecognized arguments: --mach x; did you mean --machine?"),
        (["--workshop"], "expected one argument"),
        (["--workshop", "", "bags"], "--workshop must name a folder."),
        (["--workshop", "~nobody-of-that-name/x", "bags"], "there is no such home folder."),
        ([], "The workbench screen needs a terminal"),
    ],
)
def test_a_line_that_cannot_be_read(run: Run, words: list[str], message: str) -> None:
    assert message in run(*words).sentence


READING = [["bags"], ["summary"], ["refit"], ["reach", "lid"], ["export"], ["labels"], ["bag", "PB3K7M2Q4"], ["check"]]


@pytest.mark.parametrize("words", READING, ids=lambda words: words[0])
def test_reading_makes_no_workshop(run: Run, tmp_path: Path, words: list[str]) -> None:
    sentence = run(*words).sentence
    assert sentence == f"There is no workshop in {tmp_path / 'bench'}." or "is not a bag code" in sentence
    assert not (tmp_path / "bench").exists()


@pytest.mark.parametrize("words", [["bags"], ["summary"], ["refit"], ["export"], ["check"]], ids=lambda words: words[0])
def test_the_workshop_is_named_before_after_or_by_the_variable(
    played: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    found = played(*words, "--json").json
    monkeypatch.setenv("PUTBACK_WORKSHOP", str(tmp_path / "elsewhere"))
    folder = tmp_path / "bench"
    assert played("--workshop", folder, *words, "--json").json == found
    assert played(*words, "--workshop", folder, "--json").json == found
    assert played("--json", *words, f"--workshop={folder}").json == found
    assert played(*words, "--json").sentence == f"There is no workshop in {tmp_path / 'elsewhere'}."


def test_without_a_name_the_users_data_folder_is_used(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, day: Path
) -> None:
    monkeypatch.delenv("PUTBACK_WORKSHOP")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr("platformdirs.user_data_path", lambda *args, **more: tmp_path / "data" / "putback")
    assert run("replay", day).status == 0
    assert (tmp_path / "data" / "putback" / "workshop" / "workshop.journal").exists()


# -- replay ------------------------------------------------------------------------------------------


def test_replay_tells_each_change(run: Run, day: Path, tmp_path: Path) -> None:
    found = run("replay", day)
    numbers = [int(line.removeprefix("ok ")) for line in found.out.splitlines()]
    assert found.status == 0 and found.err == "" and numbers == list(range(1, len(numbers) + 1))
    with open_at(tmp_path / "bench", read_only=True) as workshop:
        assert workshop.store.number == numbers[-1]


def test_replay_as_json_tells_on_standard_error(run: Run, day: Path) -> None:
    found = run("replay", "--json", day)
    changes = len(found.err.splitlines())
    assert found.json == {"machine": "Fare stamp 41?7", "changes": changes, "last": changes}
    assert found.err.splitlines()[-1] == f"ok {changes}"


def test_the_same_machine_is_not_played_twice(played: Run, day: Path, tmp_path: Path) -> None:
    before = state_of(tmp_path / "bench")
    assert played("replay", day).sentence == "day.toml: Fare stamp 41?7 is in this workshop already."
    assert state_of(tmp_path / "bench") == before


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (("part = “lid”", ""), "day.toml: this is not TOML"),
        (('part = "lid"\n', ""), "day.toml: step 1: the field “part” is missing."),
        (('"take off"', '"take of"'), "day.toml: step 1: do = “take of” is unknown; did you mean “take off”?"),
        (("minutes = 6", "minutes = 6\nneeds = [9]"), "day.toml: step 2: needs: there is no step 9; the file has 2."),
        (("minutes = 4", "minutes = 4\nneeds = [2]"), "day.toml: step 1: needs: step 1 (lid) needs 2 (bell)"),
        (('part = "bell"', 'part = "lid"\nin = "case"'), "day.toml: step 2: lid is off already, since step 1."),
        (('hole = "3"', 'hole = "1"'), "day.toml: step 1, fastener 2: Hole 1 has its screw #8-32 UNC x 3/8 already"),
        (("bag = 2", "bag = 1"), "day.toml: step 2: Bag 1 is closed; reopen it first, or take another."),
        (("close = [1]", "close = [3]"), "day.toml: step 1, close: There is no bag 3 on this machine."),
        (('gauge = "832", ', ""), "day.toml: step 1, fastener 1: a length alone does not name a screw; give gauge or"),
        (('"832"', '"hello"'), "day.toml: step 1, fastener 1: "),
    ],
)  # fmt: skip
def test_a_bad_session_file_changes_nothing(
    run: Run, day: Path, tmp_path: Path, spoil: tuple[str, str], message: str
) -> None:
    good = FILE if "“" not in spoil[0] else FILE.replace('part = "lid"', spoil[0])
    day.write_text(good.replace(*spoil) if good == FILE else good, "utf-8")
    assert run("replay", day).sentence.startswith(message)
    assert not (tmp_path / "bench").exists()


def test_a_file_that_cannot_be_read_is_said_so(run: Run, tmp_path: Path) -> None:
    assert "No such file" in run("replay", tmp_path / "nowhere.toml").sentence
    assert run("replay", tmp_path).sentence == f"{tmp_path} is a folder, not a file."
    binary = tmp_path / "photo.toml"
    binary.write_bytes(b"name = \xff\xfe")
    assert run("replay", binary).sentence == f"{binary} is not UTF-8 text (byte 7)."
    with_mark = tmp_path / "mark.toml"
    with_mark.write_bytes(b"\xef\xbb\xbf" + FILE.encode())
    assert run("replay", with_mark).status == 0
    huge = tmp_path / "huge.toml"
    with huge.open("wb") as file:
        file.truncate(cli.LARGEST_FILE + 1)
    assert run("replay", huge).sentence == f"{huge} is larger than 32 MB."


def test_playing_goes_on_when_nobody_listens(day: Path, tmp_path: Path) -> None:
    command = f"{sys.executable} -m putback --workshop {tmp_path / 'bench'} replay {day} | true"
    ended = subprocess.run(["bash", "-c", f"set -o pipefail; {command}"], capture_output=True, check=False, cwd=ROOT)
    assert (ended.returncode, ended.stderr) == (0, b"")
    found = json.loads(process("--workshop", tmp_path / "bench", "bags", "--json").stdout)
    assert [row["count"] for row in found] == [2, 3]


# -- bags --------------------------------------------------------------------------------------------


def test_the_bag_ledger(played: Run) -> None:
    rows = played("bags", "--json").json
    assert [set(row) for row in rows] == [{"code", "number", "state", "count"}] * 2
    assert [(row["number"], row["state"], row["count"]) for row in rows] == [(1, "closed", 2), (2, "open", 3)]
    assert all(is_code(row["code"]) for row in rows)
    text = played("bags").out
    assert all(row["code"] in text for row in rows) and len(text.splitlines()) == 3


def test_what_is_in_a_bag(played: Run) -> None:
    first, second = (row["code"] for row in played("bags", "--json").json)
    found = played("bag", first, "--json").json
    assert found == {
        "code": first,
        "number": 1,
        "machine": "Fare stamp 41?7",
        "state": "closed",
        "contents": [
            {"count": 1, "what": "screw", "size": "#8-32 UNC x 3/8", "hole": "1", "step": 1},
            {"count": 1, "what": "screw", "size": "#8-32 UNC x 3/8", "hole": "3", "step": 1},
        ],
        "steps": [1],
    }
    found = played("bag", second.lower(), "--json").json
    assert found["contents"] == [{"count": 3, "what": "ball", "size": "", "hole": None, "step": 2}]
    for words in (["2"], ["bag", "2"], ["Bag 2"], [f"{second}:", "BAG", "2", "-", "FARE STAMP", "-", "STEP 2."]):
        assert played("bag", *words, "--json").json == found, words
    assert played("bag", "9").sentence == "Fare stamp 41?7 has no bag 9."
    assert "3 x" in played("bag", second).out and "of Fare stamp 41?7" in played("bag", second).out


def test_a_bag_that_is_not_there(played: Run) -> None:
    code = played("bags", "--json").json[0]["code"]
    swapped = code[:3] + code[4] + code[3] + code[5:] if code[3] != code[4] else code[:-2] + code[-1] + code[-2]
    assert f"Did you mean {code}?" in played("bag", swapped).sentence
    assert "a bag code starts with PB" in played("bag", "HELLO").sentence
    assert "Say which bag" in played("bag", "").sentence
    other = next(c for c in ("PB000000" + last for last in "0123456789ABCDEFGH") if is_code(c))
    assert played("bag", other).sentence == f"No bag in this workshop has the code {other}."


# -- summary, refit, reach ---------------------------------------------------------------------------


def test_the_summary(played: Run) -> None:
    found = played("summary", "--json").json
    assert set(found) == {
        "machine", "session", "title", "start", "end", "minutes", "segments", "steps", "back", "holes", "sizes", "bags",
        "questions", "balance", "things", "next", "note", "areas", "minutes_all", "notes", "target", "breaks",
        "of_machine", "seen",
    }  # fmt: skip
    assert (found["machine"], found["session"], found["title"], found["minutes"]) == (
        "Fare stamp 41?7",
        1,
        "outside",
        10,
    )
    assert found["balance"] == {"bag": 5, "shelf": 1, "away": 1} and found["things"] == 7
    assert found["sizes"] == {"screw #8-32 UNC x 3/8": 2}
    assert [(s["number"], s["fasteners"], s["pieces"], s["put"]) for s in found["steps"]] == [
        (1, 2, 0, "shelf"),
        (2, 0, 3, "away: plater"),
    ]
    assert played("summary", "--session", 1, "--json").json["steps"] == found["steps"]
    text = played("summary").out
    assert "it balances" in text and "lid  (2 fasteners" in text
    assert played("summary", "--session", 2).sentence == "There is no session 2 with Fare stamp 41?7; the last is 1."
    assert "There is no session -1" in played("summary", "--session", -1).sentence


def test_the_refit_plan(played: Run) -> None:
    found = played("refit", "--json").json
    account = found.pop("account")
    assert [(step["step"], step["state"], step["heading"]) for step in account] == [
        (2, "waits", "put on bell"),
        (1, "waits", "put on lid"),
    ]
    assert found == {
        "order": [2, 1],
        "bag_openings": 2,
        "tool_changes": 1,
        "proved_best": None,
        "waiting": [{"step": 1, "for": "bell (away: plater)"}, {"step": 2, "for": "bell (away: plater)"}],
        "sessions": [],
        "sessions_proved": False,
    }
    text = played("refit").out
    assert "waits for bell (away: plater)" in text and "! heavy" in text
    assert "holes 3 1: 2 x screw #8-32 UNC x 3/8" in text


def test_the_least_work_to_reach_a_part(played: Run) -> None:
    found = played("reach", "Bell", "--json").json
    assert found == {"steps": [1, 2], "fasteners": 2, "bags": [1, 2], "minutes": 10}
    assert played("reach", "bell", "--now", "--json").json["steps"] == []
    assert "nothing is in the way" in played("reach", "bell", "--now").out
    assert played("reach", "lid").out.splitlines()[-1] == "1 step, 2 fasteners, about 4 min, bags 1"
    assert "did you mean “bell”" in played("reach", "bel").sentence


# -- machines ----------------------------------------------------------------------------------------


def test_the_machine_is_named_by_name_or_serial(played: Run, day: Path) -> None:
    day.write_text(FILE.replace("Fare stamp", "Recorder").replace("41?7", "5?83"), "utf-8")
    assert played("replay", day).status == 0
    assert played("summary", "--json").json["machine"] == "Recorder 5?83", "the machine of the last change"
    for words in ("fare stamp", "41?7", "417", "Fare stamp 41?7", "fare stamp 417"):
        assert played("--machine", words, "summary", "--json").json["machine"] == "Fare stamp 41?7", words
        assert played("summary", "--machine", words, "--json").json["machine"] == "Fare stamp 41?7"
    assert played("summary", "--machine", "stam", "--json").json["machine"] == "Fare stamp 41?7"
    text = played("summary", "--machine", "Fare stanp").sentence
    assert text == "There is no machine “Fare stanp” in this workshop; did you mean “Fare stamp 41?7”?"
    text = played("summary", "--machine", "zz").sentence
    assert text == "There is no machine “zz” in this workshop; there is Fare stamp 41?7, Recorder 5?83."
    day.write_text(FILE.replace("41?7", "99"), "utf-8")
    assert played("replay", day).status == 0
    assert "More than one machine answers to “fare stamp”" in played("bags", "--machine", "fare stamp").sentence


# -- size --------------------------------------------------------------------------------------------


def test_a_size_is_named(run: Run, tmp_path: Path) -> None:
    found = run("size", "--gauge", "832", "--length", ".372", "--head", "fillister", "--origin", "us", "--json").json
    assert set(found) == {"thread", "length"}
    for half, name in (("thread", "#8-32 UNC"), ("length", "3/8")):
        keys = {"verdict", "candidates", "ask"}
        assert set(found[half]) - {"datum", "tap_drill"} == keys and found[half]["verdict"] == "sure"
        assert found[half]["candidates"][0]["name"] == name and 0 < found[half]["candidates"][0]["probability"] <= 1
    assert found["length"]["datum"] == "under the head"
    assert run("size", "--length", ".372", "--json").json["thread"] is None
    assert "#8-32 UNC" in run("size", "--gauge", "832").out
    assert not (tmp_path / "bench").exists()


@pytest.mark.parametrize(
    "words",
    [
        ["--gauge", "what"],
        ["--od", "-3"],
        ["--od", "7/"],
        ["--tpi", "many"],
        ["--origin", "mars", "--od", ".164"],
        ["--unit", "ft", "--od", ".164"],
        ["--pitch-by", "nose", "--pitch", "0.7"],
        ["--have", "lathe", "--od", ".164"],
        [],
    ],
    ids=" ".join,
)
@pytest.mark.parametrize("json_too", [(), ("--json",)])
def test_a_size_that_cannot_be_read(run: Run, words: list[str], json_too: tuple[str, ...]) -> None:
    assert len(run("size", *words, *json_too).sentence) > 10


def test_a_batch_answers_line_by_line(run: Run, tmp_path: Path) -> None:
    lines = [
        {"gauge": "832", "length": ".372", "head": "fillister", "origin": "us"},
        {"od": 3.42, "unit": "mm", "note": "x"},
        {"od": "3.42\u2028", "unit": "mm"},
        {"od": 3.42, "pitch": 0.6, "unit": "mm", "origin": "metric"},
    ]
    path = tmp_path / "readings.jsonl"
    rows = [json.dumps(line, ensure_ascii=False) for line in lines]
    rows[2:2] = ["not json", "[1]", '{"od": NaN}', "", '{"od": ' + "9" * 5000 + "}", "[" * 100_000]
    path.write_text("\n".join(rows) + "\n", "utf-8")
    found = run("size", "--batch", path)
    answers = [json.loads(line) for line in found.out.splitlines()]
    assert found.status == 2 and len(found.err.splitlines()) == 1 and str(path) in found.err
    assert len(answers) == 9 and ["error" in answer for answer in answers] == [
        False, True, True, True, True, True, True, "error" in answers[7], False,
    ]  # fmt: skip
    assert answers[0]["thread"]["candidates"][0]["name"] == "#8-32 UNC"
    assert answers[8]["thread"]["candidates"][0]["name"] == "M3.5x0.6"
    assert all(answer["error"].strip() for answer in answers if "error" in answer)
    path.write_text(rows[0], "utf-8")
    assert run("size", "--batch", path).status == 0
    assert "give no others beside it" in run("size", "--batch", path, "--od", "3").sentence
    assert "No such file" in run("size", "--batch", tmp_path / "nowhere").sentence


# -- words alone, and cards --------------------------------------------------------------------------


def test_words_alone_are_asked_for_or_set(played: Run, tmp_path: Path) -> None:
    code = played("bags", "--json").json[0]["code"]
    asked = [
        ("bag", code), ("bags",), ("summary",), ("refit",), ("refit", "--next"), ("reach", "bell"), ("todo",),
        ("sent",), ("machines",),
        ("alike",), ("log",), ("check",), ("keys",), ("walk-back",), ("card", "lid"), ("size", "--od", ".164"),
    ]  # fmt: skip
    found = {words: played(*words, "--plain").out for words in asked}
    for words, text in found.items():
        lines = text.splitlines()
        assert lines and all(line == line.strip() and "  " not in line and line[-1] in ".!?:" for line in lines), words
    assert found["refit",] != played("refit").out
    assert "one of them" in played("bags", "--plain", "--json").sentence
    (tmp_path / "bench" / "settings.toml").write_text("[look]\nplain = true\n", "utf-8")
    assert played("refit").out == found["refit",] and played("refit", "--json").json["order"]
    # Without a terminal there is no screen to open, and what it would begin with is told.
    assert played().out == found["walk-back",]


def test_what_can_be_done_between_two_sessions(played: Run) -> None:
    todo = played("todo", "--json").json
    assert [one["machine"] for one in todo] == ["Fare stamp 41?7"]
    assert todo == played("todo", "--machine", "fare stamp", "--json").json
    sent = played("sent", "--json").json
    assert [(one["to"], [thing["what"] for thing in one["things"]]) for one in sent] == [("plater", ["bell"])]
    assert sent == todo[0]["sent"]
    assert [one["state"] for one in played("machines", "--json").json] == ["coming apart"]


def test_the_card_of_what_the_words_name(played: Run) -> None:
    assert played("card", "step", "1", "--json").json["caption"] == "step 1: took off lid"
    screw = played("card", "1", "hole", "3", "--json").json
    assert screw["caption"] == "screw #8-32 UNC x 3/8, hole 3 of lid" and screw["sort"] == "thing"
    assert {"sort": "now", "words": "now: bag 1"} in screw["facts"]
    assert played("card", "LID", "--json").json["sort"] == "part"
    assert played("card", "bag", "2", "--json").json["number"] == 2
    assert played("card", "ball", "--json").json["caption"] == "3 x ball of bell"
    assert played("card", "nothing").sentence == "Nothing matches all of “nothing”."
    assert played("card", "7").sentence == "Fare stamp 41?7 has no step 7."
    assert played("card", "1", "hole", "9").sentence == "Step 1, lid, has nothing in hole 9."
    assert "may be 2 things: step 1: took off lid" in played("card", "took").sentence
    card = played("refit", "--next", "--json").json
    assert card["step"] == 2 and card["lines"][-1] == "it cannot go back yet: waits for bell (away: plater)"
    assert [row["step"] for row in played("walk-back", "--json").json["steps"]] == [2, 1]


# -- labels and export -------------------------------------------------------------------------------


def test_labels_are_written_and_their_paths_told(played: Run, tmp_path: Path) -> None:
    paths = played("labels", "--json").json
    codes = [row["code"] for row in played("bags", "--json").json]
    assert paths == [str(tmp_path / "bench" / "out" / name) for name in ("labels.pdf", *(f"{c}.png" for c in codes))]
    assert all(Path(path).stat().st_size > 100 for path in paths)
    found = played("labels", "--pool", 3, "--out", tmp_path / "pool")
    assert len(found.out.splitlines()) == 4 and len(list((tmp_path / "pool").glob("PB*.png"))) == 3


def test_labels_are_printed_as_the_settings_say_unless_an_option_does(played: Run, tmp_path: Path) -> None:
    """Dots of a 4 x 2 in label at 203 to the inch, and of 63.5 x 38.1 mm at 300."""
    from PIL import Image

    (tmp_path / "bench" / "settings.toml").write_text('[labels]\ndots = 203\npaper = "Letter 2x5"\n', "utf-8")
    sizes = []
    for words in ((), ("--dpi", 300, "--paper", "A4")):
        ran = played("labels", "--bag", 1, "--json", *words)
        assert not ran.status, ran.err
        paths = ran.json
        with Image.open(paths[1]) as picture:
            sizes.append(picture.size)
    assert sizes == [(812, 406), (750, 450)]
    assert "no printer has 0 dots" in played("labels", "--dpi", 0).sentence


@pytest.mark.parametrize("pool", ["0", "-1", "10001"])
def test_a_pool_has_a_sensible_size(played: Run, pool: str) -> None:
    assert played("labels", "--pool", pool).sentence == "--pool takes a number from 1 to 10000."


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--paper", "A9"), "A9 is not a label sheet known here"),
        (("--label", "10x8"), "too small for any code"),
        (("--label", "60x40", "--grid", "9x9"), "9 by 9 labels need"),
        (("--start", "22"), "the sheet has labels 1 to 21"),
        (("--dpi", "3"), "no printer has 3 dots to the inch"),
        (("--bag", "99"), "There is no bag 99 of Fare stamp 41?7."),
        (("--tags", "--pool", "3"), "not allowed with argument"),
    ],
)
def test_labels_that_cannot_be_printed_are_one_sentence(played: Run, words: tuple[str, ...], message: str) -> None:
    assert message in played("labels", *words).sentence


def test_labels_on_another_sheet_say_what_they_left_out(played: Run, tmp_path: Path) -> None:
    found = played("labels", "--label", "30x18", "--bag", 1, "--out", tmp_path / "small")
    assert found.status == 0 and len(found.out.splitlines()) == 2 and "Bag 1: left out of the QR code" in found.err


def test_tags_boxes_and_the_command_sheet_are_written(played: Run, tmp_path: Path) -> None:
    assert played("labels", "--tags").out.startswith(str(tmp_path / "bench" / "out" / "tags.pdf"))
    assert played("labels", "--commands", "--json").json == [str(tmp_path / "bench" / "out" / "commands.pdf")]


def test_a_bag_is_known_by_its_picture(played: Run, tmp_path: Path) -> None:
    first = played("bags", "--json").json[0]
    played("labels", "--out", tmp_path / "pictures")
    found = played("bag", "--image", tmp_path / "pictures" / f"{first['code']}.png", "--json").json
    assert (found["code"], found["number"]) == (first["code"], first["number"])
    rows = played("bag", "--image", tmp_path / "pictures", "--json").json
    assert [row["bags"][0]["code"] for row in rows] == sorted(row["code"] for row in played("bags", "--json").json)
    (tmp_path / "pictures" / "x.png").write_text("no picture")
    assert played("bag", "--image", tmp_path / "pictures" / "x.png").sentence == "x.png is not a picture"
    assert "or --image FILE" in played("bag", first["code"], "--image", "x").sentence


def test_a_label_is_shown_in_the_terminal(played: Run) -> None:
    first = played("bags", "--json").json[0]
    found = played("bag", first["code"], "--label")
    assert "BAG 1" in found.out and "\x1b" not in found.out and any(sign in found.out for sign in "█#")


def test_words_that_turn_the_line_round_reach_no_terminal_and_no_book(played: Run, tmp_path: Path) -> None:
    with open_at(tmp_path / "bench") as workshop:
        workshop.do(c.Annotate(step=1, note="felt \u202egnirps\u202c strip"), 1)
        workshop.do(c.RenamePart(step=1, name="lid \u202etop"), 1)
    for words in (["summary"], ["refit"], ["log"]):
        found = played(*words).out
        assert "\u202e" not in found, words
    for ending in ("html", "md"):
        path = tmp_path / f"book.{ending}"
        assert played("book", "--out", path).status == 0
        text = path.read_text("utf-8")
        assert "lid top" in text and "\u202e" not in text


def test_an_error_does_not_read_a_file_back(played: Run, tmp_path: Path) -> None:
    found = played("export").json
    found["machines"][0]["name"] = "x" * 12_000
    path = tmp_path / "other.json"
    path.write_text(json.dumps(found), "utf-8")
    sentence = played("import", path, "--workshop", tmp_path / "other").sentence
    assert 20 < len(sentence) <= 1_000 and "x" * 20 in sentence


@pytest.mark.skipif(os.name == "nt", reason="rights are the system's own there")
def test_book_and_labels_have_the_rights_of_the_workshop(played: Run, tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        played("book", "--out", tmp_path / "new" / "book.md")
        paths = played("labels", "--out", tmp_path / "labels", "--json").json
    finally:
        os.umask(before)
    for path in (tmp_path / "new" / "book.md", *map(Path, paths)):
        assert path.stat().st_mode & 0o077 == 0 and path.parent.stat().st_mode & 0o077 == 0, path


def test_photos_are_filed_and_told(played: Run, tmp_path: Path) -> None:
    from PIL import Image

    camera = tmp_path / "camera"
    assert "there is no folder" in played("photos", camera).sentence
    camera.mkdir()
    assert "holds no pictures" in played("photos", camera).sentence
    step = played("export", "--json").json["steps"][0]
    taken = datetime.fromisoformat(step["began"])
    exif = Image.Exif()
    exif.get_ifd(0x8769).update({0x9003: taken.strftime("%Y:%m:%d %H:%M:%S"), 0x9011: taken.strftime("%z")[:3] + ":00"})
    Image.new("RGB", (40, 30)).save(camera / "a.jpg", exif=exif)
    found = played("photos", camera, "--json").json
    assert (found["filed"], found["known"], found["photos"][0]["step"]) == (1, 0, 1)
    assert "0 filed, 1 filed before" in played("photos", camera).out
    assert played("check", "--json").json["ok"]


def test_labels_where_nothing_can_be_written(played: Run, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    assert str(tmp_path / "taken") in played("labels", "--out", tmp_path / "taken").sentence


def test_the_record_is_exported(played: Run, tmp_path: Path) -> None:
    text = played("export", "--json").json
    assert set(text) == {"putback", "version", "changes", *TABLES} and text["putback"] == "export"
    assert played("export").json == text
    assert [len(text[table]) for table in TABLES] == [1, 3, 2, 5, 2, 5, 1, 0, 0, 0, 0]
    standing: dict[str, int] = {}
    for thing in text["things"]:
        place = thing.get("start", "fitted")
        standing[place] = standing.get(place, 0) + thing.get("count", 1)
    for move in text["moves"]:
        standing[move["source"]] -= move["count"]
        standing[move["target"]] = standing.get(move["target"], 0) + move["count"]
    assert {place: n for place, n in standing.items() if n} == {
        "bag 1": 2,
        "bag 2": 3,
        "shelf": 1,
        "away: plater": 1,
    }
    path = tmp_path / "all.json"
    assert played("export", "--out", path).out == f"{path}\n"
    assert json.loads(path.read_text("utf-8")) == text
    assert played("export", "--out", path, "--json").json == {"file": str(path)}
    assert played("export", "--machine", "fare stamp").json == text
    assert "cannot be written" in played("export", "--out", tmp_path / "no" / "where").sentence


# -- a workshop that is not as it should be ----------------------------------------------------------


def test_a_workshop_that_is_a_file(run: Run, tmp_path: Path, day: Path) -> None:
    (tmp_path / "bench").write_text("mine")
    for words in (["bags"], ["replay", day], ["check"], ["export"]):
        assert run(*words).sentence == f"{tmp_path / 'bench'} is a file; a workshop is a folder."
    assert (tmp_path / "bench").read_text() == "mine"


def test_a_folder_of_other_things(run: Run, tmp_path: Path, day: Path) -> None:
    (tmp_path / "bench").mkdir()
    (tmp_path / "bench" / "letters.txt").write_text("mine")
    assert "holds other things (letters.txt) and no workshop" in run("replay", day).sentence
    assert state_of(tmp_path / "bench") == {"letters.txt": b"mine"}


def test_a_workshop_of_a_newer_version(played: Run, tmp_path: Path, day: Path) -> None:
    journal = tmp_path / "bench" / "workshop.journal"
    head, *lines = journal.read_bytes().splitlines(keepends=True)
    fields = json.loads(head)
    fields.pop("sum")
    journal.write_bytes(b"".join([seal(json.dumps({**fields, "v": 99}, separators=(",", ":")).encode()), *lines]))
    before = state_of(tmp_path / "bench")
    day.write_text(FILE.replace("Fare stamp", "Other"), "utf-8")
    for words in (["bags"], ["replay", day], ["check"]):
        assert "newer" in played(*words).sentence
    assert state_of(tmp_path / "bench") == before


def test_a_damaged_line_is_told_and_nothing_is_written(played: Run, tmp_path: Path, day: Path) -> None:
    journal = tmp_path / "bench" / "workshop.journal"
    lines = journal.read_bytes().splitlines(keepends=True)
    lines[5] = lines[5].replace(b'"Enter"', b'"Eater"')
    journal.write_bytes(b"".join(lines))
    before = state_of(tmp_path / "bench")
    message = played("check", "--json")
    assert message.status == 1 and message.json["ok"] is False and message.err == ""
    assert "line 6" in message.json["findings"][0]["where"]
    text = played("check")
    assert text.status == 1 and "line 6" in text.out
    day.write_text(FILE.replace("Fare stamp", "Other"), "utf-8")
    assert "line 6" in played("replay", day).sentence
    reading = played("bags", "--json")
    assert reading.status == 0 and "line 6" in reading.err and isinstance(reading.json, list)
    assert state_of(tmp_path / "bench") == before


def test_a_workshop_of_which_nothing_can_be_read(played: Run, tmp_path: Path) -> None:
    for name in ("workshop.json", "workshop.journal"):
        (tmp_path / "bench" / name).write_bytes(b"\xff\x00 nothing")
    found = played("check", "--json")
    assert found.status == 1 and found.json["findings"] and not found.json["ok"]
    assert str(tmp_path / "bench") in played("bags").sentence


def test_a_ledger_that_does_not_add_up_is_told(played: Run, tmp_path: Path) -> None:
    assert played("check", "--json").json["ok"] is True
    with open_at(tmp_path / "bench") as workshop:
        from putback.trade.record.change import Change, Edit

        move = dict(workshop.store.documents("moves")[1])
        stolen = Change(did="Steal", said="", edits=(Edit("moves", 1, move, {**move, "count": 7}),), machine=1)
        number = workshop.store.commit(stolen, at="2025-03-01T10:00:00+00:00", who="")
    found = played("check", "--json")
    assert found.status == 1 and found.json["changes"] == number and found.json["ok"] is False
    assert any("its places hold" in finding["what"] for finding in found.json["findings"])
    assert "finding" in played("check").out.splitlines()[-1]


def test_a_sound_workshop_is_proved(played: Run) -> None:
    found = played("check", "--json")
    assert found.status == 0 and set(found.json) == {"ok", "changes", "findings"}
    assert found.json["ok"] is True and found.json["findings"] == [] and found.json["changes"] == 13
    assert "nothing wrong" in played("check").out


def test_a_second_copy_reads_and_does_not_write(played: Run, tmp_path: Path, day: Path) -> None:
    before = state_of(tmp_path / "bench")
    day.write_text(FILE.replace("Fare stamp", "Other"), "utf-8")
    with open_at(tmp_path / "bench"):
        text = process("--workshop", tmp_path / "bench", "replay", day)
        assert text.returncode == 2 and text.stdout == "" and len(text.stderr.splitlines()) == 1
        assert "read only" in text.stderr and "Nothing was written." in text.stderr
        reading = process("--workshop", tmp_path / "bench", "bags", "--json")
        assert reading.returncode == 0 and len(json.loads(reading.stdout)) == 2
    assert state_of(tmp_path / "bench") == before


def test_a_folder_that_may_not_be_written(played: Run, tmp_path: Path, day: Path) -> None:
    folder = tmp_path / "bench"
    day.write_text(FILE.replace("Fare stamp", "Other"), "utf-8")
    folder.chmod(stat.S_IRUSR | stat.S_IXUSR)
    try:
        if os.access(folder, os.W_OK):
            pytest.skip("this user may write anywhere")
        assert "may not be written" in played("replay", day).sentence
        assert played("bags", "--json").status == 0
    finally:
        folder.chmod(stat.S_IRWXU)


# -- what comes out ----------------------------------------------------------------------------------


def test_names_of_every_kind_come_out_whole_and_harmless(run: Run, day: Path) -> None:
    name = "[red] 🔩 “x” مسمار " + "é" * 300
    day.write_text(FILE.replace("Fare stamp", name).replace('"outside"', r'"\u001b[31mred\u0007"'), "utf-8")
    assert run("replay", day).status == 0
    assert run("summary", "--json").json["machine"] == f"{name} 41?7"
    text = run("summary").out
    assert name in text and "\x1b" not in text and "\x07" not in text and "�[31mred�" in text


def test_a_screen_without_unicode_gets_what_it_can_show(day: Path, tmp_path: Path) -> None:
    day.write_text(FILE.replace('"lid"', '"Öldeckel"').replace("Fare stamp", "Stempel ß"), "utf-8")
    plain = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "PUTBACK_WORKSHOP": str(tmp_path / "bench")}
    assert process("replay", day, env=plain).returncode == 0
    message = process("summary", "--json", env=plain)
    assert json.loads(message.stdout)["machine"] == "Stempel ß 41?7" and message.stdout.isascii()
    text = process("refit", env=plain)
    assert text.returncode == 0 and r"\xd6ldeckel" in text.stdout and text.stderr == ""
    wrong = process("reach", "Ölkanne", env=plain)
    assert wrong.returncode == 2 and len(wrong.stderr.splitlines()) == 1


def test_a_reader_that_goes_away_is_no_fault(played: Run, tmp_path: Path) -> None:
    bench = tmp_path / "bench"
    ended = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {sys.executable} -m putback --workshop {bench} export | true"],
        capture_output=True,
        check=False,
        cwd=ROOT,
    )
    assert (ended.returncode, ended.stderr) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_an_output_that_is_full_is_told_in_a_sentence(played: Run, tmp_path: Path) -> None:
    with open("/dev/full", "w") as full:
        found = subprocess.run(
            [sys.executable, "-m", "putback", "--workshop", str(tmp_path / "bench"), "export"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            cwd=ROOT,
        )
    assert found.returncode == 2 and found.stderr.splitlines() == ["putback: Standard output: No space left on device."]


def test_lines_are_folded_on_a_terminal_only(played: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    long = played("refit").out
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    monkeypatch.setenv("COLUMNS", "40")
    folded = played("refit").out
    assert max(map(len, folded.splitlines())) <= 40 < max(map(len, long.splitlines()))
    assert folded.split() == long.split()
