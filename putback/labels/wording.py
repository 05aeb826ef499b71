"""What a label says in words: the same facts at more and fewer words, none of them cut.

First the letters become smaller, then what is common goes (*screw*, the series that the pitch tells anyhow), then
sizes of one thread share a line, then lines join. What still has no room is counted. Two different contents never
read the same at the same fewness of words.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import groupby

from putback.dates import day as written
from putback.labels import payload
from putback.labels.facts import Contents, LabelFacts
from putback.labels.lettering import how_many_fit, measure, printable

FULL, NO_KIND, NO_SERIES, GROUPED, JOINED = range(5)
"""How few words the contents are said in; each is fewer than the one before it."""

_SERIES = re.compile(r"(?<=\d) (?:UNC|UNF|UNEF|NS)(?=$|[ ,])")
_GLUED = re.compile(
    r" (?=x )|(?<= x) |(?<=\d) (?=\d+/\d)|(?<=\d) (?=(?:mm|in)\b)|(?<=\N{MULTIPLICATION SIGN}) |(?<=SN) "
)
_GLUE = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to say, on as many lines as it needs."""

    text: str
    """The words."""
    count: str = ""
    """How many, where that stands in a column of its own."""
    bold: bool = False
    """Whether it is set bold."""


def called(line: Contents, fewness: int) -> str:
    """What a line of contents is, in more or fewer words: `screw #6-32 UNC x 3/8`, `#6-32 x 3/8`."""
    text = printable(line.size)
    if line.sort != "fastener":
        return text
    if fewness >= NO_KIND and text.startswith("screw "):
        text = text.removeprefix("screw ")
    return _SERIES.sub("", text) if fewness >= NO_SERIES else text


def content_rows(contents: tuple[Contents, ...], fewness: int, shown: int) -> list[Row]:
    """The first `shown` lines of contents in so many words, and the rest counted."""
    first, rest = contents[:shown], contents[shown:]
    rows: list[Row] = []
    if fewness < GROUPED:
        rows = [Row(called(line, fewness), str(line.count)) for line in first]
    else:
        for _, same in groupby(first, key=_thread):
            rows.append(_together(list(same), fewness))
        if fewness == JOINED and rows:
            said = (f"{row.count} \N{MULTIPLICATION SIGN} {row.text}" if row.count else row.text for row in rows)
            rows = [Row("; ".join(words.replace(" ", _GLUE) for words in said))]
    return [*rows, Row(_counted(rest, bool(first)))] if rest else rows


def _thread(line: Contents) -> str:
    """What sizes of one thread have in common; of all else the whole."""
    thread, by, _ = called(line, NO_SERIES).partition(" x ")
    return f"{thread} x" if by and line.sort == "fastener" else called(line, FULL)


def _together(lines: list[Contents], fewness: int) -> Row:
    if len(lines) == 1:
        return Row(called(lines[0], fewness), str(lines[0].count))
    thread = _thread(lines[0]).removesuffix(" x")
    lengths = (f"{line.count} \N{MULTIPLICATION SIGN} {called(line, NO_SERIES).partition(' x ')[2]}" for line in lines)
    return Row(f"{thread}: {', '.join(lengths)}")


def _counted(rest: tuple[Contents, ...], more: bool) -> str:
    """How many have no room: `and 4 more in 3 sizes`, `and 2 more loose pieces`, `9 pieces in 3 sizes`."""
    sizes = [line for line in rest if line.sort == "fastener"]
    in_sizes, loose = sum(line.count for line in sizes), sum(line.count for line in rest if line.sort != "fastener")
    said = [f"{loose} {'more ' if more else ''}loose piece{'s' if loose > 1 else ''}"] if loose else []
    if sizes:
        word = "more" if more else f"piece{'s' if in_sizes > 1 else ''}"
        said.append(f"{in_sizes} {word} in {len(sizes)} size{'s' if len(sizes) > 1 else ''}")
    return f"{'and ' if more else ''}{', '.join(said)}"


