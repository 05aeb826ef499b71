"""What is pressed for a machine, its tree and its time."""

from __future__ import annotations

from collections.abc import Iterator

from putback.errors import BadInput
from putback.playing.presses import (
    KeySequence,
    Presses,
    ScreenState,
    choice,
    further,
    go_inside,
    on_bench,
    said_line,
    setting_keys,
    short_setting,
    typed_line,
    wish,
)
from putback.sizing.background import TRADES
from putback.trade import commands as c
from putback.trade.checks.tools_out import not_seen_to
from putback.trade.record.first_look import SORTS as LOOKED
from putback.trade.record.machine import PARTS_GO, PLATE, PLATE_NAMES, UNITS, Machine, Part
from putback.trade.record.session import TARGET
from putback.tui.dialogs.machine_fields import MADE_IN
from putback.tui.draw.views import last_steps

_LOOKED = tuple(LOOKED)
_MENDED = ("name", "serial", "made", "unit", *PLATE_NAMES, "parts go")

_ITS_CARD = (wish("machines"), Presses("pick", ("/",)))
_LEFT = Presses("machine", (".",))
"""To the card of the machine on the bench, and back."""


def new_machine(command: c.NewMachine, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for a machine that comes to the bench."""
    known = [m.caption for m in at.record.all(Machine)]
    unit = command.unit or ("mm" if command.origin == "metric" else "in")
    lines = [field.name for field in PLATE if not field.listed]
    plate = (command.serial, *(getattr(command, name) or "" for name in lines), command.decade or "")
    trade = TRADES.index(command.trade) if command.trade else len(TRADES)
    yield KeySequence(
        "",
        (
            wish("machines"),
            choice(len(known) + 1),
            typed_line(command.name),
            choice(tuple(MADE_IN.values()).index(command.origin)),
            choice(UNITS.index(unit)),
            *map(typed_line, plate),
            choice(trade),
        ),
    )
    if command.parts_go != "shelf":
        answers = (choice(_MENDED.index("parts go")), choice(tuple(PARTS_GO).index(command.parts_go)))
        yield KeySequence("", (*_ITS_CARD, Presses("machine", ("*",)), *answers, _LEFT))
    if command.first_look:
        said = [
            keys for seen in command.first_look for keys in (choice(_LOOKED.index(seen.sort)), typed_line(seen.what))
        ]
        yield KeySequence("", (*_ITS_CARD, Presses("machine", ("1",)), *said, Presses("pick", (".",)), _LEFT))
    for caution in command.cautions:
        yield KeySequence("", (wish("caution"), said_line(caution)))
    for note in command.notes:
        yield KeySequence("", (wish("note"), said_line(note)))
    for setting in command.adjust:
        if not short_setting(setting):
            raise BadInput(f"The machine's setting {setting.what} cannot be entered by keys as it stands.")
        yield KeySequence("", tuple(setting_keys(setting)))


def add_assembly(command: c.AddAssembly, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for an assembly."""
    yield from go_inside(command.inside, at, "")
    areas = sum(part.assembly for part in at.record.all(Part, at.machine))
    yield KeySequence("", (wish("inside"), choice(areas + 1), typed_line(command.name)))


def start_session(command: c.StartSession, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for what is said of a session."""
    target = "" if command.target == TARGET else f"{command.target:g}"
    answers = (command.title, target, command.box, command.note)
    yield KeySequence("", further("the bell, the box, what the session is about", *map(typed_line, answers)))


def pause(_: c.Pause, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for a break."""
    yield KeySequence("", (on_bench(" "), Presses("break", (".",))))


def resume(_: c.Resume, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for the end of a break."""
    walked = (Presses("walk", (".",)),) if last_steps(at.record, at.machine, 1) else ()
    yield KeySequence("", (on_bench(" "), *walked))


def end_session(command: c.EndSession, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for the end of a session."""
    so = (Presses("break", ("0",)),) if not_seen_to(at.record, at.machine) else ()
    leave = Presses("summary", (".",))
    yield KeySequence("", (wish("summary"), Presses("summary", ("e",)), *so, typed_line(command.note), leave))
