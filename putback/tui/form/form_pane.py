"""The coming-off pane: the part, its holes as a picture, the fields, and the size as it snaps."""

from __future__ import annotations

from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content

from putback.reports.spoken import hole_text, spoken
from putback.tui.draw.heads import HoleView
from putback.tui.draw.holes import PLACES
from putback.tui.draw.latest import Latest
from putback.tui.draw.legend import SizeView
from putback.tui.draw.palette import CURSOR, FIELD, KEY, QUIET
from putback.tui.draw.rule import steel_rule
from putback.tui.draw.rule_marks import RuleMark
from putback.tui.draw.signs import sign, signed
from putback.tui.draw.text import padded, plain, wrapped
from putback.tui.keyboard.tapping import tapped
from putback.tui.widgets.plate import LARGE, LEGEND_ROWS, plate
from putback.tui.widgets.shown import Shown

BELOW = 6
"""Rows for fields, verdict, rule and question."""


LEAST_LAST = 4
"""Rows for what came out last, its title and the gap above it among them."""

LEAST_WHERE, MOST_WHAT = 14, 30
"""Columns for where it came out, at least, and those at most for which it gives way."""

KEPT_LAST = 6
"""Rows that are kept for it where the heads of the map are large all the same."""

KEYS = 7
"""Columns of the keys before a part is begun."""

FAR = 4
"""Rows between the holes and the fields from which on these move up to them."""


GAP = "  "
"""What stands behind a field."""


class FieldView(Struct, frozen=True):
    """One field of the form."""

    name: str
    """How it is called."""
    text: str
    """What was typed."""
    here: bool
    """Whether it is being typed."""
    stands: bool = False
    """Whether what is in it only stands there, until something is typed."""


class RuleView(Struct, frozen=True):
    """A reading among the sizes it may stand for."""

    marks: tuple[tuple[str, float, float, float, bool], ...]
    """Label, low, high, nominal, best."""
    pointer: float | None
    """The reading."""
    unit: str
    """Its unit."""
    in_fractions: bool
    """Whether the numerals are fractions."""


class FormData(Struct, frozen=True):
    """Everything the coming-off pane shows."""

    title: str
    """The part."""
    under: str
    """Step and assembly."""
    goes: str = ""
    """Where fasteners and part go."""
    face: str = ""
    """The face, on the plate's edge."""
    elsewhere: str = ""
    """How many holes lie on other faces: `right 2, top 1`."""
    holes: tuple[HoleView, ...] = ()
    """The holes."""
    sizes: tuple[SizeView, ...] = ()
    """The sizes so far."""
    cursor: str | None = None
    """The place the hand is at."""
    keys: tuple[str, ...] = tuple(PLACES)
    """What the person presses for the places."""
    fields: tuple[FieldView, ...] = ()
    """The fields."""
    verdict: str = ""
    """sure, likely, either, none, or nothing."""
    size: str = ""
    """The size as it stands."""
    style: str = ""
    """Hand, kind, head and drive, with a comma between them; what has no room at the end is left out."""
    rule: RuleView | None = None
    """The rule."""
    ask: str = ""
    """What to measure next, or what is wrong with the typing."""
    near: str = ""
    """What nearly the same fastener lies elsewhere."""
    quiet: tuple[str, ...] = ()
    """Lines shown instead of the map before a part is begun; a key and what it does with a tab between them."""
    last: tuple[tuple[str, str], ...] = ()
    """What came out last, newest first: where, and what and where to; shown where there is room for it."""


