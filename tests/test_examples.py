"""Examples run: each that `--help` shows, and every command that README and docs have in a code span or block."""

from __future__ import annotations

import re
import shlex
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from putback import cli
from putback.cli.arguments import commands_of, parser
from putback.cli.command_table import COMMANDS
from putback.errors import BadInput
from putback.opening import open_at
from putback.reports.whereabouts import whereabouts
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine

ROOT = Path(__file__).parents[1]
SAMPLES = ("skein_winder", "drum_recorder", "ticket_dating_press")
DOCUMENTS = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
CODE = "PB3K7M2Q4"
WRITES = {"replay", "labels", "import", "backup", "photos", "demo", "check"}
"""Commands whose examples want something that is not there, or change what the next one reads."""


@pytest.fixture(scope="module")
def samples(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop with the three samples; the press is the machine of the last change."""
    folder = tmp_path_factory.mktemp("examples")
    for name in SAMPLES:
        assert cli.main(["--workshop", str(folder / "bench"), "replay", f"{ROOT}/sample_sessions/{name}.toml"]) == 0
    return folder


@pytest.fixture
def at_work(samples: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The same as the place where commands are typed."""
    monkeypatch.setenv("PUTBACK_WORKSHOP", str(samples / "bench"))
    monkeypatch.chdir(samples)
    return samples


def words_of(line: str) -> list[str]:
    """The words of a command line, without what the shell does with them."""
    return shlex.split(line.partition(" > ")[0].partition(" | ")[0])[1:]


def in_documents() -> Iterator[tuple[str, str]]:
    """Every command line that a document has, with the document."""
    for document in DOCUMENTS:
        text = document.read_text("utf-8")
        spans = re.findall(r"`(putback [^`\n]+)`", text)
        blocks = re.findall(r"^ {4}(?:\.venv/bin/)?(putback [^\n#]+)", text, re.M)
        for line in (*spans, *blocks):
            yield document.relative_to(ROOT).as_posix(), re.split(r" {2,}", line.strip())[0]


LINES = list(dict.fromkeys(in_documents()))
PLACEHOLDER = re.compile(r"^[A-Z]{2,}(?:\.\w+)?$|^\.\.\.$|^N$")


def real(line: str) -> list[str]:
    """The words of a line with something real for each word in capitals."""
    return ["3" if PLACEHOLDER.match(word) and not word.startswith("PB") else word for word in words_of(line)]


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_example_of_the_help_can_be_typed_as_it_stands(
    at_work: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_at(at_work / "bench", read_only=True, must_exist=True) as workshop:
        code = next(bag.code for bag in workshop.record.all(Bag) if bag.number == 3)
    for line in COMMANDS[name].examples:
        words = [code if word == CODE else word for word in words_of(line)]
        assert words[0] == name
        if name in WRITES:
            parser().parse_args(words)
            continue
        assert cli.main(words) == 0, (line, capsys.readouterr().err)


@pytest.mark.parametrize(("document", "line"), LINES, ids=lambda value: value[:60])
def test_every_command_of_the_documents_is_one(document: str, line: str) -> None:
    try:
        parser().parse_args(real(line))
    except SystemExit as ended:  # --help and --version
        assert not ended.code
    except BadInput as fault:
        named_alone = "are required" in str(fault) or "expected one argument" in str(fault)
        assert named_alone, f"{document}: {line}: {fault}"


READS = {"card", "bag", "bags", "reach", "refit", "summary", "alike", "todo", "sent", "machines", "where", "walk-back"}
UNREAD = {"--image", "--help"}
"""Options with which a command reads something else than the record."""


def test_what_the_documents_read_is_on_the_samples(at_work: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = []
    for document, line in LINES:
        words = words_of(line)
        if words[0] in READS and not any(PLACEHOLDER.match(word) or word in UNREAD for word in words):
            status = cli.main(words)
            told = capsys.readouterr()
            if status:
                wrong.append((document, line, told.err.strip()))
    assert wrong == []


def test_help_groups_every_command_and_tells_common_options_once(capsys: pytest.CaptureFixture[str]) -> None:
    top = parser()
    assert [name for names in top.groups.values() for name in names] == list(commands_of(top)) == list(COMMANDS)
    whole = top.format_help()
    for name, sub in commands_of(top).items():
        assert re.search(rf"^  {name} ", whole, re.M)
        helped = sub.format_help()
        assert "examples:\n  putback" in helped and "--workshop DIR" not in helped
    assert "--workshop DIR" in whole and "exit status:" in whole


def test_a_shell_completes_commands_and_options(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """bash itself is asked: sourced, `putback la` is completed to labels, `--ta` to --tags, a file by its name."""
    assert cli.main(["completion", "bash"]) == 0
    script = tmp_path / "putback.bash"
    script.write_text(capsys.readouterr().out, "utf-8")
    asked = f"""source {script}
    tried() {{ COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=(); _shtab_putback; echo "${{COMPREPLY[@]}}"; }}
    tried putback la; tried putback labels --ta; tried putback replay {ROOT}/sample_sessions/skein"""
    found = subprocess.run(["bash", "-c", asked], capture_output=True, text=True, check=True)
    assert found.stdout.split() == ["labels", "--tags", f"{ROOT}/sample_sessions/skein_winder.toml"], found.stderr
    assert cli.main(["completion", "fish"]) == cli.main(["completion", "zsh"]) == 0
    assert cli.main(["completion", "dos"]) == 2


def test_the_manual_page_has_every_command_and_option(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["manual"]) == 0
    page = capsys.readouterr().out
    assert page.startswith('.TH PUTBACK 1 "" "putback')
    for name, sub in commands_of(parser()).items():
        assert f".SS putback {name}".replace("-", "\\-") in page
        for action in sub.own_actions():
            assert all(option.replace("-", "\\-") in page for option in action.option_strings)
    assert all(not line.startswith("'") for line in page.splitlines())


def test_about_and_settings_tell_what_holds(at_work: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["about"]) == 0
    told = capsys.readouterr().out
    assert str(at_work / "bench") in told and "textual 8" in told and "settings.toml (there is none)" in told
    assert cli.main(["settings"]) == 0
    assert "hands = right" in capsys.readouterr().out


def test_where_tells_the_place_of_everything_that_is_called_so(at_work: Path) -> None:
    with open_at(at_work / "bench", read_only=True, must_exist=True) as workshop:
        record = workshop.record
        press = next(machine for machine in record.all(Machine) if machine.name == "Ticket-dating press")
        rows = whereabouts(record, "left panel", press.id)
        assert next(row.text for row in rows) == "left panel: shelf (step 5)"
        screws = whereabouts(record, "step 5", press.id)
        assert "7 x screw #6-32 UNC x 3/8: bag 3, box A (step 5, holes" in " | ".join(row.text for row in screws)
        assert [row.text for row in whereabouts(record, "bag 3", press.id)] == ["bag 3, 8 in it: box A"]
        assert whereabouts(record, "nothing of that name") == []
        one = screws[0].to_json()
        assert one["machine"] == press.caption and one["step"] == 5
