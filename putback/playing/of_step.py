"""What is pressed for a step, its bag and its end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from putback.errors import BadInput
from putback.playing.presses import (
    KeySequence,
    Presses,
    ScreenState,
    choice,
    further,
    go_inside,
    on_bench,
    place_keys,
    said_line,
    setting_keys,
    short_setting,
    to_face,
    typed_line,
    wish,
)
from putback.reports.bags import bag_rows
from putback.trade import commands as c
from putback.trade.record.job import SIDES, TAKES, WHENS
from putback.trade.record.job import SORTS as JOB_SORTS
from putback.trade.record.machine import face_named
from putback.trade.record.step import NO_REVERSE, Adjustment
from putback.tui.bench.part_commands import OTHER_ACTIONS


def begin(command: c.Begin, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for the beginning of a step."""
    record, machine = at.record, at.machine
    turned = command.do == "turn"
    if turned and (command.inside or command.face):
        raise BadInput("A turn is of the whole machine: on the screen it has no assembly and no face.")
    if not turned:
        yield from go_inside(command.inside, at, "step")
        named = face_named(command.name)
        if command.face != ((named or at.face) if at.holes else named):
            yield KeySequence("step", to_face(command.face))
    last = record.last_step(machine)
    bag = record.bag(machine, last.bag) if last else None
    carried = bag.number if bag is not None and not bag.closed and command.do not in NO_REVERSE else 0
    fresh = command.bag == record.highest_bag(machine) + 1 and at.fills
    if command.bag != carried and not fresh:
        yield KeySequence("step", (wish("hand"), typed_line(str(command.bag or ""))))
    if at.minutes is not None and turned:
        yield KeySequence("step", further("how long it took", typed_line(f"{at.minutes:g}")))
    yield KeySequence("step", tuple(_begun(command, at.settings)))
    if fresh and carried and command.bag != carried:
        yield KeySequence("step", (on_bench("*"),))
    if command.whole:
        yield KeySequence("step", further("comes off in one piece"))


def _begun(command: c.Begin, settings: Iterable[Adjustment]) -> Iterator[Presses]:
    if command.do == "take off":
        yield from (on_bench(("enter",)), typed_line(command.name))
        return
    yield from (wish("doing"), choice(OTHER_ACTIONS.index(command.do)))
    yield typed_line(command.name)
    if command.do == "turn":
        yield typed_line(command.state)
    elif command.do in ("let down", "mark", "measure"):
        short = (short_setting(a) for a in settings if a.what == command.name)
        yield from next(filter(None, short), (Presses("ask", ("escape",)),))
    elif command.do == "soak":
        yield Presses("ask", ("escape",))


def set_needs(command: c.SetNeeds, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for what a step needs."""
    if not command.needs and not command.why:
        yield KeySequence("step", (wish("anytime"),))
    else:
        numbers = typed_line(" ".join(map(str, command.needs)))
        yield KeySequence("step", further("needs these steps first", numbers, typed_line(command.why)))


def annotate(command: c.Annotate, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for what is said of a step."""
    of_step = () if at.record.open_step(at.machine) is not None else (choice(0),)  # between parts it is asked
    for text in command.cautions or ():
        yield KeySequence("step", (wish("caution"), said_line(text), *of_step))
    last = at.record.last_step(at.machine)
    for setting in command.adjust:
        if last is None or setting not in last.adjust:  # it may have been asked for as its step was begun
            yield KeySequence("step", (*setting_keys(setting), *(of_step if short_setting(setting) else ())))
    for text in command.at_refit or ():
        yield KeySequence("step", further("at refit, before it goes on", typed_line(text)))
    for job in command.todo:
        when = choice([*WHENS, *SIDES].index(job.side or job.when))
        takes = choice(TAKES.index(job.takes) if job.takes else len(TAKES))
        not_yet = (typed_line(""),) if job.do == "soak" else ()  # it is not in yet
        asked = (choice(JOB_SORTS.index(job.do)), typed_line(job.what), *not_yet, when, takes)
        yield KeySequence("step", further("left to do", *asked))
    if command.tools:
        groups = [command.tools] if not any("," in tool for tool in command.tools) else [(t,) for t in command.tools]
        for group in groups:
            yield KeySequence("step", further("tools", typed_line(", ".join(group))))
    if command.soak:
        hours = typed_line(f"{command.soak.hours:g}")
        yield KeySequence("step", further("a soak, in full", typed_line(command.soak.what), hours))
    if command.cover:
        yield KeySequence("step", further("closes something at refit"))
    if command.note:
        yield KeySequence("step", (wish("note"), said_line(command.note), *of_step))


def finish(command: c.Finish, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for the end of a step."""
    step = at.record.open_step(at.machine)
    if step is None:
        return
    standing = at.put if step.do == "take off" else at.put_other
    if command.put != standing:
        yield KeySequence("step", (wish("put"), *place_keys(command.put, step.bag)))
    yield KeySequence("step", (on_bench("0"),))


def close_bag(command: c.CloseBag, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for a bag that is closed."""
    step = at.record.last_step(at.machine)
    if step is not None and step.bag == command.number:
        yield KeySequence("step", (wish("closebag"),))
        return
    rows = bag_rows(at.record, at.machine)
    rows.sort(key=lambda row: (row.state == "closed", -row.number))
    index = [row.number for row in rows].index(command.number)
    yield KeySequence("step", (wish("bags"), choice(index), Presses("card", ("/", "enter"))))


def carry_named(command: c.CarryNamed, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for a move from place to place."""
    answers = (command.what, str(command.step), str(command.count), command.source, command.target, command.note)
    yield KeySequence("", further("a move from place to place", *map(typed_line, answers)))
