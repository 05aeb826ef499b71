"""What a setting may be: each check gives the value as it is kept, or raises BadInput with the rest of a sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from putback.errors import BadInput


def wants(wanted: str, value: object) -> str:
    """Return what is wrong with a value, as the rest of a sentence: `is 3, and it takes true or false`."""
    if isinstance(value, bool):
        shown = str(value).lower()
    elif isinstance(value, str):
        shown = f"“{value if len(value) <= 30 else value[:29] + '…'}”"
    elif isinstance(value, int | float):
        shown = f"{value:g}"
    else:
        shown = "a list" if isinstance(value, list) else "a table" if isinstance(value, dict) else "a date or time"
    return f"is {shown}, and it takes {wanted}"


def yes_or_no(value: object) -> bool:
    """Return the value where it is true or false. Raises BadInput with the rest of a sentence, as all here do."""
    if not isinstance(value, bool):
        raise BadInput(wants("true or false", value))
    return value


def one_of(words: tuple[str, ...]) -> Callable[[object], str]:
    """Return the check for one of some words."""

    def check(value: object) -> str:
        if not isinstance(value, str) or value not in words:
            raise BadInput(wants(listed(words, "or"), value))
        return value

    return check


def some_of(words: tuple[str, ...]) -> Callable[[object], tuple[str, ...]]:
    """Return the check for a list of some of these words; it gives them in their order."""

    def check(value: object) -> tuple[str, ...]:
        wanted = f"a list of some of {listed(words)}"
        if not isinstance(value, list):
            raise BadInput(wants(wanted, value))
        for word in value:
            if word not in words:
                raise BadInput(f"names {wants(wanted, word).removeprefix('is ')}")
        return tuple(word for word in words if word in value)

    return check


def texts(value: object) -> tuple[str, ...]:
    """Return a list of short texts, each once."""
    wanted = "a list of texts of at most 60 characters, one for each"
    if not isinstance(value, list):
        raise BadInput(wants(wanted, value))
    for word in value:
        if not isinstance(word, str) or not word.strip() or len(word) > 60 or not word.isprintable():
            raise BadInput(f"names {wants(wanted, word).removeprefix('is ')}")
    return tuple(dict.fromkeys(word.strip() for word in value))


def number(low: float, high: float, unit: str) -> Callable[[object], float]:
    """Return the check for a number within limits."""

    def check(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise BadInput(wants(f"a number from {low:g} to {high:g} ({unit})", value))
        return float(value)

    return check


def whole(low: int, high: int, unit: str) -> Callable[[object], int]:
    """Return the check for a whole number within limits."""

    def check(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise BadInput(wants(f"a whole number from {low} to {high} ({unit})", value))
        return value

    return check


def words(value: object) -> str:
    """Return the name of a sheet, without what stands around it."""
    if not isinstance(value, str) or not value.strip():
        raise BadInput(wants("the name of a sheet", value))
    return value.strip()


def block(value: object) -> str:
    """Return the nine letters of a block of keys, small."""
    letters = "".join(value.split()).casefold() if isinstance(value, str) else ""
    if len(letters) != 9 or len(set(letters)) != 9 or not letters.isalpha() or "p" in letters:
        raise BadInput(wants("nine different letters, top row first, without P (it begins a bag's code)", value))
    return letters


def listed(words: Mapping[str, object] | tuple[str, ...], last: str = "and") -> str:
    """Return words as a sentence lists them: a, b and c."""
    first, final = list(words)[:-1], list(words)[-1]
    return f"{', '.join(first)} {last} {final}"
