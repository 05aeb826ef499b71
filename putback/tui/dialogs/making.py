"""The questions about what is to be made: its measures, how many, of what, and the drawing."""

from __future__ import annotations

from functools import partial

from msgspec.structs import replace

from putback.sizing.toleranced import Toleranced, read_toleranced
from putback.trade.record.job import Job
from putback.trade.record.making import MEASURED, Dimension
from putback.tui.dialogs.numbers import TO_MAKE
from putback.tui.dialogs.questions import Questions


class Making:
    """Each gives the job as it is to be, or None where it was left; `unit` is the machine's."""

    def __init__(self, questions: Questions) -> None:
        """`questions` asks."""
        self.questions = questions

    async def ask_measure(self, job: Job, unit: str) -> Job | None:
        """Ask for one more measure; one of the same takes the place of what was said before."""
        of = await self.questions.ask_phrase("A measure of what?", MEASURED)
        if not of:
            return None
        others = tuple(one for one in job.measures if one.of.casefold() != of.casefold())
        return await self._ask_size(job, of, others, unit)

    async def ask_again(self, old: Dimension, job: Job, unit: str) -> Job | None:
        """Ask for what is so of a measure; nothing at all takes it out."""
        others = tuple(one for one in job.measures if one != old)
        return await self._ask_size(job, old.of, others, unit, old.measure)

    async def _ask_size(
        self, job: Job, of: str, others: tuple[Dimension, ...], unit: str, value: str = ""
    ) -> Job | None:
        reads = partial(read_toleranced, unit="in" if unit == "in" else "mm")
        hint = ".250 +.000 -.001; 1/4 -.002" if unit == "in" else "12.5 +-.05; 6 -.010 -.022"
        asked = f"{of}: how large, over and under?"
        text = await self.questions.ask_line(asked, value=value, hint=hint, reads=reads)
        if text is None or not (text or value):
            return None
        measure = await self._with_unit(text, reads(text)) if text else ""
        if measure is None:
            return None
        return replace(job, measures=(*others, Dimension(of, measure)) if text else others)

    async def _with_unit(self, text: str, read: Toleranced) -> str | None:
        """Ask which unit is meant where a bare figure is an unlikely one of the machine's; None where it was left."""
        if not read.may_be_other_unit:
            return text
        other = read_toleranced(text, "mm" if read.unit == "in" else "in")
        odd = "large for inches" if read.unit == "in" else "small for millimetres"
        return await self.questions.pick(f"{text} is {odd}. Which is meant?", (read.called, other.called))

    async def ask_material(self, job: Job, unit: str) -> Job | None:
        """Ask how many are made, of what, and where the drawing is."""
        ask = self.questions.ask_line
        count = await self.questions.ask_count("How many are made?", value=str(job.count), of=TO_MAKE)
        hint = "silver steel; or nothing"
        material = await ask("Of what?", value=job.material, hint=hint) if count is not None else None
        hint = "the name of a photo, or where the drawing lies; or nothing"
        asks = "Which drawing or photo?"
        drawing = await ask(asks, value=job.drawing, hint=hint) if material is not None else None
        if count is None or material is None or drawing is None:
            return None
        return replace(job, count=count, material=material, drawing=drawing)
