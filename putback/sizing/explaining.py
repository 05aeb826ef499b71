"""An answer told to a person: the sizes along a small rule with the reading on it, the runner-up, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import floor, log10

from putback.sizing.answer import Answer
from putback.sizing.drivers import slot_sentence
from putback.sizing.exact import COARSEST, Exact
from putback.sizing.instruments import CREST, LENGTH, SAID, WAYS
from putback.sizing.kinds import driving
from putback.sizing.reading import Measure
from putback.sizing.readings import Readings
from putback.sizing.replacing import getting
from putback.sizing.steel_rule import SizeBand, SteelRule, scale
from putback.sizing.threads import thread_named
from putback.sizing.units import MM_PER_INCH
from putback.sizing.verdict import Candidate, Verdict, Word
from putback.sizing.wording import decimal, mixed, shown

WIDE = 41
"""Characters of the rule."""

LEFT = 27
"""Characters before it."""

SHOWN = 0.005
"""The least share that is told."""

LINE = 79
"""Characters of a line."""

_At = Callable[[float], int]
"""Which character of the rule a value is at."""

_SAYS: dict[Word, str] = {
    "sure": "sure",
    "likely": "likely",
    "either": "either of these",
    "none": "none of these",
}

_TITLES = {"thread": "thread", "length": "length", "standard": "standard size"}


def explain(answer: Answer, readings: Readings, *, drawn: bool = True) -> str:
    """Several lines of plain ASCII, at most 79 columns wide, for a terminal.

    Without `drawn` no rule: a line a size with its share, and no line is folded.
    """
    if not drawn:
        return "\n".join(_in_words(answer, readings))
    lines = _wrapped(f"{answer.size or 'nothing read'}    {_SAYS[answer.verdict]}", 0)
    read = _read(answer.read)
    if read:
        lines += _wrapped(f"read: {read}", 2)
    for note in answer.notes:
        lines += _wrapped(note, 2)
    for half in (answer.thread, answer.standard, answer.length):
        if half is not None:
            lines += ["", *_half(half, answer.read, readings)]
    for line in getting_lines(answer):
        lines += _wrapped(line, 4)
    slot = slot_sentence(answer.read)
    if slot:
        lines += ["", *_wrapped(f"slot: {slot}", 2)]
    if readings.kind == "taper pin" and readings.small_end:
        lines += ["", *_wrapped(driving(readings.small_end), 2)]
    if answer.problem:
        lines += ["", *_wrapped(f"unfinished: {answer.problem}", 2)]
    return "\n".join(lines)


def getting_lines(answer: Answer) -> tuple[str, ...]:
    """What can be had today in place of the thread, and its tap drill, where it has a name."""
    half = answer.thread
    thread = thread_named(half.candidates[0].name) if half is not None and half.word in ("sure", "likely") else None
    return () if thread is None else getting(thread)


def _in_words(answer: Answer, readings: Readings) -> Iterator[str]:
    yield f"{answer.size or 'nothing read'}: {_SAYS[answer.verdict]}"
    read = _read(answer.read)
    if read:
        yield f"read: {read}"
    yield from answer.notes
    for half in (answer.thread, answer.standard, answer.length):
        if half is not None:
            yield f"{_TITLES[half.half]}: {_SAYS[half.word]}"
            yield from (f"{c.name}: {c.probability:.1%}" for c in half.candidates if c.probability >= SHOWN)
            rest = 1 - sum(c.probability for c in half.candidates)
            if rest >= SHOWN:
                yield f"none of these: {rest:.1%}"
            yield from _reasons(half, scale(half, readings))
    yield from getting_lines(answer)
    slot = slot_sentence(answer.read)
    if slot:
        yield f"slot: {slot}"
    if readings.kind == "taper pin" and readings.small_end:
        yield driving(readings.small_end)
    if answer.problem:
        yield f"unfinished: {answer.problem}"


def _wrapped(text: str, indent: int) -> list[str]:
    """`text` in lines of at most LINE characters, `indent` spaces in, two more from the second on."""
    lines = [" " * indent]
    for word in text.split(" "):
        if lines[-1].strip() and len(lines[-1]) + 1 + len(word) > LINE:
            lines.append(" " * (indent + 1))
        lines[-1] += word if not lines[-1].strip() and len(lines) == 1 else f" {word}"
    return [line.rstrip() for line in lines]


def _read(read: Exact) -> str:
    """What was read and how, in words: `.16 over the crests by rule, 32 to the inch`."""
    texts = []
    if read.gauge is not None and read.gauge.names:
        texts.append(f"{read.gauge.text.strip()} {'off the plate' if read.gauge_by == 'plate' else 'by eye'}")
    if read.od is not None:
        texts.append(f"{shown(read.od)} across{_way('od', read.od_by)}")
    if read.pitch is not None and read.pitch < COARSEST:
        count = MM_PER_INCH / read.pitch
        size = f"{float(count):g} to the inch" if count.denominator <= 2 else f"pitch {float(read.pitch):.4g} mm"
        texts.append(f"{size}{_way('pitch', read.pitch_by)}")
    elif read.pitch is not None:
        texts.append(f"pitch {float(read.pitch):.4g} mm")
    for field, word in (("bore", "inside"), ("width", "wide"), ("thick", "thick"), ("wire", "wire")):
        measure = getattr(read, field)
        if measure is not None:
            texts.append(f"{shown(measure)} {word}")
    if read.coils is not None:
        texts.append(f"{mixed(read.coils)} coils")
    if read.flank is not None:
        texts.append(f"flanks of {float(read.flank):g} degrees")
    if read.mate is not None:
        texts.append(f"a nut {read.mate.names[0]} {'runs on' if read.mate.runs else 'does not run on'}")
    if read.length is not None:
        texts.append(f"{shown(read.length)} long{_way('length', read.length_by)}{_seen(read.length)}")
    return ", ".join(texts)


def _seen(length: Measure) -> str:
    """The two readings of a length that was read twice: `, seen .407 to .415`."""
    if length.span is None:
        return ""
    low, high = (side / MM_PER_INCH if length.unit == "in" else side for side in length.span)
    return f", seen {decimal(low, zero=length.unit == 'mm')} to {decimal(high, zero=length.unit == 'mm')}"


def _way(reading: str, way: str) -> str:
    return "" if way == WAYS[reading][0] else f" {SAID[way]}"


def _half(half: Verdict, read: Exact, readings: Readings) -> list[str]:
    lines = [f"  {_TITLES[half.half]}: {_SAYS[half.word]}"]
    rule = scale(half, readings)
    by_name = {c.name: c for c in half.candidates}
    if rule.marks:
        lines += _rule(rule, half, by_name, _blur(half, read, readings))
    rest = half.candidates[2:]
    hidden = sum(c.probability for c in rest if c.name not in {m.label for m in rule.marks})
    for label, share in (("others", hidden), ("none of these", 1 - sum(c.probability for c in half.candidates))):
        if share >= SHOWN:
            lines.append(f"    {label:{LEFT - 4}}{'':{WIDE}} {share:6.1%}")
    return lines + [row for words in _reasons(half, rule) for row in _wrapped(words, 4)]


def _reasons(half: Verdict, rule: SteelRule) -> Iterator[str]:
    """Give what speaks for the first two candidates, what they are the same as, and what to read next."""
    named = half.word != "none"
    for place, candidate in enumerate(half.candidates[:2]):
        why = f"; {candidate.behind}" if candidate.behind and named else ""
        limits = _limits(rule, candidate) if place == 0 and named else ""
        words = f"{candidate.fit}{limits}{why}".removeprefix("; ")
        if words:
            yield f"{candidate.name}: {words}"
    for candidate in half.candidates[:3]:
        if candidate.also:
            yield f"{candidate.name} measures the same as {', '.join(candidate.also)} on any gauge"
    if half.note:
        yield half.note
    if half.datum:
        yield f"taken as measured {half.datum}"
    if half.ask is not None:
        yield f"next: {half.ask.why}"


def _limits(rule: SteelRule, candidate: Candidate) -> str:
    mark = next((m for m in rule.marks if m.label == candidate.name), None)
    if mark is None:
        return ""
    places = 4 if rule.unit == "in" else 2
    low, high = (f"{value:.{places}f}".lstrip("0" if rule.unit == "in" else "") for value in (mark.low, mark.high))
    return f"{', ' if candidate.fit else ''}its limits {low} to {high} {rule.unit}"


def _blur(half: Verdict, read: Exact, readings: Readings) -> float:
    """How far the reading on the rule may be off, in 19 cases of 20, in the rule's unit; 0 where it is by caliper."""
    per_unit = 25.4 if readings.unit == "in" else 1.0
    if half.half == "thread" and read.od is not None and read.od_by != "caliper":
        return 4.3 * CREST[read.od_by].scale(float(read.od.mm)) / per_unit
    if half.half == "length" and read.length is not None and read.length_by != "caliper":
        rod = LENGTH[read.length_by]
        return 2 * (rod.soft + rod.part * float(read.length.mm)) / per_unit
    return 0.0


