"""What a person read off one fastener, as typed, and the same in exact numbers."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from msgspec import Struct

from putback.errors import Unreadable
from putback.sizing.gauge import Gauge, Origin, read_gauge
from putback.sizing.reading import Measure, Unfinished, read_count, read_measure
from putback.sizing.units import MM_PER_INCH, Unit

THREADED = frozenset({"screw", "shoulder screw", "set screw", "bolt", "stud", "nut"})
"""Kinds that have a thread."""

KINDS = (
    "screw", "shoulder screw", "set screw", "bolt", "stud", "nut", "washer", "taper pin", "straight pin",
    "split pin", "retaining ring", "rivet", "spring clip", "key", "gib key", "shim", "spacer",
)  # fmt: skip
"""Every kind of fastener that can be sized."""


class Readings(Struct, frozen=True, kw_only=True):
    """Readings of one fastener, each as typed or None."""

    gauge: str | None = None
    """Off the gauge plate, or a size in words: 832, 2ba, m5, .164 32."""
    od: str | None = None
    """Over the crests; the diameter of a pin or washer; a taper pin's large end."""
    pitch: str | None = None
    """Crest to crest, in the machine's unit."""
    tpi: str | None = None
    """Threads counted to the inch."""
    pitch_by: Literal["leaf", "ten"] = "leaf"
    """How the pitch was taken: a leaf gauge, or a caliper over ten."""
    length: str | None = None
    """By the head's datum: under the head, or over all."""
    head: str | None = None
    """fillister, pan, round, flat, oval, hex, headless, ..."""
    drive: str | None = None
    """slot, cross, hex socket, ..."""
    kind: str = "screw"
    """One of KINDS."""
    thick: str | None = None
    """Thickness of a washer, shim or ring; height of a nut."""
    bore: str | None = None
    """Inner diameter of a washer, spacer or ring."""
    groove: str | None = None
    """Diameter at the bottom of a retaining ring's groove."""
    wire: str | None = None
    """Wire of a spring clip or split pin."""
    width: str | None = None
    """Width of a key; across the flats of a nut or hexagon head."""
    shoulder: str | None = None
    """A shoulder screw's shoulder, diameter x length."""
    small_end: str | None = None
    """The side a taper pin's small end is on."""
    hand: str | None = None
    """left, for a left-hand thread."""
    origin: Origin = "unknown"
    """Where the machine was made."""
    unit: Unit = "in"
    """The machine's unit, for bare numbers."""


class Exact(Struct, frozen=True, kw_only=True):
    """The same readings in exact numbers; what is unfinished is absent and told in `problems`."""

    gauge: Gauge | None = None
    """What the gauge text may mean."""
    od: Measure | None = None
    """From its own field, or from the gauge field when that held a diameter."""
    pitch: Fraction | None = None
    """Pitch, mm, however it was told."""
    length: Measure | None = None
    """By the head's datum."""
    thick: Measure | None = None
    """Thickness or height."""
    bore: Measure | None = None
    """Inner diameter."""
    groove: Measure | None = None
    """Bottom of the groove."""
    wire: Measure | None = None
    """Wire."""
    width: Measure | None = None
    """Width or across flats."""
    shoulder: tuple[Measure, Measure] | None = None
    """Shoulder diameter and length."""
    problems: tuple[tuple[str, Unfinished], ...] = ()
    """Fields still being typed."""
    notes: tuple[str, ...] = ()
    """How a text was read where that is not plain."""

    @property
    def anything(self) -> bool:
        """True when at least one field was read."""
        measures = (self.od, self.pitch, self.length, self.shoulder, *(getattr(self, f) for f in _FIELDS))
        return self.gauge is not None or any(m is not None for m in measures)


COARSEST = Fraction(18, 5)
"""No thread of the tables has a coarser pitch, mm; 8 to the inch is 3.175."""

_FIELDS = ("od", "length", "thick", "bore", "groove", "wire", "width")


