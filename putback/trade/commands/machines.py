"""Rules for the machine itself and its assembly tree."""

from __future__ import annotations

from typing import Any

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.first_look import checked_look
from putback.trade.commands.holes import refaced
from putback.trade.record.change import Change
from putback.trade.record.fastener import MOST_TURNS, Thing
from putback.trade.record.first_look import Seen
from putback.trade.record.machine import (
    PARTS_GO,
    PLATE,
    PLATE_NAMES,
    Machine,
    OfMachine,
    Origin,
    Part,
    PartsGo,
    Unit,
    UnitSaid,
    face_named,
)
from putback.trade.record.phrases import cut, quoted
from putback.trade.record.place import checked_bag
from putback.trade.record.step import Adjustment, Step


class NewMachine(OfMachine, Command, frozen=True, kw_only=True):
    """Put a machine on the bench."""

    can_be_taken_back = False
    is_work = False

    name: str
    """What the person calls it; never empty."""
    serial: str = ""
    """The serial, with `?` before a digit that is doubtful; empty where none is known."""
    origin: Origin = "unknown"
    """Where its threads come from, one of ORIGINS: it ranks sizes, and rules none out."""
    unit: UnitSaid = ""
    """The unit of a bare number, `in` or `mm`; empty for the one usual for its origin."""
    first_bag: int = 0
    """The number of its first bag; 0 where that is 1."""
    parts_go: PartsGo = "shelf"
    """Where its parts go unless said otherwise, a key of PARTS_GO."""
    notes: tuple[str, ...] = ()
    """What is noted of the machine itself."""
    cautions: tuple[str, ...] = ()
    """What one must beware of at the machine itself."""
    first_look: tuple[Seen, ...] = ()
    """What was seen of it before anything came off, and what became of that."""
    adjust: tuple[Adjustment, ...] = ()
    """Settings of the machine itself as found."""
    next_time: tuple[str, ...] = ()
    """What would be done differently another time."""


class AddAssembly(Command, frozen=True, kw_only=True):
    """Say that parts sit in `name`, which itself sits in `inside` (empty: the machine)."""

    is_work = False

    name: str
    """The assembly's name, which no other assembly of the machine has."""
    inside: str = ""
    """The assembly it sits in, by its name."""


class RenamePart(Command, frozen=True, kw_only=True):
    """Give the part of a step another name."""

    is_work = False
    free_words = ("name",)

    step: int
    """The number of a step on that part; 0 for the step being done."""
    name: str
    """The new name; never empty."""


class MendMachine(OfMachine, Command, frozen=True, kw_only=True):
    """Say what is so of the machine; a field that is None stays as it is.

    The unit follows a new origin by itself while no size was read yet.
    """

    is_work = False

    name: str | None = None
    """What the person calls it; never empty."""
    serial: str | None = None
    """The serial; empty takes it away."""
    origin: Origin | None = None
    """Where its threads come from, one of ORIGINS."""
    unit: Unit | None = None
    """The unit of a bare number, `in` or `mm`; fixed once a size was read."""
    parts_go: PartsGo | None = None
    """Where its parts go unless said otherwise, a key of PARTS_GO."""
    notes: tuple[str, ...] | None = None
    """All that is noted of the machine itself; an empty one takes everything away."""
    cautions: tuple[str, ...] | None = None
    """All that one must beware of at the machine itself."""
    adjust: tuple[Adjustment, ...] | None = None
    """All settings of the machine itself as found."""
    next_time: tuple[str, ...] | None = None
    """All that would be done differently another time; an empty one takes everything away."""


class SayOfMachine(Command, frozen=True, kw_only=True):
    """Note something of the machine itself, or a caution of it, before, between and after its steps."""

    is_work = False

    note: str = ""
    """What is noted; empty for nothing."""
    caution: str = ""
    """What one must beware of; empty for nothing."""
    adjust: Adjustment | None = None
    """A setting as found; None for none."""


LONGEST_NAME = 500
"""How long a name may be."""

_CONTROLS = dict.fromkeys((*range(0x20), *range(0x7F, 0xA0)), " ")


def clean_name(words: str, what: str) -> str:
    """Return `words` with its white space folded and control characters gone.

    Raises BadInput where nothing is left, or more than LONGEST_NAME characters.
    """
    name = " ".join(words.translate(_CONTROLS).split())
    if not name:
        raise BadInput(f"{what} needs a name.")
    if len(name) > LONGEST_NAME:
        raise BadInput(f"{what}: a name has at most {LONGEST_NAME} characters.")
    return name


