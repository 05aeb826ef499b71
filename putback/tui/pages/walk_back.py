"""The walk-back: the last three steps, newest first, checked against the machine before a hand moves."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from textual import work
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.reports.account import Account, WayBack
from putback.reports.cards import done_text, facts_of, looks_told
from putback.reports.walking import half_done
from putback.trade import commands as c
from putback.trade.checks.walked import still_wrong
from putback.trade.record.holes import faces_words
from putback.trade.record.machine import Part
from putback.trade.record.photo import Photo, in_order
from putback.trade.record.phrases import few
from putback.trade.record.session import WRONG
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import holes_left, left_words
from putback.tui.dialogs.keyed import KeyedScreen
from putback.tui.dialogs.photo_beside import GAP, PhotoBeside
from putback.tui.dialogs.prompts import AskLine
from putback.tui.draw.account import Chunk, Page, paged
from putback.tui.draw.frame import feet, inner_height, inner_width
from putback.tui.draw.latest import Latest
from putback.tui.draw.palette import LOOK
from putback.tui.draw.signs import signed
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.keys import command_for
from putback.tui.widgets.picture import PictureView
from putback.tui.widgets.step_plates import StepPlate, step_plates

BENEATH = 2
"""Screens on the stack where the walk-back came first: Textual's own, and it."""

LEAST_ROWS = 5
"""Rows of a hole map that can still be read."""


MAP_ROWS = 9
"""Rows of a hole map with its legend, where they do not need more."""

MANY = 99
"""More pages than a step has, and more rows than a map."""

PHOTO_ROWS = 12
"""Rows of a photo with its line, where the step itself takes fewer."""


