"""What a text in the gauge field may mean: threads by name, or a measured diameter with or without a pitch.

`832` or `8 32` off a gauge plate is #8-32; `2ba`, `m5`, `1/4 bsf` name themselves; `.164 32` is a caliper
and a pitch count. A last figure of two digits behind a whole size is the angle of the flanks, held to the light:
`.247 20 55`. Bare digits mean BA on a British machine and M on a metric one. A `*` stands for a space.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import Unreadable
from putback.sizing.reading import FAR_OFF, Measure, Unfinished, read_count, read_length, read_measure, tidy
from putback.sizing.series import SERIES, Series, series_named
from putback.sizing.spellings import behind_the_size, spelled
from putback.sizing.threads import Thread, all_threads, thread_named
from putback.sizing.units import MM_PER_INCH, Unit
from putback.sizing.wire_gauges import by_number, number_begun

FLATTEST, STEEPEST = 40, 69
"""What is typed as an angle of flanks lies between these, degrees; those of fasteners are 47.5 to 60."""

Origin = Literal["us", "uk", "metric", "unknown"]
"""Where a machine was made."""


class Gauge(Struct, frozen=True):
    """What one text in the gauge field may mean."""

    text: str
    """As typed, without the angle of its flanks."""
    names: tuple[str, ...] = ()
    """The threads it names; empty when it is a measured diameter."""
    od: Measure | None = None
    """The measured diameter, when it is one."""
    pitch: Fraction | None = None
    """The pitch that came with a measured diameter, mm, exact."""
    flank: Fraction | None = None
    """The angle of the flanks that came behind the size, degrees."""


@cache
def _series_words() -> dict[str, frozenset[str]]:
    """Words after a size, and the series they leave."""
    words = {word for one in SERIES for word in one.words}
    return {word: frozenset(one.name for one in SERIES if word in one.words) for word in words}


class _Key(Struct, frozen=True):
    """One spelling of one thread."""

    thread: Thread
    whole: bool
    """False when the spelling leaves the pitch open: #8, 1/4."""


def _sizes(size: str) -> Iterator[str]:
    """Spellings of an inch diameter in front of a pitch count."""
    if size.startswith("#"):
        yield size
        yield size[1:]
        return
    if size.startswith("."):
        yield size
        yield size[1:]
        return
    yield size
    if "/" in size:
        yield size.replace("/", " ")
        yield re.sub(r"[ /]", "", size)


def _spellings(thread: Thread) -> Iterator[tuple[str, bool]]:
    """Texts, tidied as in `_plain`, that mean this thread, and whether they name its pitch too."""
    series = series_named(thread.series)
    if series.alone and "{pitch}" not in series.called:
        number = thread.size.lower().removeprefix(series.sized.partition("{")[0].lower())
        number = number.removesuffix(series.sized.rpartition("}")[2].lower())
        yield thread.name.lower(), True
        yield from ((f"{mark}{number}", True) for mark in series.marks)
        yield from ((f"{number} {word}", True) for word in series.words)
        if "." in number or not (series.marks or series.per_inch):
            yield from ((f"{float(number):.2f} {word}", True) for word in series.words)
    elif series.per_inch:
        yield from _counted(thread)
    else:
        yield from _metric(thread, series)


def _counted(thread: Thread) -> Iterator[tuple[str, bool]]:
    """Spellings of a size in inches and its count."""
    tpi = Fraction(thread.tpi or 0)
    whole = f"{tpi.numerator // tpi.denominator}"
    counts = (whole,) if tpi.denominator == 1 else (f"{float(tpi):g}", f"{whole} {tpi % 1}")
    for size in _sizes(thread.size):
        for count in counts:
            yield f"{size} {count}", True
            if "/" not in size:
                yield f"{size}{count}".replace(" ", ""), True
    if not thread.size.startswith("."):
        yield thread.size, False
        if thread.size.startswith("#"):
            yield thread.size[1:], False


def _metric(thread: Thread, series: Series) -> Iterator[tuple[str, bool]]:
    """Spellings of a size in millimetres and its pitch."""
    size, _, pitch = thread.name.lower().partition("x")
    number = re.sub(r"^[a-z ]+", "", size)
    for mark in series.marks:
        yield f"{mark}{number}", series.alone
        for spelling in {pitch, pitch.removeprefix("0")}:
            yield f"{mark}{number} {spelling}", True


@cache
def _keys() -> dict[str, tuple[_Key, ...]]:
    found: dict[str, dict[str, _Key]] = {}
    for thread in all_threads():
        for text, whole in _spellings(thread):
            found.setdefault(text, {})[thread.name] = _Key(thread, whole)
    return {text: tuple(keys.values()) for text, keys in found.items()}


@cache
def _sorted_keys() -> list[str]:
    return sorted(_keys())


def _begun(text: str) -> bool:
    """True when some spelling goes on from `text`."""
    keys = _sorted_keys()
    at = bisect_left(keys, text)
    return at < len(keys) and keys[at].startswith(text)


