"""A size typed away from the bench, on the bench's own form: a fastener written in late, one said right, a further
reading. What is typed is named while it is typed, and nothing that was answered is lost by a refusal."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.trade import commands as c
from putback.trade.record.face import Face
from putback.trade.record.fastener import FIELD, FIELDS, Thing, spot
from putback.trade.record.holes import counts_text, spots_in
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.sizes.just_like import alike_in_step
from putback.tui.dialogs.face_pick import FacePick
from putback.tui.dialogs.keyed import KeyedModal, Taps
from putback.tui.dialogs.questions import Questions
from putback.tui.draw.frame import feet, inner_width
from putback.tui.draw.palette import LOOK
from putback.tui.draw.text import wrapped
from putback.tui.draw.views import hole_views, size_views, taken_holes
from putback.tui.form import entry
from putback.tui.form.form_pane import FieldView, FormData, FormPane
from putback.tui.form.typed_readings import as_fields, as_typed
from putback.tui.form.typed_size import entered, fault_in, field_views, snapped, style_of, wanted
from putback.tui.keyboard.keys import command_for

Chosen = Callable[[str, entry.Form, Face], "entry.Form | str"]
"""Gives the form for a place that was pressed on a face, or, for `*`, for the next hole at the place of the form; else
a sentence why there is none."""


class SizesScreen(KeyedModal[entry.Form | None]):
    """The bench's form for one fastener. Gives the form, once it is entered whole, or None."""

    def __init__(
        self,
        step: Step,
        form: entry.Form,
        caption: str,
        *,
        chosen: Chosen | None = None,
        like: Thing | None = None,
        text: str = "",
        face: Face | None = None,
    ) -> None:
        """`face` is the one in view, None: that in hand. `chosen` lets a hole be chosen; `like` is what `+` takes the
        size of; `text` is why it is asked again.
        """
        super().__init__()
        self._step, self.form, self._caption = step, form, caption
        self.face = step.face_in_hand if face is None else face
        self._chosen, self._like, self._message = chosen, like, text

    def compose(self) -> ComposeResult:
        with Vertical(classes="card noun"):
            yield FormPane(id="sizes")
            yield Static(id="answer")
            yield Static(id="foot")

    def on_mount(self) -> None:
        self.query_one(FormPane).glyphs = self.host.glyphs
        self.query_one(FormPane).titled = False
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    @property
    def record(self) -> Record:
        """The record of the workshop."""
        return self.host.workshop.record

    @property
    def machine(self) -> Machine:
        """The machine it belongs to."""
        return self.record.get(Machine, self._step.machine)

    @property
    def _free(self) -> bool:
        """Whether it asks for readings of no hole yet."""
        return bool(self.form.only) and not self.form.mends

    # -- drawing -------------------------------------------------------------------------------------

    def redraw(self) -> None:
        """Draw the form, what was refused, and the keys."""
        width = inner_width(self.app.size.width)
        self.query_one(FormPane).show(self._data())
        answer = wrapped(self.voiced(self._message), width, LOOK) if self._message else []
        self.query_one("#answer", Static).update(Content("\n").join(answer))
        keymap = self.host.keymap
        if self.form.hole:
            labels = entry.labels(self.form)
            idle = {"far.field"} if self.form.text or self._like is not None else {"far.field", "same.field"}
            keys = [key for key in keymap.keys_of("field") if key.id not in idle]
            pairs = [(key.shown, labels.get(key.id, key.label)) for key in keys]
        else:
            pairs = [(key.shown, key.label) for key in keymap.keys_of("hole")]
        self.query_one("#foot", Static).update(Content("\n").join(feet(pairs, width)))
        self.point(self.query_one(FormPane), 2)

    def _data(self) -> FormData:
        step, form = self._step, self.form
        fields = field_views(form)
        if form.hole and not self._free:
            fields.insert(0, FieldView("hole", form.hole, False))
        data = FormData(
            title=self._caption,
            under=f"step {step.number}, {step.name}",
            face=self.face,
            elsewhere=counts_text(step, taken_holes(self.record, step), self.face),
            holes=tuple(hole_views(self.record, step, now="" if self._free else form.hole, face=self.face)),
            keys=self.host.keymap.places,
            sizes=tuple(size_views(self.record, step)),
            cursor=form.hole if form.hole and not self._free else None,
            fields=tuple(fields),
            style=style_of(form),
            ask=wanted(form, self.words),
        )
        if not form.hole or not form.readings:
            return data
        return snapped(data, form, self.record, self.machine, have=self.host.workshop.have, words=self.words)

    # -- keys ----------------------------------------------------------------------------------------

    @property
    def places(self) -> tuple[str, ...]:
        """In a field, or where a hole is asked for."""
        return ("field",) if self.form.hole else ("hole",)

    def press(self, key: str) -> None:
        """Take one key."""
        self._message = ""
        if self.form.hole and command_for(key, "field") == "help.field":
            self.show_keys("field")
        elif self.form.hole:
            self._type(key)
        elif command_for(key, "hole") == "hole.leave":
            self.leave(None)
        elif command_for(key, "hole") == "hole.help":
            self.show_keys("hole", "field")
        elif command_for(key, "hole") == "hole.place":
            self._choose(key)
        elif command_for(key, "hole") == "hole.face" and self._chosen is not None:
            beside = counts_text(self._step, taken_holes(self.record, self._step))
            self.host.push_screen(FacePick("On which face is the hole?", self.face, beside, unsaid=False), self._turned)
        if self.on_top:
            self.redraw()

    @property
    def taps(self) -> Taps:
        return {"place": self.tap_place}

    def tap_place(self, place: str) -> None:
        """Choose a hole of the map, as long as nothing is typed for another."""
        if self._chosen is not None and not any(text.strip() for text in self.form.typed):
            self._message = ""
            self._choose(place)
            self.redraw()

    def _turned(self, face: Face | None) -> None:
        """Have a face in view that was chosen; None: none was."""
        self.face = self.face if face is None else face
        self.redraw()

    def _choose(self, key: str) -> None:
        found = (
            self._chosen(key, self.form, self.face) if self._chosen is not None else self.words("Type figures first.")
        )
        if isinstance(found, str):
            self._message = found
        else:
            self.form = found

    def _type(self, key: str) -> None:
        form = self.form
        untouched = not form.text and len(form.typed) == 1
        if key == "escape":
            self.leave(None)
        elif untouched and (key == "-" or (key == "backspace" and not form.standing)):
            if self._chosen is None:
                self.leave(None)
            else:
                self.form = replace(form, hole="", typed=(), stands={} if form.mends else form.stands)
        elif untouched and key == "*":
            self._choose(key)
        elif untouched and key == "+" and self._like is not None:
            readings = as_fields(self._like.readings, form.kind, self.machine)
            self.leave(replace(form, stands={}, extra={**form.extra, **readings}))
        elif not form.text and key == "+":
            self._message = self.words("Type figures first; {same.field} behind them says that they are rough.")
        else:
            self._go_on(key)

    def _go_on(self, key: str) -> None:
        form, act = entry.press(self.form, key, taken=(), suggested="")
        if key == "enter" and self.form.text.strip() and not self._free and act.do != "refused":
            self._message = fault_in(self.form, self.record, self.machine)
            if self._message:
                return
        self.form = form
        if act.do == "record":
            self.leave(form)
        elif act.do == "refused":
            self._message = self.words(act.why)


