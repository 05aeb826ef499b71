"""Everything public says what it is: modules, classes, functions, and each field of a value."""

from __future__ import annotations

import ast
import importlib
import inspect
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

PACKAGE = Path(__file__).parents[1] / "putback"
FILES = sorted(path for path in PACKAGE.rglob("*.py"))
RUN_ON_IMPORT = ("putback.__main__", "putback.demo.build")


def name_of(path: Path) -> str:
    """The dotted name of a module."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def fields_without(body: list[ast.stmt], of: str = "") -> Iterator[str]:
    """Public annotated fields of public classes with no text below them: what it means, its unit, its empty value."""
    for at, node in enumerate(body):
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from fields_without(node.body, f"{of}{node.name}.")
        elif of and isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            below = body[at + 1] if at + 1 < len(body) else None
            found = isinstance(below, ast.Expr) and isinstance(below.value, ast.Constant)
            if not found and not node.target.id.startswith("_"):
                yield f"{of}{node.target.id}"


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_every_field_says_what_it_means(path: Path) -> None:
    assert list(fields_without(ast.parse(path.read_text("utf-8")).body)) == []


def undescribed(module: ModuleType) -> Iterator[str]:
    """Public names of a module without a docstring. A method may have that of the one it takes the place of; what a
    screen does on a message of the library is named after that message."""
    if not module.__doc__:
        yield module.__name__
    for name, value in vars(module).items():
        if name.startswith("_") or getattr(value, "__module__", None) != module.__name__:
            continue
        if inspect.isfunction(value) and not value.__doc__:
            yield name
        if inspect.isclass(value):
            if not value.__doc__ or value.__doc__.startswith(
                f"{name}("
            ):  # a dataclass writes its own where it has none
                yield name
            for attribute, held in vars(value).items():
                called = inspect.isfunction(held) or isinstance(held, property | staticmethod | classmethod)
                if called and not attribute.startswith(("_", "on_")) and not inspect.getdoc(getattr(value, attribute)):
                    yield f"{name}.{attribute}"


@pytest.mark.parametrize("name", [name for name in map(name_of, FILES) if name not in RUN_ON_IMPORT])
def test_everything_public_says_what_it_is(name: str) -> None:
    assert list(undescribed(importlib.import_module(name))) == []
