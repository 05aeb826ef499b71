"""Readings and what the machine has shown -> the nominal size, how sure that is, and what to measure next."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from msgspec import Struct

from putback.sizing.drivers import slot_sentence
from putback.sizing.hardware import name_standard
from putback.sizing.instruments import TOOLS, Tool
from putback.sizing.lengths import System, list_for, metric_tilt, name_length
from putback.sizing.naming import Evidence, name_thread
from putback.sizing.priors import Prior, weigh
from putback.sizing.readings import THREADED, Exact, Readings, exact
from putback.sizing.threads import Thread, thread_named
from putback.sizing.verdict import Verdict, Word, weaker
from putback.sizing.wording import size_text

_EMPTY = Prior.empty()

STOCKED_LENGTH = THREADED - {"nut"} | {"taper pin", "straight pin", "split pin", "rivet"}
"""Kinds that were sold by length; the others keep theirs as measured."""


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
        """The weaker of the halves that were asked. What is kept as measured is sure; nothing read is none."""
        asked = [v.word for v in (self.thread, self.length, self.standard) if v is not None]
        return weaker(*asked) if asked or self.read.anything else "none"

    def to_json(self) -> dict[str, Any]:
        """As `putback size --json` prints it; the half not asked for is null, and `blade` is there with a slot."""
        halves: dict[str, Any] = {
            "thread": None if self.thread is None else self.thread.to_json(),
            "length": None if self.length is None else self.length.to_json(),
        }
        return halves | {"blade": slot_sentence(self.read)} if self.read.slot is not None else halves


def snap(readings: Readings, prior: Prior = _EMPTY, have: Collection[Tool] = TOOLS) -> Answer:
    """The nominal size of one fastener.

    `prior` is what this machine has shown so far; only readings that the instruments in `have` can take are asked
    for. Raises Unreadable, naming the field, for a text that can never
    be read; what is merely unfinished is left out and told in `problem`.
    """
    read = exact(readings)
    thread = length = None
    standard = name_standard(readings, read)
    if readings.kind in THREADED:
        thread = _thread(readings, read, prior, have)
    if read.length is not None and readings.kind in STOCKED_LENGTH:
        named = thread is not None and thread.word in ("sure", "likely")
        length = name_length(read.length, _list(readings, thread), by=read.length_by, have=have, other_system=not named)
    return Answer(
        thread=thread,
        length=length,
        standard=standard,
        size=size_text(readings, read, thread, length, standard),
        problem="; ".join(f"{field}: {missing.hint}" for field, missing in read.problems),
        notes=read.notes,
        read=read,
    )


def _thread(readings: Readings, read: Exact, prior: Prior, have: Collection[Tool]) -> Verdict | None:
    pitch = None if read.pitch is None else float(read.pitch)
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
        metric_length=1.0
        if read.length is None or readings.kind == "nut"
        else metric_tilt(read.length, read.length_by),
    )
    return name_thread(seen, weigh(readings.origin, prior), readings.unit, have)


def _list(readings: Readings, verdict: Verdict | None) -> str:
    """The list of stocked lengths: the thread's own, else that of the machine's origin, else of its unit."""
    thread: Thread | None = None
    if verdict is not None and verdict.word != "none" and verdict.best is not None:
        thread = thread_named(verdict.best.name)
    if thread is not None:
        system: System = "metric" if thread.family == "metric" else "inch"
    elif readings.origin in ("us", "uk"):
        system = "inch"
    else:
        system = "metric" if readings.origin == "metric" or readings.unit == "mm" else "inch"
    return list_for(readings.kind, readings.head or "", system, thread)