class WalkBackScreen(PhotoBeside, KeyedScreen[None]):
    """One step at a time; a key answers it."""

    def __init__(self, steps: Sequence[int], notes: Sequence[str] = ()) -> None:
        """`steps` are the steps' numbers in the workshop; `notes` is what is said before the first."""
        super().__init__()
        self._steps = list(steps)
        self._notes = tuple(notes)
        self._at = 0
        self._account: Latest[Account] = Latest()
        """The account of the step that is asked about: the page is drawn several times a key."""
        self._page = self._read = 0
        self._pages: list[Page] = []

    def leave(self, result: Any = None) -> None:
        """Go back to the bench; where the walk-back came first, the bench is made now."""
        if len(self.app.screen_stack) > BENEATH or self._left:
            super().leave(result)
            return
        self._left = True
        self.app.switch_screen(self.host.screen_named("bench"))

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="walk")
            yield PictureView()

    def on_mount(self) -> None:
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    @property
    def step(self) -> Step | None:
        """The step that is asked about; None where it was taken back on its card."""
        at = self._at
        return self.host.workshop.record.find(Step, self._steps[at]) if at < len(self._steps) else None

    def photos(self) -> list[Photo]:
        """The photos of the step, newest first: the machine should look like that now."""
        step = self.step
        return in_order(self.host.workshop.record.photos_of(step))[::-1] if step is not None else []

    def redraw(self) -> None:
        """Draw the step that is asked about."""
        step = self.step
        if step is None:
            gone = plain("This step was taken back.   1 goes on", None, LOOK)
            self.query_one("#walk", Static).update(gone)
            self.place_photo(0, 0, 0, 0)
            return
        whole = min(66, inner_width(self.app.size.width))
        beside = self.photo_width(whole)
        width = whole - beside
        top = self._head(whole)
        height, chunks = inner_height(self.app.size.height), self._chunks(step, width)
        for count in (1, MANY):  # the key that turns pages takes room in the foot, which may make pages
            foot = feet(self._keys(count), whole)
            self._pages = paged(chunks, max(LEAST_ROWS, height - len(top) - len(foot)))
            if len(self._pages) == 1:
                break
        self._page %= len(self._pages)
        self._read = max(self._read, self._page)
        foot = feet(self._keys(len(self._pages)), whole)
        body, room = [*self._pages[self._page].rows], height - len(top) - len(foot)
        if beside:
            body += [Content("")] * (min(room, PHOTO_ROWS) - len(body))
        gap = [Content("")] if len(body) < room else []
        self._draw(Content("\n").join([*top, *body, *gap, *foot]))
        self.place_photo(whole - beside + GAP, len(top), beside - GAP, len(body))

    def _draw(self, content: Content) -> None:
        drawn = self.query_one("#walk", Static)
        drawn.update(content)
        self.point(drawn)

    def _keys(self, pages: int) -> list[tuple[str, str]]:
        """Return the keys of the foot; while pages are unread, the keys that answer read on."""
        keys = {key.id: (key.shown, key.label) for key in self.host.keymap.keys_of("walk")}
        if not self.photos():
            del keys["walk.photo"]
        if pages == 1:
            del keys["walk.page"]
            return list(keys.values())
        keys["walk.page"] = self.host.keymap.pair("walk.page", f"page {self._page + 1} of {pages}")
        if self._read + 1 < pages:
            keys["walk.true"] = self.host.keymap.pair("walk.true", "read on")
            del keys["walk.cannot"]
        return list(keys.values())

    def _head(self, width: int) -> list[Content]:
        """Return the question."""
        where = f"{self._at + 1} of {len(self._steps)}"
        words = "Is this right at the machine?"
        if width >= 54:
            words = f"Before a hand moves: {words[0].lower()}{words[1:]}"
        gap = " " * max(1, width - len(words) - len(where))
        return [Content.assemble((words, "$pb-muted"), gap, (where, "$pb-muted"))]

    def _chunks(self, step: Step, width: int) -> list[Chunk]:
        """Return all that is said: before the first step what one is told at this return, then the step."""
        notes = self._notes if self._at == 0 else ()
        said = [self._hung("note", note, width, LOOK) for note in notes]
        said += [self._caption(step, width), self.in_words(width)]
        chunks = [Chunk(tuple(rows)) for rows in said if rows]
        return [*chunks, *self._map(step, width), *(Chunk(tuple(rows)) for rows in self._below(step, width))]

    def _caption(self, step: Step, width: int) -> list[Content]:
        record = self.host.workshop.record
        text = done_text(step)
        area = record.get(Part, step.area).name if step.area else ""
        where = ", ".join(filter(None, (faces_words(record, step), area and f"inside {area}")))
        put = f"the part went to: {step.put}" if step.put and not step.back else ""
        lines = wrapped(self.voiced(f"step {step.number}: {text}"), width, "bold $pb-text")
        look = looks_told(record, step)
        looks = look[0].rpartition(": ")[2] if len(look) == 1 else ""
        left = "" if step.back or step.is_open else left_words(holes_left(record, step))
        beside = ";  ".join(filter(None, (where, looks, put, half_done(record, step), left)))
        return [*lines, *wrapped(beside, width, "$pb-muted")] if beside else lines

    def _map(self, step: Step, width: int) -> list[Chunk]:
        """Return the holes of a step as a picture for each face with its legend, larger where the page has room."""
        return [self._plate(plate, width) for plate in step_plates(self.host.workshop.record, step)]

    def _plate(self, plate: StepPlate, width: int) -> Chunk:
        """Return one face of a step."""

        def drawn(rows: int) -> list[list[Content]]:
            return plate.pages(width, rows, self.host.glyphs)

        least = next((rows for rows in range(LEAST_ROWS, MANY) if len(drawn(rows)) == 1), MANY)
        return Chunk(tuple(drawn(least)[0]), tall=lambda rows: tuple(drawn(min(rows, max(least, MAP_ROWS)))[0]))

    def _below(self, step: Step, width: int) -> list[list[Content]]:
        """Return what else was taken out and said, cautions last: they stand next to the keys."""
        workshop = self.host.workshop
        stand = (workshop.store.number, step.id)
        account = self._account.of(
            stand, lambda: WayBack(workshop.record, step.machine, of_machine=False).account(step)
        )
        facts = sorted(facts_of(account), key=lambda fact: fact.sort == "caution")
        told = looks_told(workshop.record, step)  # one sort stands beside the face
        look = [self._hung("note", words, width) for words in told if len(told) > 1]
        return [*look, *(self._hung(fact.sort, fact.words, width) for fact in facts)]

    def _hung(self, word: str, words: str, width: int, style: str = "$pb-text") -> list[Content]:
        """Return words behind the sign of `word`, the further lines hanging under the first."""
        return signed(word, words, width, self.host.glyphs, style)

    @property
    def places(self) -> tuple[str, ...]:
        """In the walk-back."""
        return ("walk",)

    def press(self, key: str) -> None:
        """Answer for the step."""
        if self._at >= len(self._steps):
            return
        answers = {"walk.true": "true", "walk.notso": WRONG, "walk.cannot": "cannot see it now"}
        command_id = command_for(key, "walk")
        unread = self._read + 1 < len(self._pages)
        if command_id == "walk.photo":
            self.turn_photo()
        elif command_id == "walk.page" or (unread and command_id in answers and command_id != "walk.notso"):
            self._page += 1
            self.redraw()
        elif command_id == "walk.leave":
            self.leave(None)
        elif command_id == "walk.notso":
            self.not_so()
        elif command_id == "walk.help":
            self.show_keys("walk")
        elif command_id:
            self.answer(answers[command_id])

    def answer(self, answer: str) -> None:
        """Keep an answer and go to the next step."""
        step = self.step
        if step is not None:
            self.host.do(c.WalkBack(step=step.number, answer=answer), quiet=True)
        self.go_on()

    def go_on(self) -> None:
        """Go to the next step, or to the bench behind the last."""
        self._at += 1
        self._page = self._read = self.photo_at = 0
        if self._at < len(self._steps):
            self.redraw()
        else:
            self.leave(None)
            record, machine = self.host.workshop.record, self.host.machine_id
            wrong = [walked.step for walked in still_wrong(record, machine)] if machine else []
            if wrong:
                named = few([f"step {number}" for number in wrong])
                text = f"checked; wrong, and not put right yet: {named}"
            else:
                text = "checked against the machine: go on"
            self.host.call_later(self.host.say, "asks" if wrong else "note", text)

    @work
    async def not_so(self) -> None:
        """Ask what one sees instead, and note it at the step."""
        step = self.step
        if step is None:
            self.go_on()
            return
        asked = AskLine("What do you see instead?", hint=f"at step {step.number}, in a few words", note=True)
        words = await self.host.push_screen_wait(asked)
        if words is None:
            return
        if words.strip():
            self.host.do(c.Annotate(step=step.number, note=f"at the walk-back: {words.strip()}"), quiet=True)
        self.host.do(c.WalkBack(step=step.number, answer=WRONG), quiet=True)
        # What is wrong is mended on the spot, while the machine is in front of one; a correction closes it. However
        # the card is left, the steps that were not looked at yet are still asked about.
        await self.host.push_screen_wait(self.host.screen_named("step", step.id))
        self.go_on()
