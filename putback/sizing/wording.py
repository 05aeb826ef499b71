"""The short text of a size, for a record and for a person."""

from __future__ import annotations

import re
from fractions import Fraction

from putback.sizing.exact import Exact
from putback.sizing.kinds import THREADED, kind_named
from putback.sizing.reading import Measure, split_datum, tidy
from putback.sizing.readings import Readings
from putback.sizing.units import MM_PER_INCH
from putback.sizing.verdict import Verdict
from putback.sizing.wire_gauges import by_number

NAMED_TOO = 0.1
"""An undecided size names the candidates of at least this probability."""


_PLAIN = re.compile(r"0*((?:[1-9][0-9]*)?\.[0-9]+|[1-9][0-9]*)(?: ?(?:mm|in|\"))?")


def shown(measure: Measure) -> str:
    """A measure as a person writes it: .372, 3/8, 11.2 mm. Figures stay as typed: .290 keeps its nought."""
    text = tidy(split_datum(measure.text)[0])
    if measure.unit == "in" and "/" in text:
        return " ".join(re.sub(r'"|in.*', "", text).replace("-", " ").split())
    if text[-1:].isalpha() and by_number(text) is not None:  # 14 swg stays what it is called
        return text
    typed = _PLAIN.fullmatch(text.replace(",", "."))
    figures = typed[1] if typed is not None else ""
    if not figures or Fraction(figures) != measure.value:
        figures = decimal(measure.value)
    if measure.unit == "in":
        return figures
    return f"{'0' + figures if figures.startswith('.') else figures} mm"


def decimal(value: Fraction, *, zero: bool = False) -> str:
    """A decimal of at most five places, without a leading zero unless `zero`."""
    text = f"{float(value):.5f}".rstrip("0").rstrip(".")
    return text if zero or not text.startswith("0.") else text[1:]


def mixed(value: Fraction) -> str:
    """A count as a person says it: 9, 9 1/2."""
    whole, part = divmod(value, 1)
    return " ".join(str(n) for n in (whole, part) if n) or "0"


def _either(verdict: Verdict) -> str:
    names = [c.name for c in verdict.candidates if c.probability >= NAMED_TOO] or [
        c.name for c in verdict.candidates[:2]
    ]
    return " or ".join(names[:3]) + (" or ..." if len(names) > 3 else "")


def thread_text(readings: Readings, read: Exact, verdict: Verdict | None) -> str:
    """The thread's half: its name, the two it may be, or what was read."""
    if verdict is not None and verdict.word in ("sure", "likely"):
        return verdict.candidates[0].name
    if verdict is not None and verdict.word == "either":
        return _either(verdict)
    parts = []
    if read.gauge is not None and read.gauge.names:
        parts.append(f"plate {tidy(read.gauge.text.replace('-', ' '))}")
    if read.od is not None:
        parts.append(f"{shown(read.od)} in" if read.od.unit == "in" else shown(read.od))
    if readings.tpi is not None:
        parts.append(f"{readings.tpi.strip()} tpi")
    elif read.pitch is not None:
        parts.append(f"pitch {decimal(read.pitch, zero=True)} mm")
    return ", ".join(parts) + ("?" if parts else "")


def length_text(read: Exact, verdict: Verdict | None) -> str:
    """The length's half: 3/8, 12 mm, or the reading and that it is odd."""
    if read.length is None:
        return ""
    if verdict is None:
        return shown(read.length)
    if verdict.text:
        return verdict.text
    if verdict.word in ("sure", "likely"):
        return verdict.candidates[0].name
    if verdict.word == "either":
        return _either(verdict)
    return f"{shown(read.length)} (odd)"


def size_text(
    readings: Readings,
    read: Exact,
    thread: Verdict | None,
    length: Verdict | None,
    standard: Verdict | None = None,
) -> str:
    """The whole size: #8-32 UNC x 3/8, washer .290 x .040, .137 in, 20 tpi? x 3/8. Empty when nothing was read."""
    long = length_text(read, length)
    if readings.kind in THREADED:
        return _threaded(readings, read, thread, long)
    settled = standard is not None and standard.word in ("sure", "likely")
    told = kind_named(readings.kind).told or ("od", "bore", "groove", "width", "wire", "thick")
    sizes = [shown(measure) for field in told if (measure := getattr(read, field)) is not None]
    if readings.kind == "chain" and read.pitch is not None:
        pitch = decimal(read.pitch / MM_PER_INCH) if readings.unit == "in" else f"{decimal(read.pitch, zero=True)} mm"
        sizes.insert(0, f"pitch {pitch}")
    if settled and standard is not None:
        sizes = [standard.candidates[0].name]
    if long:
        sizes.append(long)
    text = f"{readings.kind} {' x '.join(sizes)}" if sizes else readings.kind
    return text if read.coils is None else f"{text}, {mixed(read.coils)} coils"


def _threaded(readings: Readings, read: Exact, thread: Verdict | None, long: str) -> str:
    named = thread_text(readings, read, thread)
    text = f"{named} x {long}" if named and long else named or (f"length {long}" if long else "")
    if read.shoulder is not None:
        text += f", shoulder {shown(read.shoulder[0])} x {shown(read.shoulder[1])}"
    if readings.hand is not None and readings.hand.strip().lower() in ("left", "l", "lh"):
        text += " left-hand"
    if readings.kind != "nut":
        return text
    flats = f"{shown(read.width)} across flats" if read.width is not None and not text else ""
    return " ".join(part for part in ("nut", text or flats) if part)