def new_machine(draft: Draft, command: NewMachine) -> Change:
    """Put a machine on the bench."""
    name = clean_name(command.name, "A machine")
    unit = _unit(command.origin, command.unit)
    serial = _serial(command.serial)
    _refuse_twin(draft, name, serial)
    first = checked_bag(command.first_bag) if command.first_bag else 0
    machine = Machine(
        id=draft.machine,
        name=name,
        serial=serial,
        origin=command.origin,
        unit=unit,
        first_bag=first,
        parts_go=command.parts_go,
        notes=_remarks(command.notes),
        cautions=_remarks(command.cautions),
        first_look=checked_look(command.first_look),
        adjust=tuple(map(_setting, command.adjust)),
        next_time=_remarks(command.next_time),
        **_plate(command),
    )
    draft.put(machine)
    return draft.change("NewMachine", f"{machine.caption} is on the bench")


def _plate(said: OfMachine) -> dict[str, Any]:
    """Return what is said of a machine as it is kept, by field. Raises BadInput where a year or a trade is none."""
    found = {name: value.strip() for name in PLATE_NAMES if (value := getattr(said, name)) is not None}
    if found.get("decade") or found.get("trade"):
        whole = _trade(found.get("decade", ""), found.get("trade", ""))
        found |= {"trade": whole} if found.get("trade") else {}
    return found


def _unit(origin: Origin, unit: UnitSaid) -> Unit:
    """Return the unit of a machine of that origin, `unit` where it is said."""
    return unit or ("mm" if origin == "metric" else "in")


def _trade(decade: str, trade: str) -> str:
    """Return the trade by its whole name. Raises BadInput for a decade or a trade that is none."""
    from putback.sizing.background import background  # the sizing floor is not read to open a workshop

    return background("", decade, trade).trade


def _remarks(texts: tuple[str, ...]) -> tuple[str, ...]:
    """Return texts without white space around them, each once, empty ones left out."""
    return tuple(dict.fromkeys(text.strip() for text in texts if text.strip()))


def _setting(setting: Adjustment) -> Adjustment:
    """Return a setting as it is. Raises BadInput where it does not say what is set, or turns without end."""
    clean_name(setting.what, "A setting")
    if setting.turns is not None and not 0 <= setting.turns <= MOST_TURNS:
        raise BadInput(f"Turns must be a number from 0 to {MOST_TURNS}.")
    return setting


def _serial(words: str) -> str:
    return clean_name(words, "A serial") if words.strip() else ""


def _refuse_twin(draft: Draft, name: str, serial: str) -> None:
    """Raise Refused where another machine has that name and serial."""
    for other in draft.record.all(Machine):
        if other.id != draft.machine and other.is_twin_of(name, serial):
            raise Refused(f"{other.caption} is in this workshop already.")


def mend_machine(draft: Draft, command: MendMachine) -> Change:
    """Say what is so of the machine."""
    machine = draft.get(Machine, draft.machine)
    name = machine.name if command.name is None else clean_name(command.name, "A machine")
    serial = machine.serial if command.serial is None else _serial(command.serial)
    _refuse_twin(draft, name, serial)
    origin = machine.origin if command.origin is None else command.origin
    read = any(thing.readings for thing in draft.record.all(Thing, draft.machine))
    kept = machine.unit if read or command.origin is None else ""
    unit = _unit(origin, command.unit or kept)
    if read and unit != machine.unit:
        raise Refused(f"Sizes were read in {machine.unit} on this machine already; type the unit behind a number.")
    stated = _plate(command)
    if command.parts_go is not None:
        stated["parts_go"] = command.parts_go
    for field, texts in (
        ("notes", command.notes),
        ("cautions", command.cautions),
        ("next_time", command.next_time),
    ):
        if texts is not None:
            stated[field] = _remarks(texts)
    if command.adjust is not None:
        stated["adjust"] = tuple(map(_setting, command.adjust))
    mended = draft.alter(machine, name=name, serial=serial, origin=origin, unit=unit, **stated)
    if mended == machine:
        raise Refused("That is what the record says already.")
    return draft.change("MendMachine", f"the machine: {_what_is_new(machine, mended)}")


