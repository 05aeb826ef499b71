"""The summary of a session as a page: a tree of what came off, sizes and time as rules, what is open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual.content import Content

from putback.dates import from_to
from putback.reports.blocks import said_lines
from putback.reports.spoken import sentence
from putback.reports.summary import Summary
from putback.reports.summary_blocks import Branch, balance_lines, balance_proved, done_text, summary_blocks, tree_of
from putback.trade.record.phrases import counted, minutes_text
from putback.tui.draw.bars import CountBar, bars
from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.legend import SizeView, size_sign
from putback.tui.draw.long_rows import Drawn, in_turn
from putback.tui.draw.palette import LOOK, mark
from putback.tui.draw.rule import time_rule
from putback.tui.draw.text import plain, wrapped

THREAD = 6
"""Cells of the longest thread among the sizes."""
TWO_COLUMNS = 96
"""Cells from which the page has two columns."""

GAP = 4
"""Cells between two columns."""

BEADS = 8
"""Fasteners of a step that are drawn one by one; more are a number alone."""


def summary_page(
    summary: Summary,
    width: int,
    *,
    sizes: Sequence[SizeView] = (),
    strokes: Mapping[str, tuple[int, float]] | None = None,
    glyphs: GlyphSet = UNICODE,
) -> Sequence[Content]:
    """Return the page in rows of at most `width` cells; those of the tree are drawn when they are asked for.

    `sizes` are the sizes that came out, with their letters; `strokes` says how many fasteners were entered in
    this sitting, by sort, and with how many strokes each in the mean.
    """
    if glyphs.words:
        return [row for line in said_lines(summary_blocks(summary)) for row in wrapped(sentence(line), width)]
    page = _Page(summary, glyphs)
    top = page.head(width)
    if width < TWO_COLUMNS:
        parts = [page.tree(width), page.seen(width), page.sizes(width, sizes), page.bags(width), page.times(width)]
        parts += [page.questions(width), page.balance(width), page.own(width, strokes or {})]
        return in_turn(top, _apart(parts))
    left = (width - GAP) // 2
    right = width - GAP - left
    one = _apart([page.tree(left), page.seen(left), page.questions(left)])
    two = _apart(
        [
            page.sizes(right, sizes),
            page.bags(right),
            page.times(right),
            page.balance(right),
            page.own(right, strokes or {}),
        ]
    )

    def beside(row: int) -> Content:
        here = one[row] if row < len(one) else Content("")
        here = here.pad_right(left + GAP - here.cell_length)
        return here + two[row] if row < len(two) else here

    return in_turn(top, Drawn(max(len(one), len(two)), beside))


def _apart(parts: Sequence[Sequence[Content]]) -> Drawn:
    return in_turn(*(rows for part in parts if part for rows in ([Content("")], part)))


class _Page:
    """The parts of the page."""

    def __init__(self, summary: Summary, glyphs: GlyphSet) -> None:
        self.s = summary
        self.glyphs = glyphs

    def sign(self, word: str) -> Content:
        """The sign of one meaning."""
        found = mark(word)
        return Content.styled(found.sign(self.glyphs), found.style)

    def caption(self, words: str, beside: str, width: int) -> Content:
        """The head of a part."""
        named = plain(words, width, LOOK)
        room = width - named.cell_length - 2
        return Content.assemble(named, "  ", plain(beside, room, "$pb-muted")) if beside and room > 4 else named

    def hung(self, word: str, words: str, width: int, style: str = "$pb-text") -> list[Content]:
        """Words behind a sign, the further lines hanging under the first."""
        first, *more = wrapped(words, width - 3, style)
        return [Content.assemble(" ", self.sign(word), " ", first), *(Content("   ") + row for row in more)]

    def head(self, width: int) -> list[Content]:
        """What session it is, its time along a rule, and where to start next time."""
        s = self.s
        number = f"session {s.session}"
        rows = [
            Content.assemble(plain(s.machine, width - len(number) - 2, "bold $pb-text"), "  ", (number, "$pb-muted"))
        ]
        if s.title:
            rows += wrapped(s.title, width, "$pb-text")
        text = f"{from_to(s.start, s.end)}, {minutes_text(s.minutes)} hands on in {counted(s.segments, 'segment')}"
        if s.session > 1:
            text += f", {minutes_text(s.minutes_all)} in all"
        rows += wrapped(text, width, "$pb-muted")
        rows.append(time_rule(min(width, 72), s.minutes, s.target * s.segments, s.breaks, glyphs=self.glyphs))
        rows += self.hung("next", f"next time: {s.next}", width, "bold $pb-text")
        for note in (*s.notes, *s.note.splitlines()):
            rows += self.hung("note", note, width)
        return rows

    def tree(self, width: int) -> Drawn:
        """What was done, as a tree with counts."""
        branches = tree_of(self.s.steps)
        most = max((len(branch.name) + 2 * branch.depth for branch in branches), default=0)
        names = max(14, min(most + 6, width - 26))
        back = self.hung("fitted", "back: step " + ", ".join(map(str, self.s.back)), width) if self.s.back else []
        for hole in self.s.holes:
            back += self.hung("finding", f"not as it was found: {hole}", width)
        head = [self.caption("Came off", done_text(self.s), width)]
        return in_turn(head, Drawn(len(branches), lambda at: self._branch(branches[at], width, names)), back)

    def _branch(self, branch: Branch, width: int, names: int) -> Content:
        """One line of the tree, its name in so many cells."""
        lead = " " * (2 * branch.depth + 1)
        if not branch.step:
            return Content.assemble(lead, plain(branch.name, names - len(lead), "bold $pb-text"))
        shape = Content.assemble((f"{branch.step:>3} ", "$pb-muted"))
        alone = not (branch.out or branch.pieces or branch.text)
        name = plain(branch.name, (width if alone else names) - len(lead) - 4, "$pb-text")
        row = Content.assemble(lead, shape, name)
        gap = " " * max(1, names - row.cell_length + 1)
        row = Content.assemble(row, gap, self._count(branch.out, branch.pieces))
        return Content.assemble(row, plain(branch.text, max(0, width - row.cell_length), "$pb-muted"))

    def seen(self, width: int) -> list[Content]:
        """What was noted at the steps, and of the machine itself."""
        said = (*self.s.seen, *(f"the machine: {words}" for words in self.s.of_machine))
        if not said:
            return []
        rows = [self.caption("Seen and noted", str(len(said)), width)]
        for words in said:
            rows += self.hung("note", words, width)
        return rows

    def _count(self, out: int, pieces: int) -> Content:
        """Beads for the fasteners of one step, its number before them; pieces behind."""
        full, hollow = self.glyphs.beads
        beads = full * out if out <= BEADS else full * (BEADS - 2) + self.glyphs.ellipsis
        loose = hollow * pieces if pieces <= 3 else f"{hollow}{pieces}"
        number = f"{out:>2} " if out else "   "
        drawn = Content.assemble(
            (number, "bold $pb-text"), (beads, "$pb-text"), (" " if out and pieces else "") + loose
        )
        return drawn.pad_right(max(1, 3 + BEADS + 2 - drawn.cell_length))

    def sizes(self, width: int, sizes: Sequence[SizeView]) -> list[Content]:
        """Fasteners that came out, by size, on one scale."""
        if not self.s.sizes:
            return []
        known = {size.label: size for size in sizes}
        longest = max((size.long for size in sizes), default=0)
        rows = []
        for name, count in self.s.sizes.items():
            size = known.get(name)
            lead = size_sign(size, self.glyphs, longest=longest, room=THREAD) if size else Content("")
            rows.append(CountBar(name.removeprefix("screw "), count, str(count), Content.assemble(" ", lead, " ")))
        return [self.caption("By size", "", width), *bars(rows, width, glyphs=self.glyphs)]

    def bags(self, width: int) -> list[Content]:
        """Bags that were filled, on one scale."""
        if not self.s.bags:
            return []
        rows = []
        for bag in self.s.bags:
            lead = Content.assemble(" ", self.sign(bag.state), " ")
            rows.append(CountBar(f"bag {bag.number} {bag.state}", bag.count, str(bag.count), lead))
        return [self.caption("Bags filled", "", width), *bars(rows, width, glyphs=self.glyphs)]

    def times(self, width: int) -> list[Content]:
        """Minutes by assembly, on one scale."""
        if not self.s.areas:
            return []
        rows = [
            CountBar(area or "the machine itself", minutes, minutes_text(minutes), Content(" "))
            for area, minutes in self.s.areas.items()
        ]
        return [self.caption("Time by assembly", "minutes", width), *bars(rows, width, glyphs=self.glyphs)]

    def questions(self, width: int) -> list[Content]:
        """What is open."""
        if not self.s.questions:
            return [self.caption("Open questions", "none", width)]
        rows = [self.caption("Open questions", str(len(self.s.questions)), width)]
        for question in self.s.questions:
            rows += self.hung("asks", question, width)
        return rows

    def balance(self, width: int) -> list[Content]:
        """Where everything is."""
        rows = [self.caption("Where everything is now", "", width)]
        rows += [Content("   ") + row for row in wrapped(", ".join(balance_lines(self.s)), width - 3)]
        right = sum(self.s.balance.values()) == self.s.things
        style = "$pb-text" if right else LOOK
        return rows + self.hung("sure" if right else "none", balance_proved(self.s), width, style)

    def own(self, width: int, strokes: Mapping[str, tuple[int, float]]) -> list[Content]:
        """The person's own strokes."""
        texts = [f"{mean:.1f} for {name} ({count} entered)" for name, (count, mean) in strokes.items() if count]
        if not texts:
            return []
        rows = [Content("   ") + row for row in wrapped(", ".join(texts), width - 3)]
        return [self.caption("Your strokes", "since the program was opened", width), *rows]
