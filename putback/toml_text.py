"""TOML from anywhere, read within bounds: what the parser would take gigabytes for is refused before it begins.

The standard parser keeps every beginning of a dotted key apart, so the cost of `a.a.a. ... = 1` grows with the
square of its parts. A key of ours has three parts at most.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

DEEPEST = 16
"""Parts of the longest key that is read."""

_WORD = r"(?:(?<![A-Za-z0-9_-])[A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*')"
_SUSPECT = re.compile(rf"{_WORD}(?:[ \t]*\.[ \t]*(?:[A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*')){{{DEEPEST}}}")
"""So many words in a row with points between: a key too long, or a text that looks like one."""

_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|#[^\n]*|(?P<point>\.)|(?P<end>[=\[\]{},\n])',
    re.DOTALL,
)


class TooDeep(ValueError):
    """A key has more parts than any that is ours."""


def read_toml(text: str) -> dict[str, Any]:
    """Return the tables in `text`.

    Raises TooDeep, or as tomllib does: TOMLDecodeError, ValueError for a number that cannot be read, RecursionError.
    """
    if _SUSPECT.search(text) and _longest_key(text) > DEEPEST:
        raise TooDeep(f"a key has more than {DEEPEST} parts")
    return tomllib.loads(text)


def _longest_key(text: str) -> int:
    """Count the parts of the longest dotted key outside texts and remarks, as far as it matters."""
    parts = longest = 1
    for found in _TOKEN.finditer(text):
        if found["point"]:
            parts += 1
            longest = max(longest, parts)
            if longest > DEEPEST:
                break
        elif found["end"]:
            parts = 1
    return longest
