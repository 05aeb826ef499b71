"""The readings of one fastener in exact numbers, field by field."""

from __future__ import annotations

import re
from fractions import Fraction

from msgspec import Struct

from putback.errors import Unreadable
from putback.sizing.gauge import Gauge, read_gauge
from putback.sizing.instruments import SAID, WAYS, Way, checked_way, split_gauge, split_way
from putback.sizing.kinds import KINDS, THREADED
from putback.sizing.reading import Measure, Unfinished, read_count, read_length, read_measure
from putback.sizing.readings import Readings
from putback.sizing.tried import Mate, read_flank, read_mate
from putback.sizing.units import MM_PER_INCH, Unit


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
    coils: Fraction | None = None
    """Coils of a spring."""
    width: Measure | None = None
    """Width or across flats."""
    shoulder: tuple[Measure, Measure] | None = None
    """Shoulder diameter and length."""
    slot: Measure | None = None
    """Width of the slot."""
    across: Measure | None = None
    """Diameter of the head."""
    flank: Fraction | None = None
    """Angle of the flanks, degrees."""
    mate: Mate | None = None
    """The nut that was tried on it."""
    gauge_by: Way = "plate"
    """How the name was taken."""
    od_by: Way = "caliper"
    """How the diameter was."""
    pitch_by: Way = "leaf"
    """How pitch or count was."""
    length_by: Way = "caliper"
    """How the length was."""
    problems: tuple[tuple[str, Unfinished], ...] = ()
    """Fields still being typed."""
    notes: tuple[str, ...] = ()
    """How a text was read where that is not plain."""
    against: str = ""
    """Two readings of one thing that contradict one another, as a sentence; empty where none do."""

    @property
    def anything(self) -> bool:
        """True when at least one field was read."""
        measures = (
            self.od,
            self.pitch,
            self.length,
            self.shoulder,
            self.mate,
            self.coils,
            *(getattr(self, f) for f in _FIELDS),
        )
        return self.gauge is not None or any(m is not None for m in measures)


COARSEST = Fraction(18, 5)
"""No thread of the tables has a coarser pitch, mm; 8 to the inch is 3.175."""

_FIELDS = ("od", "length", "thick", "bore", "groove", "wire", "width", "slot", "across")


def exact(readings: Readings, *, final: bool = False) -> Exact:
    """Reads every field. Raises Unreadable with one sentence that names the field.

    Unless they are `final` a count of one digit may be on its way to two.
    """
    if readings.kind not in KINDS:
        raise Unreadable(f"kind: '{readings.kind[:20]}' is none of {', '.join(KINDS)}.")
    problems: list[tuple[str, Unfinished]] = []
    notes: list[str] = []
    against: list[str] = []
    ways = _Ways(readings)
    found = _measures(readings, ways, problems, notes)
    gauge = _gauge(readings, ways, problems)
    tpi, crests = ways.bare("tpi", readings.tpi), ways.bare("pitch", readings.pitch)
    if readings.kind == "chain":
        pitch, tpi, crests = _links(crests, readings.unit, problems), None, None
    else:
        pitch = _pitch(tpi, crests, readings.unit, problems, notes, against)
    if gauge is not None and gauge.od is not None:
        if gauge.od.note and "od" not in found:
            notes.append(f"od: {gauge.od.note}")
        found.setdefault("od", gauge.od)
        pitch = gauge.pitch if pitch is None else pitch
    od = found.get("od")
    by_fraction = od is not None and "/" in od.text and readings.kind in THREADED and not ways.told("od")
    if by_fraction:
        notes.append("od: a fraction is a rule's reading, or a drill's; by caliper it has a point")
    begun = tpi is not None and len(tpi.strip()) == 1 and not final
    if begun and readings.kind in THREADED and _is_too_coarse(pitch, od):
        problems.append(("tpi", Unfinished(tpi or "", "threads to the inch, as 32")))
        pitch = None
    flank, mate = _tried(readings, gauge, problems, against)
    return Exact(
        gauge=gauge,
        flank=flank,
        mate=mate,
        od=od,
        pitch=pitch,
        length=found.get("length"),
        thick=found.get("thick"),
        bore=found.get("bore"),
        groove=found.get("groove"),
        wire=found.get("wire"),
        width=found.get("width"),
        coils=_coils(readings, problems),
        slot=found.get("slot"),
        across=found.get("across"),
        shoulder=_shoulder(readings, problems),
        gauge_by=ways.of("gauge"),
        od_by="rule" if by_fraction else ways.of("od"),
        pitch_by=ways.of("pitch"),
        length_by=ways.of("length"),
        problems=tuple(problems),
        notes=tuple(notes),
        against=against[0] if against else "",
    )


TWICE = ("length", "od")
"""Fields that may hold two readings of one measure: .415 .407."""


def _measures(
    readings: Readings, ways: _Ways, problems: list[tuple[str, Unfinished]], notes: list[str]
) -> dict[str, Measure]:
    """The fields that hold one length or diameter, those that were read."""
    found: dict[str, Measure] = {}
    for name in _FIELDS:
        text = ways.bare(name, getattr(readings, name))
        if text is None or not text.strip():
            continue
        reads = read_length if name in TWICE else read_measure
        read = reads(text, readings.unit, what=name)
        if isinstance(read, Unfinished):
            problems.append((name, read))
            continue
        found[name] = read
        note = readings.length_note if name == "length" and readings.length_note else read.note
        if note:
            notes.append(f"{name}: {note}")
    return found


