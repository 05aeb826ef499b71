"""Which of the usual cautions a command calls for: by the words in it, or by what it does."""

from __future__ import annotations

from collections.abc import Iterable

from putback.trade import commands as c
from putback.trade.cautions.dangers import CLOCKWORK, FIRST, LIFTING, MOTOR, SPRING, CalledCaution, dangers_in
from putback.trade.cautions.lifting import lifting_caution
from putback.trade.record.machine import Machine


def called_for(command: c.Command, machine: Machine | None, parts: Iterable[str] = ()) -> list[CalledCaution]:
    """Return the cautions that a command calls for, in the order of DANGERS; lifting last.

    `parts` are the names of the machine's parts: they tell whether its motor is a clockwork.
    """
    found = {danger.cause: (danger.text, danger.rules) for danger in dangers_in(command.words())}
    if MOTOR in found and ("mains" in found or any(map(CLOCKWORK.search, [*command.words(), *parts]))):
        del found[MOTOR]
    if isinstance(command, c.Begin) and command.do == "let down":
        found.setdefault(SPRING.cause, (SPRING.text, SPRING.rules))
    turned = isinstance(command, c.Begin) and command.do == "turn"
    if turned and machine is not None and lifting_caution(machine.mass):
        found[LIFTING.cause] = f"{lifting_caution(machine.mass)}. {FIRST}", LIFTING.rules
    return [CalledCaution(cause, text, rules) for cause, (text, rules) in found.items()]
