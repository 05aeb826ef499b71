"""Each floor imports only from those below it, and starting up stays light: proved in fresh processes."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "putback"

FLOORS = {
    "toml_text": 0,
    "settings": 0,
    "sizing": 0,
    "trade": 1,
    "store": 2,
    "bench_clock": 2,
    "left_alone": 3,
    "taken_back": 3,
    "workshop": 4,
    "reports": 5,
    "codes": 5,
    "opening": 6,
    "book": 6,
    "demo": 6,
    "tui": 7,
    "cli": 7,
    "__main__": 8,
}
"""How high each part of the package stands. `errors` and the version may be used by all."""

HEAVY = ("pint", "PIL", "qrcode", "fpdf", "zxingcpp", "textual", "networkx", "numpy")
"""Libraries that load on first use."""


def modules() -> list[str]:
    """Every module of the package by its dotted name; those that run on import are left out."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        if name not in ("putback.__main__", "putback.demo.build"):
            found.append(name)
    return found


def floor_of(module: str) -> int:
    """How high a module stands; -1 for what all may use."""
    return FLOORS.get(module.split(".")[1], -1) if "." in module else -1


@cache
def loaded_by(module: str) -> frozenset[str]:
    """Every module in memory after a fresh process imported that one."""
    told = subprocess.run(
        [sys.executable, "-c", f"import sys, json, {module}; print(json.dumps(list(sys.modules)))"],
        capture_output=True,
        text=True,
        check=True,
    )
    return frozenset(json.loads(told.stdout))


def test_every_part_of_the_package_stands_on_a_floor() -> None:
    parts = {path.stem for path in PACKAGE.glob("*.py")} | {path.name for path in PACKAGE.iterdir() if path.is_dir()}
    assert parts - {"__init__", "__pycache__", "errors", "py.typed"} == set(FLOORS)


@pytest.mark.parametrize("part", [part for part in FLOORS if part != "__main__"])
def test_a_floor_loads_none_above_it(part: str) -> None:
    """All modules of one part at once: what they load of the package stands no higher."""
    mine = [name for name in modules() if name.split(".")[1:2] == [part]]
    loaded = loaded_by(", ".join(mine))
    above = sorted(m for m in loaded if m.startswith("putback.") and floor_of(m) > FLOORS[part])
    assert above == []
    beside = sorted(m for m in loaded if floor_of(m) == FLOORS[part] and m.split(".")[1] != part)
    assert beside == [], "parts on one floor do not load one another"


@pytest.mark.parametrize("part", ["sizing", "trade", "store", "workshop", "reports", "codes", "opening", "demo", "cli"])
def test_only_the_screens_load_textual(part: str) -> None:
    mine = [name for name in modules() if name.split(".")[1:2] == [part]]
    assert "textual" not in loaded_by(", ".join(mine))


def test_sizing_and_trade_know_no_file_clock_or_screen() -> None:
    """What the pure floors import is looked at in their text: the standard library loads much by itself."""
    strange = {"os", "time", "random", "secrets", "shutil", "subprocess", "socket", "tempfile", "sqlite3", "tinydb"}
    for part in ("sizing", "trade"):
        for path in (PACKAGE / part).rglob("*.py"):
            words = {line.split()[1].split(".")[0] for line in path.read_text("utf-8").splitlines() if _imports(line)}
            assert words & strange == set(), path


def _imports(line: str) -> bool:
    return line.strip().startswith(("import ", "from ")) and len(line.split()) > 1


@pytest.mark.parametrize("library", HEAVY)
def test_the_command_line_starts_without_it(library: str) -> None:
    assert library not in loaded_by("putback.cli")


@pytest.mark.parametrize("library", [name for name in HEAVY if name != "textual"])
def test_the_bench_starts_without_it(library: str) -> None:
    assert library not in loaded_by("putback.tui.app")


def test_only_one_door_leads_to_each_library() -> None:
    doors = {"pint": "sizing/units.py", "qrcode": "codes/qr.py"}
    for library, door in doors.items():
        users = [
            path.relative_to(PACKAGE).as_posix()
            for path in PACKAGE.rglob("*.py")
            if any(
                _imports(line) and line.split()[1].split(".")[0] == library for line in path.read_text().splitlines()
            )
        ]
        assert users == [door]


COMMANDS = """
import io, sys
from contextlib import redirect_stdout
from putback.cli import main
with redirect_stdout(io.StringIO()):
    status = main({words!r})
print(status, *(name for name in {heavy!r} if name in sys.modules))
"""


def test_a_command_loads_only_what_it_uses(tmp_path: Path) -> None:
    sample = PACKAGE.parent / "sample_sessions" / "drum_recorder.toml"
    bench = ["--workshop", str(tmp_path / "bench")]
    for words in (["replay", str(sample)], ["bags"], ["refit"], ["summary"], ["check"], ["export"]):
        program = COMMANDS.format(words=[*bench, *words], heavy=HEAVY)
        told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
        status, *heavy = told.stdout.split()
        assert status == "0" and set(heavy) <= ({"pint"} if words[0] == "replay" else set()), (words, heavy)