def standing_form(record: Record, thing: Thing) -> entry.Form:
    """Return the form of a fastener as it is recorded, its size standing in the fields."""
    machine = record.get(Machine, thing.machine)
    stands = {name: text for name, text in as_fields(thing.readings, thing.name, machine).items() if text}
    fields = (*entry.FIELDS[thing.name], *(name for name in stands if name not in entry.FIELDS[thing.name]))
    return entry.Form(
        hole=thing.hole,
        kind=thing.name,
        head=thing.head,
        drive=thing.drive,
        hand=thing.hand,
        typed=("",),
        stands=stands,
        mends=True,
        only=() if fields == entry.FIELDS[thing.name] else fields,
        extra={
            name: text
            for name in FIELD
            if name not in entry.SAID and FIELD[name].names and (text := getattr(thing, name))
        },
    )


async def correct_size(questions: Questions, record: Record, thing: Thing, form: entry.Form | None = None) -> None:
    """Ask for the size of a fastener as it stands, until it is recorded or left."""
    step, message = record.get(Step, thing.step), ""
    form = form or standing_form(record, thing)
    while True:
        asked = f"Hole {thing.spot}, {thing.called}: what was read?"
        sizes = SizesScreen(step, form, asked, text=message, face=thing.face or step.face)
        done = await questions.host.push_screen_wait(sizes)
        if done is None or await _recorded(questions, record, thing, done):
            return
        form, message = _again(done), questions.host.message.words


