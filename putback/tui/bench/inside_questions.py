"""By number and by name: the bag that things go into, and the assembly that is worked in."""

from __future__ import annotations

from putback.trade import commands as c
from putback.trade.record.machine import Part
from putback.tui.bench.hand import Hand
from putback.tui.bench.table import Commands
from putback.tui.dialogs.keyed import Asker
from putback.tui.dialogs.questions import Questions, bag_of

ANOTHER = "an assembly that is not in the list, still on: name it"
"""The line of the list of assemblies that adds one."""

TAKE_APART = "a part that is off: take it apart"
"""The line behind it, where one is off that is not known to be an assembly."""


class InsideQuestions:
    """Questions about where the hands are, and where things go."""

    def __init__(self, hand: Hand, questions: Questions, screen: Asker) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand
        self.questions = questions
        self.screen = screen
        self.commands: Commands = {"hand": self.into_bag, "inside": self.work_inside}

    async def into_bag(self) -> None:
        """Ask which bag things go into from now on."""
        hint = "a number; nothing for a new one"
        text = await self.questions.ask_line("Into which bag from now on?", hint=hint, reads=bag_of)
        if text is None:
            return
        number = bag_of(text)
        if self.hand.step is not None:
            self.host.do(c.TakeBag(number=number))
        else:
            self.hand.choose_bag(number)
        self.screen.redraw()

    async def work_inside(self) -> None:
        """Ask which assembly to work in."""
        areas = [p for p in self.record.all(Part, self.host.machine_id) if p.assembly]
        here = self.record.get(Part, self.hand.inside.area) if self.hand.inside.area else None
        out = f"out of {here.name}: the machine itself" if here is not None else "the machine itself"
        parts = self.hand.inside.others_off() if self.hand.step is None else []
        names = (out, *(p.name for p in areas), ANOTHER, *([TAKE_APART] if parts else []))
        chosen = await self.questions.pick(
            "Which assembly are you working inside?", names, here=here.name if here is not None else out
        )
        if chosen is None:
            return
        if chosen == ANOTHER:
            await self._add_assembly()
            return
        if chosen == TAKE_APART:
            lines = tuple(f"{step.name}, step {step.number}" for step in parts)
            part = await self.questions.pick("Which part is taken apart?", lines)
            if part is not None:
                self.hand.inside.go_into(parts[lines.index(part)])
                self.screen.redraw()
            return
        area = 0 if chosen == out else areas[names.index(chosen) - 1].id
        step = self.hand.step
        if step is None or step.area == area:
            self.hand.inside.go_to(area)
        elif self.host.do(c.MendStep(step=step.number, inside=chosen if area else "")) is not None:
            self.hand.inside.area = area  # the part in hand was begun in the wrong one
            self.host.say("recorded", f"{step.name} is inside {self.hand.inside.name}", "this")

    async def _add_assembly(self) -> None:
        """Ask for an assembly that is still on, inside the one worked in, and work in it from now on."""
        here = self.hand.inside
        asked = f"What is the assembly inside {here.name} called?"
        name = await self.questions.ask(asked, hint="one that is still on")
        if name and self.host.do(c.AddAssembly(name=name, inside=here.name if here.area else "")) is not None:
            found = self.record.assembly_named(self.host.machine_id, name)
            here.area = found.id if found else here.area
            self.screen.redraw()
