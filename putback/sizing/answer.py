"""Readings and what the machine has shown -> the nominal size, how sure that is, and what to measure next."""

from __future__ import annotations

import re
from collections.abc import Collection
from fractions import Fraction
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from putback.sizing.background import background, origin_by
from putback.sizing.drivers import slot_sentence, socket_sentence
from putback.sizing.evidence import crest_explains, near_diameter
from putback.sizing.exact import Exact, exact
from putback.sizing.hardware import name_standard
from putback.sizing.house_lengths import House, Place
from putback.sizing.instruments import TOOLS, Tool, best_of, plates_at_hand
from putback.sizing.kinds import STOCKED_LENGTH, THREADED
from putback.sizing.length_names import HAND, by_datum, list_of, name_in, place_of, seen
from putback.sizing.lengths import metric_tilt, name_length
from putback.sizing.naming import Evidence, name_thread
from putback.sizing.plates import HOME
from putback.sizing.priors import Prior, base_weights, weigh
from putback.sizing.reading import split_datum, tidy
from putback.sizing.readings import Readings, in_full
from putback.sizing.series import series_named
from putback.sizing.threads import thread_named
from putback.sizing.units import Unit
from putback.sizing.verdict import NextReading, Reading, Verdict, Word, weaker
from putback.sizing.wire_gauges import by_number, gauges_near
from putback.sizing.wording import shown, size_text, thread_text

_EMPTY = Prior.empty()
_ALONE = House()


class Answer(Struct, frozen=True, kw_only=True):
    """What a set of readings comes to."""

    thread: Verdict | None = None
    """The thread's name; None when nothing of a thread was read."""
    length: Verdict | None = None
    """The stocked length; None when none was read."""
    standard: Verdict | None = None
    """The standard size of a pin, washer or ring; None for threaded kinds and where no table goes with it."""
    size: str = ""
    """Short text for a record and a person: #8-32 UNC x 3/8."""
    problem: str = ""
    """What is still being typed, by field; empty when all is read."""
    notes: tuple[str, ...] = ()
    """How a text was read where that is not plain."""
    read: Exact
    """The readings in exact numbers."""

    @property
    def verdict(self) -> Word:
        """The weaker of the halves that were asked. What is kept as measured is sure; nothing read is none.

        An odd length beside a thread is a finding and leaves nothing open: then the thread's verdict stands.
        """
        asked = [v.word for v in (self.thread, self.standard) if v is not None]
        if self.length is not None and (self.length.word != "none" or self.length.group is None or not asked):
            asked.append(self.length.word)
        return weaker(*asked) if asked or self.read.anything else "none"

    def to_json(self) -> dict[str, Any]:
        """As `putback size --json` prints it; the half not asked for is null.

        A thread with a name has its `tap_drill`, and `today` what can be had in its place, where no shop sells it.
        `blade` is there with a slot, `standard` for a kind whose sizes stand in a table, `notes` where a text was read
        in a way that is not plain.
        """
        halves: dict[str, Any] = {
            "thread": None if self.thread is None else self.thread.to_json(),
            "length": None if self.length is None else self.length.to_json(),
        }
        if self.thread is not None and self.thread.word in ("sure", "likely"):
            halves["thread"] |= _getting(self.thread.candidates[0].name)
        if self.standard is not None:
            halves["standard"] = self.standard.to_json()
        if self.notes:
            halves["notes"] = list(self.notes)
        return halves | {"blade": slot_sentence(self.read)} if self.read.slot is not None else halves


def _getting(name: str) -> dict[str, Any]:
    """What `replacing.getting` tells of a thread, for JSON."""
    from putback.sizing.drilling import tap_drill  # only where an answer is printed, never while it is typed
    from putback.sizing.replacing import instead_of  # the same

    thread = thread_named(name)
    if thread is None:
        return {}
    today = [{"name": way.thread.name, "change": way.change} for way in instead_of(thread)]
    drill = {} if series_named(thread.series).tapers else {"tap_drill": tap_drill(thread).name}
    return drill | ({"today": today} if today else {})


def snap(
    readings: Readings,
    prior: Prior = _EMPTY,
    have: Collection[Tool] = TOOLS,
    house: House = _ALONE,
    where: int = 0,
    *,
    final: bool = False,
) -> Answer:
    """The nominal size of one fastener.

    `prior` is what this machine has shown so far, `house` its lengths without this one, and `where` the number of
    the part and face it came off; only readings that the instruments in `have` can take are asked for. Raises
    Unreadable, naming the field, for a text that can never be read; what is merely unfinished is left out and told
    in `problem`. `final` readings are not still being typed.
    """
    readings = in_full(readings)
    read = exact(readings, final=final)
    thread = length = None
    standard = name_standard(readings, read)
    if readings.kind in THREADED:
        thread = _thread(readings, read, prior, have)
    if read.length is not None and read.length.datum:
        long = by_datum(read.length, thread_text(readings, read, thread), readings.kind, readings.head or "")
        notes = (*read.notes, f"length: {long.note}") if long.note else read.notes
        read = replace(read, length=long, notes=notes)
    if read.length is not None and readings.kind in STOCKED_LENGTH:
        length = (
            _length(readings, read, thread, have, house, where)
            if grouped(readings.kind)
            else name_length(read.length, _list(readings, thread), by=read.length_by, have=have)
        )
    return Answer(
        thread=thread,
        length=length,
        standard=standard,
        size=size_text(readings, read, thread, length, standard),
        problem="; ".join(f"{field}: {missing.hint}" for field, missing in read.problems),
        notes=(
            *read.notes,
            *_in_millimetres(readings, read, thread),
            *_by_gauge(readings, read),
            *_by_socket(readings, read),
        ),
        read=read,
    )