def _rule(rule: SteelRule, half: Verdict, by_name: dict[str, Candidate], blur: float) -> list[str]:
    """The rule: the reading above, one line a size with its share, the graduation below."""
    span = rule.high - rule.low

    def at(value: float) -> int:
        return max(0, min(WIDE - 1, round((value - rule.low) / span * (WIDE - 1))))

    pointer = None if rule.pointer is None else at(rule.pointer)
    places = {c.name: ("best", "next")[i] for i, c in enumerate(half.candidates[:2]) if half.word != "none"}
    lines = []
    if pointer is not None and rule.pointer is not None:
        cells = [" "] * WIDE
        low, high = at(rule.pointer - blur), at(rule.pointer + blur)
        for i in range(low, high + 1):
            cells[i] = "-"
        if low < pointer < high:
            cells[low], cells[high] = "<", ">"
        cells[pointer] = "v"
        drawn = "".join(cells).rstrip()
        text = rule.pointer_text
        if LEFT + len(drawn) + 1 + len(text) > LINE:  # the reading stands at the right end: its figures go before it
            lines.append(f"{'':{LEFT}}{drawn}"[: LEFT + low - len(text) - 1] + f"{text} {drawn[low:]}")
        else:
            lines.append(f"{'':{LEFT}}{drawn} {text}")
    for mark in rule.marks:
        lines.append(_row(mark, at, pointer, places.get(mark.label, ""), by_name.get(mark.label)))
    return lines + _graduation(rule, at)


