"""The text inside a full label's square: the code, and behind it a summary any phone shows.

    PB3K7M2Q4: BAG 4 - FARE STAMP SN 2041*7 - STEPS 5-7 - 8 OF NO8-32 X 3/8 - DRUM GUARD.

One line of QR's alphanumeric mode, which has neither `#` nor `?` nor a comma. `#8` is spelled `NO8`, as
the trade says it; a doubtful character has a `*` before it. A colon follows the code and a full stop
ends the line; elsewhere a full stop is always a decimal point. By these two a scanner's typing is known
for what it is (see `scan`).
"""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, replace

from putback.labels.facts import Contents, LabelFacts
from putback.scans.bag_code import END, SEPARATOR, is_code, normalise

_BREAK = " - "
_SPELLED = {
    "Æ": "AE",
    "Ð": "D",
    "Ø": "O",
    "Þ": "TH",
    "Œ": "OE",
    "Đ": "D",
    "Ħ": "H",
    "Ł": "L",
    "⌀": "DIA ",
    "\N{MULTIPLICATION SIGN}": "X",
    "÷": "/",
    "\N{FRACTION SLASH}": "/",
    "\\": "/",
    "°": " DEG",
    "&": "+",
    "\N{EN DASH}": "-",
    "\N{EM DASH}": "-",
    "\N{MINUS SIGN}": "-",
    "_": "-",
    "=": "-",
    '"': " IN",
    "″": " IN",
    "@": " AT ",
}
"""What the plain letters below do not cover, after capitals were made and accents split off."""
_PLAIN = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ+-./* ")
_DROPPED_MARK = frozenset("'\N{RIGHT SINGLE QUOTATION MARK}\N{LEFT SINGLE QUOTATION MARK}`\N{ACUTE ACCENT}")


def spell(text: str) -> str:
    """`text` in the characters of a label's square, spelled so that a person still reads it.

    `#8-32 x 3/8` gives `NO8-32 X 3/8`, `2041?7` gives `2041*7`, `Führung, links` gives `FUHRUNG LINKS`.
    What has no spelling (emoji, other scripts) is left out, so the result may be empty.
    """
    text = text.replace("*", " ")
    text = re.sub(r"\?(?=\w)", "*", text)
    text = re.sub(r"(?<=\d)(?=[¼½¾⅐-⅞])", " ", text)
    text = re.sub(r"[øØ](?=\s*[\d.])", "⌀", text)
    text = re.sub(r"(?<=\d),(?=\d)", ".", text)
    text = re.sub(r"#\s*(?=\d)", "NO", text)
    text = unicodedata.normalize("NFKD", text).upper()
    text = "".join(_spell_one(character) for character in text)
    text = re.sub(r"\.(?!\d)", " ", text)
    text = re.sub(r"\*(?![0-9A-Z])", " ", text)
    return re.sub(r" +", " ", text).strip(" -")


def _spell_one(character: str) -> str:
    if character in _PLAIN:
        return character
    if character in _SPELLED:
        return _SPELLED[character]
    return "" if unicodedata.combining(character) or character in _DROPPED_MARK else " "


@dataclass(frozen=True, slots=True)
class Payload:
    """What stands in a square, and what had to be left out."""

    text: str
    """One line, in QR's alphanumeric mode."""
    left_out: tuple[str, ...]
    """What was shortened or left out, in the order in which it went; empty when all is there."""


def fit(facts: LabelFacts, room: int) -> Payload:
    """The fullest summary of `facts` in at most `room` characters.

    What matters least goes first; bag number, steps and the count stay longest. When those do not fit
    it is the code alone: nine characters, whatever the room, at a level that a stump of a summary would
    only have lowered.
    """
    wording = _wording(facts)
    left_out: list[str] = []
    if wording == _Wording():
        return Payload(facts.code, ())
    for name, shorten in _SHORTER:
        if len(text := _line(facts.code, wording)) <= room:
            return Payload(text, tuple(left_out))
        if (shorter := shorten(wording)) != wording:
            wording = shorter
            left_out.append(name)
    return Payload(facts.code, ("everything but the code",))


def code_of(text: str) -> str | None:
    """The code in what a reader gave: a code alone, or a full label's line. None when it has none."""
    code = normalise(text.partition(SEPARATOR)[0])
    return code if is_code(code) else None


@dataclass(frozen=True, slots=True)
class _Wording:
    """A summary's sections, spelled, in the order in which they are read."""

    bag: str = ""
    machine: str = ""
    serial: str = ""
    steps: str = ""
    lines: tuple[str, ...] = ()
    unnamed: int = 0
    parts: tuple[str, ...] = ()
    box: str = ""
    day: str = ""
    legend: bool = False


def _wording(facts: LabelFacts) -> _Wording:
    serial = spell(facts.serial)
    return _Wording(
        bag="" if facts.bag is None else f"BAG {facts.bag}",
        machine=spell(facts.machine),
        serial=f"SN {serial}" if serial else "",
        steps=_steps(facts.steps),
        lines=tuple(_contents(line) for line in facts.contents),
        parts=tuple(filter(None, map(spell, facts.parts))),
        box=f"BOX {box}" if (box := spell(facts.box)) else "",
        day=facts.day.isoformat() if facts.day else "",
        legend="*" in serial,
    )


def _contents(line: Contents) -> str:
    return f"{line.count} OF {spell(line.size) or 'SOMETHING'}"


def runs(numbers: tuple[int, ...]) -> str:
    """Numbers in rising order with runs drawn together: 5, 6, 7 and 9 give `5-7 9`."""
    ordered = sorted(set(numbers))
    starts = [n for n in ordered if n - 1 not in ordered]
    ends = [n for n in ordered if n + 1 not in ordered]
    return " ".join(
        str(a) if a == b else f"{a} {b}" if b == a + 1 else f"{a}-{b}" for a, b in zip(starts, ends, strict=True)
    )


def _steps(numbers: tuple[int, ...]) -> str:
    return f"STEP{'S' if len(set(numbers)) > 1 else ''} {runs(numbers)}" if numbers else ""


def _line(code: str, wording: _Wording) -> str:
    more = [f"{wording.unnamed} {'MORE' if wording.lines else 'PIECES'}"] if wording.unnamed else []
    sections = (
        wording.bag,
        " ".join(filter(None, (wording.machine, wording.serial))),
        wording.steps,
        " + ".join([*wording.lines, *more]),
        " + ".join(wording.parts),
        wording.box,
        wording.day,
        "* MARKS DOUBT" if wording.legend else "",
    )
    return f"{code}{SEPARATOR} {_BREAK.join(filter(None, sections))}{END}"


def _clipped(text: str, room: int) -> str:
    """At most `room` characters, cut at a blank where one is near."""
    if len(text) <= room:
        return text
    cut = text[: room + 1].rpartition(" ")[0]
    return (cut if len(cut) > room // 2 else text[:room]).rstrip(" -+")


def _tight(line: str) -> str:
    """A Unified size says its series by its pitch: NO8-32 UNC X 3/8 can be NO8-32X3/8."""
    return re.sub(r" X (?=[\d.])", "X", re.sub(r"(?<=\d) (UNC|UNF|UNEF|NS)(?= |$)", "", line))


def _lines_to(keep: int) -> Callable[[_Wording], _Wording]:
    def shorten(wording: _Wording) -> _Wording:
        dropped = sum(int(line.split(" ", 1)[0]) for line in wording.lines[keep:])
        return replace(wording, lines=wording.lines[:keep], unnamed=wording.unnamed + dropped)

    return shorten


def _first_and_last(wording: _Wording) -> _Wording:
    numbers = re.findall(r"\d+", wording.steps)
    steps = f"STEPS {numbers[0]} TO {numbers[-1]}" if len(numbers) > 2 else wording.steps
    return replace(wording, steps=min(wording.steps, steps, key=len))


_SHORTER: tuple[tuple[str, Callable[[_Wording], _Wording]], ...] = (
    ("what * means", lambda w: replace(w, legend=False)),
    ("the box", lambda w: replace(w, box="")),
    ("the day", lambda w: replace(w, day="")),
    ("long part names", lambda w: replace(w, parts=tuple(_clipped(part, 16) for part in w.parts))),
    ("parts after the first", lambda w: replace(w, parts=w.parts[:1])),
    ("the machine's full name", lambda w: replace(w, machine=_clipped(w.machine, 16))),
    ("series letters", lambda w: replace(w, lines=tuple(map(_tight, w.lines)))),
    ("the parts", lambda w: replace(w, parts=())),
    ("the machine's name", lambda w: replace(w, machine="")),
    ("sizes after the sixth", _lines_to(6)),
    ("sizes after the third", _lines_to(3)),
    ("the serial", lambda w: replace(w, serial="")),
    ("sizes after the first", _lines_to(1)),
    ("sizes", _lines_to(0)),
    ("the steps between", _first_and_last),
    ("", lambda w: w),
)
