"""What the panes of the bench show, worked out from the record and from what is being typed."""

from __future__ import annotations

from msgspec.structs import replace

from putback.reports.walking import walk_steps
from putback.trade.commands.on_hold import held_because
from putback.trade.record.holes import counts_text, spots_named
from putback.trade.record.machine import Part
from putback.trade.record.phrases import few
from putback.trade.record.place import FITTED, going
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import expected
from putback.tui.bench.hand import Hand
from putback.tui.bench.hold_questions import HoldQuestions
from putback.tui.bench.next_hole import NextHole
from putback.tui.dialogs.face_pick import NOT_SAID
from putback.tui.draw.latest import Latest
from putback.tui.draw.views import MessageData, hole_views, size_views, taken_holes
from putback.tui.form import entry
from putback.tui.form.form_pane import FieldView, FormData
from putback.tui.form.typed_size import field_views, snapped, style_of
from putback.tui.keyboard.bench_keys import in_the_list
from putback.tui.keyboard.key import Key
from putback.tui.widgets.panes import (
    RIGHT,
    WRONG,
)

LAST_OUT = 12
"""Fasteners that are told as the last ones, where there is room."""

WELCOME = (
    "",
    "Three short questions, and a machine",
    "stands here. Enter alone answers each;",
    "all can be put right later.",
)
"""What an empty bench says."""


