"""What the documents name is there: files, folders, modules to be run, and where links lead."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

DOCUMENTS = [
    *(
        ROOT / name
        for name in ("README.md", "DEVELOPERS.md", "bench/README.md", "sample_sessions/README.md", "tests/README.md")
    ),
    *sorted((ROOT / "docs").rglob("*.md")),
]

HOMES = ("putback", "tests", "docs", "bench", "sample_sessions")
"""The folders that hold what is ours; a path may also begin below `putback` or `tests`, as `trade/record/` does."""

NAMES = {path.name for home in HOMES for path in (ROOT / home).rglob("*.py")}

WORD = re.compile(r"[\w.*-]+(?:/[\w.*-]+)*/?")


def named(text: str) -> Iterator[str]:
    """The paths that stand between backticks, alone or in a command."""
    for span in re.findall(r"`([^`\n]+)`", text):
        for before, word in zip(["", *span.split()], span.split(), strict=False):
            if before == "-m" and word.partition(".")[0] in HOMES:
                yield word.replace(".", "/") + (".py" if "." in word else "/__main__.py")
            elif WORD.fullmatch(word) and (_first(word) if "/" in word else word.endswith(".py")):
                yield word


def _first(word: str) -> bool:
    """Whether a word with strokes begins with a folder of ours."""
    first = word.partition("/")[0]
    return any((home / first).is_dir() for home in (ROOT, ROOT / "putback"))


def is_there(word: str) -> bool:
    """Whether a file or folder of that name stands where it is said to; a bare name may stand anywhere."""
    if "/" not in word:
        return word in NAMES
    found = (path for home in (ROOT, ROOT / "putback", ROOT / "tests") for path in home.glob(word.rstrip("/")))
    return any(path.is_dir() or not word.endswith("/") for path in found)


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_path_that_a_document_names_exists(document: Path) -> None:
    assert [word for word in named(document.read_text("utf-8")) if not is_there(word)] == []


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_link_leads_somewhere(document: Path) -> None:
    links = re.findall(r"\]\(([^)\s]+)\)", document.read_text("utf-8"))
    ours = [link.partition("#")[0] for link in links if not re.match(r"\w+:|#", link)]
    assert [link for link in ours if not (document.parent / link).exists()] == []


def test_the_map_names_nothing_that_the_code_has_not() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8").partition("## You want to change X")[2]
    spans = re.findall(r"`([A-Za-z_][\w.]*)(?:\(.*?\))?`", text)
    known = set(re.findall(r"\w+", "\n".join(p.read_text("utf-8") for h in HOMES for p in (ROOT / h).rglob("*.py"))))
    assert [word for word in spans if not word.endswith(".py") and not set(word.split(".")) <= known] == []


def test_a_path_that_is_not_there_is_seen() -> None:
    text = "`putback/nothing.py`, `trade/commands/`, `python -m docs.making.nothing`, `1/4-28`, `gone.py --all`, `a/b`"
    assert [word for word in named(text) if not is_there(word)] == [
        "putback/nothing.py",
        "docs/making/nothing.py",
        "gone.py",
    ]


def test_the_screen_in_letters_of_the_readme_is_the_screen_as_last_looked_at() -> None:
    [shown] = re.findall(r"```text\n(.*?)\n```", (ROOT / "README.md").read_text("utf-8"), re.S)
    assert shown == (ROOT / "tests/tui/snapshots/size-80x24.txt").read_text("utf-8").rstrip("\n")