class FormPane(Shown[FormData]):
    """Draws the form."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._plated: Latest[list[Content]] = Latest()

    def lines(self, data: FormData, width: int, height: int) -> list[Content]:
        out = [
            plain(data.title, width, "bold $pb-text", ascii_only=self.glyphs.ascii),
            plain(data.under, width, "$pb-muted", ascii_only=self.glyphs.ascii),
        ]
        if data.goes:
            out.append(plain(data.goes, width, "$pb-muted", ascii_only=self.glyphs.ascii))
        if self.glyphs.words:
            return self._in_words(out, data, width, height)
        if data.quiet:
            return out[:1] + [row for line in data.quiet for row in self._quiet(line, width)]
        below = self._below(data, width)
        room = height - len(out) - BELOW
        if data.last and room - KEPT_LAST >= LARGE[1] + LEGEND_ROWS:
            room -= KEPT_LAST
        drawn = self._plate(data, width, room)
        over = len(drawn) + len(below) - (height - len(out))
        if over > 0:
            drawn = self._plate(data, width, room - over)  # a question is not cut for the map
        blank = min(room - len(drawn), height - len(out) - len(drawn) - len(below))
        if blank > FAR or (data.last and blank > 1):
            blank = 1  # what is typed stands near the holes it is typed for
        rows = out + drawn + [Content("")] * blank + below
        return rows + self._last(data, width, height - len(rows))

    def _last(self, data: FormData, width: int, room: int) -> list[Content]:
        """What came out last, as much as there is room for; nothing where that is next to nothing."""
        if not data.last or room < LEAST_LAST:
            return []
        shown = data.last[: room - 2]
        # Of the two the thing and its bag are looked for: the place gives way.
        longest = max(cell_len(what) for _, what in shown)
        across = max(LEAST_WHERE, width - 2 - min(longest, MOST_WHAT))
        across = min(across, max(cell_len(where) for where, _ in shown))
        rows = [
            Content.assemble(plain(padded(where, across), across, QUIET), "  ", plain(what, width - across - 2))
            for where, what in shown
        ]
        return [Content(""), plain("came out last", width, "bold $pb-text"), *rows]

    def _below(self, data: FormData, width: int) -> list[Content]:
        """What is typed, what it comes to, and what is asked."""
        out = [self._fields(data, width), self._verdict(data, width)]
        if data.rule is not None:
            marks = [RuleMark(label, low, high, at, best) for label, low, high, at, best in data.rule.marks]
            out += steel_rule(
                width,
                marks,
                data.rule.pointer,
                data.rule.unit,
                in_fractions=data.rule.in_fractions,
                glyphs=self.glyphs,
            )
        if data.ask:
            out += signed("asks", data.ask, width, self.glyphs)
        elif data.near:
            out += signed("note", data.near, width, self.glyphs, "$pb-muted")
        return out

    def _in_words(self, head: list[Content], data: FormData, width: int, height: int) -> list[Content]:
        """The same in words: what is typed and what it comes to at once, always on the same lines; then the face."""
        if data.quiet:
            said = [row for line in data.quiet if line.strip() for row in wrapped(" ".join(line.split()), width)]
            return head + said
        fields = []
        for field in data.fields:
            text = hole_text(field.text) if field.name == "hole" else f"{field.name} {field.text or 'empty'}"
            text += " stands there" if field.stands else ""
            fields.append(f"now {text}" if field.here else text)
        out = [*head, *wrapped("; ".join(fields), width, CURSOR)]
        if data.verdict:
            out += wrapped(spoken(f"{data.verdict}: {data.size}"), width, "bold $pb-text")
        if data.ask or data.near:
            out += signed("asks" if data.ask else "note", data.ask or data.near, width, self.glyphs)
        if data.rule is not None:
            marks = [RuleMark(label, low, high, at, best) for label, low, high, at, best in data.rule.marks]
            out += steel_rule(width, marks, data.rule.pointer, data.rule.unit, glyphs=self.glyphs)
        out += wrapped(spoken(data.style), width, "$pb-muted")
        room = height - len(out)
        return out + plate(
            data.holes,
            data.sizes,
            width,
            room,
            cursor=data.cursor,
            title=data.face,
            elsewhere=data.elsewhere,
            glyphs=self.glyphs,
            taps=True,
        )

    def _plate(self, data: FormData, width: int, room: int) -> list[Content]:
        """The holes, drawn anew only when they or the room for them have changed: figures are typed below them."""
        # Names of sizes stand on the rows below, too, as long as nothing is said there.
        spare = 0 if data.fields or data.rule or data.ask or data.near else BELOW - 2
        faces = data.face, data.elsewhere
        seen = (data.holes, data.sizes, data.cursor, faces, data.keys, width, room, spare, self.glyphs)
        return self._plated.of(
            seen,
            lambda: plate(
                data.holes,
                data.sizes,
                width,
                room,
                cursor=data.cursor,
                title=data.face,
                elsewhere=data.elsewhere,
                glyphs=self.glyphs,
                taps=True,
                keys=data.keys,
                spare=spare,
            ),
        )

    def _quiet(self, line: str, width: int) -> list[Content]:
        """A line, or a key and what it does, whole: what is too long goes on below."""
        key, tab, text = line.partition("\t")
        if not tab:
            return [plain(line, width)] if cell_len(line) <= width else wrapped(line, width)
        lead = Content.styled(key.ljust(KEYS), KEY)
        rows = wrapped(text, max(4, width - KEYS))
        drawn = [Content.assemble(lead if at == 0 else " " * KEYS, row) for at, row in enumerate(rows)]
        return [tapped(row, "key", key.partition(" ")[0]) for row in drawn]

    def _fields(self, data: FormData, width: int) -> Content:
        """The fields in a row; where they are too long for it the first ones give way to the one being typed."""
        fields = data.fields
        row = self._row(fields, width)
        while row.cell_length - len(GAP) > width and len(fields) > 1 and not fields[0].here:
            fields = fields[1:]
            row = self._row(fields, width)
        return row

    def _row(self, fields: tuple[FieldView, ...], width: int) -> Content:
        parts: list[Content | str] = []
        room = max(8, width - sum(len(f.name) + 4 for f in fields))
        for field in fields:
            cursor = "_" if field.here and not field.stands else ""
            style = FIELD if field.here else "bold $pb-text"
            text = f"[{field.text}]" if field.stands else f"{field.text}{cursor}"
            shown = plain(f" {text[-room:]} " if field.here else f" {text}", room + 2, style)
            parts += [Content.styled(field.name, "$pb-muted"), shown, GAP]
        return Content.assemble(*parts) if parts else Content("")

    def _verdict(self, data: FormData, width: int) -> Content:
        if not data.verdict:
            return plain(_whole(data.style, width), width, "$pb-muted")
        found = Content.assemble(
            sign(data.verdict, self.glyphs),
            " ",
            plain(data.size, max(8, width - 3 - len(data.verdict)), "bold $pb-text", ascii_only=self.glyphs.ascii),
            " ",
            Content.styled(data.verdict, "$pb-muted"),
        )
        room = width - found.cell_length - 2
        if room >= 6 and data.style:
            return Content.assemble(found, "  ", plain(_whole(data.style, room), room, "$pb-muted"))
        return found


def _whole(message: str, room: int) -> str:
    """Return as many of the words between commas as fit in `room` cells, the first in any case."""
    words = message.split(", ")
    while len(words) > 1 and cell_len(", ".join(words)) > room:
        words.pop()
    return ", ".join(words)
