"""What is typed into the fields of a form as the readings it stands for, and readings as they would be typed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import cast

from putback.errors import BadInput
from putback.sizing import Unit
from putback.sizing.gauge import Gauge, read_gauge, split_flank, split_length
from putback.sizing.instruments import SAID, WAYS, Way, split_gauge, split_way
from putback.sizing.reading import Measure, tidy
from putback.trade.record.fastener import READINGS, TAKEN_BY
from putback.trade.record.machine import Machine
from putback.trade.sizes.reading_words import FIELD_WORDS
from putback.tui.form.entry import BY, FIELDS, TIMES

MEASURED = frozenset({"length", "od", "thick", "wire", "width"})
"""Readings that are one measure."""

_DIAMETER = re.compile(r"\s*(\S+)(?:\s+(\S.*?))?\s*")


def field_word(name: str, text: str) -> str:
    """Return how a field is called: by its name, or, where its text ends in a mark, by what that says: `by eye`."""
    if text.endswith(("+", "eye", "rule")):
        ways = {field: way for field, way in _unmarked({name: text}, "in").items() if field in TAKEN_BY}
        if ways:
            return SAID[cast(Way, list(ways.values())[-1])]
    return FIELD_WORDS.get(name, name)


MARKS: dict[Way, str] = {"rule": "+", "eye": "++", "ten": " ten"}
"""How a reading that was not taken in the usual way is typed: what stands behind it."""


def as_typed(readings: Mapping[str, str]) -> dict[str, str]:
    """Return readings as they would be typed: the way each was taken as a mark behind it."""
    found = {name: text for name, text in readings.items() if name in READINGS}
    for name in found:
        way = readings.get(f"{'pitch' if name == 'tpi' else name}_by", "")
        found[name] += MARKS.get(cast(Way, way), f" {way}" if way else "")
    return found


def _spaced(text: str) -> str:
    """A gauge text with a blank between its numbers, however it was typed: `.164*32`, `.164-32`."""
    return re.sub(r"([0-9.+](?: ?(?:mm|in|thou))?) *- *(?=[0-9.,])", r"\1 ", text.replace("*", " "))


def _unmarked(readings: Mapping[str, str], unit: Unit) -> dict[str, str]:
    """Return readings without their marks, and the ways they stand for beside them."""
    found: dict[str, str] = {}
    for name, text in readings.items():
        field = "pitch" if name == "tpi" else name
        ways: dict[str, Way] = {}
        try:
            if name == "gauge":
                spaced, ways = split_gauge(_spaced(text), unit)
                text = spaced if ways else text
            elif field in WAYS:
                text, way = split_way(text, field)
                ways = {} if way is None else {field: way}
        except BadInput:
            pass  # the size says what is wrong with it
        found[name] = text
        found |= {f"{taken}_by": way for taken, way in ways.items()}
    return found


def as_fields(readings: Mapping[str, str], kind: str, machine: Machine) -> dict[str, str]:
    """Return readings as they are typed into the fields of a kind, by name; what goes into another field is empty.

    A diameter over the crests and its pitch stand in the gauge field, as they were typed: `.164 32`.
    """
    marked = as_typed(readings)
    typed = dict(marked)
    for name, text in typed.items():
        if machine.unit == "in" and name in MEASURED and len(text) == 4 and text[0] == "." and text[1:].isdigit():
            typed[name] = text[1:]
    if "gauge" in FIELDS[kind] and typed.keys() & {"gauge", "od"}:
        size = marked.get("gauge") or f"{marked['od']} {marked.get('tpi') or marked.get('pitch') or ''}".strip()
        measured = ("gauge",) if "gauge" in typed else ("od", "tpi", "pitch", "od_by", "pitch_by")
        for text, fields in ((f"{size} {marked.get('flank', '')}", (*measured, "flank")), (size, measured)):
            given = {name: readings[name] for name in fields if name in readings}
            if as_read({"gauge": text.strip()}, machine) == given:
                return typed | dict.fromkeys(given, "") | {"gauge": text.strip()}
    return typed


def as_read(readings: Mapping[str, str], machine: Machine) -> dict[str, str]:
    """Return what was typed as the readings it stands for.

    A mark behind a reading says how it was taken, and becomes a field of its own: `.37++` is `length` .37 and
    `length_by` eye.

    A diameter in the gauge field was taken with a caliper: it is `od`, and what follows it `tpi` or
    `pitch`. A bare measure of three digits on an inch machine is thousandths, and gets its point.
    """
    found = _unmarked(readings, machine.unit)
    split_off = split_length(found.get("gauge", ""), machine.origin, machine.unit)
    if split_off is not None and not found.get("length"):
        found["gauge"], found["length"] = split_off
    try:
        gauge = read_gauge(found.get("gauge", ""), machine.origin, machine.unit)
    except BadInput:
        return found
    if isinstance(gauge, Gauge) and gauge.flank is not None and "flank" not in found:
        behind = split_flank(tidy(_spaced(found["gauge"])))
        if behind is not None:
            found["gauge"], found["flank"] = behind
    if "od_by" in found and _DIAMETER.fullmatch(_spaced(found.get("gauge", ""))):
        found["gauge"] = found["gauge"].replace(machine.unit, "", 1)
    if isinstance(gauge, Gauge) and gauge.od is not None and "od" not in found:
        _put_apart(found, gauge.od, machine.unit)
    if machine.unit == "in":
        _put_points(found)
    return {name: found[name] for name in (*READINGS, *TAKEN_BY) if name in found}


def _put_apart(found: dict[str, str], od: Measure, unit: Unit) -> None:
    """Put the diameter in the gauge field into `od`, and what follows it into `tpi` or `pitch`."""
    if od.span is not None:
        found["od"] = _spaced(found.pop("gauge"))  # one diameter seen twice
        return
    split = _DIAMETER.fullmatch(_spaced(found["gauge"]))
    if split is None:
        return
    del found["gauge"]
    found["od"] = split[1]
    if split[2]:
        small = unit == "mm" and re.fullmatch("[1-6]", split[2])
        found["pitch" if small or re.search(r"[.,]|mm", split[2]) else "tpi"] = split[2]


def _put_points(found: dict[str, str]) -> None:
    """Give thousandths of an inch their point."""
    for name in MEASURED.intersection(found):
        found[name] = _pointed(found[name])
    for name in BY.intersection(found):
        halves = re.split(r" *[xX*] *", found[name].strip())
        pointed = [_pointed(half) for half in halves]
        if pointed != halves:
            found[name] = TIMES.join(pointed)


def _pointed(text: str) -> str:
    return f".{text}" if re.fullmatch("[0-9]{3}", text) else text