def _row(mark: SizeBand, at: _At, pointer: int | None, place: str, candidate: Candidate | None) -> str:
    cells = ["."] * WIDE
    for i in range(at(mark.low), at(mark.high) + 1):
        cells[i] = "=" if mark.is_best else "-"
    if pointer is not None:
        cells[pointer] = "|"
    share = "" if candidate is None else f" {candidate.probability:6.1%}"
    return f"  {place:5}{mark.label[: LEFT - 8]:{LEFT - 7}}{''.join(cells)}{share}"


def _graduation(rule: SteelRule, at: _At) -> list[str]:
    """Ticks at round values with their figures, as on a rule; nothing where the stretch is too small for two."""
    span = rule.high - rule.low
    step = 10.0 ** floor(log10(span / 2))
    step = next(s for s in (step / 2, step, 2 * step, 5 * step) if span / s <= 6)
    ticks, figures = [" "] * WIDE, [" "] * (WIDE + 8)
    value = floor(rule.low / step + 1) * step
    decimals = max(0, -floor(log10(step) + 1e-9) + (1 if round(step / 10 ** floor(log10(step) + 1e-9), 6) % 1 else 0))
    while value < rule.high:
        place, text = at(value), f"{value:.{decimals}f}"
        text = text.removeprefix("0") if rule.unit == "in" and value < 1 else text
        ticks[place] = "'"
        start = max(0, place - len(text) // 2)
        if all(c == " " for c in figures[max(0, start - 1) : start + len(text) + 1]):
            figures[start : start + len(text)] = text
        value += step
    return [f"{'':{LEFT}}{''.join(ticks)}".rstrip(), f"{'':{LEFT}}{''.join(figures).rstrip()} {rule.unit}"]
