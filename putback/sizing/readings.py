"""What a person read off one fastener, as typed."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from putback.sizing.gauge import Origin, split_length
from putback.sizing.instruments import Way
from putback.sizing.kinds import STOCKED_LENGTH
from putback.sizing.length_unit import length_behind
from putback.sizing.spellings import left_hand
from putback.sizing.units import Unit


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
    length: str | None = None
    """By the head's datum: under the head, or over all."""
    head: str | None = None
    """fillister, pan, round, flat, oval, hex, headless, ..."""
    drive: str | None = None
    """slot, cross, hex socket, ..."""
    kind: str = "screw"
    """One of `kinds.KINDS`."""
    thick: str | None = None
    """Thickness of a washer, shim or ring; height of a nut."""
    bore: str | None = None
    """Inner diameter of a washer, spacer or ring."""
    groove: str | None = None
    """Diameter at the bottom of a retaining ring's groove."""
    wire: str | None = None
    """Wire of a spring, spring clip or split pin."""
    coils: str | None = None
    """Coils of a spring, counted: 9, 9 1/2."""
    width: str | None = None
    """Width of a key; across the flats of a nut or hexagon head."""
    shoulder: str | None = None
    """A shoulder screw's shoulder, diameter x length."""
    small_end: str | None = None
    """The side a taper pin's small end is on."""
    flank: str | None = None
    """Included angle of the thread's flanks, held to the light, degrees: 60, 55, 47.5."""
    nut: str | None = None
    """The size of a nut, or other mate, known to be right, that ran on it: 1/4 bsw; or did not: not 1/4 20."""
    hand: str | None = None
    """left, for a left-hand thread."""
    slot: str | None = None
    """Width of the slot, across which a blade turns it."""
    across: str | None = None
    """Diameter of the head."""
    gauge_by: Way | None = None
    """How the name was taken; None for the gauge plate, or as a mark behind the text says."""
    od_by: Way | None = None
    """How the diameter was; None for a caliper, or as a mark says."""
    pitch_by: Way | None = None
    """How pitch or count was; None for a leaf, or as a mark says."""
    length_by: Way | None = None
    """How the length was; None for a caliper, or as a mark says."""
    origin: Origin = "unknown"
    """Where the machine was made."""
    country: str | None = None
    """The country it was made in, as far as known; it shifts what its threads may be."""
    decade: str | None = None
    """When it was made: 1920s, 1923, before 1925."""
    trade: str | None = None
    """What trade it is of, as `background.TRADES` has them."""
    unit: Unit = "in"
    """The machine's unit, for bare numbers."""
    length_note: str = ""
    """In what unit a bare length was taken, where that is not the machine's."""


def in_full(readings: Readings) -> Readings:
    """The same with length and hand in their own fields where they were said behind the size: `8-32 x 3/8 LH`."""
    if readings.gauge is None or not readings.gauge.strip():
        return readings
    gauge, left = left_hand(readings.gauge.strip())
    if left:
        readings = replace(readings, gauge=gauge, hand=readings.hand or "left")
    if readings.length is None or not readings.length.strip():
        split = split_length(gauge, readings.origin, readings.unit)
        if split is not None:
            readings = replace(readings, gauge=split[0], length=split[1])
    said = length_in_its_unit(readings)
    return readings if said is None else replace(readings, length=said[0], length_note=said[1])


def length_in_its_unit(readings: Readings) -> tuple[str, str] | None:
    """Return a bare length behind a thread of the other system in that one's unit, and a note; None where it stays."""
    if not readings.gauge or not readings.length or readings.kind not in STOCKED_LENGTH:
        return None
    return length_behind(
        readings.gauge, readings.length, readings.kind, readings.head or "", readings.origin, readings.unit
    )
