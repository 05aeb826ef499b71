"""Each floor imports only from those below it, and starting up stays light: proved in fresh processes."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

from docs.making.imports import room_of, rooms_in

PACKAGE = Path(__file__).parents[1] / "putback"

ROOMS = rooms_in((PACKAGE.parent / "DEVELOPERS.md").read_text("utf-8"))
"""The rooms of the house as the map has them: each imports only from rooms below it, and rooms on one floor do not know
one another. `errors` and the version may be used by all."""

FLOORS = {room.name: room.floor for room in ROOMS}

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
    return FLOORS.get(room_of(module, FLOORS), -1)


@cache
def loaded_by(module: str) -> frozenset[str]:
    """Every module in memory after a fresh process imported that one."""
    found = subprocess.run(
        [sys.executable, "-c", f"import sys, json, {module}; print(json.dumps(list(sys.modules)))"],
        capture_output=True,
        text=True,
        check=True,
    )
    return frozenset(json.loads(found.stdout))


ROOMY = ("trade", "tui")
"""What is divided into rooms; nothing but these stands there."""


def test_every_part_of_the_package_is_a_room() -> None:
    def parts(of: str) -> set[str]:
        """What stands there; a folder without a module is only what an earlier version left in a used checkout."""
        files = [path for path in (PACKAGE / of).iterdir() if path.suffix == ".py"]
        folders = [path for path in (PACKAGE / of).iterdir() if path.is_dir() and any(path.rglob("*.py"))]
        return {path.stem for path in (*files, *folders)} - {"__init__"}

    assert parts("") - {"errors", "py"} - set(ROOMY) == {room for room in FLOORS if "." not in room}
    for of in ROOMY:
        assert parts(of) - {"app"} == {room.split(".")[1] for room in FLOORS if room.startswith(f"{of}.")} - {"app"}


CLIMB = """
import importlib, json, sys
for rooms in json.loads(sys.argv[1]):
    for name in rooms:
        importlib.import_module(name)
    print(json.dumps([name for name in sys.modules if name.split(".")[0] in ("putback", "textual")]))
"""
"""Loads room after room in one fresh process, and prints after each what of the package is in memory by then."""


def test_the_house_is_climbed_room_by_room_and_none_loads_what_is_above_it() -> None:
    rooms = sorted((room for room in FLOORS if room != "__main__"), key=lambda room: FLOORS[room])
    mine = [[name for name in modules() if room_of(name, FLOORS) == room] for room in rooms]
    program = [sys.executable, "-c", CLIMB, json.dumps(mine)]
    done = subprocess.run(program, capture_output=True, text=True, check=True)
    for room, line in zip(rooms, done.stdout.splitlines(), strict=True):
        loaded = json.loads(line)
        assert [name for name in loaded if name.startswith("putback") and floor_of(name) > FLOORS[room]] == [], room
        if not room.startswith(("tui", "cli", "playing")):
            assert "textual" not in loaded, f"only the screens load it, and {room} does"


def test_no_import_leads_up_not_even_inside_a_function() -> None:
    """The arrows as they are written: an import that runs late would not show in a fresh process."""
    assert {module: up for module in modules() if (up := leads_up(module))} == {}


def leads_up(module: str) -> list[str]:
    """What a module imports, wherever it stands in it, of rooms that are not below its own."""
    path = PACKAGE.parent / (module.replace(".", "/") + ".py")
    text = (path if path.exists() else PACKAGE.parent / module.replace(".", "/") / "__init__.py").read_text("utf-8")
    if not room_of(module, FLOORS):
        return []
    return [
        name
        for node in ast.walk(ast.parse(text))
        for name in (
            [f"{node.module}.{alias.name}" for alias in node.names] if isinstance(node, ast.ImportFrom) else []
        )
        if name.startswith("putback.")
        and room_of(name, FLOORS) != room_of(module, FLOORS)
        and floor_of(name) >= floor_of(module)
    ]


LATE = "A command loads what it needs when it runs"
"""What the head of a module of the command line says once for all its late imports."""

REASON = re.compile(r"#(?! ?(?:noqa|type):)|# noqa: \w+ - ")
"""A comment that tells a reader something, and not a tool alone."""


def test_an_import_inside_a_function_has_its_reason() -> None:
    """On its line, or in the line above: what is not needed at the start loads later, nothing else does."""
    assert {path.name: bare for path in sorted(PACKAGE.rglob("*.py")) if (bare := without_reason(path))} == {}


def without_reason(path: Path) -> list[str]:
    """The late imports of a file that say no reason."""
    text = path.read_text("utf-8")
    tree, lines = ast.parse(text), ["", *text.splitlines()]
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]
    late = {
        node.lineno
        for function in functions
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
    }
    if path.parent.name == "cli" and LATE in (ast.get_docstring(tree) or ""):
        return []
    bare = [at for at in late if not REASON.search(lines[at]) and not lines[at - 1].lstrip().startswith("# ")]
    return [lines[at].strip() for at in sorted(bare)]


def test_the_command_line_loads_no_screen() -> None:
    assert "textual" not in loaded_by(", ".join(name for name in modules() if room_of(name, FLOORS) == "cli"))


def test_sizing_and_trade_know_no_file_clock_or_screen() -> None:
    """What the pure rooms import is looked at in their text: the standard library loads much by itself."""
    strange = {"os", "time", "random", "secrets", "shutil", "subprocess", "socket", "tempfile", "sqlite3", "tinydb"}
    for part in ("sizing", "planning", "trade"):
        for path in (PACKAGE / part).rglob("*.py"):
            words = {line.split()[1].split(".")[0] for line in path.read_text("utf-8").splitlines() if _imports(line)}
            assert words & strange == set(), path


def _imports(line: str) -> bool:
    return line.strip().startswith(("import ", "from ")) and len(line.split()) > 1


def test_the_command_line_starts_without_heavy_libraries() -> None:
    assert set(HEAVY) & loaded_by("putback.cli") == set()


def test_the_bench_starts_without_heavy_libraries() -> None:
    assert set(HEAVY) & loaded_by("putback.tui.app") == {"textual"}


def test_only_one_door_leads_to_each_library() -> None:
    doors = {"pint": "sizing/units.py", "qrcode": "labels/qr.py", "tinydb": "store/tables.py"}
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
        found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
        status, *heavy = found.stdout.split()
        assert status == "0" and set(heavy) <= ({"pint"} if words[0] == "replay" else set()), (words, heavy)


def test_no_file_is_longer_than_a_person_reads_at_once() -> None:
    long = {str(path.relative_to(PACKAGE)): n for path in PACKAGE.rglob("*.py") if (n := lines_of(path)) > 400}
    assert not long, "a file past 400 lines wants its second noun"


def lines_of(path: Path) -> int:
    return path.read_text("utf-8").count("\n")
