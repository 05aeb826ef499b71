"""Coming to a machine: which one, what is due and was noted, and the walk-back over the last steps."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.screen import Screen

from putback.errors import PutbackError
from putback.reports.machines import machine_choices
from putback.reports.sent import sent_out
from putback.reports.soaking import soaks_due
from putback.reports.walking import WALKED, machine_cautions, walk_steps
from putback.trade.checks.tools_out import notes_for_return
from putback.trade.record.trip import Sent
from putback.tui.dialogs.prompts import MORE, Pick
from putback.tui.host import Host


class Arrival:
    """What is on the screen before the bench is."""

    def __init__(self, host: Host) -> None:
        self.host = host
        self.record = host.workshop.record
        self.tells_elsewhere = False
        """Whether the first walk-back names what is due at other machines; the list of machines has named it else."""

    def ask_which(self, notes: tuple[str, ...], came: Callable[[], object]) -> None:
        """Ask which machine, the one that was on the bench last marked; then come to it, and call `came`."""
        host = self.host
        choices = machine_choices(self.record, now=host.workshop.now())
        ids = [machine.id for machine, _ in choices]

        def chosen(index: int | None) -> None:
            if index is not None and index >= 0:
                host.machine_id = ids[index]
            host.push_screen(self.screen(*notes))
            if index == MORE:
                host.push_screen(host.screen_named("machine", host.machine_id))
            came()

        lines = [line for _, line in choices]
        at = ids.index(host.machine_id) if host.machine_id in ids else -1
        host.push_screen(Pick("Which machine?", lines, here=at, more="its card"), chosen)

    def screen(self, *notes: str) -> Screen[None]:
        """Return the screen that coming to a machine begins with: the walk-back, where there is anything to walk.

        The bench behind it is made when the walk-back is left, so that the first question is on the screen at once.
        """
        host = self.host
        if host.machine is not None and host.workshop.store.writable:
            try:
                text = host.sitting.with_summary(host.workshop.come_back(host.machine_id))
            except PutbackError as fault:
                host.refuse(str(fault))
            else:
                due = soaks_due(self.record, host.machine_id, now=host.workshop.now())
                lifts = f"{host.keymap.shown('further')} lifts it out"
                told = (*(f"{bath.short}; {lifts}" for bath in due), *self.due_of_all())
                screen = self.walk(*notes, text, *told)
                if screen is not None:
                    return screen
        return host.screen_named("bench")

    def due_of_all(self) -> list[str]:
        """Return what is due that was sent out and, where that is to be told, what is due at the other machines."""
        record, workshop = self.record, self.host.workshop
        now = workshop.now()
        out = {sent.machine for sent in record.all(Sent) if sent.due and not sent.back}
        found = []
        soaked = record.machines_soaked()  # no machine is read for this that has nothing to be due
        for machine in workshop.machines():
            here = machine.id == self.host.machine_id
            if machine.id not in out | soaked or not (here or self.tells_elsewhere):
                continue
            due = [] if here else [bath.short for bath in soaks_due(record, machine.id, now=now)]
            if machine.id in out:
                due += filter(None, (one.due_text(now) for one in sent_out(record, machine.id)))
            found += due if here else [f"{machine.caption}: {words}" for words in due]
        return found

    def walk(self, *messages: str) -> Screen[Any] | None:
        """Return the walk-back over the last three steps; `told` is said before them, and what one left a note about.

        None where there is nothing to walk back over; then that is said at once.
        """
        host, record = self.host, self.record
        steps = walk_steps(record, host.machine_id, WALKED)
        noted = notes_for_return(record, host.machine_id)
        notes = [*filter(None, messages), *(f"your note: {note}" for note in noted)]
        notes += machine_cautions(host.machine) if host.machine is not None else []
        if steps:
            return host.screen_named("walk-back", [step.id for step in steps], notes)
        if notes:
            host.say("asks", "; ".join(notes))
        return None
