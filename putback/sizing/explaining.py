"""An answer told to a person: the winning band as a small rule with the reading on it, the runner-up, and why."""

from __future__ import annotations

from putback.sizing.answer import Answer
from putback.sizing.drivers import slot_sentence
from putback.sizing.hardware import driving
from putback.sizing.readings import Readings
from putback.sizing.steel_rule import Scale, scale
from putback.sizing.verdict import Verdict, Word

WIDE = 40
"""Characters of the rule."""

_SAYS: dict[Word, str] = {
    "sure": "sure",
    "likely": "likely",
    "either": "either of these",
    "none": "none of these",
}

_TITLES = {"thread": "thread", "length": "length", "standard": "standard size"}


def explain(answer: Answer, readings: Readings) -> str:
    """Several lines of plain ASCII, at most 80 columns wide, for a terminal."""
    lines = [f"{answer.size or 'nothing read'}    {_SAYS[answer.verdict]}"]
    for half in (answer.thread, answer.standard, answer.length):
        if half is not None:
            lines += ["", *_half(half, readings)]
    slot = slot_sentence(answer.read)
    if slot:
        lines += ["", *_wrapped(f"slot: {slot}")]
    if readings.kind == "taper pin" and readings.small_end:
        lines += ["", f"  {driving(readings.small_end)}"]
    for note in answer.notes:
        lines.append(f"  {note}")
    if answer.problem:
        lines.append(f"  unfinished: {answer.problem}")
    return "\n".join(lines)


def _wrapped(text: str) -> list[str]:
    """`text` in lines of at most 78 characters, two spaces in."""
    lines = [" "]
    for word in text.split():
        if len(lines[-1]) + 1 + len(word) > 78:
            lines.append("   ")
        lines[-1] += f" {word}"
    return lines


def _half(half: Verdict, readings: Readings) -> list[str]:
    lines = [f"  {_TITLES[half.half]}: {_SAYS[half.word]}"]
    rule = scale(half, readings)
    if rule.marks:
        lines += _rule(rule)
    for place, candidate in enumerate(half.candidates[:4]):
        label = ("best", "next")[place] if place < 2 and half.word != "none" else ""
        fit = f", {candidate.fit}" if candidate.fit else ""
        like = f" (the same as {', '.join(candidate.also)})" if candidate.also else ""
        lines.append(f"    {label:5}{candidate.name:20} {candidate.probability:6.1%}{fit}{like}"[:79])
        if candidate.behind and half.word != "none":
            lines.append(f"    {'':5}{'':20}   {candidate.behind}")
    rest = 1 - sum(c.probability for c in half.candidates)
    if rest >= 0.005:
        lines.append(f"    {'':5}{'none of these':20} {rest:6.1%}")
    if half.note:
        lines.append(f"    {half.note}")
    if half.ask is not None:
        lines.append(f"    next: {half.ask.why}")
    return lines


def _rule(rule: Scale) -> list[str]:
    """The rule: one line a band, the pointer above and through them."""
    span = rule.high - rule.low

    def at(value: float) -> int:
        return max(0, min(WIDE - 1, round((value - rule.low) / span * (WIDE - 1))))

    places = 4 if rule.unit == "in" else 2
    lines = []
    pointer = None if rule.pointer is None else at(rule.pointer)
    if pointer is not None:
        lines.append(f"    {'':20} {' ' * pointer}v {rule.pointer_text}")
    for mark in rule.marks:
        cells = ["."] * WIDE
        for i in range(at(mark.low), at(mark.high) + 1):
            cells[i] = "=" if mark.is_best else "-"
        if pointer is not None:
            cells[pointer] = "|"
        ends = f"{mark.low:.{places}f}-{mark.high:.{places}f}"
        lines.append(f"    {mark.label[:20]:20} {''.join(cells)} {ends}"[:79].rstrip())
    return lines