async def size_corrected(questions: Questions, record: Record, thing: Thing, command: c.MendFastener) -> bool:
    """Say something right of a fastener, and where others of its step are just like it, ask whether of them, too.

    False where it was refused; what was left is answered.
    """
    alike = alike_in_step(record, thing)
    if alike:
        options = ("this one", f"all {len(alike) + 1} like it in this step")
        chosen = await questions.pick(f"Hole {thing.spot}: {_said(command)}. Of which is that so?", options)
        if chosen is None:
            return True
        if chosen == options[1]:
            command = replace(command, also=tuple(other.id for other in alike))
    return questions.host.do(command) is not None


def _said(command: c.MendFastener) -> str:
    """Return what is said right, in the person's own words: what was typed, not what the record has until then."""
    if command.readings:
        return ", ".join(as_typed(command.readings).values())
    said = {field.name: getattr(command, field.name) for field in FIELDS if field.name != "note"}
    if command.hand:
        said["hand"] = f"{command.hand}-hand"
    return ", ".join(str(words) for words in (command.kind, *said.values()) if words) or "not said"


async def _recorded(questions: Questions, record: Record, thing: Thing, form: entry.Form) -> bool:
    readings = entered(form, record.get(Machine, thing.machine)).readings
    if readings == thing.readings:
        questions.host.say("note", f"hole {thing.spot} stays as it is: {thing.called}")
        return True
    return await size_corrected(questions, record, thing, c.MendFastener(thing=thing.id, readings=readings))


def _again(form: entry.Form) -> entry.Form:
    """Return a form that was refused with all that was typed standing in its fields."""
    typed = {name: text for name, text in zip(form.fields, form.typed, strict=False) if text.strip()}
    return replace(form, stands={**form.stands, **typed}, typed=("",), erasing=False)


async def correct_last_size(questions: Questions, record: Record, step: Step) -> None:
    """Ask which hole of a step is meant, and for its size."""
    things = [t for t in record.things_of(step) if t.sort == "fastener" and t.hole and not t.found and not t.replaces]
    meant: list[Thing] = []

    face = step.face_in_hand

    def chosen(key: str, form: entry.Form, on: Face) -> entry.Form | str:
        nonlocal face
        place, face = key if key != "*" else form.hole[0], on
        at = [thing for thing in things if thing.hole[0] == place and thing.face == step.own_face(on)]
        if not at:
            return f"Nothing that was measured came out of hole {spot(place, step.own_face(on))} here."
        before = meant.pop() if key == "*" and meant else None
        meant[:] = [at[(at.index(before) + 1) % len(at)] if before in at else at[0]]
        return standing_form(record, meant[0])

    form, message = entry.Form(), ""
    while True:
        caption = "Which hole, and what was read?"
        asked = SizesScreen(step, form, caption, chosen=chosen, text=message, face=face)
        done = await questions.host.push_screen_wait(asked)
        if done is None or not meant or await _recorded(questions, record, meant[0], done):
            return
        form, message = _again(done), questions.host.message.words


async def ask_late(
    questions: Questions, record: Record, step: Step, kind: str, form: entry.Form | None, message: str, face: Face
) -> tuple[entry.Form, Face] | None:
    """Ask for a fastener that was forgotten: its hole, then its size. Gives both and the face; None where it was left.

    `form` and `face` are what was answered before it was refused, `message` why.
    """
    like = next((t for t in reversed(record.things_of(step)) if t.name == kind and not t.found), None)
    taken: Sequence[str] = taken_holes(record, step)
    if form is None:
        form = entry.Form(kind=kind, head=like.head if like else "", drive=like.drive if like else "")

    def chosen(key: str, now: entry.Form, on: Face) -> entry.Form | str:
        return now.choose(key if key != "*" else entry.next_letter(now.hole, spots_in(step, on, taken)))

    asked = SizesScreen(step, form, f"Which hole, and what {kind}?", chosen=chosen, like=like, text=message, face=face)
    done: entry.Form | None = await questions.host.push_screen_wait(asked)
    return None if done is None else (done, asked.face)


def as_answered(form: entry.Form) -> entry.Form:
    """Return the form of a late fastener to be asked again after a refusal, with every answer standing."""
    return _again(form)


async def ask_readings(
    questions: Questions, record: Record, step: Step, form: entry.Form, names: tuple[str, ...], caption: str
) -> dict[str, str] | None:
    """Ask for some further readings of the next fastener; None where it was left. Marks stay as typed."""
    asked = replace(form, hole="1", only=names, typed=("",), stands={}, mends=False, erasing=False)
    done = await questions.host.push_screen_wait(SizesScreen(step, asked, caption))
    if done is None:
        return None
    return {name: text.strip() for name, text in zip(names, done.typed, strict=False) if text.strip()}