def part_row(facts: LabelFacts, shown: int) -> Row | None:
    """The first `shown` parts, the rest counted; None where none is shown."""
    names = [name for name in map(printable, facts.parts) if name]
    rest = len(names) - shown
    said = names[:shown] + ([f"and {rest} more part{'s' if rest > 1 else ''}"] if rest > 0 and shown else [])
    return Row(", ".join(name.replace(" ", _GLUE) for name in said), bold=True) if said else None


def when_row(facts: LabelFacts) -> Row | None:
    """The steps; box and day, where they found no room beside the bag's number."""
    box = printable(facts.box)
    more = (steps_words(facts.steps), f"box {box}" if box else "", written(facts.day) if facts.day else "")
    when = ", ".join(filter(None, more))
    return Row(when) if when else None


def steps_words(numbers: tuple[int, ...]) -> str:
    """The steps with runs drawn together: `steps 5-7 9`; nothing where there are none."""
    return f"step{'s' if len(set(numbers)) > 1 else ''} {payload.runs(numbers)}" if numbers else ""


def machine_rows(facts: LabelFacts, fewness: int) -> list[Row]:
    """Whose the bag is: name, model and serial with its doubt in words; then fewer of them, the serial longest."""
    name, model, serial = map(printable, (facts.machine, facts.model, facts.serial))
    bare = f"SN {serial}" if serial else ""
    whose = (
        (name, model, serial_words(serial)),
        (name, serial_words(serial)),
        (name, bare),
        (bare or name,),
        (bare,),
        (),
    )[fewness]
    text = ", ".join(filter(None, whose))
    return [Row(text)] if text else []


MACHINE_FEWNESS = range(6)
"""How few words the machine may be said in; the last says nothing of it."""


def serial_words(serial: str) -> str:
    """A serial, and which of its figures is in doubt: `2041?7` gives `SN 20417 (last figure in doubt)`."""
    if not serial:
        return ""
    plain, doubtful = "", []
    for before, figure in zip(" " + serial, serial, strict=False):
        if figure != "?":
            plain += figure
            if before == "?":
                doubtful.append(len(plain))
    if not doubtful or serial.endswith("?") or "??" in serial:
        return f"SN {serial}"
    if len(doubtful) > 2:
        return f"SN {plain} ({len(doubtful)} figures in doubt: {serial})"
    places = ["last" if at == len(plain) else f"{at}{_ordinal(at)}" for at in doubtful]
    return f"SN {plain} ({' and '.join(places)} figure{'s' if len(places) > 1 else ''} in doubt)"


def _ordinal(number: int) -> str:
    return "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")


def set_lines(text: str, room: float, size: float, bold: bool, most: int) -> list[str]:
    """Printable `text` in lines of `room` width, broken where a size or a name stays whole if that can be.

    Nothing is left out: a name that is wider than a line goes on in the next one, a word too. Past `most` lines it
    stops: that many have no room anyway.
    """
    lines: list[str] = []
    line = ""
    for word in _GLUED.sub(_GLUE, text).split(" "):
        if len(lines) >= most:
            break
        longer = f"{line} {word}" if line else word
        if measure(longer, size, bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        line = ""
        for piece in word.split(_GLUE) if measure(word, size, bold) > room else [word]:
            longer = f"{line} {piece}" if line else piece
            if measure(longer, size, bold) <= room:
                line = longer
                continue
            if line:
                lines.append(line)
            *whole, line = _hard(piece, room, size, bold, most)
            lines.extend(whole)
    return [one.replace(_GLUE, " ") for one in ([*lines, line] if line else lines)]


def _hard(word: str, room: float, size: float, bold: bool, most: int) -> list[str]:
    """A word in pieces no wider than `room`, as many as `most` or a few."""
    pieces: list[str] = []
    while word and len(pieces) <= most:
        fits = max(1, how_many_fit(word, room, size, bold))
        pieces.append(word[:fits])
        word = word[fits:]
    return pieces or [""]
