"""What commands answer with --json keeps to its schema, as a validator sees it."""

from __future__ import annotations

import json
from pathlib import Path
from shutil import copytree
from typing import Any

import jsonschema
import pytest

from putback import cli
from putback.reports.answer_schemas import ANSWERS, answer_schema, file_name

ROOT = Path(__file__).parents[2]
KEPT = ROOT / "docs" / "schemas"

SAMPLES = ("skein_winder", "drum_recorder", "ticket_dating_press")
SPARE = """
[machine]
name = "Rack"
[[session]]
step = [{ do = "mark", part = "rail" }]
spare = [{ after = 1, size = "#8-32 UNC x 3/8", count = 5, origin = "bought" }]
"""

ASKED: dict[str, list[str]] = {
    "bag": [f"bag {number} --machine {machine}" for machine in ("press", "winder") for number in range(1, 9)],
    "bags": ["bags --machine press"],
    "todo": ["todo"],
    "sent": ["sent"],
    "machines": ["machines"],
    "spares": ["spares"],
    "refit": ["refit --machine press", "refit --machine winder --order fewest-bags --sessions 60"],
    "summary": [f"summary --machine {machine} --session 1" for machine in ("press", "winder")],
    "size": [
        "size --gauge 832 --length .372 --origin us --slot .050",
        "size --od .164 --tpi 32",
        "size --od 4.98",
        "size --kind washer --od .39 --bore .2",
        "size --gauge 2ba --length .385",
        "size --od 1.23",
    ],
    "check": ["check"],
    "bag --image": ["bag --image FOLDER/pictures"],
    "bags --sheet": ["bags --sheet"],
    "card": ["card step 5 --machine press", "card left panel --machine press", "card 5 hole 1 --machine press"],
    "card first-look": ["card first-look --machine press", "card first-look --machine winder"],
    "where": ["where left panel", "where 6-32 --machine press"],
    "alike": ["alike --machine press"],
    "walk-back": ["walk-back --machine press"],
    "refit --next": ["refit --next --machine press"],
    "refit --graph": ["refit --graph mermaid --machine winder"],
    "reach": ["reach left panel --machine press"],
    "todo --get": ["todo --get"],
    "todo --sheet": ["todo --get --sheet"],
    "todo --make-sheet": ["todo --make-sheet"],
    "sent --sheet": ["sent --sheet"],
    "labels": ["labels --machine press --bag 4 --out FOLDER/printed"],
    "book": ["book --machine Rack --out FOLDER/rack.html"],
    "book --last-page": ["book --last-page --machine Rack", "book --last-page --machine press --out FOLDER/last.md"],
    "photos": ["photos FOLDER/pictures"],
    "replay": ["replay FOLDER/rack.toml --workshop FOLDER/another"],
    "replay --keys": ["replay FOLDER/keys.toml --keys --workshop FOLDER/pressed"],
    "export --out": ["export --out FOLDER/all.json --csv FOLDER/tables"],
    "export --session-file": ["export --session-file --machine winder"],
    "import": ["import FOLDER/all.json --workshop FOLDER/fresh"],
    "backup": ["backup FOLDER/copy"],
    "check --mend": ["check --mend FOLDER/mended"],
    "check --join": ["check --join FOLDER/other --mend FOLDER/joined"],
    "log": ["log --last 5"],
    "about": ["about"],
    "settings": ["settings"],
    "keys": ["keys"],
    "demo": ["demo"],
}
"""What is asked of each command; FOLDER is one for files."""

LABEL = "labels --machine press --bag 3 --out FOLDER/pictures"
BEFORE = {"bag --image": LABEL, "photos": LABEL, "import": "export --out FOLDER/all.json"}
"""What is done before, so that there is something to answer about."""


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop with the three samples, and a spare."""
    folder = tmp_path_factory.mktemp("answers")
    (folder / "rack.toml").write_text(SPARE, encoding="utf-8")
    (folder / "keys.toml").write_text(SPARE.partition("spare")[0].replace("Rack", "Frame"), encoding="utf-8")
    for path in (folder / "rack.toml", *(ROOT / "sample_sessions" / f"{name}.toml" for name in SAMPLES)):
        assert cli.main(["--workshop", str(folder / "bench"), "replay", str(path)]) == 0
    copytree(folder / "bench", folder / "other")
    for name, file in (("bench", "keys.toml"), ("other", "half.toml")):
        (folder / "half.toml").write_text((folder / "keys.toml").read_text("utf-8").replace("Frame", "Stand"))
        assert cli.main(["--workshop", str(folder / name), "replay", str(folder / file)]) == 0
    return folder / "bench"


def answer(bench: Path, line: str, capsys: pytest.CaptureFixture[str]) -> Any:
    capsys.readouterr()
    words = line.replace("FOLDER", str(bench.parent)).split()
    own = line.startswith("size") or "--workshop" in words
    assert cli.main([*words, "--json", *([] if own else ["--workshop", str(bench)])]) == 0, line
    return json.loads(capsys.readouterr().out)


TRIED = [pytest.param(name, marks=[pytest.mark.long] if name == "replay --keys" else []) for name in ASKED]
"""All of them; what opens the screen is left to the long run."""


@pytest.mark.parametrize("command", TRIED)
def test_what_a_command_answers_has_the_form_of_its_schema(
    bench: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    validator = jsonschema.Draft202012Validator(answer_schema(command))
    if command in BEFORE:
        answer(bench, BEFORE[command], capsys)
    for line in ASKED[command]:
        value = answer(bench, line, capsys)
        assert value, line
        assert [(line, fault.json_path, fault.message) for fault in validator.iter_errors(value)] == []
        row = value[0] if isinstance(value, list) else value
        if isinstance(row, dict):
            row["nubmer"] = 1
            assert [fault.validator for fault in validator.iter_errors(value)] == ["additionalProperties"]


@pytest.mark.parametrize("command", sorted(ANSWERS))
def test_the_schema_beside_the_documents_is_that_of_the_program(command: str) -> None:
    kept = json.loads((KEPT / file_name(command)).read_text("utf-8"))
    assert kept == json.loads(json.dumps(answer_schema(command))), (
        "the form changed; write it anew: python -m docs.making.schemas"
    )
    jsonschema.Draft202012Validator.check_schema(kept)


def test_the_command_line_prints_a_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["export", "--schema", "todo"]) == 0
    assert json.loads(capsys.readouterr().out) == json.loads(json.dumps(answer_schema("todo")))
    assert cli.main(["export", "--schema", "tood"]) == 2
    assert "There is no schema of “tood”" in capsys.readouterr().err


def test_every_answer_is_asked_for_and_its_schema_named_in_the_documents() -> None:
    assert set(ASKED) == set(ANSWERS)
    named = (ROOT / "docs" / "export.md").read_text("utf-8")
    assert [name for name in map(file_name, ANSWERS) if f"(schemas/{name})" not in named] == []