def exact(readings: Readings) -> Exact:
    """Reads every field. Raises Unreadable with one sentence that names the field."""
    if readings.kind not in KINDS:
        raise Unreadable(f"kind: '{readings.kind}' is none of {', '.join(KINDS)}.")
    problems: list[tuple[str, Unfinished]] = []
    notes: list[str] = []
    found: dict[str, Measure] = {}
    for name in _FIELDS:
        text = getattr(readings, name)
        if text is None or not text.strip():
            continue
        read = read_measure(text, readings.unit, what=name)
        if isinstance(read, Unfinished):
            problems.append((name, read))
        else:
            found[name] = read
            if read.note:
                notes.append(f"{name}: {read.note}")
    gauge: Gauge | None = None
    if readings.gauge is not None and readings.gauge.strip():
        meant = read_gauge(readings.gauge, readings.origin, readings.unit, what="gauge")
        if isinstance(meant, Unfinished):
            problems.append(("gauge", meant))
        else:
            gauge = meant
    pitch = _pitch(readings, problems, notes)
    if gauge is not None and gauge.od is not None:
        found.setdefault("od", gauge.od)
        pitch = gauge.pitch if pitch is None else pitch
    od = found.get("od")
    if pitch is not None and od is not None and readings.kind in THREADED and pitch * 2 > od.mm:
        if readings.tpi is None or len(readings.tpi.strip()) > 1:
            told = f"{float(pitch):.4g} mm does not go with a diameter of {float(od.mm):.4g} mm"
            raise Unreadable(f"pitch: {told}.")
        problems.append(("tpi", Unfinished(readings.tpi, "threads to the inch, as 32")))
        pitch = None
    return Exact(
        gauge=gauge,
        od=od,
        pitch=pitch,
        length=found.get("length"),
        thick=found.get("thick"),
        bore=found.get("bore"),
        groove=found.get("groove"),
        wire=found.get("wire"),
        width=found.get("width"),
        shoulder=_shoulder(readings, problems),
        problems=tuple(problems),
        notes=tuple(notes),
    )


def _pitch(readings: Readings, problems: list[tuple[str, Unfinished]], notes: list[str]) -> Fraction | None:
    pitch: Fraction | None = None
    if readings.tpi is not None and readings.tpi.strip():
        count = read_count(readings.tpi, what="tpi")
        if isinstance(count, Unfinished):
            problems.append(("tpi", count))
        else:
            pitch = MM_PER_INCH / count
    if readings.pitch is not None and readings.pitch.strip():
        read = read_measure(readings.pitch, readings.unit, what="pitch")
        if isinstance(read, Measure) and read.mm > COARSEST and _is_bare(readings.pitch):
            # No thread has so coarse a pitch in inches, and inch pitches are counted, not measured.
            read = read_measure(readings.pitch, "mm", what="pitch")
            notes.append(f"pitch: {readings.pitch.strip()} is read as mm; so coarse a pitch in inches is no thread's")
        if isinstance(read, Unfinished):
            problems.append(("pitch", read))
        elif not Fraction(1, 20) <= read.mm <= 9:
            raise Unreadable(f"pitch: '{readings.pitch.strip()}' is no pitch; type it as 0.8 mm, or the count in tpi.")
        elif pitch is not None and abs(pitch - read.mm) > pitch / 40:
            raise Unreadable(f"pitch and tpi contradict one another: {readings.pitch} and {readings.tpi}.")
        else:
            pitch = read.mm
    return pitch


def _is_bare(text: str) -> bool:
    return not any(character.isalpha() or character in "\"'\u2033\u2032" for character in text)


def _shoulder(readings: Readings, problems: list[tuple[str, Unfinished]]) -> tuple[Measure, Measure] | None:
    if readings.shoulder is None or not readings.shoulder.strip():
        return None
    parts = readings.shoulder.lower().replace("*", "x").split("x")
    if len(parts) != 2:
        raise Unreadable(f"shoulder: '{readings.shoulder}' is not diameter x length, as .312 x .375.")
    wide, long = (read_measure(part, readings.unit, what="shoulder") for part in parts)
    if isinstance(wide, Unfinished) or isinstance(long, Unfinished):
        problems.append(("shoulder", Unfinished(readings.shoulder, "diameter x length")))
        return None
    return wide, long
