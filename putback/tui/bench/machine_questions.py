"""Machines on the bench: a new one, another one, and what is said of the one here."""

from __future__ import annotations

from putback.errors import BadInput
from putback.reports.machines import machine_choices
from putback.trade import commands as c
from putback.trade.record.machine import PLATE, UNITS
from putback.tui.bench.table import Commands
from putback.tui.dialogs.machine_fields import MADE_IN, SERIAL, WHERE, MachineFields
from putback.tui.dialogs.prompts import Pick
from putback.tui.dialogs.questions import Questions, bag_of


class MachineQuestions:
    """Questions about machines."""

    def __init__(self, questions: Questions) -> None:
        self.host = questions.host
        self.record = questions.host.workshop.record
        self.questions = questions
        self.fields = MachineFields(questions)
        self.commands: Commands = {"machines": self.machines}

    async def machines(self) -> None:
        """Ask which machine; behind those there are stand a new one and the card of the one here."""
        choices = machine_choices(self.record, now=self.host.workshop.now())
        known = [machine for machine, _ in choices]
        here = self.host.machine
        last = (f"the card of {here.name}",) if here else ()
        options = (*(line for _, line in choices), "a new machine", "a new machine, name plate and all", *last)
        at = next((k for k, machine in enumerate(known) if here is not None and machine.id == here.id), -1)
        index = await self.host.push_screen_wait(
            Pick("Which machine?", options, here=at, more="its card" if here else "")
        )
        if index is None:
            return
        if index == len(known):
            await self.ask_new_machine()
        elif index == len(known) + 1:
            machine = await self.ask_plate()
            if machine is not None and self.host.do(machine) is not None:
                self.host.change_machine(self.host.workshop.last_machine())
        elif here is not None and not 0 <= index < len(known):
            self.host.push_screen(self.host.screen_named("machine", here.id))
        elif known[index].id != self.host.machine_id:
            self.host.change_machine(known[index].id)

    async def ask_new_machine(self) -> None:
        """Ask what it is, where it was made, and which bag is first; Enter alone answers each.

        What is left goes back to the question before.
        """
        name, origin = "", next(iter(MADE_IN))
        question = 1
        while question < 4:
            if question == 1:
                called = await self.questions.ask_line(
                    "1 of 3: What machine is it?", value=name, hint=f"a name; Enter alone: {self.free_name()}"
                )
                if called is None:
                    return
                name = called
            elif question == 2:
                caption = f"2 of 3: {WHERE}"
                picked = await self.questions.pick(caption, tuple(MADE_IN), here=origin)
                if picked is None:
                    question -= 1
                    continue
                origin = picked
            else:
                bag = await self.ask_first_bag()
                if bag is None:
                    question -= 1
                    continue
            question += 1
        name = name or self.free_name()
        serial: str | None = ""
        if any(m.is_twin_of(name, "") for m in self.host.workshop.machines()):
            serial = await self.questions.ask_line(f"There is a {name} already. {SERIAL}")
        if serial is None:
            return
        made = c.NewMachine(name=name, origin=MADE_IN[origin], serial=serial, first_bag=bag or 0)
        if self.host.do(made) is not None:
            self.host.change_machine(self.host.workshop.last_machine())

    async def ask_first_bag(self) -> int | None:
        """Ask for the number of the first bag; None where it was left."""
        while True:
            text = await self.questions.ask_instead("3 of 3: Which bag is first?", str(self.free_bag()))
            try:
                return None if text is None else bag_of(text)
            except BadInput as fault:
                self.host.refuse(str(fault))

    def free_bag(self) -> int:
        """Return the number after the highest bag of all machines: two bags of one number are taken for each other."""
        return max((self.record.highest_bag(machine.id) for machine in self.host.workshop.machines()), default=0) + 1

    def free_name(self) -> str:
        """Return a name for a machine that was given none."""
        known = {m.name.casefold() for m in self.host.workshop.machines()}
        return next(name for n in range(1, len(known) + 2) if (name := f"machine {n}") not in known)

    async def ask_plate(self) -> c.NewMachine | None:
        """Ask everything that can be said of a new machine; None where it was left."""
        name = await self.questions.ask("What machine is it?", hint="a name of your own")
        if not name:
            return None
        place = await self.questions.pick(WHERE, tuple(MADE_IN))
        origin = MADE_IN[place] if place else None
        unit = await self.questions.pick("In which unit are bare numbers?", UNITS) if origin else None
        asked = [field for field in PLATE if not field.listed]
        answer = await self.questions.ask_lines([SERIAL, *(field.question for field in asked)])
        decade = await self.fields.ask_decade("") if answer is not None else None
        trade = await self.fields.ask_trade("") if decade is not None else None
        if origin is None or unit is None or answer is None or decade is None or trade is None:
            return None
        plate = {field.name: line for field, line in zip(asked, answer[1:], strict=True)}
        return c.NewMachine(
            name=name,
            origin=origin,
            unit=unit,
            serial=answer[0],
            decade=decade,
            trade=trade,
            **plate,  # type: ignore[arg-type]
        )
