"""What commands answer with --json keeps to its schema, as a validator sees it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from putback import cli
from putback.reports.answer_schemas import ANSWERS, answer_schema

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
}


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop with the three samples, and a spare."""
    folder = tmp_path_factory.mktemp("answers")
    (folder / "rack.toml").write_text(SPARE, encoding="utf-8")
    for path in (folder / "rack.toml", *(ROOT / "sample_sessions" / f"{name}.toml" for name in SAMPLES)):
        assert cli.main(["--workshop", str(folder / "bench"), "replay", str(path)]) == 0
    return folder / "bench"


def answer(bench: Path, line: str, capsys: pytest.CaptureFixture[str]) -> Any:
    capsys.readouterr()
    assert cli.main([*line.split(), "--json", *([] if line.startswith("size") else ["--workshop", str(bench)])]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("command", sorted(ANSWERS))
def test_what_a_command_answers_has_the_form_of_its_schema(
    bench: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    validator = jsonschema.Draft202012Validator(answer_schema(command))
    for line in ASKED[command]:
        value = answer(bench, line, capsys)
        assert value, line
        assert [(line, fault.json_path, fault.message) for fault in validator.iter_errors(value)] == []
        row = value[0] if isinstance(value, list) else value
        row["nubmer"] = 1
        assert [fault.validator for fault in validator.iter_errors(value)] == ["additionalProperties"]


@pytest.mark.parametrize("command", sorted(ANSWERS))
def test_the_schema_beside_the_documents_is_that_of_the_program(command: str) -> None:
    kept = json.loads((KEPT / f"{command}.schema.json").read_text("utf-8"))
    assert kept == json.loads(json.dumps(answer_schema(command))), (
        "the form changed; write it anew: python -m docs.making.schemas"
    )
    jsonschema.Draft202012Validator.check_schema(kept)


def test_the_command_line_prints_a_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["export", "--schema", "todo"]) == 0
    assert json.loads(capsys.readouterr().out) == json.loads(json.dumps(answer_schema("todo")))
    assert cli.main(["export", "--schema", "tood"]) == 2
    assert "There is no schema of “tood”" in capsys.readouterr().err