def _plain(text: str) -> str:
    text = spelled(tidy(text.replace("*", " ").replace("×", " ")))  # noqa: RUF001 the times sign, on purpose
    text = re.sub(r"^(?:no\.? ?|nr\.? ?)(?=[0-9])", "#", text)
    text = re.sub(r'(?:"|\'\')(?=[ x-]|$)', "", text)
    text = re.sub(r"([0-9](?: ?(?:mm|in|thou))?) ?[x-] ?(?=[0-9.,])", r"\1 ", text)
    return re.sub(r"# (?=[0-9])", "#", text)


def read_gauge(text: str, origin: Origin, unit: Unit, *, what: str = "") -> Gauge | Unfinished:
    """What `text` may mean on a machine of that origin and unit. Raises Unreadable, with one sentence.

    A machine's origin decides what bare digits mean and which names come first; it hides none that the text
    spells out.
    """
    try:
        return _read(text, origin, unit)
    except Unreadable as fault:
        if not what:
            raise
        raise Unreadable(f"{what}: {fault}") from None


def _read(typed: str, origin: Origin, unit: Unit) -> Gauge | Unfinished:
    text = _plain(typed)
    try:
        read = _sized(typed, text, origin, unit)
    except Unreadable:
        flanked = _flanked(typed, text, origin, unit)
        if flanked is None:
            raise
        return flanked
    if isinstance(read, Unfinished):
        return _flanked(typed, text, origin, unit) or read
    return read


def _flanked(typed: str, text: str, origin: Origin, unit: Unit) -> Gauge | Unfinished | None:
    """A whole size with the angle of the flanks behind it; None when it is none."""
    split = split_flank(text)
    if split is None:
        return None
    try:
        size = _sized(split[0], split[0], origin, unit)
    except Unreadable:
        return None
    if isinstance(size, Unfinished) or (size.od is not None and size.pitch is None) or not _whole(size.names):
        return None
    angle = Fraction(split[1].rstrip("."))
    if angle < 10:
        return Unfinished(typed, "the angle of its flanks, as 60, 55 or 47.5") if 4 <= angle <= 6 else None
    return replace(size, flank=angle) if FLATTEST <= angle <= STEEPEST else None


def split_length(text: str, origin: Origin, unit: Unit) -> tuple[str, str] | None:
    """A size and the length that was said behind it: `8-32 x 3/8`, `m4 x 12`; None where nothing of the sort was.

    A metric size has its pitch there before its length: `m4 x 0.7` is a size alone.
    """
    try:
        split = behind_the_size(tidy(text.replace("*", " "))) if "x" in text.lower() else None
    except Unreadable:  # too long for any size
        return None
    if split is None:
        return None
    try:
        whole = _sized(text, _plain(text), origin, unit)
    except Unreadable:
        whole = None
    if isinstance(whole, Gauge) and whole.names:
        return None
    try:
        size = _sized(split[0], _plain(split[0]), origin, unit)
    except Unreadable:
        return None
    return split if isinstance(size, Gauge) and size.names and _whole(size.names) else None


def split_flank(text: str) -> tuple[str, str] | None:
    """The size and the angle of its flanks behind it, where a text has both by its looks."""
    found = re.fullmatch(r"(.+[0-9a-z.]) ([1-9][0-9]?(?:\.[0-9]*)?)(?: ?deg| ?\N{DEGREE SIGN})?", text)
    return None if found is None else (found[1], found[2])


def _whole(names: tuple[str, ...]) -> bool:
    """Whether they leave no more than one pitch."""
    return len({thread.pitch for name in names if (thread := thread_named(name)) is not None}) <= 1


def _sized(typed: str, text: str, origin: Origin, unit: Unit) -> Gauge | Unfinished:
    if not text:
        return Unfinished(typed, "nothing typed yet")
    if text == "0" and origin != "uk":  # a plate says 0 80 for #0-80; on a British machine 0 is 0BA
        return Unfinished(typed, "0 so far; as 0 80")
    names = _names(text, origin, unit)
    if names:
        return Gauge(typed, names)
    measured = _measured(typed, text, unit)
    if measured is not None:
        return measured
    if _begun(text) or _begun(_bare(text, origin, unit)) or _series_begun(text):
        return Unfinished(typed, "the rest of the size, as 8 32, 1/4 20, 2ba or m5")
    if number_begun(text) or re.fullmatch(r"[0-9 ]+/|[ml][0-9.]+ ?x|[#0-9 /]*-|#", text):
        return Unfinished(typed, "the rest of the size")
    raise Unreadable(_why_not(tidy(typed), text))


def _bare(text: str, origin: Origin, unit: Unit) -> str:
    """Bare digits with the letter they stand for on a metric machine."""
    metric = origin == "metric" or (origin == "unknown" and unit == "mm")
    if metric and re.match(r"[0-9.,]", text):
        return "m" + text.replace(",", ".")
    return text


