"""What the view from afar says of the bench as it stands; the loop is the bench's own."""

from __future__ import annotations

from msgspec.structs import replace

from putback.tui.bench.hand import Hand
from putback.tui.dialogs.far_switch import LOUD
from putback.tui.form import entry
from putback.tui.form.form_pane import FormData
from putback.tui.form.typed_readings import MEASURED
from putback.tui.keyboard.key import Key
from putback.tui.widgets.far_pane import FarData, halves
from putback.tui.widgets.panes import RIGHT, WRONG


class FarView:
    """The bench in one pane instead of three."""

    def __init__(self, hand: Hand) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand

    def data(self, form: FormData | None, key: Key) -> FarData:
        """Return what is shown from afar; `form` is what the coming-off pane would show."""
        message = self.host.message
        sort, words = (message.sort, message.words) if message.sort in LOUD else ("", "")
        answers: tuple[tuple[str, str], ...] = ()
        if message.doubts and not self.hand.form.hole:
            answers = ((self.host.keymap.shown("place"), RIGHT), (self.host.keymap.shown("back.place"), WRONG))
        step, face = self.hand.step, self.hand.facing.face
        if step is None or form is None:
            session = self.record.open_session(self.host.machine_id) if self.host.machine is not None else None
            if session is not None and session.paused:
                return FarData("paused", key=key.shown, label="go on", face=face, sort=sort, words=words)
            return FarData(
                face,
                face=face,
                key=key.shown,
                label=key.label,
                sort=sort,
                words=words,
                answers=answers,
                text=self.text(),
            )
        thread, length, named, word, here = "", "", "", form.verdict, ""
        if self.hand.form.hole:
            whole = self.could_be_whole()
            thread, length = halves(form.size) if whole else halves(form.size.partition(" x ")[0])
            typed = self.hand.form.typed
            names = [entry.FIELD_WORDS[name] for name in self.hand.form.fields]
            word, here = word if whole else "", "length" if len(typed) > 1 else "thread"
            if len(typed) > 1:
                thread, named = thread or typed[0] or names[0], length if typed[-1] else ""
                length = typed[-1] or names[len(typed) - 1]
            elif not typed[0]:
                thread, length = names[0], ""
            elif not whole or not thread:
                thread, length = typed[0], ""
            elif " or " in thread:  # both of them tall, the figures beside
                length, here = typed[0], "length"
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
            here=here,
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
        text, machine = self.hand.form.text.strip(), self.host.machine
        if not text or text[-1] in "./-":
            return False
        short = text.isdigit() and len(text) < 3 and machine is not None and machine.unit == "in"
        by_number = self.hand.form.field == "gauge" and machine is not None and machine.origin == "uk"
        return not short or by_number or self.hand.form.field not in ("gauge", *MEASURED)

    def text(self) -> str:
        """Return what is worth a line besides: what the last key did, or what is offered in the hole chosen."""
        form = self.hand.form
        if form.hole:
            offers = "" if form.like or not form.offered else " x ".join(form.offers_shown.values())
            return offers and f"as the one before: {offers}"
        text = self.host.message
        return text.words if text.sort in ("recorded", "note") else ""

    def next_key(self) -> Key:
        """Return the one key that is likely next."""
        key = self.host.keymap.key
        if self.hand.form.hole:
            if not (self.hand.form.text or self.hand.form.offered):
                return key("type")
            enter = key("enter")
            return replace(enter, label=entry.labels(self.hand.form).get("enter", enter.label))
        step = self.hand.step
        if step is None:
            session = self.record.open_session(self.host.machine_id)
            return key("pause" if session is not None and session.paused else "begin.place")
        fasteners = [t for t in self.record.things_of(step) if t.sort == "fastener"]
        return key("same" if fasteners else "place")
