"""Which fasteners interchange, and which only look alike."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import log

from msgspec import Struct
from msgspec.structs import replace

from putback.sizing.answer import Answer
from putback.sizing.evidence import shape_of
from putback.sizing.lengths import stocked
from putback.sizing.readings import Readings
from putback.sizing.threads import thread_named
from putback.sizing.units import MM_PER_INCH


class Sized(Struct, frozen=True):
    """One fastener as far as mixing it up goes."""

    key: int
    """The caller's own number for it."""
    kind: str
    """screw, bolt, ..."""
    thread: str = ""
    """Its thread's name, when it has one that is sure or likely."""
    length: str = ""
    """Its length's name, or the reading when it is odd."""
    long: Fraction | None = None
    """Nominal length, mm; the reading when it is odd; None without one."""
    head: str = ""
    """Its head."""
    drive: str = ""
    """Its drive."""
    hand: str = ""
    """left for a left-hand thread, else empty."""
    standard: str = ""
    """Standard size of a pin or ring, or its measured size."""
    group: int = 0
    """The group of its length among the machine's own, as the caller's number; 0 where it is in none."""
    apart: float = 0.0
    """Lengths of such groups that are not further apart than this serve for one another, mm."""

    @property
    def long_as(self) -> str | int:
        """What two of one length share: their group, else the length's name."""
        return self.group or self.length


def as_long(a: Sized, b: Sized) -> bool:
    """Whether two screws of one thread serve for one another by their lengths."""
    if a.long_as == b.long_as:
        return True
    if not a.group or not b.group or a.long is None or b.long is None:
        return False
    return abs(a.long - b.long) <= max(a.apart, b.apart)


class AlikeGroup(Struct, frozen=True):
    """Fasteners that go into each other's holes without a difference."""

    like: Sized
    """One of them, for what they share."""
    keys: tuple[int, ...]
    """All of them."""


class Pair(Struct, frozen=True):
    """Two groups that are easily mixed up and must not be."""

    a: AlikeGroup
    """The one."""
    b: AlikeGroup
    """The other."""
    why: str
    """How they differ and what comes of it, as a sentence."""


def sized(key: int, readings: Readings, answer: Answer) -> Sized:
    """A fastener for comparing, from its readings and their answer."""
    thread = ""
    if answer.thread is not None and answer.thread.word in ("sure", "likely"):
        thread = answer.thread.candidates[0].name
    length, long = "", None
    if answer.read.length is not None:
        long, length = answer.read.length.mm, answer.read.length.text.strip().replace("-", " ")
        if answer.length is not None and answer.length.word in ("sure", "likely"):
            length = answer.length.candidates[0].name
            long = next((s.nominal for s in stocked(answer.length.against) if s.name == length), long)
    hand = "left" if (readings.hand or "").strip().lower() in ("left", "l", "lh") else ""
    standard = "" if answer.thread is not None else answer.size
    head, drive = (readings.head or "").strip().lower(), (readings.drive or "").strip().lower()
    return Sized(key, readings.kind, thread, length, long, head, drive, hand, standard)


def interchange(items: Iterable[Sized]) -> tuple[AlikeGroup, ...]:
    """Groups of fasteners that interchange, largest first; unnamed ones stand alone and are left out.

    One whose head nobody named goes with those of its group that have one head.
    """
    groups: dict[tuple[object, ...], list[Sized]] = {}
    heads: dict[tuple[object, ...], set[str]] = {}
    named = [item for item in items if item.thread or item.standard]
    for item in named:
        heads.setdefault(_sort_of(replace(item, head="")), set()).add(item.head)
    for item in named:
        there = heads[_sort_of(replace(item, head=""))] - {""}
        head = next(iter(there)) if item.group and not item.head and len(there) == 1 else item.head
        groups.setdefault(_sort_of(replace(item, head=head)), []).append(item)
    made = [AlikeGroup(members[0], tuple(m.key for m in members)) for members in groups.values()]
    return tuple(sorted(made, key=lambda g: (-len(g.keys), g.keys)))


def _sort_of(item: Sized) -> tuple[object, ...]:
    return (item.kind, item.thread, item.long_as, item.head, item.drive, item.hand, item.standard)