class Showing:
    """What is shown of the bench as it stands."""

    def __init__(self, hand: Hand, holes: NextHole, held: HoldQuestions) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand
        self.holes = holes
        self.held = held
        self._last: Latest[MessageData] = Latest()
        self._units: Latest[list[Part]] = Latest()
        self._out: Latest[tuple[tuple[str, str], ...]] = Latest()

    def form_title(self) -> str:
        """Return the title of the middle pane."""
        step = self.hand.step
        return "coming off" if step is None or step.do == "take off" else step.do

    def message_now(self) -> MessageData:
        """Return what the line under the panes says: always with what would be taken back."""
        message = self.host.message
        if self.hand.bag_said and message.back != "this":
            message = message if message.words else self.last_message()
            return replace(message, back="the bag that was said")
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
        if self.hand.form.hole:
            labels = entry.labels(self.hand.form)
            return [replace(k, label=labels.get(k.id, k.label)) for k in self.host.keymap.keys_of("field")]
        place = "part" if self.hand.step is None else "place"
        wanted = {"anytime", "closebag", "pause", "help"} if place == "place" else {"refit", "summary", "pause", "help"}
        keymap = self.host.keymap
        if self.host.message.doubts:
            answers = {"place": RIGHT, "begin.place": RIGHT, "back.place": WRONG, "back": WRONG}
            found = [replace(k, label=answers.get(k.id, k.label)) for k in keymap.keys_of(place)]
            found.sort(key=lambda k: k.id not in answers)
            return [*found, keymap.key("help")]
        here = keymap.keys_of(place)
        if place == "part" and self.hand.inside.in_a_unit and self.hand.inside.leads_inside() is None:
            here = [replace(k, label="out") if k.id == "area" else k for k in here]
        return [*here, *(k for k in keymap.keys_of("bench") if k.id in wanted)]

    def form_data(self, step: Step | None) -> FormData:
        """Return what the coming-off pane shows."""
        if step is None:
            return self.before_part()
        form, faced = self.hand.form, self.hand.facing.faced(step)
        taken, face = self.holes.taken(step), self.hand.facing.in_hand(step)
        likely = self.holes.likely(step, taken)
        known = expected(self.holes.known(step), taken)
        views = tuple(hole_views(self.record, faced, now=form.hole, suggested=likely.hole, known=known, face=face))
        # The legend of the odd one has the line first.
        quiet = form.hole or any(view.odd for view in views)
        by = "" if quiet else likely.by
        area = self.record.get(Part, step.area).name if step.area else ""
        bag = f"bag {step.bag}" if step.bag else "a new bag"
        put = self.hand.goes_to
        stays = "the part is its pieces" if step.do == "take off" else "part stays"
        off = f"part {going(put)}" if put else stays
        held = few([other.name for other in self.held.held()], 2)
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
            elsewhere=counts_text(faced, taken_holes(self.record, step), face),
            holes=views,
            keys=self.host.keymap.places,
            sizes=tuple(size_views(self.record, step)),
            cursor=form.hole or likely.hole or None,
            fields=tuple(fields),
            style=style,
            near=by,
            last=self.last_out(step),
        )
        return self.snapped(data) if form.readings else data

    def snapped(self, data: FormData) -> FormData:
        """Return the data with the size as the readings so far name it."""
        machine, words = self.host.machine, self.host.keymap.words
        if machine is None:
            return data
        return snapped(data, self.hand.form, self.record, machine, have=self.host.workshop.have, words=words)

    def stated(self) -> list[str]:
        """Return what was said between parts, of the next one, as lines of the pane."""
        form = self.hand.form
        looks = ", ".join(
            filter(None, (form.head, form.drive and f"drive {form.drive}", form.hand and f"{form.hand}-hand"))
        )
        bag = "" if self.hand.bag is None else f"bag {self.hand.bag}" if self.hand.bag else "a new one"
        return [line for line, text in ((f"screw  {looks}", looks), (f"bag    {bag}", bag)) if text]

    def stand_held(self) -> list[str]:
        """Return the parts on hold as lines of the pane, the one that can go on first first."""
        held = self.held.held()
        lines = [f"on hold {step.name}: {held_because(self.record, step)}" for step in held]
        return [*lines, f"{self.host.keymap.shown('begin')}\t1 Enter: take up {held[0].name} again", ""] if held else []

    def _lettered(self, id: str, does: str) -> str:
        """Return a line of the pane for a key that a bare number pad lacks, with the way to it there is: its list."""
        page, line = in_the_list(id)
        shown = self.host.keymap.shown
        way = " ".join((shown("more"), *[shown("list.next")] * (page - 1), str(line)))
        return f"{shown(id)}\t{does} ({way})"

    def last_out(self, step: Step) -> tuple[tuple[str, str], ...]:
        """Return what came out last, the newest first: part and hole, and what it is and where it went."""

        def found() -> tuple[tuple[str, str], ...]:
            rows: list[tuple[str, str]] = []
            for at in [step, *walk_steps(self.record, self.host.machine_id, LAST_OUT)]:
                if at.id == step.id and rows:
                    continue
                things = [thing for thing in reversed(self.record.things_of(at)) if thing.sort == "fastener"]
                for thing in things[: LAST_OUT - len(rows)]:
                    place = next(iter(self.record.standing(thing.id)), "")
                    what = thing.called.removeprefix("screw ") if not thing.found else "found empty"
                    where = ", ".join(filter(None, (f"{at.number} {at.name}", spots_named([thing.spot]))))
                    rows.append((where, ", ".join(filter(None, (what, "" if place == FITTED else place)))))
            return tuple(rows)

        return self._out.of((self.host.workshop.store.number, step.id), found)

    def other_units(self, off: Step | None) -> bool:
        """Tell whether units lie on the bench besides the one that a key leads into, `off` being the step of that."""
        units = self._units.of(
            (self.host.workshop.store.number, self.host.machine_id, self.hand.inside.area), self.hand.inside.units_off
        )
        return any(off is None or unit.id != off.part for unit in units)

    def before_part(self) -> FormData:
        """Return what the pane shows while no part is begun."""
        shown = self.host.keymap.shown
        lines = [
            "",
            *self.stand_held(),
            f"face   {self.hand.facing.face or NOT_SAID}",
            f"inside {self.hand.inside.name if self.hand.inside.area else 'the machine'}",
            *self.stated(),
            "",
            f"{shown('begin.place')}\tfirst screw there",
            f"{shown('begin')}\tbegin, name it",
            "",
        ]
        session = self.record.open_session(self.host.machine_id)
        resting = session is not None and session.paused
        last = [step for step in walk_steps(self.record, self.host.machine_id, 6) if not step.is_open][:5]
        off = self.hand.inside.leads_inside()
        if off is not None or self.hand.inside.in_a_unit:
            leads = f"out of {self.hand.inside.name}" if off is None else f"take {off.name} apart"
            lines[-1:] = [f"{shown('area')}\t{leads}", ""]
        if self.hand.inside.area and (off is not None or not self.hand.inside.in_a_unit):
            lines[-1:] = [self._lettered("inside", "out of it, or elsewhere"), ""]
        elif self.other_units(off):
            lines[-1:] = [self._lettered("inside", "inside another unit"), ""]
        if last:
            lines[-1:] = [
                self._lettered("refit", "put it together again"),
                self._lettered("pause", "go on" if resting else "a break"),
                self._lettered("summary", "the summary"),
                "",
            ]
            lines.append("last")
            lines += [f"{step.number:>4}   {f'{step.name} is back' if step.back else step.text}" for step in last]
        title = "A break" if resting else "What comes off next?"
        return FormData(title=title, under="", face=self.hand.facing.face, quiet=tuple(lines))
