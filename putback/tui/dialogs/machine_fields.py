"""What is said of a machine itself, asked and said right: from its card, and when it comes to the bench."""

from __future__ import annotations

from msgspec.structs import replace

from putback.errors import BadInput
from putback.sizing.background import TRADES, read_year
from putback.trade.cautions.irreversible import INTENTS
from putback.trade.commands import MendMachine
from putback.trade.record.machine import PARTS_GO, PLATE, PLATE_NAMES, UNITS, Machine, Origin
from putback.tui.dialogs.questions import Questions

MADE_IN: dict[str, Origin] = {
    "not known: bare figures are inches": "unknown",
    "US: inch": "us",
    "Britain: inch and BA": "uk",
    "elsewhere: metric": "metric",
}
"""Where a machine was made, as the list has it, and whose threads it has by that."""

WHERE = "Where was it made? Its threads go by that."

QUESTION = {field.name: field.question for field in PLATE}
"""The question for each field that can be said of a machine."""

NO_TRADE = "another, or not known"

SERIAL = "What is its serial? (? before a doubtful digit)"


class MachineFields:
    """Questions about a machine itself."""

    def __init__(self, questions: Questions) -> None:
        self.host = questions.host
        self.questions = questions

    async def ask_decade(self, value: str) -> str | None:
        """Ask when it was made; None where it was left."""
        while True:
            text = await self.questions.ask_line(QUESTION["decade"], value=value)
            try:
                if text is not None:
                    read_year(text)
            except BadInput as fault:
                self.host.refuse(str(fault))
            else:
                return text

    async def ask_trade(self, value: str) -> str | None:
        """Ask for its trade; None where it was left."""
        picked = await self.questions.pick(QUESTION["trade"], (*TRADES, NO_TRADE), here=value or NO_TRADE)
        return "" if picked == NO_TRADE else picked

    async def ask_intent(self, machine: Machine) -> str | None:
        """Ask what a machine is restored for; None where it was left."""
        known = (*INTENTS, machine.intent) if machine.intent not in ("", *INTENTS) else INTENTS
        return await self.questions.pick(f"What is {machine.name} restored for?", known, here=machine.intent)

    def fields_of(self, machine: Machine) -> dict[str, str]:
        """Return what can be said right of a machine, by its field, with how it stands now."""
        made = {origin: label for label, origin in MADE_IN.items()}
        return {
            "name": machine.name,
            "serial": machine.serial,
            "made": made[machine.origin],
            "unit": machine.unit,
            **{field: str(getattr(machine, field)) for field in PLATE_NAMES},
            "parts go": PARTS_GO[machine.parts_go],
            "notes": "; ".join(machine.notes),
            "cautions": "; ".join(machine.cautions),
            "settings": "; ".join(setting.text for setting in machine.adjust),
            "next time": "; ".join(machine.next_time),
        }

    async def mend_field(self, machine: Machine, field: str) -> None:
        """Ask what is so in a field of a machine, and say it."""
        now = self.fields_of(machine)[field]
        if field in ("notes", "cautions", "next time"):
            await self._mend_remarks(machine, field, getattr(machine, field.replace(" ", "_")))
            return
        if field == "settings":
            await self._mend_settings(machine)
            return
        answer: str | None
        if field == "made":
            origin = await self.questions.pick(WHERE, tuple(MADE_IN), here=now)
            answer = None if origin is None else MADE_IN[origin]
            field = "origin"
        elif field == "parts go":
            label = await self.questions.pick(
                "Where do parts go, unless you say otherwise?", tuple(PARTS_GO.values()), here=now
            )
            answer = next((word for word, words in PARTS_GO.items() if words == label), None)
            field = "parts_go"
        elif field == "unit":
            answer = await self.questions.pick("In which unit are bare numbers?", UNITS, here=machine.unit)
        elif field == "intent":
            answer = await self.ask_intent(machine)
        elif field == "trade":
            answer = await self.ask_trade(machine.trade)
        elif field == "decade":
            answer = await self.ask_decade(machine.decade)
        else:
            caption = SERIAL if field == "serial" else QUESTION.get(field, f"What is its {field}?")
            answer = await self.questions.ask_line(caption, value=now)
        if answer is not None:
            self.host.do(replace(MendMachine(), **{field: answer}), machine=machine.id)

    async def _mend_settings(self, machine: Machine) -> None:
        """Ask which setting of the machine is not so; it is taken out, and can be said anew."""
        lines = tuple(setting.text for setting in machine.adjust)
        if not lines:
            self.host.refuse(
                self.host.keymap.words("No setting of the machine is noted: {adjust} between parts notes one.")
            )
            return
        wrong = await self.questions.pick("Which setting is wrong? It is taken out, and can be entered again.", lines)
        if wrong is not None:
            kept = tuple(setting for at, setting in enumerate(machine.adjust) if at != lines.index(wrong))
            self.host.do(MendMachine(adjust=kept), machine=machine.id)

    async def _mend_remarks(self, machine: Machine, field: str, texts: tuple[str, ...]) -> None:
        """Ask for the notes or cautions of the machine as they should be, each on a line of its own."""
        asked = f"Which {field} of the machine are true? Each on a line of its own."
        if field == "next time":
            asked = "What would you do differently? Each on a line of its own."
        text = await self.questions.ask_line(asked, value="\n".join(texts), note=True)
        if text is not None:
            self.host.do(
                replace(MendMachine(), **{field.replace(" ", "_"): tuple(text.splitlines())}), machine=machine.id
            )
