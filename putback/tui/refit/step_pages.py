"""One step at refit as pages, near and from afar: rows of words and pictures, no keys."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from textual.content import Content

from putback.reports.account import Account
from putback.reports.last_page import AS_FOUND, last_page
from putback.trade.checks.open_jobs import not_in_its_place, still_open
from putback.trade.record.holes import counts_text, faces_with_holes
from putback.trade.record.machine import Machine, Part
from putback.trade.record.phrases import counted
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import going_in
from putback.trade.refit.orientation import map_turned
from putback.tui.draw.account import AccountDrawing, Chunk, FaceView, Page, heading_rows, paged
from putback.tui.draw.blocks import block_chunks
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.palette import LOOK
from putback.tui.draw.signs import signed
from putback.tui.draw.text import wrapped
from putback.tui.draw.views import hole_views, size_views
from putback.tui.keyboard.keymap import Keymap

ANSWERS: dict[str, tuple[tuple[str, str], ...]] = {
    "waits": (("refit.book", "it has arrived"),),
    "first": (("refit.other", "what can go on now"),),
    "covered": (("refit.again", "off again, what is over it"),),
    "turn": (("refit.next", "it lies so"),),
    "job": (("refit.next", "is it done?"),),
    "new": (("refit.next", "a new one is at hand"), ("refit.book", "the old one")),
    "clip": (("refit.next", "still good"), ("refit.book", "a new one")),
    "look": (("refit.next", "looked"),),
    "setting": (("refit.next", "set so"), ("refit.book", "another reading")),
    "confirm": (("refit.next", "done"),),
    "put": (("refit.next", "it is back"),),
}
"""What to press, by what is to do next: the commands, and what each says here, in every view and foot alike."""

READ_ON = (("refit.next", "read on"),)
"""The same where nothing on a page is asked for and another follows."""

HELD = ("waits", "first", "covered")
"""What is next where a step cannot go on as things stand."""


def pressed_words(answers: Sequence[tuple[str, str]]) -> str:
    """Return keys and what they say as words that still name commands: `{refit.next} still good   {refit.book} ...`."""
    return "   ".join(f"{{{command}}} {label}" for command, label in answers)


def face_views(record: Record, step: Step) -> list[FaceView]:
    """Return the faces of a step as the maps of the way back have them: each with what goes into its holes."""
    into = [thing.goes_in for thing in going_in(record, step)]
    return [
        FaceView(
            face,
            hole_views(record, step, refit=True, face=face),
            counts_text(step, into, face),
            map_turned(record, step, face),
        )
        for face in faces_with_holes(record, step)
    ]


class StepPages:
    """Draws steps at refit for a screen of some kind."""

    def __init__(self, record: Record, glyphs: GlyphSet, keymap: Keymap) -> None:
        self.record = record
        self.glyphs = glyphs
        self.keymap = keymap

    def head(self, account: Account, width: int) -> list[Content]:
        """Return the rows above every page."""
        step = account.step
        inside = f"inside {self.record.get(Part, step.area).name}" if step.area else ""
        return heading_rows(account, width, inside)

    def pages(
        self,
        account: Account,
        width: int,
        height: int,
        *,
        hushed: Collection[str] = (),
        scanned: Collection[str] = (),
        before: tuple[Content, ...] = (),
    ) -> list[Page]:
        """Return everything that is said of a step on pages of `height` rows.

        `hushed` are the causes whose usual cautions were shown in this session, `scanned` the places that a scan
        proved; `before` stands above all of it on the first page.
        """
        record, step, words = self.record, account.step, self.keymap.words
        sheet = AccountDrawing(
            width=width,
            glyphs=self.glyphs,
            faces=face_views(record, step),
            sizes=size_views(record, step, refit=True),
            hushed=hushed,
            scanned=scanned,
            keys=(
                ("photo", words("{refit.photos} shows them")),
                ("skipped", words("{refit.skip} takes it up")),
                *((state, words(pressed_words(ANSWERS[state]))) for state in HELD),
            ),
        )
        above = [Chunk(before)] if before else []
        return paged([*above, *sheet.chunks(account)], height)

    def answers(self, account: Account, page: int, pages: list[Page]) -> tuple[tuple[str, str], ...]:
        """Return what can be pressed now: it turns the page where nothing on this one is still asked for."""
        todo = account.todo
        asked = todo is not None and account.next not in HELD and todo.item in pages[page].items
        return READ_ON if not asked and page + 1 < len(pages) else ANSWERS[account.next]

    def all_home(self, machine: int, width: int) -> list[Content]:
        """Return the rows for the end: nothing left over, or what is."""
        record = self.record
        out_of_place = not_in_its_place(record, machine)
        if out_of_place:
            out = wrapped("Every step is back, and this is not in its place:", width, LOOK)
            for words in out_of_place:
                out += signed("finding", words, width, self.glyphs, "bold $pb-text")
            return out + self.on_hold(machine, width)
        out = [
            *wrapped("Everything is back.", width, "bold $pb-verdigris"),
            *wrapped("Every bag is empty, nothing is left over.", width),
        ]
        still = still_open(record, machine)
        if still:
            out[1:] = wrapped(f"{counted(len(still), 'thing')} still open:", width, LOOK)
            for words in still:
                out += signed("finding", words, width, self.glyphs, "bold $pb-text")
            out += wrapped("Of the pieces nothing is left over: every bag is empty.", width)
        return out + self.on_hold(machine, width)

    def on_hold(self, machine: int, width: int) -> list[Content]:
        """Return the rows that say how to go on with what is on hold; none where nothing is."""
        if not self.record.held_steps(machine):
            return []
        words = self.keymap.words("{refit.book} takes up again what is on hold, or drops it: then it stays on")
        return [Content(""), *signed("asks", words, width, self.glyphs, "$pb-text")]

    def end(self, machine: Machine, width: int, height: int, *, now: str) -> list[Page]:
        """Return the pages for the end: whether something is left over, and then the last page of the machine."""
        last = last_page(self.record, machine, now=now)
        home = Chunk(tuple(self.all_home(machine.id, width)))
        chunks = [home, *block_chunks(last.section_blocks(), width, self.glyphs)]
        if any(line.open for section in last.sections if section.title == AS_FOUND for line in section.lines):
            way = self.keymap.words(
                "what became of what was found is answered on the machine's card: {refit.leave} {machines} {list.more}"
            )
            chunks.append(Chunk((Content(""), *signed("asks", way, width, self.glyphs, "$pb-text"))))
        return paged(chunks, height)
