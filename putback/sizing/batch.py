"""Answers for `putback size`: option names and JSON in, JSON out."""

from __future__ import annotations

from typing import Any, get_args

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import Unreadable
from putback.sizing.answer import Answer, grouped, placed, snap
from putback.sizing.gauge import Origin
from putback.sizing.house_lengths import House
from putback.sizing.instruments import TOOLS, WAYS, Tool, checked_tools, checked_way
from putback.sizing.length_names import seen, stray_question
from putback.sizing.priors import Prior
from putback.sizing.readings import Readings, in_full
from putback.sizing.units import Unit
from putback.sizing.verdict import NextReading
from putback.sizing.wording import thread_text

OPTIONS = (
    "gauge", "od", "pitch", "tpi", "length", "head", "origin", "unit", "gauge-by", "od-by", "pitch-by", "length-by",
    "flank", "nut", "slot", "across", "have", "country", "decade", "trade",
    "kind", "drive", "hand", "thick", "bore", "groove", "wire", "coils", "width", "shoulder", "small-end",
)  # fmt: skip
"""Options of `putback size`; a batch line may spell them with an underscore."""

_UNDERSCORED = frozenset(name.replace("-", "_") for name in OPTIONS)


def readings_from(options: dict[str, Any]) -> Readings:
    """Readings from options by name: text as typed, numbers, or None for what was not read.

    Origin defaults to unknown; the unit to mm on a metric machine, else in. Raises Unreadable for an unknown
    option, a value that is neither text nor number, or a word outside its list.
    """
    given: dict[str, Any] = {}
    for name, value in options.items():
        if name not in OPTIONS and name not in _UNDERSCORED:
            known = ", ".join(OPTIONS)
            raise Unreadable(f"'{name}' is not a reading; the readings are {known}.")
        if value is not None and name != "have":
            given[name.replace("-", "_")] = _text(name, value)
    origin = _word("origin", given.pop("origin", "unknown"), get_args(Origin))
    unit = _word("unit", given.pop("unit", "mm" if origin == "metric" else "in"), get_args(Unit))
    if "kind" in given:
        given["kind"] = given["kind"].strip().lower()
    for name in WAYS:
        if f"{name}_by" in given:
            given[f"{name}_by"] = checked_way(given[f"{name}_by"], name)
    return Readings(origin=origin, unit=unit, **given)


def tools_from(options: dict[str, Any]) -> tuple[Tool, ...]:
    """The instruments at hand: `have` as words with commas, or a list of words; all where it is absent.

    Raises Unreadable for a word that is none.
    """
    have = options.get("have")
    if have is None:
        return TOOLS
    if isinstance(have, str):
        have = have.split(",")
    if not isinstance(have, list) or not all(isinstance(word, str) for word in have):
        raise Unreadable("have: instruments are words with commas, as caliper, pitch gauge.")
    return checked_tools(have)


def _text(name: str, value: Any) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Unreadable(f"{name}: a reading is text or a number.")
    if value != value or abs(value) > 1e9:  # not a number, or past anything a bench can hold
        raise Unreadable(f"{name}: this number is too large or too small for a measure.")
    return plain_number(value)


def plain_number(value: int | float) -> str:
    """A number as a person would type it, never in powers of ten."""
    if isinstance(value, int):
        return str(value)
    text = f"{value:.12f}".rstrip("0")
    return text + "0" if text.endswith(".") else text


def _word(name: str, value: str, allowed: tuple[str, ...]) -> Any:
    word = value.strip().lower()
    if word not in allowed:
        raise Unreadable(f"{name}: '{value}' is none of {', '.join(allowed)}.")
    return word


def answer_options(
    options: dict[str, Any], prior: Prior | None = None, house: House | None = None, where: int = 0
) -> tuple[Readings, Answer]:
    """The answer to one set of options, on a machine that has shown `prior` and `house`.

    `where` is the number of the part and face. Raises Unreadable for what cannot be read, or is not finished.
    """
    readings = in_full(readings_from(options))
    answer = snap(readings, prior or Prior.empty(), tools_from(options), house or House(), where, final=True)
    if answer.problem:
        field, missing = answer.read.problems[0]
        raise Unreadable(f"{field}: '{missing.text.strip()}' is not finished; still to come: {missing.hint}.")
    if not answer.read.anything:
        raise Unreadable("nothing was read; give a gauge text, a diameter, a pitch or a length.")
    return readings, answer


def size_json(options: dict[str, Any], prior: Prior | None = None) -> dict[str, Any]:
    """The JSON of `putback size --json` for one set of options. Raises Unreadable as `answer_options` does."""
    answer = answer_options(options, prior)[1]
    if answer.length is not None:  # one reading by itself has no group to tell of
        answer = replace(answer, length=replace(answer.length, group=None))
    return answer.to_json()


class Bench(Struct):
    """One machine's readings as a batch has told them so far."""

    prior: Prior
    """The threads it has shown."""
    house: House
    """Its lengths."""
    parts: dict[str, list[int]]
    """The lines that read a length, by part and face."""


class Batch:
    """Answers to the lines of one batch, in order: what a line says of a machine, later lines know.

    Without `machine` each line stands by itself.
    """

    def __init__(self) -> None:
        self._benches: dict[str, Bench] = {}
        self._line = 0

    def answer(self, options: Any) -> dict[str, Any]:
        """One line: its answer, or `{"error": sentence}`. Raises nothing a line's contents can cause."""
        if not isinstance(options, dict):
            return {"error": 'a batch line is one JSON object, as {"od": ".164", "tpi": 32}.'}
        try:
            rest = {name: value for name, value in options.items() if name not in PLACED}
            machine, part, face = (_placed(name, options.get(name)) for name in PLACED)
            if machine is None:
                return size_json(rest)
            return self._on(machine, f"{part or ''}\n{face or ''}", rest)
        except Unreadable as fault:
            return {"error": str(fault)}

    def _on(self, machine: str, where: str, options: dict[str, Any]) -> dict[str, Any]:
        self._line += 1
        bench = self._benches.setdefault(machine, Bench(Prior.empty(), House(), {}))
        number = list(bench.parts).index(where) + 1 if where in bench.parts else len(bench.parts) + 1
        readings, answer = answer_options(options, bench.prior, bench.house, number)
        if answer.thread is not None and answer.thread.word in ("sure", "likely") and answer.thread.best is not None:
            bench.prior = bench.prior.with_seen(answer.thread.best.name)
        length = answer.read.length
        if answer.length is None or length is None or not grouped(readings.kind):
            return answer.to_json()
        place = placed(readings, thread_text(readings, answer.read, answer.thread), bench.house)
        bench.house = bench.house.with_seen(place, seen(self._line, length, answer.read.length_by, number))
        here = bench.parts.setdefault(where, [])
        question = stray_question(bench.house, place, self._line, here)
        here.append(self._line)
        if not question:
            return answer.to_json()
        return replace(answer, length=replace(answer.length, ask=NextReading("length", f"{question}?"))).to_json()


PLACED = ("machine", "part", "face")
"""Keys of a batch line that say where its readings belong; without part and face all are of one."""


def _placed(name: str, value: Any) -> str | None:
    if value is None or isinstance(value, str):
        return value
    return _text(name, value)
