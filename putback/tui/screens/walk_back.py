"""The walk-back: the last three steps, newest first, checked against the machine before a hand moves."""

from __future__ import annotations

from collections.abc import Sequence

from textual import work
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.reports.plan import at_refit
from putback.trade import commands as c
from putback.trade.machine import Part
from putback.trade.step import Step
from putback.tui.keys import command_for, keys_of
from putback.tui.screens.card import TO_THE_BENCH
from putback.tui.screens.keyed import KeyedModal
from putback.tui.screens.prompts import Ask
from putback.tui.text import plain, wrapped
from putback.tui.views import hole_views, size_views
from putback.tui.widgets.panes import sign
from putback.tui.widgets.plate import plate


class WalkBackScreen(KeyedModal[None]):
    """One step at a time; a key answers it."""

    def __init__(self, steps: Sequence[int]) -> None:
        super().__init__()
        self._steps = list(steps)
        self._at = 0

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="walk")

    def on_mount(self) -> None:
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    @property
    def step(self) -> Step | None:
        """The step that is asked about; None where it was taken back on its card."""
        at = self._at
        return self.bench.workshop.record.find(Step, self._steps[at]) if at < len(self._steps) else None

    def redraw(self) -> None:
        """Draw the step that is asked about."""
        record = self.bench.workshop.record
        glyphs = self.bench.glyphs
        step = self.step
        if step is None:
            gone = plain("This step was taken back.   1 goes on", None, "bold $pb-rust")
            self.query_one("#walk", Static).update(gone)
            return
        told = step.told
        if step.is_open:
            told = f"{step.name} is coming off, and not off yet"
        elif step.back:
            told = f"{at_refit(step)}: it is back"
        width = max(30, min(66, self.app.size.width - 10))
        area = record.get(Part, step.area).name if step.area else ""
        where = ", ".join(filter(None, (f"{step.face} face" if step.face else "", area and f"inside {area}")))
        lines = [
            plain(
                f"Before a hand moves: is this so at the machine?   {self._at + 1} of {len(self._steps)}",
                width,
                "$pb-muted",
            ),
            Content(""),
            plain(f"step {step.number}: {told}", width, "bold $pb-brass"),
            plain(where, width, "$pb-muted"),
        ]
        holes = hole_views(record, step)
        if holes:
            lines += plate(holes, size_views(record, step), width, 9, title=step.face, glyphs=glyphs)
        for thing in record.things_of(step):
            if thing.sort == "piece":
                lines.append(plain(f"  {thing.count} x {thing.name}", width))
        if step.put:
            lines.append(plain(f"  the part went to: {step.put}", width))
        for words in (step.note, *(a.told for a in step.adjust)):
            if words:
                lines.append(Content.assemble("  ", sign("note", glyphs), " ", plain(words, width - 4)))
        for caution in step.cautions:
            rows = wrapped(caution, width - 4)
            lines.append(Content.assemble("  ", sign("caution", glyphs), " ", rows[0]))
            lines += [Content.assemble("    ", row) for row in rows[1:]]
        keys: list[Content | str] = []
        for key in keys_of("walk"):
            keys += [Content.styled(key.shown, "bold $pb-brass"), f" {key.label}   "]
        room = max(6, self.app.size.height - 6)
        body = lines[:room]
        self.query_one("#walk", Static).update(Content("\n").join([*body, Content(""), Content.assemble(*keys)]))

    def press(self, key: str) -> None:
        """Answer for the step."""
        if self._at >= len(self._steps):
            return
        answers = {"walk.true": "true", "walk.notso": "not so", "walk.cannot": "cannot see it now"}
        wish = command_for(key, "walk")
        if wish == "walk.leave":
            self.leave(None)
        elif wish == "walk.notso":
            self.not_so()
        elif wish:
            self.answer(answers[wish])

    def answer(self, answer: str) -> None:
        """Keep an answer and go to the next step."""
        step = self.step
        if step is not None:
            self.bench.do(c.WalkBack(step=step.number, answer=answer), quiet=True)
        self._at += 1
        if self._at < len(self._steps):
            self.redraw()
        else:
            self.leave(None)
            self.bench.call_later(self.bench.say, "note", "walked back; now go on")

    @work
    async def not_so(self) -> None:
        """Ask what is so instead, and note it at the step."""
        step = self.step
        if step is None:
            self.answer("not so")
            return
        words = await self.bench.push_screen_wait(Ask(f"Step {step.number}: what is so at the machine?"))
        if words is None:
            return
        if words.strip():
            self.bench.do(c.Annotate(step=step.number, note=f"at the walk-back: {words.strip()}"), quiet=True)
        # What is wrong is mended on the spot, while the machine is in front of one.
        from putback.tui.screens.step_card import StepScreen

        left_for = await self.bench.push_screen_wait(StepScreen(step.id))
        self.answer("not so")
        if left_for == TO_THE_BENCH:
            self.leave(None)
