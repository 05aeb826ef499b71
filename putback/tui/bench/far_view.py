"""What the view from afar says of the bench as it stands; the loop is the bench's own."""

from __future__ import annotations

from msgspec.structs import replace

from putback.tui.bench.bench_commands import BenchCommands
from putback.tui.form import entry
from putback.tui.form.form_pane import FormData
from putback.tui.form.typed_readings import MEASURED
from putback.tui.keyboard.keys import Key
from putback.tui.widgets.far_pane import FarData, FarPane, halves
from putback.tui.widgets.panes import RIGHT, WRONG

SMALL = (70, 20)
"""Columns and rows below which the coming-off pane has no room for the length and the verdict."""

LOUD = ("refused", "asks", "caution")
"""What has to be said even from afar."""


class FarView(BenchCommands):
    """The bench with one pane instead of three."""

    far = False
    far_asked: bool | None = None
    """Which view was asked for: True from afar, False the panes; None where none was."""

    def command_far(self) -> None:
        """Go to the view from afar, and back."""
        if self.host.glyphs.words:
            self.host.refuse("With words alone there is no view from afar.")
            return
        self.far_asked = not self.far
        self.choose_view()

    def choose_view(self) -> None:
        """Show what was asked for; unasked, the view from afar where three panes would cut the size off."""
        size = self.app.size
        small = 0 < size.width < SMALL[0] or 0 < size.height < SMALL[1]
        far = small if self.far_asked is None else self.far_asked
        if self.host.glyphs.words:  # words are as large as the terminal has them
            far = False
        if self.host.machine is None:  # nothing has a size yet, and what an empty bench says has room
            far = False
        if far == self.far:
            return
        self.far = far
        if self.far and not self.query(FarPane):
            pane = FarPane(id="far")
            pane.glyphs = self.host.glyphs
            self.mount(pane, before=0)
        self.set_class(self.far, "-far")
        self.call_after_refresh(self.redraw)

    def far_data(self, form: FormData | None, key: Key) -> FarData:
        """Return what is shown from afar; `form` is what the coming-off pane would show."""
        message = self.host.message
        sort, words = (message.sort, message.words) if message.sort in LOUD else ("", "")
        answers: tuple[tuple[str, str], ...] = ()
        if message.doubts and not self.form.hole:
            answers = ((self.key_of("place"), RIGHT), (self.key_of("back.place"), WRONG))
        step = self.step
        if step is None or form is None:
            session = self.record.open_session(self.host.machine_id) if self.host.machine is not None else None
            if session is not None and session.paused:
                return FarData("paused", key=key.shown, label="go on", face=self.face, sort=sort, words=words)
            return FarData(
                self.face,
                face=self.face,
                key=key.shown,
                label=key.label,
                sort=sort,
                words=words,
                answers=answers,
                text=self.text(),
            )
        thread, length, named, word = "", "", "", form.verdict
        if self.form.hole:
            whole = self.could_be_whole()
            thread, length = halves(form.size) if whole else halves(form.size.partition(" x ")[0])
            typed = self.form.typed
            names = [entry.FIELD_WORDS[name] for name in self.form.fields]
            word = word if whole else ""
            if len(typed) > 1:
                thread, named = thread or typed[0] or names[0], length if typed[-1] else ""
                length = typed[-1] or names[len(typed) - 1]
            elif not typed[0]:
                thread, length = names[0], ""
            elif not whole or not thread:
                thread, length = typed[0], ""
            elif " or " in thread:  # both of them tall, the figures beside
                length = typed[0]
            else:
                thread, length = typed[0], thread
            if form.ask and (not form.verdict or (whole and form.verdict in ("either", "none"))):
                sort, words = "asks", form.ask
        else:
            things = [t for t in self.record.things_of(step) if t.sort == "fastener"]
            if things:
                thread, length = halves(things[-1].size)
                word = "" if things[-1].like else things[-1].verdict  # one like it was not measured
        return FarData(
            thread=thread or step.name,
            length=length,
            named=named,
            verdict=word,
            face=form.face,
            elsewhere=form.elsewhere,
            holes=form.holes,
            cursor=form.cursor,
            key=key.shown,
            label=key.label,
            sort=sort,
            words=words,
            keys=form.keys,
            answers=answers,
            text=self.text(),
        )

    def could_be_whole(self) -> bool:
        """Tell whether the figures in the field could be all of them: a bare length of an inch machine has three, as
        has a gauge off a plate but in the UK, where 2 is 2BA."""
        text, machine = self.form.text.strip(), self.host.machine
        if not text or text[-1] in "./-":
            return False
        short = text.isdigit() and len(text) < 3 and machine is not None and machine.unit == "in"
        by_number = self.form.field == "gauge" and machine is not None and machine.origin == "uk"
        return not short or by_number or self.form.field not in ("gauge", *MEASURED)

    def text(self) -> str:
        """Return what is worth a line besides: what the last key did, or what is offered in the hole chosen."""
        if self.form.hole:
            offers = "" if self.form.like or not self.form.offered else " x ".join(self.form.offers_shown.values())
            return offers and f"as the one before: {offers}"
        text = self.host.message
        return text.words if text.sort in ("recorded", "note") else ""

    def next_key(self) -> Key:
        """Return the one key that is likely next."""
        key = self.host.keymap.key
        if self.form.hole:
            if not (self.form.text or self.form.offered):
                return key("type")
            enter = key("enter")
            return replace(enter, label=entry.labels(self.form).get("enter", enter.label))
        step = self.step
        if step is None:
            session = self.record.open_session(self.host.machine_id)
            return key("pause" if session is not None and session.paused else "begin.place")
        fasteners = [t for t in self.record.things_of(step) if t.sort == "fastener"]
        return key("same" if fasteners else "place")
