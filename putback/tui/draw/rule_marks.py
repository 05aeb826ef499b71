"""What stands on a rule: sizes as marks, and how a measure is written beside one."""

from __future__ import annotations

from msgspec import Struct


class RuleMark(Struct, frozen=True):
    """One size the reading might stand for."""

    label: str
    """Its name: `#8-32 UNC`, `3/8`."""
    low: float
    """The least a good one measures, in the rule's unit."""
    high: float
    """The most a good one measures."""
    at: float
    """Where it is expected: the middle of the class band, or the nominal length."""
    best: bool = False
    """Whether it is the answer so far. At most one mark is."""


def beside(mark: RuleMark, pointer: float, unit: str = "in") -> str:
    """How the reading lies to a mark, in words: `within`, `.003 under`, `.010 over`."""
    if mark.low <= pointer <= mark.high:
        return "within"
    off = mark.low - pointer if pointer < mark.low else pointer - mark.high
    return f"{measured(off, unit)} {'under' if pointer < mark.low else 'over'}"


def measured(value: float, unit: str) -> str:
    """A measure as it is said at the bench: `.372` in inches, `9.45` in millimetres."""
    if unit == "in":
        words = f"{value:.4f}"
        words = words[:-1] if words.endswith("0") else words
        return words.replace("0.", ".", 1) if words.startswith(("0.", "-0.")) else words
    return f"{value:.2f}"
