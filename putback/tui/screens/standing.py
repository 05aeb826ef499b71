"""Where the work stands: the part, face and assembly in hand, and the moves that need no question."""

from __future__ import annotations

from time import monotonic

from putback.trade import commands as c
from putback.trade.ledger import bench_check
from putback.trade.machine import FACES, Part
from putback.trade.record import Record
from putback.trade.session import Session
from putback.trade.step import NO_REVERSE, Step
from putback.tui import entry
from putback.tui.screens.keyed import KeyedScreen
from putback.tui.views import walk_steps


class Standing(KeyedScreen[None]):
    """The bench without its panes."""

    def __init__(self) -> None:
        super().__init__()
        self.form = entry.Form()
        self.face = "front"
        self.area = 0
        self.put = "shelf"
        self.put_other = ""
        self.hand: int | None = None
        self.whole = False
        self.took: float | None = None
        self._rung = (0, 0)
        self._key_at = monotonic()

    def carry_over(self) -> None:
        """Take face, assembly, head and drive from where the work stopped."""
        machine = self.bench.machine_id
        last = self.record.last_step(machine) if machine else None
        if last is None:
            return
        self.face = last.face or self.face
        self.area = last.area
        for number in range(last.number, 0, -1):
            step = self.record.step(machine, number)
            headed = [t for t in self.record.things_of(step) if t.head and t.drive] if step else []
            if headed:
                kind = headed[-1].name if number == last.number and last.is_open else "screw"
                self.form = entry.Form(kind=kind, head=headed[-1].head, drive=headed[-1].drive)
                return

    @property
    def record(self) -> Record:
        """The record of the workshop."""
        return self.bench.workshop.record

    @property
    def step(self) -> Step | None:
        """The step being done, or None."""
        return self.record.open_step(self.bench.machine_id) if self.bench.machine_id else None

    def redraw(self) -> None:
        """Draw what is."""
        raise NotImplementedError

    def walk_back(self) -> None:
        """Go over the last three steps, newest first, before a hand moves."""
        from putback.tui.screens.walk_back import WalkBackScreen

        steps = walk_steps(self.record, self.bench.machine_id, 3)
        if steps:
            self.bench.push_screen(WalkBackScreen([step.id for step in steps]))

    def begin(self, name: str, *, do: str = "take off", state: str = "", tag: str = "") -> bool:
        """Begin a step; without a name the part gets a number. False where it was refused."""
        machine = self.bench.machine_id
        last = self.record.last_step(machine)
        number = last.number + 1 if last else 1
        bag = self.record.bag(machine, last.bag) if last else None
        inside = self.record.get(Part, self.area).name if self.area else ""
        carried = bag.number if bag is not None and not bag.closed and do not in NO_REVERSE else 0
        turned = do == "turn"  # the whole machine: no face of it and no assembly
        command = c.Begin(
            do=do, name=name or f"part {number}", inside="" if turned else inside, face="" if turned else self.face,
            bag=carried if self.hand is None else self.hand, state=state, tag=tag, whole=self.whole,
        )  # fmt: skip
        done = self.bench.do(command)
        if done is not None:
            self.form = self.form.cleared().with_kind("screw")
            self.hand, self.whole, self.put_other = None, False, ""
        return done is not None

    def take_back(self) -> None:
        """Take back the last change and show where that leaves the form."""
        self.form = self.form.cleared()
        if self.bench.take_back() is not None:
            last = self.record.last_step(self.bench.machine_id)
            if last is not None:
                self.face = last.face or self.face
                self.area = last.area

    def let_go(self) -> None:
        """Let go of what was taken back meanwhile on a card: the assembly in hand, a hole half entered."""
        if self.area and self.record.find(Part, self.area) is None:
            self.area = 0
        if self.step is None:
            self.form = self.form.cleared()

    def next_face(self) -> None:
        """Go to the next face."""
        face = FACES[(FACES.index(self.face) + 1) % len(FACES)]
        if self.step is None or self.bench.do(c.TurnFace(face=face)) is not None:
            self.face = face
        if self.step is None:
            self.bench.say("note", f"{face} face")

    def next_area(self) -> None:
        """Go to the next assembly to work in."""
        areas = [0, *(p.id for p in self.record.all(Part, self.bench.machine_id) if p.assembly)]
        self.area = areas[(areas.index(self.area) + 1) % len(areas)] if self.area in areas else 0
        self.bench.say("note", f"working inside {self.area_name}")

    @property
    def area_name(self) -> str:
        """The assembly worked in, in words."""
        return self.record.get(Part, self.area).name if self.area else "the machine itself"

    def pause_or_go_on(self, session: Session | None) -> None:
        """The one key for a break."""
        if session is None:
            self.bench.refuse("No session goes on; the first thing you do begins one.")
            return
        if session.paused:
            if self.bench.do(c.Resume()) is not None:
                self.walk_back()
            return
        if self.bench.do(c.Pause()) is None:
            return
        loose = sum(held.count for held in bench_check(self.record, self.bench.machine_id))
        step = self.step
        if loose:
            self.bench.say("asks", f"paused. {loose} on the bench are loose: bag them, or hang a tag on them")
        elif step is not None:
            self.bench.say("asks", f"paused in the middle of {step.name}. Count the tools back in")
        else:
            self.bench.say("note", "paused, nothing loose. Count the tools back in. Space goes on")