def _gauge(readings: Readings, ways: _Ways, problems: list[tuple[str, Unfinished]]) -> Gauge | None:
    """What the text off the gauge plate may mean."""
    text = ways.gauge(readings.gauge, readings.unit)
    if text is None or not text.strip():
        return None
    meant = read_gauge(text, readings.origin, readings.unit, what="gauge")
    if isinstance(meant, Unfinished):
        problems.append(("gauge", meant))
        return None
    return meant


def _is_too_coarse(pitch: Fraction | None, od: Measure | None) -> bool:
    """Whether a pitch is more than half of its diameter, as no thread's is."""
    return pitch is not None and od is not None and pitch * 2 > od.mm


def _tried(
    readings: Readings, gauge: Gauge | None, problems: list[tuple[str, Unfinished]], against: list[str]
) -> tuple[Fraction | None, Mate | None]:
    flank = None if gauge is None else gauge.flank
    mate: Mate | None = None
    if readings.flank is not None and readings.flank.strip():
        angle = read_flank(readings.flank)
        if isinstance(angle, Unfinished):
            problems.append(("flank", angle))
        elif flank not in (None, angle):
            two = f"flanks of {readings.flank.strip()} degrees, and {float(flank or 0):g} behind the size"
            against.append(f"{two}: hold them to the light again")
        else:
            flank = angle
    if readings.nut is not None and readings.nut.strip():
        meant = read_mate(readings.nut, readings.origin, readings.unit)
        if isinstance(meant, Unfinished):
            problems.append(("nut", meant))
        else:
            mate = meant
    return flank, mate


class _Ways:
    """How each reading was taken: as its own field says, or the mark behind its text; both must agree."""

    def __init__(self, readings: Readings) -> None:
        self._way_of: dict[str, Way] = {}
        for name in WAYS:
            way: Way | None = getattr(readings, f"{name}_by")
            if way is not None:
                self._way_of[name] = checked_way(way, name)

    def bare(self, field: str, text: str | None) -> str | None:
        """The text of a field without its mark. Raises Unreadable where mark and field contradict."""
        name = "pitch" if field == "tpi" else field
        if text is None or name not in WAYS:
            return text
        bare, way = split_way(text, name)
        self._mark(name, way)
        return bare

    def gauge(self, text: str | None, unit: Unit) -> str | None:
        """The same for the gauge field, where a diameter and a count may each have their mark."""
        if text is None:
            return text
        bare, found = split_gauge(text, unit)
        for name, way in found.items():
            self._mark(name, way)
        return bare

    def _mark(self, name: str, way: Way | None) -> None:
        if way is None:
            return
        known = self._way_of.setdefault(name, way)
        if known != way:
            raise Unreadable(f"{name}: marked {SAID[way]}, and {name}-by says {SAID[known]}.")

    def told(self, name: str) -> bool:
        """Whether it was said how the reading was taken."""
        return name in self._way_of

    def of(self, name: str) -> Way:
        """How the reading was taken."""
        return self._way_of.get(name, WAYS[name][0])


def _pitch(
    tpi: str | None,
    crests: str | None,
    unit: Unit,
    problems: list[tuple[str, Unfinished]],
    notes: list[str],
    against: list[str],
) -> Fraction | None:
    pitch: Fraction | None = None
    if tpi is not None and tpi.strip():
        count = read_count(tpi, what="tpi")
        if isinstance(count, Unfinished):
            problems.append(("tpi", count))
        else:
            pitch = MM_PER_INCH / count
    if crests is not None and crests.strip():
        read = read_measure(crests, unit, what="pitch")
        if isinstance(read, Measure) and read.mm > COARSEST and _is_bare(crests):
            # No thread has so coarse a pitch in inches, and inch pitches are counted, not measured.
            read = read_measure(crests, "mm", what="pitch")
            notes.append(f"pitch: {crests.strip()} is read as mm; no thread has so coarse a pitch in inches")
        if isinstance(read, Unfinished):
            problems.append(("pitch", read))
        elif not Fraction(1, 20) <= read.mm <= 9:
            raise Unreadable(f"pitch: '{crests.strip()}' is not a pitch; type it as 0.8 mm, or the count in tpi.")
        elif pitch is not None and abs(pitch - read.mm) > pitch / 40:
            against.append(f"a pitch of {crests.strip()} and {(tpi or '').strip()} to the inch: count again")
        else:
            pitch = read.mm
    return pitch


def _links(text: str | None, unit: Unit, problems: list[tuple[str, Unfinished]]) -> Fraction | None:
    """The pitch of a chain, from pin to pin, mm."""
    if text is None or not text.strip():
        return None
    read = read_measure(text, unit, what="pitch")
    if isinstance(read, Unfinished):
        problems.append(("pitch", read))
        return None
    return read.mm


MOST_COILS = 500
"""Nobody counts further."""


def _coils(readings: Readings, problems: list[tuple[str, Unfinished]]) -> Fraction | None:
    """The coils of a spring, counted: 9, 9.5, 9 1/2."""
    if readings.coils is None or not readings.coils.strip():
        return None
    text = " ".join(readings.coils.replace("*", " ").split())
    if re.fullmatch(r"[0-9]+/?|[0-9]+ [0-9]+/?|[0-9]*\.", text) and not text.isdigit():
        problems.append(("coils", Unfinished(text, "the rest of the count, as 9 1/2")))
        return None
    if not re.fullmatch(r"[0-9]{1,3}(?:\.[0-9]{1,2}| [1-9]/[1-9])?", text) or not 0 < _summed(text) <= MOST_COILS:
        raise Unreadable(f"coils: '{text[:20]}' is not a count; type it as 9, 9.5 or 9 1/2.")
    return _summed(text)


def _summed(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


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
