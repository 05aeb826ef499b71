"""A size as it is typed and what it comes to, the same on every form. Plain data from the form and the record."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from msgspec.structs import replace

from putback.errors import BadInput, PutbackError
from putback.sizing import Answer, Readings, Verdict, driving
from putback.sizing.alike import sized as compared
from putback.sizing.drivers import slot_sentence, tool_for
from putback.sizing.instruments import Tool
from putback.sizing.readings import in_full
from putback.sizing.steel_rule import scale
from putback.sizing.threads import thread_named
from putback.trade import commands as c
from putback.trade.commands.named_size import answer_for, readings_of, sized
from putback.trade.record.fastener import FIELD
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.sizes.matching import neighbour
from putback.trade.sizes.reading_words import FIELD_WORDS
from putback.tui.form import entry
from putback.tui.form.form_pane import FieldView, FormData, RuleView
from putback.tui.form.typed_readings import as_read, field_word


def entered(form: entry.Form, machine: Machine | None) -> c.Enter:
    """Return a form as the command that enters its fastener."""
    said = {name: text for name, text in form.extra.items() if name in FIELD}
    return c.Enter(
        hole=form.hole,
        kind=form.kind,
        readings=as_read(form.readings, machine) if machine else form.readings,
        **said | {name: getattr(form, name) for name in entry.SAID},
    )


def fault_in(form: entry.Form, record: Record, machine: Machine) -> str:
    """Return why what is typed so far is not a size, as a sentence, or nothing."""
    try:
        sized(record, machine.id, entered(form, machine))
    except BadInput as fault:
        return str(fault)
    return ""


def field_views(form: entry.Form) -> list[FieldView]:
    """Return the fields of a form: the first two, and those that were reached."""
    typed = dict(zip(form.fields, form.typed, strict=False))
    found = []
    for number, name in enumerate(form.fields):
        text, stands = typed.get(name, ""), form.stands.get(name, "") or form.offers_shown.get(name, "")
        if form.hole and number < max(2, len(form.typed)):
            word = field_word(name, text or stands)
            found.append(FieldView(word, text or stands, name == form.field, bool(stands and not text)))
    return found


def wanted(form: entry.Form, words: Callable[[str], str]) -> str:
    """Return what an empty field asks for where its name alone does not say it."""
    empty = form.field in entry.BY and not form.text and not form.standing
    return words(f"diameter {{blank}} length of the {form.field}") if empty else ""


def style_of(form: entry.Form) -> str:
    """Return hand, kind, head and drive in words."""
    return ", ".join(filter(None, (form.hand and f"{form.hand}-hand", form.kind, form.head, form.drive)))


def snapped(
    data: FormData,
    form: entry.Form,
    record: Record,
    machine: Machine,
    *,
    have: Sequence[Tool],
    words: Callable[[str], str],
) -> FormData:
    """Return what a form shows with the size as its readings so far name it.

    `have` are the tools at hand; `words` puts the person's keys into a sentence.
    """
    command = entered(form, machine)
    readings: Readings = in_full(readings_of(machine, command))
    try:
        answer = answer_for(record, machine, command, have)
    except PutbackError as fault:
        return replace(data, ask=str(fault))
    half = "length" if form.field == "length" and answer.length is not None else "thread"
    verdict = getattr(answer, half) or answer.standard
    ask = wanted(form, words) or _asked(form, answer, verdict, words)
    near = _near(answer, readings)
    if half == "length" and not ask and not near:
        near = readings.length_note or neighbour(record, machine, compared(0, readings, answer))
    return replace(
        data,
        verdict="" if answer.problem else answer.verdict,
        size=answer.size,
        rule=None if verdict is None else _rule(verdict, readings, half),
        ask=ask,
        near=near,
        style=", ".join(filter(None, (entry.ways_text(command.readings), _tool(answer, readings), data.style))),
    )


def _rule(verdict: Verdict, readings: Readings, half: str) -> RuleView:
    """The rule for a half of the size, in fractions for lengths in inches."""
    ruled = scale(verdict, readings)
    marks = tuple((m.label, m.low, m.high, m.nominal, m.is_best) for m in ruled.marks)
    return RuleView(marks, ruled.pointer, ruled.unit, half == "length" and ruled.unit == "in")


def _asked(form: entry.Form, answer: Answer, verdict: Verdict | None, words: Callable[[str], str]) -> str:
    """What is wrong with what is typed, or what should be read next."""
    if answer.problem:
        problem = answer.problem
        for name in form.fields:  # a field is called as it stands in the form: `across`, not `od`
            problem = re.sub(rf"(^|; ){name}: ", rf"\g<1>{FIELD_WORDS.get(name, name)}: ", problem)
        return problem
    if verdict is None or verdict.ask is None:
        return ""
    behind = verdict.ask.reading == "flank-angle" and form.field == "gauge"
    return verdict.ask.why + (words(" Type it behind: {blank} 55") if behind else "")


def _tool(answer: Answer, readings: Readings) -> str:
    """The tool that drives a thread as good as known, where no slot was measured to tell it by."""
    best = answer.thread.best if answer.thread else None
    named = thread_named(best.name) if best else None
    known = not answer.problem and answer.verdict in ("sure", "likely")
    if named is None or not known or answer.read.slot is not None or not (readings.head or readings.drive):
        return ""
    return tool_for(named, readings.head or "", readings.drive or "")


def _near(answer: Answer, readings: Readings) -> str:
    """What is said beside the size: the way a taper pin is driven, how a slot was read."""
    if readings.kind == "taper pin":
        return driving(readings.small_end) if readings.small_end else "at which face does the small end show? X"
    return slot_sentence(answer.read)
