"""How a refusal quotes what was said, and what it offers instead."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from difflib import get_close_matches

SHOWN = 60
"""Characters of a quotation that are shown."""

LISTED = 40
"""Words that are listed where none is near."""


def quoted(words: object) -> str:
    """Return `words` in quotation marks, on one line, cut where long."""
    return f"“{cut(str(words))}”"


def instead(word: str, known: Collection[str], called: Mapping[str, str] | None = None) -> str:
    """Return the end of a sentence about an unknown `word`: the nearest of `known`, else all of them.

    Where one thing has several names, `called` gives for each name what the thing is called; it is listed once.
    """
    names = {name.casefold(): name if called is None else called[name] for name in known}
    near = get_close_matches(word.casefold(), names, n=1, cutoff=0.6)
    if near:
        return f"; did you mean {quoted(names[near[0]])}?"
    listed = sorted(set(names.values()))
    return f"; there is {', '.join(listed)}." if 0 < len(listed) <= LISTED else "."


def with_article(noun: str) -> str:
    """Return a noun with its article: `a head`, `an origin`."""
    return f"{'an' if noun[:1].casefold() in tuple('aeiou') else 'a'} {noun}"


def whole_in(text: str) -> int | None:
    """Return the whole number that a text is, in at most eight figures; None where it is anything else."""
    word = text.strip()
    return int(word) if word.isdecimal() and word.isascii() and len(word) < 9 else None


def cut(text: str, most: int = SHOWN) -> str:
    """Return a text on one line, of at most so many characters: `penny side up, the long leg behi...`."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 3].rstrip() + "..."


TURNING = dict.fromkeys((0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)))
"""Unseen characters that turn the line round."""


def one_way(text: str) -> str:
    """Return a text without the unseen characters that turn the line round."""
    return text.translate(TURNING)


def few(words: Collection[str], most: int = 8) -> str:
    """Return `words` as a list in a sentence, cut where there are many."""
    shown = list(words)[:most]
    more = len(words) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")


def times(count: int, what: str) -> str:
    """Return `what` with its count where that is not one: `3 x screw`."""
    return what if count == 1 else f"{count} x {what}"


def counted(count: int, noun: str) -> str:
    """Return a count with its noun: `1 step`, `3 steps`."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def minutes_text(minutes: float) -> str:
    """Return a stretch of time as a person says it: 23 min, 9 h 05."""
    whole = round(minutes)
    return f"{whole} min" if whole < 120 else f"{whole // 60} h {whole % 60:02d}"