def _what_is_new(old: Machine, new: Machine) -> str:
    """Return what was said of a machine, as `name Fare stamp`."""
    fields = ("name", "serial", "origin", "unit", *PLATE_NAMES)
    plate = {field.name: field for field in PLATE}
    changed = [(name, getattr(new, name)) for name in fields if getattr(new, name) != getattr(old, name)]
    texts = [
        plate[name].entered(value) if name in plate else f"{name} {value or 'not known'}" for name, value in changed
    ]
    if new.parts_go != old.parts_go:
        texts.append(f"parts go {PARTS_GO[new.parts_go]}, unless said otherwise")
    for field in ("notes", "cautions", "next_time"):
        if getattr(new, field) != getattr(old, field):
            texts.append(f"{field.replace('_', ' ')} {cut('; '.join(getattr(new, field)) or 'none')}")
    if new.adjust != old.adjust:
        texts.append(f"settings as found: {cut('; '.join(setting.text for setting in new.adjust) or 'none')}")
    return ", ".join(texts)


def say_of_machine(draft: Draft, command: SayOfMachine) -> Change:
    """Add to what is said of the machine itself."""
    machine = draft.get(Machine, draft.machine)
    said = {"note": (machine.notes, command.note), "caution": (machine.cautions, command.caution)}
    new = {word: text.strip() for word, (had, text) in said.items() if text.strip() and text.strip() not in had}
    draft.alter(
        machine,
        notes=_remarks((*machine.notes, command.note)),
        cautions=_remarks((*machine.cautions, command.caution)),
        adjust=(*machine.adjust, *filter(None, [command.adjust and _setting(command.adjust)])),
    )
    parts = [f"{'noted' if word == 'note' else 'caution noted'}: {text}" for word, text in new.items()]
    parts += [f"setting noted: {command.adjust.text}"] if command.adjust is not None else []
    return draft.change("SayOfMachine", f"{cut('; '.join(parts) or 'nothing new noted', LONGEST_SAID)} (the machine)")


LONGEST_SAID = 60
"""Characters of what is said again of a note."""


def add_assembly(draft: Draft, command: AddAssembly) -> Change:
    """Add an assembly to the tree; a part of that name in that place becomes one."""
    name = clean_name(command.name, "An assembly")
    if draft.record.assembly_named(draft.machine, name):
        raise Refused(f"There is an assembly “{name}” already.")
    inside = area(draft, command.inside)
    part = draft.record.part_named(draft.machine, name, inside)
    if part is None:
        draft.put(Part(id=draft.new_id(Part), machine=draft.machine, name=name, inside=inside, assembly=True))
    else:
        draft.alter(part, assembly=True)
    return draft.change("AddAssembly", f"assembly {name}")


def area(draft: Draft, name: str) -> int:
    """Return the number of the assembly of that name; 0 for the machine itself.

    Raises Refused where there is none.
    """
    if not name:
        return 0
    found = draft.record.assembly_named(draft.machine, name)
    if found is None:
        raise Refused(f"There is no assembly {quoted(name)} on this machine.")
    return found.id


def rename_part(draft: Draft, command: RenamePart) -> Change:
    """Give the part of a step another name, on the tree and in the step; the face it says is where none was said."""
    name = clean_name(command.name, "A part")
    step = draft.record.step(draft.machine, command.step)
    if step is None:
        raise Refused(f"There is no step {command.step}.")
    rename(draft, step, name)
    if not step.face and face_named(name):
        refaced(draft, draft.get(Step, step.id), face_named(name))
    return draft.change("RenamePart", f"step {step.number} is {name} now")


def rename(draft: Draft, step: Step, name: str) -> None:
    """Give the part of a step another name. Raises Refused where another part there has it."""
    if step.part:
        part = draft.get(Part, step.part)
        twin = draft.record.part_named(draft.machine, name, part.inside)
        if twin is not None and twin.id != part.id:
            raise Refused(f"There is a part “{name}” there already.")
        namesake = draft.record.assembly_named(draft.machine, name)
        if part.assembly and namesake is not None and namesake.id != part.id:
            raise Refused(f"There is an assembly “{name}” already.")
        draft.alter(part, name=name)
        for other in draft.record.steps_of_part(part.id):
            draft.alter(other, name=name)
            for thing in draft.record.things_of(other):
                if thing.part == part.id:
                    draft.alter(thing, name=name)
    else:
        draft.alter(step, name=name)


RULES: dict[type[Command], Any] = {
    NewMachine: new_machine,
    MendMachine: mend_machine,
    SayOfMachine: say_of_machine,
    AddAssembly: add_assembly,
    RenamePart: rename_part,
}
