"""Rooms and imports of the house, read from the map and from the text of the files. Nothing is run."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOMS = ROOT / "DEVELOPERS.md"

FOR_ALL = ("putback", "putback.errors", "putback.trade", "putback.tui")
"""Modules that stand in no room: the version, the errors, and packages that hold rooms and nothing else."""


# -- the rooms


@dataclass(frozen=True)
class Room:
    """A room of the house."""

    name: str
    """Its dotted name below the package, as in `trade.record`."""
    purpose: str
    """What it is for, in one line."""
    floor: int
    """How high it stands; 0 is the ground."""


def rooms_in(text: str) -> list[Room]:
    """Return the rooms of the ```rooms block of a text, lowest first.

    The block has a line a room, the roof first; a line set in stands on the same floor as the line above it.
    """
    block = text.partition("```rooms\n")[2].partition("```")[0]
    floors: list[list[tuple[str, str]]] = []
    for line in block.splitlines():
        name, _, purpose = line.strip().partition(" ")
        if line.startswith(" "):
            floors[-1].append((name, purpose.strip()))
        else:
            floors.append([(name, purpose.strip())])
    return [Room(name, purpose, floor) for floor, rooms in enumerate(reversed(floors)) for name, purpose in rooms]


def room_of(module: str, rooms: Iterable[str]) -> str:
    """Return the name of the room that a module stands in; empty for what all may use."""
    parts = module.split(".")[1:]
    return next((name for name in (".".join(parts[:2]), ".".join(parts[:1])) if name in rooms), "")


# -- the imports

BODIES = ("body", "orelse", "finalbody", "handlers", "cases")
"""Where a statement has further statements in it."""


@dataclass(frozen=True)
class Import:
    """One module imported by another."""

    source: str
    target: str
    late: bool
    """It stands inside a function and runs when that is called."""


@dataclass
class House:
    """What the text of a package says about it."""

    rooms: list[Room]
    files: Counter[str] = field(default_factory=Counter)
    """How many files each room has."""
    lines: int = 0
    """How many lines all of them have; told, not drawn, since that would change with every day's work."""
    imports: list[Import] = field(default_factory=list)
    by_name: set[str] = field(default_factory=set)
    """Rooms with a file that opens modules by their names, which no drawing of imports can follow."""


def look_at(package: Path, rooms: list[Room]) -> House:
    """Read every file of a package. ValueError names a file that stands in no room."""
    house = House(rooms)
    names = {room.name for room in rooms}
    texts = {module_name(path, package): path.read_text("utf-8") for path in sorted(package.rglob("*.py"))}
    for module, text in texts.items():
        home = room_of(module, names)
        if not home and module not in FOR_ALL:
            raise ValueError(f"{module} stands in no room of the list")
        house.files[home] += 1
        house.lines += text.count("\n")
        tree = ast.parse(text)
        house.imports += [Import(module, target, late) for target, late in imported(tree, texts)]
        if "import_module(" in text:
            house.by_name.add(home)
    return house


def module_name(path: Path, package: Path) -> str:
    """Return the dotted name of a file of a package."""
    parts = path.relative_to(package.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported(tree: ast.Module, modules: Collection[str]) -> Iterable[tuple[str, bool]]:
    """Return the modules of this package that a file imports, and whether a function does it."""
    waiting: list[tuple[ast.AST, bool]] = [(tree, False)]
    while waiting:
        node, late = waiting.pop()
        if isinstance(node, ast.ImportFrom) and node.module:
            whole = {f"{node.module}.{alias.name}" for alias in node.names}
            inside = whole.intersection(modules)
            if node.module in modules and inside != whole:
                inside.add(node.module)
            yield from ((name, late) for name in sorted(inside))
        elif isinstance(node, ast.Import):
            yield from ((alias.name, late) for alias in node.names if alias.name in modules)
        else:  # only a statement can hold one, and most of a file is expressions
            late = late or isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
            parts = (part for name in BODIES for part in getattr(node, name, ()))
            waiting.extend((part, late) for part in parts)


def widest_circle(imports: Sequence[Import]) -> list[str]:
    """Return the files of the widest circle of imports: from each of them one comes back to it. Empty for none."""
    onward: dict[str, set[str]] = {}
    back: dict[str, set[str]] = {}
    for one in imports:
        onward.setdefault(one.source, set()).add(one.target)
        back.setdefault(one.target, set()).add(one.source)
    seen: set[str] = set()
    order = [module for start in sorted(onward) for module in reached(start, onward, seen)]
    seen.clear()
    widest = max((reached(start, back, seen) for start in reversed(order)), key=len, default=[])
    return sorted(widest) if len(widest) > 1 else []


def reached(start: str, onward: Mapping[str, set[str]], seen: set[str]) -> list[str]:
    """Return the modules that can be reached and were not seen before, each behind all that follow from it."""
    found: list[str] = []
    path = [(start, iter(sorted(onward.get(start, ()))))] if start not in seen else []
    seen.add(start)
    while path:
        module, rest = path[-1]
        step = next((name for name in rest if name not in seen), None)
        if step is None:
            found.append(module)
            path.pop()
        else:
            seen.add(step)
            path.append((step, iter(sorted(onward.get(step, ())))))
    return found
