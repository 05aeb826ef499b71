"""What turns the fasteners of a step: the blade for a slot as measured, else what the standard's head takes."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import BadInput
from putback.sizing.drivers import Blade, best_blade, fit_of, tool_for
from putback.sizing.reading import Measure, read_measure
from putback.sizing.threads import thread_named
from putback.trade.record.fastener import THREADED, Thing
from putback.trade.record.holes import spots_named
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.sizes.tools import BLADE, Tool, read_tool

BY_HAND = frozenset({"knurled", "wing", "ring", "eye"})
"""Heads and nuts that fingers turn (common practice, no source)."""

TAKES_A_TOOL = THREADED | {
    "taper pin", "straight pin", "split pin", "retaining ring", "rivet", "wood screw", "tapping screw", "ball bearing",
}  # fmt: skip
"""Kinds of fasteners that do not go in without a tool (common practice, no source)."""


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
    head = thing.head or ("headless" if thing.name == "set screw" else "")
    return tool_for(thread, head, thing.drive) if thread is not None and head else ""


def _measured(machine: Machine, thing: Thing, reading: str) -> Measure | None:
    text = thing.readings.get(reading)
    if not text:
        return None
    try:
        read = read_measure(text, machine.unit)
    except BadInput:
        return None
    return read if isinstance(read, Measure) else None


def _own(machine: Machine, thing: Thing, words: str, tools: Sequence[str]) -> str:
    """Return the one of the person's own tools that fits a fastener, as it is called; empty where none does.

    For a slot as measured it is the thickest and widest blade that fits; else the very tool that the standard names.
    """
    slot = _measured(machine, thing, "slot")
    if slot is None:
        wanted = read_tool(words)
        return next((tool for tool in tools if read_tool(tool) == wanted), "")
    across = _measured(machine, thing, "across")
    blades = {tool: blade for tool in tools if (blade := _blade(tool)) is not None}
    fitting = [t for t, b in blades.items() if fit_of(b, slot.mm, None if across is None else across.mm) == "fits"]
    return max(fitting, key=lambda tool: (blades[tool].tip, blades[tool].wide), default="")


def _blade(words: str) -> Blade | None:
    """Return a flat screwdriver by its name; None for any other tool, or one without its size."""
    tool = read_tool(words)
    try:
        tip, wide = map(Fraction, tool.size.split(" x ")) if tool.kind == BLADE else (None, None)
    except ValueError:
        return None
    return Blade(tip, wide) if tip is not None and wide is not None else None


class LaidOut(Struct, frozen=True):
    """One tool to lay out for a step."""

    tool: Tool
    """What it is, for comparing and counting."""
    words: str
    """Its name as it is told: the person's own words where they named it, else what fits."""
    named: bool
    """Whether the person named it for this step; otherwise it only *fits*, by a measured slot or by the standard."""
    holes: tuple[str, ...] = ()
    """The holes that it fits; empty where it was named and nothing of the step is known to take it."""


def tools_to_lay_out(record: Record, step: Step) -> tuple[LaidOut, ...]:
    """Return the tools of a step: those named, in the person's order, then those that only fit.

    What fits is told where no tool was named; beside named ones only what a measured slot asks for. Two spellings
    of one tool are one.
    """
    found: dict[Tool, LaidOut] = {}
    for words in step.tools:
        found.setdefault(read_tool(words), LaidOut(read_tool(words), words, True))
    machine = record.get(Machine, step.machine)
    for thing in record.things_of(step):
        if thing.sort != "fastener" or thing.found or (step.tools and "slot" not in thing.readings):
            continue
        if record.stand_ins(thing.id):  # the new one is turned, not what it replaces
            continue
        words = driver_of(machine, thing)
        if words:
            own = _own(machine, thing, words, record.own_tools)
            tool = read_tool(own or words)
            told = own or (f"{words} (not among your tools)" if record.own_tools else words)
            there = found.get(tool) or LaidOut(tool, told, False)
            found[tool] = replace(there, holes=(*there.holes, thing.goes_in))
    return tuple(found.values())


def drivers_for(record: Record, step: Step) -> str:
    """Return the tools that only fit a step's fasteners, each once, with its holes where there are several.

    Where the person said which tools the step took, only what a measured slot asks for is added.
    """
    fitting = [laid for laid in tools_to_lay_out(record, step) if not laid.named]
    if len(fitting) == 1:
        return fitting[0].words
    return "; ".join(f"{f.words} ({spots_named(f.holes)})" for f in fitting)


def tools_counted(record: Record, step: Step) -> frozenset[str]:
    """Return the tools that a step takes up, each in its one spelling.

    Those that the person named; where none was named, those that fit.
    """
    return frozenset(laid.tool.called for laid in tools_to_lay_out(record, step) if laid.named or not step.tools)


def tool_unknown(record: Record, step: Step) -> bool:
    """Tell whether a step has something that a tool turns or drives, and no tool is named or fits.

    A part lifted off, a turn, a mark, a washer, and a nut that fingers turn ask for no tool (common practice, no
    source).
    """
    return not tools_counted(record, step) and any(
        thing.sort == "fastener" and not thing.found and thing.name in TAKES_A_TOOL and thing.head not in BY_HAND
        for thing in record.things_of(step)
    )
