"""Plain tables as the TOML of a session file: what a person may read, change and play again."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from typing import Any

Table = dict[str, Any]
"""Plain values by their field."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SHORT = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def written(fields: Table) -> Table:
    """Return the fields that say something; what is empty, false or nothing need not stand in a file."""
    return {name: list(value) if isinstance(value, tuple) else value for name, value in fields.items() if _says(value)}


def toml_of(tables: Table) -> str:
    """Return `machine`, `assemblies` and the list `session` as a session file's text."""
    parts = [] if tables["session"] else ["session = []"]
    parts.append("\n".join(["[machine]", *_lines(tables["machine"])]))
    if tables["assemblies"]:
        parts.append("\n".join(["[assemblies]", *_lines(tables["assemblies"])]))
    number = 0
    for session in tables["session"]:
        rows = {name: value for name, value in session.items() if _is_rows(value) and name != "breaks"}
        head = {name: value for name, value in session.items() if name not in rows}
        parts.append("\n".join(["[[session]]", *_lines(head)]))
        for name, found in rows.items():
            for row in found:
                number += name == "step"
                mark = [f"# {number}"] if name == "step" else []
                parts.append("\n".join([*mark, f"[[session.{name}]]", *_lines(row)]))
    return "\n\n".join(parts) + "\n"


def _says(value: Any) -> bool:
    return value is not None and value is not False and value not in ("", 0, (), [])


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)


def _lines(table: Table) -> Iterable[str]:
    for name, value in table.items():
        if _is_rows(value) and len(value) > 1:
            yield f"{_key(name)} = ["
            yield from (f"  {_value(row)}," for row in value)
            yield "]"
        else:
            yield f"{_key(name)} = {_value(value)}"


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _value(name)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + "".join(map(_letter, value)) + '"'
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else repr(value)
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, dict):
        inner = ", ".join(f"{_key(name)} = {_value(one)}" for name, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    return str(value)


def _letter(letter: str) -> str:
    """Return a character as it may stand in a text; what a terminal or an editor would act on is spelled out."""
    if letter in _SHORT:
        return _SHORT[letter]
    return letter if letter.isprintable() else f"\\U{ord(letter):08X}"
