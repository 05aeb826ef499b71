"""What the panes of the bench show, worked out from the record and from what is being typed."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from putback.reports.bags import bag_rows
from putback.reports.walking import walk_steps
from putback.trade import commands as c
from putback.trade.checks.ledger import bench_check
from putback.trade.record.holes import counts_text, spots_in
from putback.trade.record.machine import Part
from putback.trade.record.phrases import few
from putback.trade.record.place import going
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import HoleGuess, expected, guess, known_holes
from putback.tui.bench.far_view import FarView
from putback.tui.dialogs.face_pick import NOT_SAID
from putback.tui.draw.latest import Latest
from putback.tui.draw.views import MessageData, hole_views, size_views, taken_holes, tree_rows
from putback.tui.form import entry
from putback.tui.form.form_pane import FieldView, FormData, FormPane
from putback.tui.form.typed_size import entered, field_views, snapped, style_of
from putback.tui.keyboard.keys import Key
from putback.tui.widgets.far_pane import FarPane
from putback.tui.widgets.panes import (
    RIGHT,
    WRONG,
    BagPane,
    BagsData,
    Header,
    KeysLine,
    MessageLine,
    TreePane,
)

WELCOME = (
    "",
    "Three short questions, and a machine",
    "stands here. Enter alone answers each;",
    "all can be put right later.",
)
"""What an empty bench says."""


class Showing(FarView):
    """The bench as it is drawn: what comes of keys is its heir's."""

    _stand = (-1, 0, 0)
    _tree = (0, "", 0, -1)
    _pressing = False

    def __init__(self) -> None:
        super().__init__()
        self._last: Latest[MessageData] = Latest()
        self._known: Latest[tuple[str, ...]] = Latest()

    def known(self, step: Step) -> tuple[str, ...]:
        """Return the holes that the face in hand is likely to have by the part's mirror; looked up once a change."""
        face = self.face_in_hand(step)
        stand = (self.host.workshop.store.number, step.id, face)
        return self._known.of(stand, lambda: known_holes(self.record, self.faced(step), face))

    def taken(self, step: Step) -> list[str]:
        """Return the places on the face in hand that hold something already, in the order they were entered."""
        return spots_in(self.faced(step), self.face_in_hand(step), taken_holes(self.record, step))

    def likely(self, step: Step, taken: Sequence[str]) -> HoleGuess:
        """Return the hole that comes next on the face in hand, and by what it is guessed."""
        return guess(self.record, self.faced(step), taken, self.known(step), self.face_in_hand(step))

    def command(self) -> c.Enter:
        """Return the form as a command."""
        return replace(entered(self.form, self.host.machine), face=self.hole_face)

    def redraw(self) -> None:
        """Draw what is."""
        if not self._pressing:
            self.redraw_hand()
            self.redraw_beside()

    def redraw_hand(self) -> None:
        """Draw all but tree and bags."""
        app = self.host
        machine = app.machine
        if self.far:
            self.redraw_far()
            return
        session = self.record.open_session(app.machine_id) if app.machine_id else None
        self.query_one(Header).show(self.header(session))
        self.query_one(MessageLine).show(self.message_now())
        self.query_one(KeysLine).show(tuple(self.keys_now()))
        form = self.query_one(FormPane)
        form.entitle(self.form_title())
        if machine is None:
            form.show(FormData(title="An empty bench", under="", face="", quiet=WELCOME))
            return
        data = self.form_data(self.step)
        form.show(data)
        self.point(
            form if self.form.hole else self.query_one(MessageLine), 3 + bool(data.goes) if self.form.hole else 0
        )

    @property
    def stand(self) -> tuple[int, int, int]:
        """What tree and bags depend on; typing changes neither."""
        step = self.step
        return (self.host.workshop.store.number, self.host.machine_id, step.area if step else self.area)

    def redraw_beside(self) -> None:
        """Draw tree and bags, where they may have changed."""
        machine, stand = self.host.machine, self.stand
        if machine is None or self.far or stand == self._stand:
            return
        self._stand = stand
        tree = (machine.id, machine.name, stand[2], self.record.tree_changes(machine.id))
        if tree != self._tree:  # of thousands of parts the rows take longer than a key may
            self._tree = tree
            self.query_one(TreePane).show(tuple(tree_rows(self.record, machine, stand[2])))
        rows = bag_rows(self.record, machine.id)
        loose = sum(held.count for held in bench_check(self.record, machine.id))
        step = self.step
        self.query_one(BagPane).show(BagsData(tuple(rows), step.bag if step else 0, loose))

    def redraw_far(self) -> None:
        """Draw the view from afar."""
        for pane in self.query(FarPane):
            pane.show(self.far_data(self.form_data(self.step) if self.host.machine else None, self.next_key()))

    def form_title(self) -> str:
        """Return the title of the middle pane."""
        step = self.step
        return "coming off" if step is None or step.do == "take off" else step.do

    def message_now(self) -> MessageData:
        """Return what the line under the panes says: always with what would be taken back."""
        message = self.host.message
        if not message.words:
            return self.last_message()
        if message.back:
            return message
        return replace(message, back=self.last_message().words.removeprefix("last: "))

    def last_message(self) -> MessageData:
        """Return what to say before anything was done."""
        workshop, machine = self.host.workshop, self.host.machine_id

        def from_the_logbook() -> MessageData:
            last = workshop.last_done(machine) if machine else None
            return MessageData("note", f"last: {last.change.said}" if last else "", "that" if last else "")

        return self._last.of((workshop.store.number, machine), from_the_logbook)

    def keys_now(self) -> list[Key]:
        """Return the keys that matter now."""
        if self.host.machine is None:
            keymap = self.host.keymap
            asked = [replace(k, label="begin") for k in keymap.keys_of("part") if k.id == "begin"]
            return [*asked, *(k for k in keymap.keys_of("bench") if k.id in ("help", "quit"))]
        if self.form.hole:
            labels = entry.labels(self.form)
            return [replace(k, label=labels.get(k.id, k.label)) for k in self.host.keymap.keys_of("field")]
        place = "part" if self.step is None else "place"
        wanted = {"anytime", "closebag", "pause", "help"} if place == "place" else {"refit", "summary", "pause", "help"}
        keymap = self.host.keymap
        if self.host.message.doubts:
            answers = {"place": RIGHT, "begin.place": RIGHT, "back.place": WRONG, "back": WRONG}
            found = [replace(k, label=answers.get(k.id, k.label)) for k in keymap.keys_of(place)]
            found.sort(key=lambda k: k.id not in answers)
            return [*found, keymap.key("help")]
        here = keymap.keys_of(place)
        if place == "part" and self.in_a_unit and self.leads_inside() is None:
            here = [replace(k, label="out") if k.id == "area" else k for k in here]
        return [*here, *(k for k in keymap.keys_of("bench") if k.id in wanted)]

    def form_data(self, step: Step | None) -> FormData:
        """Return what the coming-off pane shows."""
        if step is None:
            return self.before_part()
        form = self.form
        taken, face = self.taken(step), self.face_in_hand(step)
        likely = self.likely(step, taken)
        known = expected(self.known(step), taken)
        views = tuple(
            hole_views(self.record, self.faced(step), now=form.hole, suggested=likely.hole, known=known, face=face)
        )
        # The legend of the odd one has the line first.
        quiet = form.hole or any(view.odd for view in views)
        by = "" if quiet else likely.by
        area = self.record.get(Part, step.area).name if step.area else ""
        bag = f"bag {step.bag}" if step.bag else "a new bag"
        put = self.goes_to
        stays = "the part is its pieces" if step.do == "take off" else "part stays"
        off = f"part {going(put)}" if put else stays
        held = few([other.name for other in self.held()], 2)
        under = f"step {step.number}" + (f", inside {area}" if area else "") + (f"; on hold: {held}" if held else "")
        fields = field_views(form)
        if form.hole:
            fields.insert(0, FieldView("hole", form.hole, False))
        style = style_of(form)
        data = FormData(
            title=step.name,
            under=under,
            goes=f"screws into {bag}, {off}",
            face=face,
            elsewhere=counts_text(self.faced(step), taken_holes(self.record, step), face),
            holes=views,
            keys=self.host.keymap.places,
            sizes=tuple(size_views(self.record, step)),
            cursor=form.hole or likely.hole or None,
            fields=tuple(fields),
            style=style,
            near=by,
        )
        return self.snapped(data) if form.readings else data

    def snapped(self, data: FormData) -> FormData:
        """Return the data with the size as the readings so far name it."""
        if self.host.machine is None:
            return data
        return snapped(data, self.form, self.record, self.host.machine, have=self.host.workshop.have, words=self.words)

    def stated(self) -> list[str]:
        """Return what was said between parts, of the next one, as lines of the pane."""
        form = self.form
        looks = ", ".join(
            filter(None, (form.head, form.drive and f"drive {form.drive}", form.hand and f"{form.hand}-hand"))
        )
        bag = "" if self.hand is None else f"bag {self.hand}" if self.hand else "a new one"
        return [line for line, text in ((f"screw  {looks}", looks), (f"bag    {bag}", bag)) if text]

    def stand_held(self) -> list[str]:
        """Return the parts on hold as lines of the pane, the one that can go on first first."""
        held = self.held()
        lines = [f"on hold {step.name}: {step.on_hold}" for step in held]
        return [*lines, f"{self.host.keymap.shown('begin')}\t1 Enter: take up {held[0].name} again", ""] if held else []

    def before_part(self) -> FormData:
        """Return what the pane shows while no part is begun."""
        shown = self.host.keymap.shown
        lines = [
            "",
            *self.stand_held(),
            f"face   {self.face or NOT_SAID}",
            f"inside {self.area_name if self.area else 'the machine'}",
            *self.stated(),
            "",
            f"{shown('begin.place')}\tfirst screw there",
            f"{shown('begin')}\tbegin, name it",
            "",
        ]
        session = self.record.open_session(self.host.machine_id)
        resting = session is not None and session.paused
        last = [step for step in walk_steps(self.record, self.host.machine_id, 6) if not step.is_open][:5]
        off = self.leads_inside()
        if off is not None or self.in_a_unit:
            leads = f"out of {self.area_name}" if off is None else f"take {off.name} apart"
            lines[-1:] = [f"{shown('area')}\t{leads}", ""]
        if self.area and (off is not None or not self.in_a_unit):
            lines[-1:] = [f"{shown('inside')}\tout of {self.area_name}, or elsewhere", ""]
        if last:
            lines[-1:] = [
                f"{shown('refit')}\tput it together again",
                f"{shown('pause')}\t{'go on' if resting else 'a break'}",
                f"{shown('summary')}\tthe summary",
                "",
            ]
            lines.append("last")
            lines += [f"{step.number:>4}   {f'{step.name} is back' if step.back else step.text}" for step in last]
        title = "A break" if resting else "What comes off next?"
        return FormData(title=title, under="", face=self.face, quiet=tuple(lines))
