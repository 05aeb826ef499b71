"""Where the work stands: the part, face and assembly in hand, and the moves that need no question."""

from __future__ import annotations

from itertools import islice
from time import monotonic

from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.record.default_place import usual_place
from putback.trade.record.fastener import KINDS
from putback.trade.record.holes import counts_text, spots_of
from putback.trade.record.machine import FACES, Part, face_named
from putback.trade.record.record import Record
from putback.trade.record.step import NO_REVERSE, Step
from putback.tui.dialogs.face_pick import FacePick
from putback.tui.dialogs.head_bar import HeadBar
from putback.tui.dialogs.keyed import KeyedScreen
from putback.tui.form import entry

LOOKED_BACK = 50
"""How many steps are gone back over for the face that is before a person, and for what came off last."""


class BenchState(HeadBar, KeyedScreen[None]):
    """The bench without its panes."""

    def __init__(self) -> None:
        super().__init__()
        self.form = entry.Form()
        self.face = "front"
        self.face_is_known = False
        self._faces: dict[int, tuple[str, bool]] = {}
        self.area = 0
        self.put: str | None = None
        self.put_other = ""
        self.hand: int | None = None
        self._opened = 0
        """The change by which the part gone inside became an assembly."""
        self.took: float | None = None
        self._rung = (0, 0)
        self._key_at = monotonic()
        self._off_at = float("-inf")

    def carry_over(self) -> None:
        """Take face, assembly, head and drive from where the work stopped."""
        machine = self.host.machine_id
        last = self.record.last_step(machine) if machine else None
        if last is None:
            return
        self.face = self.last_face()
        self.area = last.area
        for number in range(last.number, 0, -1):
            step = self.record.step(machine, number)
            headed = [t for t in self.record.things_of(step) if t.head or t.drive] if step else []
            if headed:
                kind = headed[-1].name if number == last.number and last.is_open else "screw"
                self.form = entry.Form(kind=kind, head=headed[-1].head, drive=headed[-1].drive)
                return

    @property
    def record(self) -> Record:
        """The record of the workshop."""
        return self.host.workshop.record

    @property
    def step(self) -> Step | None:
        """The step being done, or None."""
        return self.record.open_step(self.host.machine_id) if self.host.machine_id else None

    @property
    def step_coming_off(self) -> Step | None:
        return self.step

    def last_face(self) -> str:
        """Return the face that the last steps were on: the one that is before a person, most likely."""
        machine = self.host.machine_id
        for step in reversed(list(self.record.all(Step, machine))[-LOOKED_BACK:] if machine else []):
            holes = [thing for thing in self.record.things_of(step) if thing.hole]
            face = step.facing or (holes[-1].face if holes else "") or step.face
            if face:
                return face
        return FACES[0]

    @property
    def goes_to(self) -> str:
        """Where the part in hand goes, or the next one: as was said for it alone, else where the machine's parts go."""
        step = self.step
        if step is not None and step.do != "take off":
            return self.put_other
        return usual_place(self.record, self.host.machine_id) if self.put is None else self.put

    def let_go_to(self, place: str) -> None:
        """Let the part in hand go to a place, or the next one: that one alone."""
        if self.step is not None and self.step.do != "take off":
            self.put_other = place
        else:
            self.put = None if place == usual_place(self.record, self.host.machine_id) else place

    def faced(self, step: Step) -> Step:
        """Return a step with the face that is before the person, where none was said of it and no hole entered yet."""
        known = step.face or step.facing or any(thing.hole for thing in self.record.things_of(step))
        return step if known else replace(step, face=self.face)

    def face_in_hand(self, step: Step) -> str:
        """Return the face whose holes come next; empty where it was not said."""
        return self.faced(step).face_in_hand

    @property
    def hole_face(self) -> str:
        """The face that the next hole says it is on; empty where it is that of the step and was not said."""
        step = self.step
        return self.face if step is None else self.face_in_hand(step)

    def redraw(self) -> None:
        """Draw what is."""
        raise NotImplementedError

    def begin(self, name: str, *, do: str = "take off", state: str = "", tag: str = "") -> bool:
        """Begin a step; without a name the part gets a number. False where it was refused."""
        machine = self.host.machine_id
        last = self.record.last_step(machine)
        while last is not None and last.do in NO_REVERSE and not last.bag:  # a turn lets go of no bag
            last = self.record.step(machine, last.number - 1)
        bag = self.record.bag(machine, last.bag) if last else None
        inside = self.record.get(Part, self.area).name if self.area else ""
        carried = bag.number if bag is not None and not bag.closed and do not in NO_REVERSE else 0
        turned = do == "turn"  # the whole machine: no face of it and no assembly
        # A hole is on the face that is before the person, and says so when it is entered; a part without one is not.
        face = "" if turned else self.face if self.face_is_known else face_named(name)
        command = c.Begin(
            do=do,
            name=name or f"part {self.record.next_step_number(machine)}",
            inside="" if turned else inside,
            face=face,
            bag=carried if self.hand is None else self.hand,
            state=state,
            tag=tag,
        )
        done = self.host.do(command)
        if done is not None:
            next_form = self.form  # between parts it is said of the first of the next one
            self.form = replace(
                next_form.cleared().with_kind(next_form.extra.get("kind", "screw")), hand=next_form.hand
            )
            self.form = self.form.saying(**next_form.extra)
            self.hand, self.put_other = None, ""
            self._faces[done.number] = (self.face, self.face_is_known)
            self.face, self.face_is_known = face or self.face, False
        return done is not None

    def take_back(self) -> None:
        """Take back the last change and show where that leaves the form."""
        self.form = self.form.cleared()
        before = self.record.last_taken_out(self.host.machine_id)
        entry = self.host.workshop.last_done(self.host.machine_id)
        if self.host.take_back() is not None:
            last = self.record.last_step(self.host.machine_id)
            if entry is not None and entry.change.did in ("Begin", "TurnFace"):
                self.face, self.face_is_known = self._faces.pop(entry.number, (self.last_face(), False))
            if entry is not None and entry.change.did == "Finish":  # what was said of where it goes still holds
                gone = [edit.new.get("put", "") for edit in entry.change.edits if edit.table == "steps" and edit.new]
                self.let_go_to(str(gone[0]) if gone else "")
            self._here_again(last)
            now = self.record.last_taken_out(self.host.machine_id)
            if before is not None and before != now:
                self.form = self.form.with_kind(before.name)  # it is typed again, most likely
            elif last is not None and last.is_open:
                held = [thing for thing in self.record.things_of(last) if thing.name in KINDS]
                self.form = self.form.with_kind(held[-1].name if held else "screw")

    def bring_again(self) -> None:
        """Do again what was taken back last; a hole half entered is let go of."""
        done = self.host.bring_again()
        if done is not None:
            self.form = self.form.cleared()
            self._faces[done.number] = (self.face, self.face_is_known)
            self._here_again(self.record.last_step(self.host.machine_id))

    def _here_again(self, last: Step | None) -> None:
        """Be at the last step again: at its assembly, and at its face where it is being done."""
        if last is not None:
            self.area = last.area
            if last.is_open:
                self.face, self.face_is_known = last.face_in_hand or self.face, False

    def let_go(self) -> None:
        """Let go of what was taken back meanwhile on a card: the assembly in hand, a hole half entered."""
        if self.area and self.record.find(Part, self.area) is None:
            self.area = 0
        if self.step is None and self.form.hole:
            self.form = self.form.cleared()

    def choose_face(self) -> None:
        """Ask which face the part in hand comes off, or the next one, or once it has holes on which the next ones are.

        It is there before the next key is: a figure behind it is a face, and never a hole.
        """
        step = self.step
        here, spots = self.hole_face, spots_of(self.record, step) if step is not None else []
        if step is None or not spots:
            asked, beside = f"Which face does {'the next part' if step is None else step.name} come off?", ""
        else:
            asked = f"{step.name}: on which face are the next holes?"
            beside = f"so far {counts_text(step, spots)}; they stay"
        self.host.push_screen(FacePick(asked, here, beside, unsaid=not spots), self.face_chosen)

    def face_chosen(self, face: str | None) -> None:
        """Be at a face that was chosen; None: none was."""
        if face is not None:
            self.be_at(face)
            self.redraw()

    def be_at(self, face: str) -> None:
        """Let the part in hand be on a face, or the next one."""
        step = self.step
        if step is None:
            self.face, self.face_is_known = face, True
        elif face != step.face_in_hand:
            done = self.host.do(c.TurnFace(face=face))
            if done is None:
                return
            self._faces[done.number] = (self.face, False)
            self.face = face
            return
        else:
            self.face = face
        self.host.say("note", f"{face} face" if face else "the face is not said")

    def inside_or_out(self) -> None:
        """Go inside what came off last, or out again, as the foot says."""
        off = self.leads_inside()
        if off is not None:
            self._go_into(off)
        elif self.in_a_unit:
            outside = self.record.get(Part, self.area).inside
            opened = self.host.workshop.last_done(self.host.machine_id)
            if opened is not None and opened.number == self._opened:
                self.host.take_back()  # it was not an assembly before
            self.go_to(outside)
        else:
            self.host.refuse(self.words("Nothing is off that could be taken apart; {inside} chooses an assembly."))

    @property
    def in_a_unit(self) -> bool:
        """Whether the assembly worked in came off whole, and lies on the bench by itself."""
        return bool(self.area) and self.record.off_at(self.area) is not None

    def leads_inside(self) -> Step | None:
        """Return the step whose part the key goes inside; None where it goes out, or nowhere.

        Inside a unit that is off it goes out again, but for a part that came off there last, and of which it was said
        that it comes off in one piece. Else it goes into what came off last: that may be the unit that was worked in.
        """
        off = self.off_last()
        if off is None or self.in_a_unit:
            return off if off is not None and off.area == self.area and off.whole else None
        unit = off.area
        while unit and (above := self.record.get(Part, unit).inside) != self.area:
            unit = above
        return (self.record.off_at(unit) or off) if unit else off

    def _go_into(self, off: Step) -> None:
        """Go inside the part that a step took off; from now on it is an assembly."""
        if not self.record.get(Part, off.part).assembly:
            done = self.host.do(c.Annotate(step=off.number, whole=True), quiet=True)
            if done is None:
                return
            self._opened = done.number
        self.go_to(off.part)

    def came_to_go_inside(self) -> None:
        """Go inside the part that a card was left for, if one was."""
        part, self.host.going_inside = self.host.going_inside, 0
        if not part:
            return
        step = self.step
        if step is not None:
            self.host.refuse(self.words(f"{step.name} is still coming off: {{off}} when it is off, then go inside."))
            return
        off = self.record.off_at(part)
        if off is None:
            self.go_to(part)
        else:
            self._go_into(off)

    def off_last(self) -> Step | None:
        """Return the step that took off, last of all, a part that is still off; None where there is none."""
        machine = self.host.machine_id
        for step in islice(self.record.latest_steps(machine), LOOKED_BACK) if machine else ():
            if step.takes_off and step.ended and not step.back and step.part:
                return step
        return None

    def go_to(self, area: int) -> None:
        """Work inside an assembly from now on; 0 is the machine itself."""
        self.area = area
        again = self.in_a_unit and self.leads_inside() is None
        out = "{area} goes out again" if again else "{inside} goes out" if area else ""
        self.host.say("note", "; ".join(filter(None, (f"working inside {self.area_name}", self.words(out)))))

    def next_bag(self) -> None:
        """Let what comes off with the next part go into a new bag."""
        self.hand = 0
        self.host.say("note", "the next part goes into a new bag, once needed")

    @property
    def area_name(self) -> str:
        """The assembly worked in, in words."""
        return self.record.get(Part, self.area).name if self.area else "the machine itself"
