"""The face that is before the person: of the part in hand, or of the next one."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.record.face import FACES, Face
from putback.trade.record.holes import counts_text, spots_of
from putback.trade.record.step import Step
from putback.tui.dialogs.face_pick import FacePick
from putback.tui.host import Host

LOOKED_BACK = 50
"""How many steps are gone back over for the face that is before a person, and for what came off last."""


class Facing:
    """Which face it is, and what that was before each change."""

    def __init__(self, host: Host) -> None:
        self.host = host
        self.record = self.host.workshop.record
        self.face: Face = "front"
        self.is_known = False
        """Whether it was said of the next part, and is not only where the hands were last."""
        self._before: dict[int, tuple[Face, bool]] = {}

    def last(self) -> Face:
        """Return the face that the last steps were on: the one that is before a person, most likely."""
        machine = self.host.machine_id
        for step in reversed(list(self.record.all(Step, machine))[-LOOKED_BACK:] if machine else []):
            holes = [thing for thing in self.record.things_of(step) if thing.hole]
            face = step.facing or (holes[-1].face if holes else "") or step.face
            if face:
                return face
        return FACES[0]

    def faced(self, step: Step) -> Step:
        """Return a step with the face that is before the person, where none was said of it and no hole entered yet."""
        known = step.face or step.facing or any(thing.hole for thing in self.record.things_of(step))
        return step if known else replace(step, face=self.face)

    def in_hand(self, step: Step) -> Face:
        """Return the face whose holes come next; empty where it was not said."""
        return self.faced(step).face_in_hand

    @property
    def of_next_hole(self) -> Face:
        """The face that the next hole says it is on; empty where it is that of the step and was not said."""
        step = self.record.open_step(self.host.machine_id) if self.host.machine_id else None
        return self.face if step is None else self.in_hand(step)

    # -- as it changes -------------------------------------------------------------------------------

    def changed(self, number: int, face: Face) -> None:
        """Be at a face from the change of that number on."""
        self.note(number)
        self.face, self.is_known = face, False

    def note(self, number: int) -> None:
        """Note which face it was at the change of that number."""
        self._before[number] = (self.face, self.is_known)

    def before(self, number: int) -> None:
        """Be at the face that it was before the change of that number."""
        self.face, self.is_known = self._before.pop(number, (self.last(), False))

    def choose(self, step: Step | None, chosen: Callable[[], None]) -> None:
        """Ask which face the part in hand comes off, or the next one, or once it has holes on which the next ones are.

        It is there before the next key is: a figure behind it is a face, and never a hole. Where one was chosen,
        `chosen` is called.
        """
        here, spots = self.of_next_hole, spots_of(self.record, step) if step is not None else []
        if step is None or not spots:
            asked, beside = f"Which face does {'the next part' if step is None else step.name} come off?", ""
        else:
            asked = f"{step.name}: on which face are the next holes?"
            beside = f"so far {counts_text(step, spots)}; they stay"

        def answered(face: Face | None) -> None:
            if face is not None:
                self.be_at(self.record.open_step(self.host.machine_id) if self.host.machine_id else None, face)
                chosen()

        self.host.push_screen(FacePick(asked, here, beside, unsaid=not spots), answered)

    def be_at(self, step: Step | None, face: Face) -> None:
        """Let the part in hand be on a face; without one, the next part."""
        if step is None:
            self.face, self.is_known = face, True
        elif face != step.face_in_hand:
            done = self.host.do(c.TurnFace(face=face))
            if done is not None:
                self.changed(done.number, face)
            return
        else:
            self.face = face
        self.host.say("note", f"{face} face" if face else "the face is not said")
