"""One step at refit as a card, and as the view from afar: rows of words and pictures, no keys."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from putback.reports.going_back import Asked, Going
from putback.reports.plan import at_refit
from putback.reports.refit_words import told_of
from putback.trade.conserved import holes_at_refit
from putback.trade.driver import drivers_for
from putback.trade.jobs_open import still_open
from putback.trade.last_look import OpenEnd
from putback.trade.ledger import left_over
from putback.trade.record import Record
from putback.trade.step import Step
from putback.trade.wording import counted
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.keymap import Keymap
from putback.tui.text import plain
from putback.tui.views import hole_views, size_views
from putback.tui.widgets.plate import LEAST, plate
from putback.tui.widgets.shown import signed

LOUD = "LEFT-HAND"
"""What makes a word about a thing one to beware of."""

MOST_ENDS = 6
"""Lines of the last look that a card shows."""

SIGNS = {"caution": "caution", "look": "finding"}
"""The sign of what is confirmed, by its sort; anything else is an adjustment."""

ENTER = {
    "waits": "{refit.book} when it has arrived",
    "first": "{refit.other} and {refit.before} go through what can go on now",
    "covered": "{refit.again} takes off again what is over it",
    "turn": "{refit.next} when it lies so",
    "new": "{refit.next}: a new one is at hand    {refit.book} the old one again",
    "clip": "{refit.next}: still good    {refit.book} a new one",
    "look": "{refit.next}: looked",
    "confirm": "{refit.next}: done",
    "put": "{refit.next} when it is back",
}
"""What to press, by what is to do next."""

HELD = ("waits", "first", "covered")
"""What is next where a step cannot go on as things stand."""

FAR_ENTER = {
    "waits": ("refit.book", "it has arrived"),
    "first": ("refit.other", "what can go on now"),
    "covered": ("refit.again", "off again, what is over it"),
    "turn": ("refit.next", "it lies so"),
    "new": ("refit.next", "a new one is at hand"),
    "clip": ("refit.next", "still good"),
    "look": ("refit.next", "looked"),
    "confirm": ("refit.next", "done"),
    "put": ("refit.next", "it is back"),
}
"""The command whose key is shown from afar, and what it does."""


class CardRows:
    """Draws a step at refit into a pane of some width and height."""

    def __init__(self, record: Record, glyphs: GlyphSet, width: int, height: int, keymap: Keymap) -> None:
        self.record = record
        self.glyphs = glyphs
        self.keymap = keymap
        self.width = max(20, width)
        self.height = max(10, height)

    def card(
        self, going: Going, proved: frozenset[int], hint: str = "", dangers: Sequence[str] = ()
    ) -> list[Content]:
        """Return the rows of the card.

        `proved` are the bags that were scanned, `hint` is what to chase first, `dangers` are the usual cautions.
        """
        step, width = going.step, self.width
        face = f", {step.face} face" if step.face else ""
        out = [
            plain(at_refit(step), width, "bold $pb-brass"),
            plain(f"step {step.number}{face}", width, "$pb-muted"),
        ]
        if step.skipped:
            again = f"{self.keymap.shown('refit.skip')} takes it up"
            out += self.signed("skipped", f"skipped: {step.skipped}; {again}", "bold $pb-rust")
        if going.next in HELD:
            out += self.signed("waits", going.line, "bold $pb-blue")
            out.append(plain(f"  {self.keymap.words(ENTER[going.next])}", width, "$pb-muted"))
            if hint:
                out += self.signed("note", hint, "$pb-muted")
        if going.turn and going.next not in HELD:
            out += self.signed("adjustment", f"now: {going.turn}", "bold $pb-text")
            for caution in going.cautions:
                out += self.signed("caution", caution, "bold $pb-rust")
        for danger in dangers:
            out += self.signed("caution", danger, "$pb-rust")
        for asked in going.asked:
            out += self._asked(asked, going)
        told = list(told_of(self.record, step))
        for words in told:
            if LOUD in words:  # said before the spanner is on, whatever the rows are wanted for
                out += self.signed("caution", words, "bold $pb-rust")
        out += self._bags(going, proved)
        if step.tools:
            out += self.quiet(f"tools: {', '.join(step.tools)}")
        drivers = drivers_for(self.record, step)
        if drivers:
            out += self.quiet(f"lay out: {drivers}")
        pieces = [row for words in told if LOUD not in words for row in self.signed("note", words, "$pb-text")]
        holes = hole_views(self.record, step, refit=True)
        if holes:
            room = max(LEAST, self.height - len(out) - len(pieces) - 1)
            sizes = size_views(self.record, step, refit=True)
            out += plate(holes, sizes, width, room, title=step.face, glyphs=self.glyphs)
        out += pieces
        if going.next not in HELD:
            # The one key stands on the card whatever else there is to say.
            out = out[: self.height - 1]
            out.append(plain(self.keymap.words(ENTER[going.next]), width, "bold $pb-verdigris"))
        return out

    def _asked(self, asked: Asked, going: Going) -> list[Content]:
        here = not going.turn and asked == going.todo and going.next not in HELD
        if asked.sort == "look" and not asked.done:
            return [*self._look(going.look), *self.signed("finding", f"now: {asked.words}", "bold $pb-text")][
                : None if here else -1
            ]
        word = "done" if asked.done else SIGNS.get(asked.sort, "adjustment")
        style = "$pb-muted" if asked.done else "bold $pb-text" if here else "$pb-text"
        lead = "now: " if here else "confirmed: " if asked.done and self.glyphs.words else ""
        return self.signed(word, lead + asked.words, style)

    def _look(self, ends: Sequence[OpenEnd]) -> list[Content]:
        out = [plain("last look before this closes", self.width, "bold $pb-rust")]
        for end in ends[:MOST_ENDS]:
            style = "bold $pb-text" if end.open else "$pb-muted"
            out += self.signed("finding" if end.open else "note", end.words, style)
        if len(ends) > MOST_ENDS:
            out.append(plain(f"    and {len(ends) - MOST_ENDS} more", self.width, "$pb-muted"))
        if not any(end.open for end in ends):
            out.append(plain("  nothing is open behind it", self.width, "$pb-muted"))
        return out

    def _bags(self, going: Going, proved: frozenset[int]) -> list[Content]:
        if not going.places:
            return []
        told = [f"{p} (scanned)" if p in {f"bag {n}" for n in proved} else p for p in going.places]
        right = bool(going.bags) and proved >= set(going.bags)
        return self.signed("done" if right else "bag", f"take up: {', '.join(told)}", "bold $pb-text")

    def signed(self, word: str, words: str, style: str) -> list[Content]:
        """Return words after their sign, on as many rows as they need."""
        return signed(word, words, self.width, self.glyphs, style)

    def quiet(self, words: str) -> list[Content]:
        """Return words that matter less, set in on one row; where nothing is drawn, on as many as they need."""
        if self.glyphs.words:
            return signed("note", words, self.width, self.glyphs, "$pb-muted")
        return [plain(f"  {words}", self.width, "$pb-muted")]

    def all_home(self, machine: int) -> list[Content]:
        """Return the card for the end: nothing left over, or what is."""
        record, width = self.record, self.width
        over = left_over(record, machine)
        if over:
            out = [plain("Every step is back, and this is left over:", width, "bold $pb-rust")]
            return out + [plain(f"  {h.count} x {h.thing.called}: {h.place}", width) for h in over]
        out = [
            plain("Everything is back.", width, "bold $pb-verdigris"),
            plain("Every bag is empty, nothing is left over.", width),
        ]
        still = still_open(record, machine)
        if still:
            out[1:] = [plain(f"{counted(len(still), 'thing')} still open:", width, "bold $pb-rust")]
            for words in still:
                out += self.signed("finding", words, "bold $pb-text")
            out.append(plain("Of the pieces nothing is left over: every bag is empty.", width))
        told = [(h.step, h.words) for h in holes_at_refit(record, machine)]
        told += [(s, answer) for s in record.all(Step, machine) for answer in s.answers]
        if told:
            out += [Content(""), plain(f"{counted(len(told), 'thing')} not as found:", width, "$pb-muted")]
        for step, words in told:
            out += self.signed("note", f"{step.number} {step.name}, {words}", "$pb-muted")
        return out
