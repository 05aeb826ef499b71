"""What turns the fasteners of a step: the blade for a slot as measured, else what the standard's head takes."""

from __future__ import annotations

from typing import cast

from putback.errors import BadInput
from putback.sizing import Unit
from putback.sizing.drivers import best_blade, tool_for
from putback.sizing.reading import Measure, read_measure
from putback.sizing.threads import thread_named
from putback.trade.fastener import Thing
from putback.trade.machine import Machine
from putback.trade.record import Record
from putback.trade.step import Step


def driver_of(machine: Machine, thing: Thing) -> str:
    """Return the tool for a fastener: `blade 1.2 x 6.5`, `hexagon key 5/64`, or nothing.

    A slot as measured comes first; without one it is what the standard's head takes.
    """
    slot = _measured(machine, thing, "slot")
    if slot is not None:
        across = _measured(machine, thing, "across")
        blade = best_blade(slot.mm, None if across is None else across.mm)
        return f"blade {blade.name}" if blade is not None else "a blade ground to its slot"
    thread = thread_named(thing.thread)
    return tool_for(thread, thing.head, thing.drive) if thread is not None and thing.head else ""


def _measured(machine: Machine, thing: Thing, reading: str) -> Measure | None:
    text = thing.readings.get(reading, "")
    try:
        read = read_measure(text, cast(Unit, machine.unit))
    except BadInput:
        return None
    return read if isinstance(read, Measure) else None


def drivers_for(record: Record, step: Step) -> str:
    """Return the tools to lay out for a step's fasteners, each once, with its holes where there are several.

    Where the person said which tools the step took, only what a measured slot asks for is added.
    """
    machine = record.get(Machine, step.machine)
    holes: dict[str, list[str]] = {}
    for thing in record.things_of(step):
        if thing.sort == "fastener" and not thing.found and not (step.tools and "slot" not in thing.readings):
            tool = driver_of(machine, thing)
            if tool:
                holes.setdefault(tool, []).append(thing.hole)
    if len(holes) == 1:
        return next(iter(holes))
    return "; ".join(f"{tool} (hole{'s' if len(at) > 1 else ''} {' '.join(at)})" for tool, at in holes.items())
