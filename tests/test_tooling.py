"""The house rules that tools can check: the formatter, ruff, mypy strict; and that all who run them run the same."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from putback import __version__

ROOT = Path(__file__).parents[1]

TOOLS = {
    "lint": ["ruff", "check", "."],
    "format": ["ruff", "format", "--check", "."],
    "types": ["mypy"],
}

PYTHON = sorted(path for folder in ("putback", "tests", "bench", "docs") for path in (ROOT / folder).rglob("*.py"))


@pytest.mark.parametrize("words", TOOLS.values(), ids=TOOLS.keys())
def test_the_tool_finds_nothing(words: list[str]) -> None:
    found = subprocess.run([sys.executable, "-m", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    assert found.returncode == 0, found.stdout + found.stderr


def test_types_are_checked_strictly_and_everywhere() -> None:
    """mypy takes both from the settings, so that who runs it by hand checks the same."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["mypy"]
    assert settings["strict"] and settings["files"] == ["putback", "tests", "bench", "docs"]


# -- laid out by hand ------------------------------------------------------------------------------------

SKIP = "# fmt: " + "skip"
LEAST = 8
"""Words and figures from which something is a table, and not a line that would not fit."""


def table_ends(text: str) -> set[int]:
    """The lines on which a table ends: a list, tuple, set or mapping of many words on several lines."""
    tables = [
        node
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.List | ast.Tuple | ast.Set | ast.Dict) and (node.end_lineno or 0) > node.lineno
    ]
    return {
        table.end_lineno or 0
        for table in tables
        if sum(isinstance(part, ast.Constant | ast.Name | ast.Attribute) for part in ast.walk(table)) >= LEAST
    }


def by_hand(text: str) -> list[int]:
    """The lines with that comment on which, or just before which, no table ends."""
    marked = [at for at, line in enumerate(text.splitlines(), 1) if line.endswith(SKIP)]
    ends = table_ends(text) if marked else set()
    return [at for at in marked if not ends & {at - 2, at - 1, at}]


def test_only_tables_are_laid_out_by_hand() -> None:
    found = {path.relative_to(ROOT).as_posix(): by_hand(path.read_text("utf-8")) for path in PYTHON}
    assert {name: lines for name, lines in found.items() if lines} == {}
    assert by_hand(f"def go(\n    one, two\n) -> None:  {SKIP}\n    pass\n") == [3], "no table: it would be found"
    off = "# fmt: " + "off"
    assert [path.name for path in PYTHON if off in path.read_text("utf-8")] == []


# -- one version, one command ----------------------------------------------------------------------------


def test_the_version_stands_in_one_place_and_the_changelog_knows_it() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert "version" not in project["project"] and project["project"]["dynamic"] == ["version", "readme"]
    assert project["tool"]["hatch"]["version"]["path"] == "putback/__init__.py"
    parts = re.findall(r"^## (.+)$", (ROOT / "docs/changelog.md").read_text("utf-8"), re.MULTILINE)
    assert parts[0] == "Unreleased"
    versions = [tuple(map(int, part.split(",")[0].split("."))) for part in parts[1:]]
    assert versions == sorted(versions, reverse=True)
    number, _, on_the_way = __version__.partition(".dev")
    found = tuple(map(int, number.split(".")))
    assert found > versions[0] if on_the_way else found == versions[0]


def test_everyone_runs_the_same_command() -> None:
    """The README's command, .ci/run and what a forge runs are one; nothing is fetched from a host named here."""
    command = (
        "python3 -m venv .venv && .venv/bin/pip install --quiet --editable '.[test]' && .venv/bin/python -m pytest"
    )
    assert command in (ROOT / "README.md").read_text("utf-8")
    assert command in (ROOT / ".ci/run").read_text("utf-8")
    forge = (ROOT / ".github/workflows/tests.yml").read_text("utf-8")
    assert re.findall(r"- run: (.+)", forge) == [".ci/run"]
    hooks = (ROOT / ".pre-commit-config.yaml").read_text("utf-8")
    assert re.findall(r"repo: (\S+)", hooks) == ["local"]
    run = [words.removeprefix(".venv/bin/").split()[:2] for words in re.findall(r"entry: (.+)", hooks)]
    assert sorted(run) == [["mypy"], ["ruff", "check"], ["ruff", "format"]]
    assert "://" not in forge + hooks


def test_the_description_of_the_package_needs_no_file_beside_it() -> None:
    """An index shows the README alone: no link and no picture in it may lead to a file."""
    hook = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["hatch"]["metadata"]["hooks"]
    shown = (ROOT / "README.md").read_text("utf-8")
    assert "](docs/" in shown
    for one in hook["fancy-pypi-readme"]["substitutions"]:
        shown = re.sub(one["pattern"], one["replacement"], shown)
    assert "](" not in shown and "Your first machine (`docs/guide/first-machine.md`)" in shown
    assert "─ coming off ─" in shown, "a picture of the screen, in letters"


def test_the_package_says_that_it_is_typed() -> None:
    assert (ROOT / "putback/py.typed").exists()
