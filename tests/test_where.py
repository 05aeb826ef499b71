"""A file's tests are found by its name; where they are not, tests/README.md says where they are."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[1]
RUN_ALONE = ("__init__.py", "__main__.py")


def files() -> set[str]:
    """Every module of the package by its path."""
    found = (ROOT / "putback").rglob("*.py")
    return {path.relative_to(ROOT).as_posix() for path in found if path.name not in RUN_ALONE}


def all_tests() -> set[str]:
    """Every file of tests by its path."""
    return {path.relative_to(ROOT).as_posix() for path in (ROOT / "tests").rglob("test_*.py")}


def own(file: str) -> str:
    """Where the tests of a module are looked for first."""
    folder, _, name = file.removeprefix("putback").rpartition("/")
    return f"tests{folder}/test_{name}"


def rooms(test: str) -> list[str]:
    """What a file of tests may be named after: a module, or a room of its own."""
    named = test.replace("tests/", "putback/", 1).replace("/test_", "/")
    return [named, f"{named.removesuffix('.py')}/__init__.py"]


def table(title: str) -> dict[str, list[str]]:
    """A table of tests/README.md: what stands in its first column, and the rest of each line."""
    text = (ROOT / "tests/README.md").read_text("utf-8")
    _, _, part = text.partition(f"\n## {title}\n")
    lines = [line.strip("| ").split(" | ") for line in part.partition("\n## ")[0].splitlines() if "| `" in line]
    return {name: rest for first, *rest in lines for name in re.findall(r"`([^`]+)`", first)}


def test_every_file_has_tests_of_its_name_or_a_line_that_says_where() -> None:
    elsewhere = table("Files tested under another name")
    assert set(elsewhere) == {file for file in files() if own(file) not in all_tests()}
    for where, why in elsewhere.values():
        assert where.strip("`") in all_tests() and why.strip()


def test_every_file_of_tests_is_named_after_a_file_or_a_room_or_said_to_be_a_story() -> None:
    stories = table("Tests that belong to no one file")
    lone = {test for test in all_tests() if not any((ROOT / name).exists() for name in rooms(test))}
    assert set(stories) == lone
