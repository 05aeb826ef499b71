"""The assembly that is worked in, and the ways into another and out again."""

from __future__ import annotations

from itertools import islice

from putback.trade import commands as c
from putback.trade.record.machine import Part
from putback.trade.record.step import Step
from putback.trade.record.tree import around
from putback.tui.bench.facing import LOOKED_BACK
from putback.tui.host import Host


class Inside:
    """Where in the machine the hands are."""

    def __init__(self, host: Host) -> None:
        self.host = host
        self.record = self.host.workshop.record
        self.area = 0
        """The assembly; 0 is the machine itself."""
        self._opened = 0
        """The change by which the part gone inside became an assembly."""
        self._on_it = 0
        """The assembly that was gone inside while it was on the machine."""

    @property
    def name(self) -> str:
        """The assembly worked in, in words."""
        return self.record.get(Part, self.area).name if self.area else "the machine itself"

    @property
    def in_a_unit(self) -> bool:
        """Whether the assembly worked in came off whole, and lies on the bench by itself."""
        return bool(self.area) and self.record.off_at(self.area) is not None

    def off_last(self) -> Step | None:
        """Return the step that took off, last of all, a part that is still off; None where there is none."""
        machine = self.host.machine_id
        for step in islice(self.record.latest_steps(machine), LOOKED_BACK) if machine else ():
            if step.takes_off and step.ended and not step.back and step.part:
                return step
        return None

    def units_off(self) -> list[Part]:
        """Return the assemblies that lie on the bench by themselves, without the one worked in."""
        parts = self.record.all(Part, self.host.machine_id)
        return [p for p in parts if p.assembly and p.id != self.area and self.record.off_at(p.id) is not None]

    def others_off(self) -> list[Step]:
        """Return the steps whose parts are off and not known to be assemblies, the newest first."""
        latest = islice(self.record.latest_steps(self.host.machine_id), LOOKED_BACK)
        off = [step for step in latest if step.takes_off and step.ended and not step.back and step.part]
        return [step for step in off if not self.record.get(Part, step.part).assembly]

    def leads_inside(self) -> Step | None:
        """Return the step whose part the key goes inside; None where it goes out, or nowhere.

        Inside a unit that is off it goes out again, but for a part that came off there last, and of which it was said
        that it comes off in one piece. Else it goes into what came off last: that may be the unit that was worked in.
        """
        off = self.off_last()
        if off is None or self.in_a_unit:
            return off if off is not None and off.area == self.area and off.whole else None
        unit = next((part.id for part in around(self.record, off.area) if part.inside == self.area), 0)
        return (self.record.off_at(unit) or off) if unit else off

    def in_or_out(self) -> None:
        """Go inside what came off last, or out again, as the foot says."""
        off = self.leads_inside()
        if off is not None:
            self.go_into(off)
        elif self.in_a_unit:
            outside = self.record.get(Part, self.area).inside
            opened = self.host.workshop.last_done(self.host.machine_id)
            if opened is not None and opened.number == self._opened:
                self.host.take_back()  # it was not an assembly before
            self.go_to(outside)
        else:
            words = "Nothing is off that could be taken apart; {inside} chooses an assembly."
            self.host.refuse(self.host.keymap.words(words))

    def go_into(self, off: Step) -> None:
        """Go inside the part that a step took off; from now on it is an assembly."""
        if not self.record.get(Part, off.part).assembly:
            done = self.host.do(c.Annotate(step=off.number, whole=True), quiet=True)
            if done is None:
                return
            self._opened = done.number
        self.go_to(off.part)

    def go_to(self, area: int) -> None:
        """Work inside an assembly from now on; 0 is the machine itself."""
        self.area = area
        self._on_it = 0 if self.in_a_unit else area
        again = self.in_a_unit and self.leads_inside() is None
        out = "{area} goes out again" if again else "{inside} goes out" if area else ""
        self.host.say("note", "; ".join(filter(None, (f"working inside {self.name}", self.host.keymap.words(out)))))

    def as_left(self, step: Step | None) -> None:
        """Go inside the part that a card was left for, if one was; `step` is what is coming off."""
        part, self.host.going_inside = self.host.going_inside, 0
        if not part:
            return
        if step is not None:
            words = f"{step.name} is still coming off: {{off}} when it is off, then go inside."
            self.host.refuse(self.host.keymap.words(words))
            return
        off = self.record.off_at(part)
        if off is None:
            self.go_to(part)
        else:
            self.go_into(off)

    def let_go(self) -> None:
        """Be outside an assembly that was taken back meanwhile, or that is back on the machine."""
        if self.area and self.record.find(Part, self.area) is None:
            self.area = 0
        while self.area and self.area != self._on_it and self._went_back():
            self.area = self.record.get(Part, self.area).inside

    def _went_back(self) -> bool:
        """Tell whether the assembly worked in was off, and is on again."""
        return not self.in_a_unit and any(s.takes_off and s.back for s in self.record.steps_of_part(self.area))
