"""Machines on the bench: a new one, another one, and what is said of the one here."""

from __future__ import annotations

from msgspec.structs import replace
from textual import work

from putback.errors import BadInput
from putback.sizing.background import TRADES, read_year
from putback.trade import commands as c
from putback.trade.commands import MendMachine
from putback.trade.record.machine import PARTS_GO, Machine
from putback.tui.bench.rarer_fields import RarerFields
from putback.tui.dialogs.questions import bag_of

PLATE = ("maker", "model", "country", "decade", "trade", "mass", "intent", "orientation")
"""What can be said of a machine beside what it is called."""

MADE_IN = {"not known": "unknown", "US: inch": "us", "Britain: inch and BA": "uk", "elsewhere: metric": "metric"}
"""Where a machine was made, as the list has it, and whose threads it has by that."""

WHERE = "Where was it made? Its threads go by that."

ASKED = {
    "country": "In which country was it made?",
    "decade": "When was it made? (1920s, 1923, before 1925)",
    "trade": "What trade is it of? Its threads go by that, too.",
}
"""Questions about some of these, in other words than `What is its ...?`."""

NO_TRADE = "another, or not known"

SERIAL = "What is its serial? (? before a doubtful digit)"


def asking(field: str) -> str:
    """Return the question for a field of PLATE."""
    return ASKED.get(field, f"What is its {field}?")


class MachineQuestions(RarerFields):
    """Questions about machines."""

    @work
    async def command_machines(self) -> None:
        """Ask which machine; behind those there are stand a new one and what is said of the one here."""
        known = self.host.workshop.machines()
        here = self.host.machine
        last = (f"correct what is noted of {here.caption}",) if here else ()
        options = (*(m.caption for m in known), "a new machine", "a new machine, name plate and all", *last)
        picked = await self.pick("Which machine?", options, here=here.caption if here else "")
        if picked is None:
            return
        index = options.index(picked)
        if index == len(known):
            await self.ask_new_machine()
        elif index == len(known) + 1:
            machine = await self.ask_plate()
            if machine is not None and self.host.do(machine) is not None:
                self.host.change_machine(self.host.workshop.last_machine())
        elif index > len(known) + 1 and here is not None:
            await self.mend_machine(here)
        elif known[index].id != self.host.machine_id:
            self.host.change_machine(known[index].id)

    async def ask_new_machine(self) -> None:
        """Ask what it is, where it was made, and which bag is first; Enter alone answers each.

        What is left goes back to the question before.
        """
        name, origin = "", "not known"
        question = 1
        while question < 4:
            if question == 1:
                called = await self.ask_line(
                    "1 of 3: What machine is it?", value=name, hint=f"a name; Enter alone: {self.free_name()}"
                )
                if called is None:
                    return
                name = called
            elif question == 2:
                caption = f"2 of 3: {WHERE}"
                picked = await self.pick(caption, tuple(MADE_IN), here=origin)
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
            serial = await self.ask_line(f"There is a {name} already. {SERIAL}")
        if serial is None:
            return
        made = c.NewMachine(name=name, origin=MADE_IN[origin], serial=serial, first_bag=bag or 0)
        if self.host.do(made) is not None:
            self.host.change_machine(self.host.workshop.last_machine())

    async def ask_first_bag(self) -> int | None:
        """Ask for the number of the first bag; None where it was left."""
        while True:
            text = await self.ask_instead("3 of 3: Which bag is first?", "1")
            try:
                return None if text is None else bag_of(text)
            except BadInput as fault:
                self.host.refuse(str(fault))

    def free_name(self) -> str:
        """Return a name for a machine that was given none."""
        known = {m.name.casefold() for m in self.host.workshop.machines()}
        return next(name for n in range(1, len(known) + 2) if (name := f"machine {n}") not in known)

    async def ask_plate(self) -> c.NewMachine | None:
        """Ask everything that can be said of a new machine; None where it was left."""
        name = await self.ask("What machine is it?", hint="a name of your own")
        if not name:
            return None
        place = await self.pick(WHERE, tuple(MADE_IN))
        origin = MADE_IN[place] if place else None
        unit = await self.pick("In which unit are bare numbers?", ("in", "mm")) if origin else None
        asked = [name for name in PLATE if name not in ("decade", "trade")]
        answer = await self.ask_lines([SERIAL, *(asking(name) for name in asked)])
        decade = await self.ask_decade("") if answer is not None else None
        trade = await self.ask_trade("") if decade is not None else None
        if origin is None or unit is None or answer is None or decade is None or trade is None:
            return None
        serial, maker, model, country, mass, intent, orientation = answer
        return c.NewMachine(
            name=name,
            origin=origin,
            unit=unit,
            serial=serial,
            maker=maker,
            model=model,
            country=country,
            decade=decade,
            trade=trade,
            mass=mass,
            intent=intent,
            orientation=orientation,
        )

    async def ask_decade(self, value: str) -> str | None:
        """Ask when it was made; None where it was left."""
        while True:
            text = await self.ask_line(ASKED["decade"], value=value)
            try:
                if text is not None:
                    read_year(text)
            except BadInput as fault:
                self.host.refuse(str(fault))
            else:
                return text

    async def ask_trade(self, value: str) -> str | None:
        """Ask for its trade; None where it was left."""
        picked = await self.pick(ASKED["trade"], (*TRADES, NO_TRADE), here=value or NO_TRADE)
        return "" if picked == NO_TRADE else picked

    async def mend_machine(self, machine: Machine) -> None:
        """Ask what is not so, and say what is."""
        made = {origin: label for label, origin in MADE_IN.items()}
        fields = {
            "name": machine.name,
            "serial": machine.serial,
            "made": made[machine.origin],
            "unit": machine.unit,
            **{field: str(getattr(machine, field)) for field in PLATE},
            "parts go": PARTS_GO[machine.parts_go],
            "notes": "; ".join(machine.notes),
            "cautions": "; ".join(machine.cautions),
        }
        options = tuple(f"{field:<13}{answer or '-'}" for field, answer in fields.items())
        picked = await self.pick("What should be corrected?", options)
        if picked is None:
            return
        field = tuple(fields)[options.index(picked)]
        if field in ("notes", "cautions"):
            await self.mend_remarks(field, getattr(machine, field))
            return
        if field == "made":
            origin = await self.pick(WHERE, tuple(MADE_IN), here=fields[field])
            answer = None if origin is None else MADE_IN[origin]
            field = "origin"
        elif field == "parts go":
            label = await self.pick(
                "Where do parts go, unless you say otherwise?", tuple(PARTS_GO.values()), here=fields[field]
            )
            answer = next((word for word, words in PARTS_GO.items() if words == label), None)
            field = "parts_go"
        elif field == "unit":
            answer = await self.pick("In which unit are bare numbers?", ("in", "mm"), here=machine.unit)
        elif field == "trade":
            answer = await self.ask_trade(machine.trade)
        elif field == "decade":
            answer = await self.ask_decade(machine.decade)
        else:
            caption = SERIAL if field == "serial" else asking(field)
            answer = await self.ask_line(caption, value=fields[field])
        if answer is not None and self.host.do(replace(MendMachine(), **{field: answer})) is not None:
            self.redraw()

    async def mend_remarks(self, field: str, texts: tuple[str, ...]) -> None:
        """Ask for the notes or cautions of the machine as they should be, each on a line of its own."""
        asked = f"Which {field} of the machine are true? Each on a line of its own."
        text = await self.ask_line(asked, value="\n".join(texts), note=True)
        if text is not None and self.host.do(replace(MendMachine(), **{field: tuple(text.splitlines())})) is not None:
            self.redraw()
