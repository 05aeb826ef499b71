"""Words as a voice can read them: sizes, holes and doubtful characters spelled out, and no sign that stands alone.

A screen reader says ".372" as "372", passes over "#" and reads "1/4-20" as one rigmarole. What is spoken here
means the same, word for word, and can still be typed back: figures stay figures.
"""

from __future__ import annotations

import re

from putback.sizing.series import SERIES
from putback.trade.record.fastener import spot
from putback.trade.record.holes import face_of, place_of
from putback.trade.record.machine import FACES

PLACES = {
    "7": "upper left", "8": "upper middle", "9": "upper right",
    "4": "middle left", "5": "centre", "6": "middle right",
    "1": "lower left", "2": "lower middle", "3": "lower right",
}  # fmt: skip
"""Where each place of a face lies, as one looks at it."""

ROWS = "789456123"
"""The places in the order in which a face is read: the upper row first, each from the left."""

PARTS = {"2": "half", "4": "quarter", "8": "eighth", "16": "sixteenth", "32": "32nd", "64": "64th"}
"""A piece of an inch, by what it divides the inch into."""

_SERIES = "|".join(sorted({"UNS", "NPSM"} | {one.behind for one in SERIES if one.behind}, key=len, reverse=True))
_PLACED = re.compile(
    r"\bhole ([1-9])([a-z]?)\b(?! [a-z], |, (?:upper|middle|lower|centre))"
    rf"(?:, ({'|'.join(FACES)})\b)?(?=([ ,;:.)]*)(\w?))"
)
_DOUBT = re.compile(r"(?<![\w?])(?=[\w-]*\?\d)[\w?-]*\?\d[\w-]*(?![\w?])")
_COUNT = re.compile(
    rf"(?<![\w.])((?:\d+ )?\d+/\d+|#?\d+|\.\d+)-(\d+(?:\.\d+| 1/2)?)(?= (?:{_SERIES})\b)"
    r"|(?<![\w.])(#\d+|(?:\d+ )?\d+/\d+)-(\d+)(?= x |[,;:)]|$)"
)
_PITCH = re.compile(r"\b(M|Loewenherz )(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)\b")
_FRACTION = re.compile(r"(?<![\d/.-])(?:(\d+) )?(\d+)/(2|4|8|16|32|64)(?![\d/.])")
_BY = re.compile(rf"(\b(?:{_SERIES})|,|) x (?=[\d.])")
_UNITS = (
    (re.compile(r"(?<![\d.])1 min\b"), "1 minute"), (re.compile(r"(\d) min\b"), r"\1 minutes"),
    (re.compile(r"(?<![\d.])1 h\b"), "1 hour"), (re.compile(r"(\d) h\b"), r"\1 hours"),
    (re.compile(r"(hours?) 0?(\d\d?)\b(?! minute)"), r"\1 \2 minutes"),
    (re.compile(r"(?<![\d.])1 minutes\b"), "1 minute"),
    (re.compile(r"(?<![\d.])1 mm\b"), "1 millimetre"), (re.compile(r"(\d) mm\b"), r"\1 millimetres"),
    (re.compile(r"(\d|half|quarters?|[a-z]ths?) in (?=(?:longer|shorter|long)\b)"), r"\1 inch "),
)  # fmt: skip


def hole_text(hole: str) -> str:
    """Return a hole with its place in words: `hole 7, upper left`; `hole 5 b, centre` where a place holds several.

    One on another face says it: `hole 7, upper left, on the right face`.
    """
    place, face = place_of(hole), face_of(hole)
    named = f"hole {place[:1]}{f' {place[1:]}' if place[1:] else ''}, {PLACES.get(place[:1], '')}".removesuffix(", ")
    return f"{named}, on the {face} face" if face else named


def spoken(words: str) -> str:
    """Return words with everything of ours in them as it is said: `number 8, 32 to the inch, UNC, by 3 eighths`.

    What was spoken already stays as it is.
    """
    words = _DOUBT.sub(_doubtful, words)
    words = _PLACED.sub(_placed, words)
    words = re.sub(r"(?<![\w.])(\d+) x (?=[^\W\d])", r"\1 times ", words)
    words = _COUNT.sub(lambda found: f"{found[1] or found[3]}, {found[2] or found[4]} to the inch,", words)
    words = _PITCH.sub(r"\1\2, pitch \3,", words)
    words = re.sub(r"#(?=\d)", "number ", words)
    words = _BY.sub(lambda found: f"{found[1]}{',' if found[1] and found[1] != ',' else ''} by ", words)
    words = _FRACTION.sub(_fraction, words)
    words = re.sub(r"(?<![\w.])\.(?=\d)", "0.", words)
    words = re.sub(r",(?=[,;:.)]|$)", "", words)
    for found, text in _UNITS:
        words = found.sub(text, words)
    return words


def sentence(words: str) -> str:
    """Return words spoken, as a line that begins with a capital and ends where a voice takes breath."""
    line = " ".join(spoken(words).split())
    line = line[:1].upper() + line[1:]
    return line if not line or line[-1] in ".!?:" else f"{line}."


def lines_of(text: str) -> list[str]:
    """Return a text of ours as lines to be spoken: no inset, no columns, no dashes before a line, no empty line."""
    found = (" ".join(line.split()).removeprefix("- ") for line in text.splitlines())
    return [sentence(re.sub("^! ", "caution: ", line)) for line in found if line]


def spelled(code: str) -> str:
    """Return a code letter by letter, as it is read out: `P B F S`."""
    return " ".join(code)


def _doubtful(found: re.Match[str]) -> str:
    token = found.group()
    bare, doubts = "", []
    for at, letter in enumerate(token):
        if letter != "?":
            bare += letter
            if at and token[at - 1] == "?":
                doubts.append(f"the {letter} in place {len(bare)}")
    return f"{bare} ({' and '.join(doubts)} {'is' if len(doubts) == 1 else 'are'} doubtful)"


def _placed(found: re.Match[str]) -> str:
    text = hole_text(spot(found[1] + found[2], found[3] or ""))
    return f"{text}," if found[4].startswith(" ") and found[5] else text


def _fraction(found: re.Match[str]) -> str:
    whole, over, under = found.groups()
    if int(over) >= int(under):
        return found.group()
    part = PARTS[under]
    many = {"half": "halves"}.get(part, f"{part}s") if over != "1" else part
    return f"{whole} and {over} {many}" if whole else f"{over} {many}"
