"""What is in hand: the part that comes off or comes next, what is typed of it, and the moves that need no question."""

from __future__ import annotations

from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.record.default_place import usual_place
from putback.trade.record.fastener import KINDS
from putback.trade.record.machine import face_named
from putback.trade.record.step import NO_REVERSE, Doing, Step
from putback.tui.bench.facing import Facing
from putback.tui.bench.inside import Inside
from putback.tui.form import entry
from putback.tui.host import Host


class Hand:
    """Where the work stands."""

    def __init__(self, host: Host, facing: Facing, inside: Inside) -> None:
        self.host = host
        self.record = self.host.workshop.record
        self.facing = facing
        self.inside = inside
        self.form = entry.Form()
        """What is typed of the next fastener."""
        self.put: str | None = None
        """Where this part or the next one goes, where that was said of it alone."""
        self.put_other = ""
        self.because = ""
        """Why the part in hand is thrown away, where that was asked."""
        """The same of a step that takes nothing off."""
        self.bag: int | None = None
        """The bag that the next part begins with, where one was chosen; 0 is a new one."""
        self._bag_at = -1
        """The number of the last change when that was said: the key that takes back takes it first until the next."""
        self.took: float | None = None
        """The minutes that the step takes, where they were said."""

    @property
    def step(self) -> Step | None:
        """The step being done, or None."""
        return self.record.open_step(self.host.machine_id) if self.host.machine_id else None

    def step_or_last(self) -> Step | None:
        """Return the step being done, else the last one; None before the first."""
        return self.step or self.record.last_step(self.host.machine_id)

    def carry_over(self) -> None:
        """Take face, assembly, head and drive from where the work stopped."""
        machine = self.host.machine_id
        last = self.record.last_step(machine) if machine else None
        if last is None:
            return
        self.facing.face = self.facing.last()
        self.inside.area = last.area
        if not last.is_open:
            self.inside.let_go()
        for number in range(last.number, 0, -1):
            step = self.record.step(machine, number)
            headed = [t for t in self.record.things_of(step) if t.head or t.drive] if step else []
            if headed:
                kind = headed[-1].name if number == last.number and last.is_open else "screw"
                self.form = entry.Form(kind=kind, head=headed[-1].head, drive=headed[-1].drive)
                return

    # -- where things go -----------------------------------------------------------------------------

    @property
    def goes_to(self) -> str:
        """Where the part in hand goes, or the next one: as was said for it alone, else where the machine's parts go."""
        step = self.step
        if step is not None and step.do != "take off":
            return self.put_other
        return usual_place(self.record, self.host.machine_id) if self.put is None else self.put

    def let_go_to(self, place: str) -> None:
        """Let the part in hand go to a place, or the next one: that one alone."""
        self.because = ""
        if self.step is not None and self.step.do != "take off":
            self.put_other = place
        else:
            self.put = None if place == usual_place(self.record, self.host.machine_id) else place

    @property
    def bag_said(self) -> bool:
        """Whether the bag of the next part is what was said last of all, so that it is what is taken back first."""
        return self.step is None and self.bag is not None and self._bag_at == self.host.workshop.store.number

    def bag_carried(self) -> int:
        """Return the bag that the next part begins with where none is chosen, 0 for a new one."""
        machine = self.host.machine_id
        last = self.record.last_step(machine)
        while last is not None and last.do in NO_REVERSE and not last.bag:  # a turn lets go of no bag
            last = self.record.step(machine, last.number - 1)
        bag = self.record.bag(machine, last.bag) if last else None
        return bag.number if bag is not None and not bag.closed else 0

    def choose_bag(self, number: int | None, again: str = "") -> None:
        """Let what comes off with the next part go into a bag, 0 for a new one; None: where it would go anyway."""
        self.bag, self._bag_at = number, self.host.workshop.store.number
        goes = self.bag_carried() if number is None else number
        text = f"the next part goes into {f'bag {goes}' if goes else 'a new bag, once needed'}"
        self.host.say("note", f"{text}{again}", "" if number is None else "this")

    def next_bag(self) -> None:
        """Let what comes off with the next part go into a new bag; said once more, into the one it would."""
        carried = self.bag_carried()
        if self.bag == 0:
            self.choose_bag(None)
        else:
            key = self.host.keymap.shown("bag.part")
            self.choose_bag(0, f"; {key} again: into bag {carried}" if carried else "")

    # -- steps ---------------------------------------------------------------------------------------

    def begin(self, name: str, *, do: Doing = "take off", state: str = "", tag: str = "") -> bool:
        """Begin a step; without a name the part gets a number. False where it was refused."""
        machine = self.host.machine_id
        inside = self.inside.name if self.inside.area else ""
        carried = 0 if do in NO_REVERSE else self.bag_carried()
        turned = do == "turn"  # the whole machine: no face of it and no assembly
        # A hole is on the face that is before the person, and says so when it is entered; a part without one is not.
        face = "" if turned else self.facing.face if self.facing.is_known else face_named(name)
        command = c.Begin(
            do=do,
            name=name or f"part {self.record.next_step_number(machine)}",
            inside="" if turned else inside,
            face=face,
            bag=carried if self.bag is None else self.bag,
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
            self.bag, self.put_other = None, ""
            self.facing.changed(done.number, face or self.facing.face)
        return done is not None

    def take_back(self) -> None:
        """Take back the last change and show where that leaves the form; a bag said since then goes first."""
        if self.bag_said:
            self.choose_bag(None)
            return
        self.form = self.form.cleared()
        before = self.record.last_taken_out(self.host.machine_id)
        undone = self.host.workshop.last_done(self.host.machine_id)
        if self.host.take_back() is not None:
            last = self.record.last_step(self.host.machine_id)
            if undone is not None and undone.change.did in ("Begin", "TurnFace"):
                self.facing.before(undone.number)
            if undone is not None and undone.change.did == "Finish":  # what was said of where it goes still holds
                gone = [edit.new.get("put", "") for edit in undone.change.edits if edit.table == "steps" and edit.new]
                self.let_go_to(str(gone[0]) if gone else "")
            self.here_again(last)
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
            self.facing.note(done.number)
            self.here_again(self.record.last_step(self.host.machine_id))

    def here_again(self, last: Step | None) -> None:
        """Be at the last step again: at its assembly, and at its face where it is being done."""
        if last is not None:
            self.inside.area = last.area
            if last.is_open:
                self.facing.face, self.facing.is_known = last.face_in_hand or self.facing.face, False
            else:
                self.inside.let_go()

    def let_go(self) -> None:
        """Let go of what was taken back meanwhile on a card: the assembly in hand, a hole half entered."""
        self.inside.let_go()
        if self.step is None and self.form.hole:
            self.form = self.form.cleared()