def look_alikes(groups: Sequence[AlikeGroup]) -> tuple[Pair, ...]:
    """Pairs of groups of one kind that look alike and are not."""
    pairs: list[Pair] = []
    for i, a in enumerate(groups):
        for b in groups[i + 1 :]:
            why = difference(a.like, b.like)
            if why:
                pairs.append(Pair(a, b, why))
    return tuple(pairs)


NEARLY = Fraction(1, 4)
"""Lengths within a quarter of the longer one are taken for one another (common practice, no source)."""


def difference(a: Sized, b: Sized) -> str:
    """Why two fasteners that look alike are not; empty when they do not look alike, or are alike."""
    if not a.thread or not b.thread or (a.kind == "nut") != (b.kind == "nut"):
        return ""
    if a.thread == b.thread:
        if a.hand != b.hand:
            return "same thread, but one is left-handed"
        return _longer(a, b)
    if thread_named(a.thread) is None or thread_named(b.thread) is None:
        return ""  # of a series that came from a newer version: nothing is known of its measures
    one, two = shape_of(a.thread), shape_of(b.thread)
    if abs(one.log_major - two.log_major) > 0.07 or _lengths_apart(a, b):
        return ""
    if abs(one.log_pitch - two.log_pitch) > 0.0252:
        text = f"{_pitch(a.thread)} against {_pitch(b.thread)}"
        return f"nearly one diameter, another pitch ({text}): it starts, then jams"
    if abs(one.log_major - two.log_major) < 0.006:
        return f"same diameter and pitch, flanks of {one.flank:g} and {two.flank:g} degrees: it goes in and spoils"
    return "pitches that a leaf cannot tell apart, near diameters: one is slack or binds in the other's hole"


def _pitch(name: str) -> str:
    thread = thread_named(name)
    if thread is None:
        return "?"
    return f"{float(thread.tpi):g}" if thread.tpi is not None else f"{float(thread.pitch):g} mm"


def _lengths_apart(a: Sized, b: Sized) -> bool:
    if a.long is None or b.long is None:
        return False
    return abs(a.long - b.long) > max(a.long, b.long) * NEARLY


def _longer(a: Sized, b: Sized) -> str:
    if a.long is None or b.long is None or a.long == b.long or _lengths_apart(a, b) or as_long(a, b):
        return ""
    return f"same thread, {longer_by(abs(a.long - b.long), a.thread)} longer: swapped, the long one bottoms or fouls"


def longer_by(mm: Fraction, thread: str) -> str:
    """A difference in length as a person says it: 1/16 in, 2 mm, .014 in."""
    home = thread_named(thread)
    if home is not None and home.family == "metric":
        return f"{float(mm):.3g} mm"
    inches = mm / MM_PER_INCH
    near = inches.limit_denominator(64)
    if 64 % near.denominator == 0 and abs(near - inches) < Fraction(1, 500) and near > 0:
        whole, part = divmod(near, 1)
        return " ".join(str(x) for x in (whole, part, "in") if x)
    return f"{float(inches):.3f} in".lstrip("0")


def beside(new: Sized, earlier: Sequence[tuple[str, Sized]]) -> str:
    """One line while the size is typed: `same thread as bag 3, 1/16 in longer`; empty when nothing is near.

    `earlier` are places and what lies there, newest last; the nearest length of the same thread is told.
    """
    same = [(where, s) for where, s in earlier if new.thread and s.thread == new.thread and s.kind == new.kind]
    if not same or new.long is None:
        return ""
    where, near = min(reversed(same), key=lambda pair: abs(log(float(pair[1].long or 1) / float(new.long or 1))))
    if near.long is None:
        return ""
    if near.long == new.long or (near.group and abs(near.long - new.long) <= near.apart):
        return (
            f"same as in {where}"
            if near.head == new.head
            else f"same size as in {where}, where the head is {near.head or 'another'}"
        )
    way = "longer" if new.long > near.long else "shorter"
    return f"same thread as {where}, {longer_by(abs(new.long - near.long), new.thread)} {way}"