def _by_gauge(readings: Readings, read: Exact) -> tuple[str, ...]:
    """The gauge that a spring's wire goes by: `wire .080: 14 SWG or 14 W&M`."""
    if read.wire is None or by_number(tidy(read.wire.text)) is not None:
        return ()
    near = gauges_near(read.wire.inches, readings.origin)
    return (f"wire {shown(read.wire)}: {' or '.join(one.called for one in near)}",) if near else ()


def _by_socket(readings: Readings, read: Exact) -> tuple[str, ...]:
    socket = socket_sentence(readings.kind, read)
    return (socket,) if socket else ()


def _in_millimetres(readings: Readings, read: Exact, thread: Verdict | None) -> tuple[str, ...]:
    """What a bare diameter that fits no thread in inches would be in millimetres: 3.5 fits M3.5x0.6."""
    if thread is None or thread.word != "none" or read.od is None or read.od.unit != "in":
        return ()
    typed = tidy(read.od.text)
    if not re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", typed):
        return ()
    crest = float(Fraction(typed))
    fits = [s for s in near_diameter(crest) if crest_explains(s, crest, worn=False) and s.thread.family == "metric"]
    if not fits:
        return ()
    best = max(fits, key=lambda s: base_weights("metric")[s.thread.name]).thread.name
    return (f"no thread has a diameter of {typed} in; {typed} mm fits {best}: type {typed}mm if it was in mm",)


def grouped(kind: str) -> bool:
    """Whether lengths of a kind are named by the machine's groups: all that were sold by length but pins."""
    return kind in STOCKED_LENGTH and not kind.endswith("pin")


def placed(readings: Readings, label: str, house: House) -> Place:
    """The shelf of the house that a fastener's length lies on; `label` is its thread as `thread_text` has it."""
    head = readings.head or ""
    which = list_of(label, readings.kind, head, readings.origin, readings.unit)
    said = split_datum(readings.length or "")[1]
    return place_of(label, which, readings.kind, head, house, said)


def _length(
    readings: Readings, read: Exact, thread: Verdict | None, have: Collection[Tool], house: House, where: int
) -> Verdict | None:
    if read.length is None:
        return None
    place = placed(readings, thread_text(readings, read, thread), house)
    lying = house.with_seen(place, seen(HAND, read.length, read.length_by, where))
    named = thread is not None and thread.word in ("sure", "likely")
    return name_in(
        lying,
        place,
        HAND,
        read.length,
        by=read.length_by,
        head=readings.head or "",
        have=have,
        other_system=not named,
    )


def _thread(readings: Readings, read: Exact, prior: Prior, have: Collection[Tool]) -> Verdict | None:
    if read.against:
        reading: Reading = "flank-angle" if read.against.startswith("flanks") else "tpi"
        return Verdict("none", (), NextReading(reading, read.against), "two readings contradict one another")
    pitch = None if read.pitch is None else float(read.pitch)
    known = background(readings.country, readings.decade, readings.trade)
    origin = origin_by(readings.origin, known)
    home: Unit | None = None if origin == "unknown" else "mm" if origin == "metric" else "in"
    crest = None if read.od is None or readings.kind == "nut" else float(read.od.mm)
    seen = Evidence(
        names=read.gauge.names if read.gauge is not None else (),
        crest=crest,
        pitch=pitch,
        plate_by=read.gauge_by,
        crest_by=read.od_by,
        pitch_by=read.pitch_by,
        flank=None if read.flank is None else float(read.flank),
        mate=read.mate,
        best_of=best_of(pitch, home, have) if pitch is not None and read.pitch_by == "leaf" else 0.0,
        plates=plates_at_hand(have),
        first=HOME[origin],
        metric_length=1.0
        if read.length is None or readings.kind == "nut"
        else metric_tilt(read.length, read.length_by),
    )
    return name_thread(seen, weigh(readings.origin, prior, known), readings.unit, have)


def _list(readings: Readings, verdict: Verdict | None) -> str:
    """The list of stocked lengths of a pin: that of the machine's origin, else of its unit."""
    best = "" if verdict is None or verdict.word == "none" or verdict.best is None else verdict.best.name
    return list_of(best, readings.kind, readings.head or "", readings.origin, readings.unit)
