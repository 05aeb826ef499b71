"""Where the way back stands: what is off, in which order, what can go on now, and the step on the card."""

from __future__ import annotations

from msgspec.structs import replace

from putback.planning.orders import Plan
from putback.reports.account import Account, WayBack
from putback.reports.account.step_words import at_refit
from putback.reports.going_back import next_step, ready
from putback.reports.plan import to_fetch
from putback.reports.planning import ORDERS, ToSearch, plan_of, to_search
from putback.trade.checks.ledger import short_of
from putback.trade.checks.open_jobs import jobs_first
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine
from putback.trade.record.step import Step
from putback.trade.refit.pace import time_left
from putback.trade.refit.way_back import Waits, chase, steps_off, what_waits
from putback.tui.draw.latest import Latest
from putback.tui.host import Host
from putback.tui.refit.looking_back import still_asks
from putback.tui.widgets.refit_panes import PlanRow


class Standing:
    """The plan as it stands, and the place in it."""

    def __init__(self, host: Host) -> None:
        self.host = host
        self.record = host.workshop.record
        self.chosen = 0
        """The step that was chosen; 0 is the first that can go on now."""
        self.asked = "reverse"
        """The order that was asked for, one of ORDERS."""
        self._order: tuple[int, ...] = ()
        self._planned = 0
        self._off: Latest[list[Step]] = Latest()
        self._ready: Latest[list[Step]] = Latest()
        self._rows: Latest[list[PlanRow]] = Latest()
        self._left: Latest[str] = Latest()
        self._waits: Latest[list[Waits]] = Latest()
        self._account: Latest[Account] = Latest()
        self._behind: Latest[list[Account]] = Latest()
        self._proved: set[tuple[int, int]] = set()

    # -- what there is -------------------------------------------------------------------------------

    @property
    def _now(self) -> tuple[int, int, int]:
        """What all of this depends on: the record as it is, the machine, and the plan."""
        return self.host.workshop.store.number, self.host.machine_id, self._planned

    def off(self) -> list[Step]:
        """Return the steps that are done and not back, in the order of the plan; skipped ones last."""
        return self._off.of(self._now, self._ordered)

    def _ordered(self) -> list[Step]:
        steps = steps_off(self.record, self.host.machine_id)
        place = {number: index for index, number in enumerate(self._order)}
        ordered = sorted(steps, key=lambda step: place.get(step.number, -1)) if place else steps
        return sorted(ordered, key=lambda step: bool(step.skipped))

    def ready(self) -> list[Step]:
        """Return the steps that can go on now, in the order of the plan."""
        return self._ready.of(self._now, lambda: ready(self.record, self.off(), self.waits()))

    def waits(self) -> list[Waits]:
        """Return what cannot go back yet; asked for many times a key, and changed only by a change."""
        machine = self.host.machine_id
        return self._waits.of((self.host.workshop.store.number, machine), lambda: what_waits(self.record, machine))

    def wait_of(self, step: Step) -> Waits | None:
        """Return what a step waits for, or None."""
        return next((w for w in self.waits() if w.step == step.number), None)

    def step(self) -> Step | None:
        """Return the step on the card: the one chosen, else the first that can go on now."""
        chosen = self.record.find(Step, self.chosen)
        if chosen is not None and not chosen.back:
            return chosen
        return next_step(self.record, self.off(), self.waits(), self.ready())

    def account(self, step: Step) -> Account:
        """Return the account of a step as things stand; asked for many times a key, and changed only by a change."""
        way = (self.record, self.host.machine_id)
        stand = (self.host.workshop.store.number, step.id)
        return self._account.of(stand, lambda: WayBack(*way, self.waits()).account(step))

    def accounts_behind(self, step: Step, count: int) -> list[Account]:
        """Return the accounts of so many steps behind one in the plan; worked out once a change."""

        def made() -> list[Account]:
            way, off = WayBack(self.record, self.host.machine_id, self.waits()), self.off()
            at = next((i for i, other in enumerate(off) if other.id == step.id), -1)
            return [way.account(other) for other in off[at + 1 : at + 1 + count]]

        return self._behind.of((self.host.workshop.store.number, step.id, self._order), made)

    def rows(self, here: Step | None) -> list[PlanRow]:
        """Return the rows of the plan."""
        rows = list(self._rows.of(self._now, self._drawn_up))
        at = next((at for at, row in enumerate(rows) if here is not None and row.number == here.number), None)
        if at is not None:
            rows[at] = replace(rows[at], here=True)
        return rows

    def _drawn_up(self) -> list[PlanRow]:
        waiting = {w.step for w in self.waits()}
        ready = {s.id for s in self.ready()}
        found = []
        for step in self.off():
            state = "waits" if step.number in waiting else "next" if step.id in ready else "off"
            state = "skipped" if step.skipped else state
            found.append(PlanRow(state, step.number, at_refit(step), here=False))
        return found

    def to_go(self) -> str:
        """Return how much is to go, for the plan's title."""
        off = self.off()
        if not off:
            return "nothing to go"
        skipped = sum(bool(step.skipped) for step in off)
        left = f"{skipped} skipped"
        if not skipped:
            left = self._left.of(self._now, lambda: time_left(self.record, self.host.machine_id).brief)
        return f"{len(off)} to go, {left}"

    def hint(self, account: Account) -> str:
        """Return what to chase first, where the step on the card cannot go on."""
        first = chase(self.record, self.host.machine_id) if account.next == "waits" else ""
        if not first:
            return ""
        return f"nothing else can go on; chase first: {first}" if not self.ready() else f"chase first: {first}"

    def asks_at_the_end(self) -> bool:
        """Tell whether the end has something to ask before its last page: once all is back, and once."""
        machine = self.host.machine
        if machine is None or self.off() or self.record.last_step(machine.id) is None:
            return False
        return still_asks(machine)

    # -- to another step -----------------------------------------------------------------------------

    def next_order(self) -> ToSearch:
        """Ask for the next of the orders there are; return what has to be searched for it."""
        names = list(ORDERS)
        self.asked = names[(names.index(self.asked) + 1) % len(names)]
        return to_search(self.record, self.host.machine_id, self.asked)

    def follow(self, wanted: ToSearch, found: Plan) -> None:
        """Follow the order that was found, if it is still the one asked for."""
        if wanted.asked != self.asked:
            return
        plan = plan_of(self.record, self.host.machine_id, wanted, found)
        self._order, self._planned = plan.order, self._planned + 1
        self.chosen = 0
        self.host.say("note", plan.text)

    def go(self, step: Step, by: int) -> None:
        """Show another step that can go on now, or, where none can, one that waits for something."""
        choices = self.ready() + [s for s in self.off() if short_of(self.record, s) or jobs_first(self.record, s)]
        ids = [s.id for s in choices]
        if not ids:
            return
        at = ids.index(step.id) if step.id in ids else -by
        self.chosen = ids[(at + by) % len(ids)]
        number = self.record.get(Step, self.chosen).number
        others = self.host.keymap.words("{refit.other} and {refit.before} go through what can go on now")
        self.host.say("note", f"step {number}; {others}")

    def walk(self, step: Step, by: int) -> None:
        """Show the step after or before in the plan, whether it can go on or not."""
        ids = [s.id for s in self.off()]
        at = ids.index(step.id) + by if step.id in ids else 0
        self.chosen = ids[max(0, min(at, len(ids) - 1))]
        walks = "{refit.down} and {refit.up} walk the plan; {refit.other} goes to what can go on now"
        self.host.say("note", self.host.keymap.words(walks))

    # -- what was shown and proved -------------------------------------------------------------------

    def warned(self, account: Account, causes: tuple[str, ...]) -> None:
        """Note that the usual cautions for some causes were on the card: once in a session is enough."""
        session = self.record.open_session(self.host.machine_id)
        shown_causes = {block.cause for block in account.of("usual", "rules")}
        self.host.warned_back |= {(session.id if session else 0, cause) for cause in causes if cause in shown_causes}

    def hushed(self) -> frozenset[str]:
        """Return the causes whose usual cautions were shown in this session already."""
        session = self.record.open_session(self.host.machine_id)
        number = session.id if session else 0
        return frozenset(cause for id, cause in self.host.warned_back if id == number)

    def prove(self, bag: Bag) -> bool:
        """Take a bag that was scanned: another machine's is refused, one not wanted is said to be so. True where it
        is the right one."""
        step = self.step()
        if bag.machine != self.host.machine_id:
            owner = self.record.get(Machine, bag.machine).caption
            self.host.refuse(f"Bag {bag.number} belongs to {owner}, not to this machine.")
            return False
        wanted = {f.place for f in to_fetch(self.record, step)} if step else set()
        if step is not None and f"bag {bag.number}" in wanted:
            self._proved.add((step.id, bag.number))
            self.host.say("recorded", f"bag {bag.number} is the right one")
            return True
        self.host.refuse(f"Bag {bag.number} is not wanted for this step; {', '.join(sorted(wanted)) or 'no bag'} is.")
        return False

    def scanned(self, account: Account) -> frozenset[str]:
        """Return the places that a scan proved for a step."""
        return frozenset(f"bag {number}" for id, number in self._proved if id == account.step.id)
