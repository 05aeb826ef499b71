"""Sizes as they are said aloud or stand on a carton, put as the gauge field reads them.

`eight thirty-two`, `M 4 x 0,7`, `2 B.A.`, `8/32`, `1/4-20 UNC-2A LH`, `8-32 x 3/8`: all of these name a size, and some
say the length or the hand as well.
"""

from __future__ import annotations

import re
from math import gcd

_ONES = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
_NUMBERS = _ONES | _TENS
_PARTS = {"half": 2, "quarter": 4, "eighth": 8, "sixteenth": 16, "thirty-second": 32}
_CLASS = re.compile(r"[ -](?:[123][ab]|[46]h|[68]g)$")
_LEFT = re.compile(r"[ -](?:lh|l\.h\.|left(?:[ -]hand(?:ed)?)?)$")
_LETTERS = re.compile(r"(?<![a-z])(?:[a-z]\.){1,3}[a-z]\.?(?![a-z])")
_LENGTH = r"[0-9.,]+(?:[ -][0-9]+/[0-9]+|/[0-9]+)? ?(?:mm|in|\")?"


def spelled(text: str) -> str:
    """A size, already tidy, in the spelling of the gauge field; the same where there is nothing to put otherwise."""
    plain = _LETTERS.sub(lambda found: found[0].replace(".", ""), text.lower())
    plain = _CLASS.sub("", plain)
    plain = _aloud(plain)
    if re.match(r"m ?[0-9]", plain):
        plain = re.sub(r"^m ", "m", plain.replace(",", "."))
    slash = re.fullmatch(r"#?([0-9]{1,2})/([0-9]{1,2})", plain)
    if slash is not None and _is_no_fraction(int(slash[1]), int(slash[2])):
        return f"{slash[1]} {slash[2]}"
    return plain


def _is_no_fraction(top: int, bottom: int) -> bool:
    """Whether nobody would write that fraction: 8/32 is a quarter, and 4/40 is on no rule."""
    return top > 0 and (gcd(top, bottom) > 1 or bottom & (bottom - 1) != 0)


def left_hand(text: str) -> tuple[str, bool]:
    """The text without the words for a left-hand thread behind it, and whether they were there."""
    plain = _LEFT.sub("", text.lower())
    return (text[: len(plain)], True) if len(plain) < len(text) else (text, False)


def behind_the_size(text: str) -> tuple[str, str] | None:
    """A size and the length behind its `x`, by their looks: `8-32 x 3/8`; None where no length stands there."""
    found = re.fullmatch(
        r"(.*[0-9a-z]) ?[x\u00d7] ?([0-9.,]+(?:[ -][0-9]+/[0-9]+|/[0-9]+)? ?(?:mm|in|\")?)", text, re.I
    )
    return None if found is None else (found[1].strip(), found[2].strip())


def _aloud(text: str) -> str:
    """Numbers in words as figures, where every word is one or a series: eight thirty-two, two b a, m five."""
    words = [word for word in re.split(r"[ -]+", text) if word != "and"]
    if not any(word in _NUMBERS or word.removesuffix("s") in _PARTS for word in words):
        return text
    found: list[str | int] = []
    for word in words:
        last = found[-1] if found else ""
        part, number = _PARTS.get(word.removesuffix("s")), _NUMBERS.get(word)
        if part is not None:
            count = found.pop() if isinstance(last, int) else 1
            found.append(f"{count or 1}/{part}")
        elif number is not None and isinstance(last, int) and last in _TENS.values() and 0 < number < 10:
            found[-1] = last + number
        elif number is not None:
            found.append(number)
        elif re.fullmatch(r"[a-z]{1,4}", word):
            found.append(word)
        else:
            return text
    told = " ".join(map(str, found))
    return re.sub(r"\bb ([as])\b", r"b\1", re.sub(r"^m ", "m", told))