def _names(text: str, origin: Origin, unit: Unit) -> tuple[str, ...]:
    """Threads that the text spells; home families first."""
    bare = re.fullmatch(r"[0-9]+", text) is not None
    short = bare and len(text) <= 2
    here = text + "ba" if origin == "uk" and bare else _bare(text, origin, unit)  # as it is meant on this machine
    found = list(_keys().get(here, ())) if here != text else []
    if not found and not (short and here != text) and not _is_decimal(text):
        found = list(_keys().get(text, ())) or list(_worded(text))
    if origin == "unknown" and short:
        found += _keys().get(text + "ba", ()) + _keys().get("m" + text, ())
    return tuple(dict.fromkeys(k.thread.name for k in _likely(found, origin)))


def _is_decimal(text: str) -> bool:
    """Whether it begins as a measure does and no name of a series ends it: .164, 4.2mm; not 1.5 bsp."""
    worded = re.search(r"[a-z]$", text) is not None and not re.search(r"[0-9] ?(?:mm|in|thou)$", text)
    return not worded and re.match(r"[0-9]*[.,]", text) is not None


def _likely(found: list[_Key], origin: Origin) -> list[_Key]:
    """Of threads of one spelling those that are meant by it."""
    if any(k.whole and k.thread.family == "metric" for k in found):  # m5 without a pitch is the coarse one
        found = [k for k in found if k.whole or k.thread.family != "metric"]
    if origin == "us" and any(k.thread.family == "us" for k in found):
        found = [k for k in found if k.thread.family == "us"]
    return found


def _worded(text: str) -> Iterator[_Key]:
    """A size followed by the name of its series: 1/4 bsw, 1426cei, 6 32 unc."""
    split = re.fullmatch(r"(.*[0-9]) ?([a-z]+)", text)
    series = _series_words().get(split[2]) if split else None
    if split is None or series is None:
        return
    body = split[1]
    for key in _keys().get(body, ()):
        if key.thread.series in series:
            yield key
    if any("{pitch}" not in series_named(name).called for name in series):  # 1/4 bsw says its count
        for thread in all_threads():
            if thread.series in series and body in _sizes(thread.size):
                yield _Key(thread, True)


def _series_begun(text: str) -> bool:
    split = re.fullmatch(r"(.*[0-9]) ?([a-z]+)", text)
    if split is None:
        return False
    words = _series_words()
    return any(w.startswith(split[2]) and w != split[2] for w in words) and (
        split[1] in _keys() or f"{split[1]}ba" in _keys() or any(_worded(f"{split[1]} bsw"))
    )


def _measured(typed: str, text: str, unit: Unit) -> Gauge | Unfinished | None:
    """A caliper reading, alone or with a pitch count or a pitch after it; None when it is neither."""
    split = re.fullmatch(r"([0-9.,]+ ?(?:mm|in|thou)|[0-9]*[.,][0-9]*)(?: (.*))?", text)
    if split is None:
        numbered = read_measure(text, unit) if by_number(text) is not None else None
        return Gauge(typed, od=numbered) if isinstance(numbered, Measure) else None
    od = read_measure(split[1], unit)
    if isinstance(od, Unfinished):
        return Unfinished(typed, od.hint)
    rest = split[2]
    if not rest:
        return Gauge(typed, od=od)
    if re.fullmatch(r"[0-9]*[.,][0-9]*(?: ?mm)?|[0-9.]+ ?mm", rest) and not re.fullmatch(r"[0-9]{2}\.[0-9]+", rest):
        pitch = read_measure(rest, od.unit)
        if isinstance(pitch, Unfinished):
            return Unfinished(typed, pitch.hint)
        twice = read_length(text, unit) if pitch.mm * 2 > od.mm * (1 - FAR_OFF) else None
        if isinstance(twice, Measure):  # one diameter seen twice
            return Gauge(typed, od=twice)
        return Gauge(typed, od=od, pitch=pitch.mm)
    if od.unit == "mm" and re.fullmatch(r"[1-6]", rest):
        return Gauge(typed, od=od, pitch=Fraction(rest))
    count = read_count(rest)
    if isinstance(count, Unfinished):
        return Unfinished(typed, count.hint)
    if MM_PER_INCH / count * 2 > od.mm and len(rest) == 1:
        return Unfinished(typed, "threads to the inch, as 32")
    return Gauge(typed, od=od, pitch=MM_PER_INCH / count)


def _why_not(typed: str, text: str) -> str:
    split = re.fullmatch(r"(#?[0-9/ ]+) ([0-9]+)", text)
    if split:
        counts = sorted(
            {t.tpi for t in all_threads() if t.tpi and t.family == "us" and split[1] in _sizes(t.size)},
            reverse=True,
        )
        if counts:
            message = ", ".join(str(c) for c in counts)
            return f"'{typed}': no {split[1]} has {split[2]} to the inch; it comes with {message}."
    return f"'{typed}' names no thread; type 832, 1/4 20, 2ba, m5 or a diameter as .164."
