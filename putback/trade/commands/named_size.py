"""A fastener's size, named from its readings when it is entered."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import cast

from msgspec.structs import replace

from putback.errors import BadInput
from putback.sizing import Answer, Prior, Readings, Verdict, snap
from putback.sizing.house_lengths import House
from putback.sizing.instruments import TOOLS, Tool, Way
from putback.sizing.readings import in_full
from putback.trade.commands.corrections import MendFastener
from putback.trade.commands.entering import Enter, as_before
from putback.trade.record.fastener import FIELDS, HEADS, KINDS, Thing, as_said
from putback.trade.record.length_groups import lengths_of, without
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.sizes.just_like import one_before


def readings_of(machine: Machine, command: Enter) -> Readings:
    """Return what the sizing floor wants to know of a fastener: its readings and the machine's origin."""
    given = command.readings
    return Readings(
        gauge=given.get("gauge"),
        od=given.get("od"),
        pitch=given.get("pitch"),
        tpi=given.get("tpi"),
        length=given.get("length"),
        thick=given.get("thick"),
        wire=given.get("wire"),
        coils=given.get("coils"),
        width=given.get("width"),
        shoulder=given.get("shoulder"),
        bore=given.get("bore"),
        groove=given.get("groove"),
        slot=given.get("slot"),
        across=given.get("across"),
        flank=given.get("flank"),
        nut=given.get("nut"),
        gauge_by=_way(given, "gauge"),
        od_by=_way(given, "od"),
        pitch_by=_way(given, "pitch"),
        length_by=_way(given, "length"),
        head=command.head or None,
        drive=command.drive or None,
        kind=command.kind,
        small_end=command.small_end or None,
        hand=command.hand or None,
        origin=machine.origin,
        unit=machine.unit,
        country=machine.country or None,
        decade=machine.decade or None,
        trade=machine.trade or None,
    )


def _way(given: dict[str, str], reading: str) -> Way | None:
    return cast(Way | None, given.get(f"{reading}_by"))


Shown = tuple[tuple[str, int], ...]
"""How often each thread was found, by its name."""


def _prior(shown: Shown) -> Prior:
    prior = Prior.empty()
    for name, times in shown:
        prior = prior.with_seen(name, times)
    return prior


def answer_for(
    record: Record, machine: Machine, command: Enter, have: Sequence[Tool] = TOOLS, mended: Thing | None = None
) -> Answer:
    """Return the honest name for a fastener's readings, asking only for what can be taken with the tools one has.

    `mended` is the fastener that is there already, where its readings are said anew. Raises Unreadable for a
    reading that is none.
    """
    readings, shown = readings_of(machine, command), tuple(record.threads(machine.id).items())
    if not readings.length:
        return _answer(readings, shown, tuple(have), None, 0)
    step = record.open_step(machine.id)
    where = mended.step if mended is not None else step.id if step is not None else 0
    house = lengths_of(record, machine) if mended is None else without(record, machine, mended.id)
    return _answer(readings, shown, tuple(have), house, where)


@lru_cache(maxsize=16)
def _answer(readings: Readings, shown: Shown, have: tuple[Tool, ...], house: House | None, where: int) -> Answer:
    """`snap`, which is asked the same again when what was typed is recorded."""
    return snap(readings, _prior(shown), have, house or House(), where)


def sized(
    record: Record, machine: int, command: Enter, mended: Thing | None = None, have: Sequence[Tool] = TOOLS
) -> Enter:
    """Return the command with its size, thread, length and verdict named from its readings.

    One just like the one before has its size; `mended` is the fastener that is there already, where its readings are
    said anew. A hole found empty has none, one that is named already keeps its name, and what the rules refuse anyway
    is left to them. Raises Unreadable for a reading that means nothing, and BadInput for a half-typed one.
    """
    found = record.find(Machine, machine)
    step = record.open_step(machine) if command.like else None
    before = one_before(record, step, command.kind) if step is not None else None
    if before is not None:
        command = as_before(command, before)
    if found is None or command.found or command.size or not command.readings:
        return command
    if command.kind not in KINDS or (command.head or "") not in ("", *HEADS):
        return command
    answer = answer_for(record, found, command, have, mended)
    if answer.problem:
        text = f"Not finished: {answer.problem}"
        raise BadInput(text if text.endswith((".", "?")) else f"{text}.")
    return replace(
        command,
        readings=_in_its_unit(command.readings, readings_of(found, command)),
        size=answer.size,
        thread=_settled(answer.thread),
        length=_settled(answer.length),
        verdict=answer.verdict if answer.thread or answer.length or answer.standard else "",
    )


def sized_anew(record: Record, machine: int, command: MendFastener, have: Sequence[Tool] = TOOLS) -> MendFastener:
    """Return a mending of a fastener with its size named from its readings as they are from now on.

    Kind, head and hand tell which readings count for what, so they name it anew, too. What the rules refuse
    anyway is left to them. Raises as `sized`.
    """
    thing = record.find(Thing, command.thing)
    given = (command.readings, command.kind, *(getattr(command, field.name) for field in FIELDS if field.names))
    if thing is None or thing.machine != machine or command.size is not None or given == (None,) * len(given):
        return command
    readings = thing.readings if command.readings is None else command.readings
    if not readings:
        return command if command.readings is None else replace(command, size="")
    as_taken = Enter(
        hole=thing.hole or "1",
        kind=command.kind or thing.name,
        readings=readings,
        found=thing.found,
        **{field.name: as_said(command, thing, field) for field in FIELDS},
    )
    named = sized(record, machine, as_taken, thing, have)
    if named is as_taken:
        return command
    read = command.readings if named.readings == as_taken.readings else named.readings
    return replace(
        command, readings=read, size=named.size, thread=named.thread, length=named.length, verdict=named.verdict
    )


def _in_its_unit(given: dict[str, str], readings: Readings) -> dict[str, str]:
    """Return readings with the unit behind a bare length that is not in the machine's."""
    full = in_full(readings)
    return given | {"length": full.length} if full.length_note and full.length and given.get("length") else given


def _settled(half: Verdict | None) -> str:
    """Return the name that a half of an answer settled on, or nothing."""
    if half is None or half.word not in ("sure", "likely") or half.best is None:
        return ""
    return half.best.name
