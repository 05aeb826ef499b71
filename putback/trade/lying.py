"""How the machine lies: turns are no work to be undone one by one, only made where the next work needs them."""

from __future__ import annotations

from putback.trade.machine import Machine, Part
from putback.trade.record import Record
from putback.trade.step import Step

UPRIGHT = "upright"
"""How a machine lies before its first turn."""


def lies_now(machine: Machine) -> str:
    """Return how the machine lies."""
    return machine.lies or UPRIGHT


def lies_down(machine: Machine) -> bool:
    """Tell whether the machine was turned from upright, by the person's own words."""
    return UPRIGHT not in lies_now(machine).casefold()


def on_the_bench(record: Record, step: Step) -> bool:
    """Tell whether a step was done inside an assembly that was off by then."""
    place = step.area
    while place:
        if any(s.takes_off and s.number < step.number for s in record.steps_of_part(place)):
            return True
        place = record.get(Part, place).inside
    return False


def lay_before(record: Record, machine: int) -> dict[int, str]:
    """Return how the machine lay when each of its steps was begun, by number; under 0 how it lay at last.

    It is how the last turn that said so left it, and upright ahead of all turns.
    """
    lay, now = {}, UPRIGHT
    for step in record.all(Step, machine):
        lay[step.number] = now
        if step.do == "turn" and step.state:
            now = step.state
    return lay | {0: now}


def minds_lying(record: Record, step: Step) -> bool:
    """Tell whether it matters for a step how the machine lies.

    Work inside an assembly lying on the bench does not care, and a turn or a soak asks for nothing itself.
    """
    return step.do not in ("turn", "soak") and not on_the_bench(record, step)


def lies_for(record: Record, step: Step) -> str:
    """Return how the machine has to lie for a step, or nothing where that does not matter."""
    return lay_before(record, step.machine)[step.number] if minds_lying(record, step) else ""


def turn_first(record: Record, step: Step) -> str:
    """Return what to do with the machine before a step can go back, or nothing where it lies right."""
    wanted = lies_for(record, step)
    machine = record.get(Machine, step.machine)
    if not wanted or wanted.casefold() == lies_now(machine).casefold():
        return ""
    return f"turn {machine.name}: {wanted}"


def turning_cautions(record: Record, machine: int) -> tuple[str, ...]:
    """Return what was said to beware of at the machine's turns, each once."""
    found = (caution for s in record.all(Step, machine) if s.do == "turn" for caution in s.cautions)
    return tuple(dict.fromkeys(found))
