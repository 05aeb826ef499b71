"""A size asked for away from the bench: typed and named as there, of a fastener that has no step yet."""

from __future__ import annotations

from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.errors import PutbackError
from putback.trade import commands as c
from putback.trade.commands.named_size import answer_for, sized
from putback.trade.record.fastener import Thing
from putback.tui.dialogs.keyed import KeyedModal
from putback.tui.draw.frame import feet, inner_width
from putback.tui.draw.palette import FIELD
from putback.tui.draw.signs import sign, signed
from putback.tui.draw.text import plain, wrapped
from putback.tui.form import entry
from putback.tui.form.typed_readings import as_read, field_word


class SizeAsk(KeyedModal[c.Enter | None]):
    """A size, typed and named as at the bench. Gives the fastener as a command, or None."""

    def __init__(self, caption: str, form: entry.Form, *, like: Thing | None = None) -> None:
        """`form` has kind, head and drive; `like` is the one whose size `+` in an empty field takes."""
        super().__init__()
        self._caption = caption
        self._form = form.choose(form.hole or "5")
        self._like = like
        self._why = ""

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="size")

    def on_mount(self) -> None:
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    def command(self) -> c.Enter:
        """Return what is typed as a command."""
        form, machine = self._form, self.host.machine
        readings = as_read(form.readings, machine) if machine is not None else form.readings
        return c.Enter(hole=form.hole, kind=form.kind, head=form.head, drive=form.drive, readings=readings)

    def _named(self) -> tuple[str, str, str]:
        """Return verdict and size as the readings so far name them, and what is asked or wrong."""
        machine = self.host.machine
        if machine is None or not self._form.readings:
            return "", "", ""
        try:
            answer = answer_for(self.host.workshop.record, machine, self.command(), self.host.workshop.have)
        except PutbackError as fault:
            return "", "", str(fault)
        half = answer.length if self._form.field == "length" and answer.length is not None else answer.thread
        verdict = half or answer.standard
        asked = None if verdict is None else verdict.ask
        return "" if answer.problem else answer.verdict, answer.size, answer.problem or (asked.why if asked else "")

    def redraw(self) -> None:
        """Draw what is typed, and what it comes to."""
        width = min(60, inner_width(self.app.size.width))
        form, glyphs = self._form, self.host.glyphs
        typed = dict(zip(form.fields, form.typed, strict=False))
        lines = wrapped(self.voiced(self._caption), width, "bold $pb-text")
        lines.append(plain(", ".join(filter(None, (form.kind, form.head, form.drive))), width, "$pb-muted"))
        lines.append(Content(""))
        fields: list[Content | str] = []
        for name in form.fields[: max(2, len(form.typed))]:
            here = name == form.field
            text = f" {typed.get(name, '')}{'_' if here else ''} "
            style = FIELD if here else "bold $pb-text"
            fields += [
                Content.styled(field_word(name, typed.get(name, "")), "$pb-muted"),
                " ",
                plain(text, None, style),
                "  ",
            ]
        lines.append(Content.assemble(*fields))
        verdict, size, why = self._named()
        if verdict:
            named = plain(self.voiced(size), width - 12, "bold $pb-text")
            lines.append(Content.assemble(sign(verdict, glyphs), " ", named, (f" {verdict}", "$pb-muted")))
        if self._why or why:
            lines += signed("refused" if self._why else "asks", self._why or why, width, glyphs)
        pair = self.host.keymap.pair
        keys = [pair("enter"), pair("blank"), pair("dash", entry.labels(form)["dash"]), pair("leave.field")]
        if self._like is not None and self._like.readings:
            keys.insert(1, pair("same.field", "as it was"))
        lines += [Content(""), *feet(keys, width)]
        for shown in self.query("#size").results(Static):
            shown.update(Content("\n").join(lines))
            self.point(shown, 3)

    @property
    def places(self) -> tuple[str, ...]:
        """In a field."""
        return ("field",)

    def press(self, key: str) -> None:
        """Take one key of the form."""
        hole, like = self._form.hole, self._like
        bare = len(self._form.typed) == 1 and not self._form.text
        self._why = ""
        if bare and key == "+" and like is not None and like.readings:
            self.leave(replace(self.command(), readings=like.readings))
            return
        if bare and key in ("*", "+"):  # another hole, another like the last: neither is meant here
            self.host.ring("refused")
            return
        form, act = entry.press(self._form, key, taken=(), suggested="")
        if not form.hole:
            self.leave(None)
            return
        self._form = replace(form, hole=hole)
        if act.do == "record":
            self._record()
        elif act.do == "refused":
            self._why = self.words(act.why)
            self.host.ring("refused")
        if not self._left:
            self.redraw()

    def _record(self) -> None:
        command = self.command()
        try:
            sized(self.host.workshop.record, self.host.machine_id, command, have=self.host.workshop.have)
        except PutbackError as fault:
            self._why = str(fault)
            self.host.ring("refused")
        else:
            self.leave(command)
