"""The session on the bench as the screen has it: begun by the first work, ended where it was left, and its folder
looked after."""

from __future__ import annotations

from typing import Protocol

from putback.errors import PutbackError
from putback.settings import Settings
from putback.trade import commands as c
from putback.trade.record.machine import Machine
from putback.trade.record.session import TARGET, Session
from putback.tui.draw.views import MessageData
from putback.tui.keyboard.keymap import Keymap
from putback.workshop import Done, Workshop


class Speaking(Protocol):
    """The app, as far as sessions go."""

    workshop: Workshop
    """What is open."""
    machine_id: int
    """The machine on the bench; 0 where there is none."""
    settings: Settings
    """What the person has set."""
    keymap: Keymap
    """The keys as they are set."""
    message: MessageData
    """The line under the panes."""

    @property
    def machine(self) -> Machine | None:
        """The machine on the bench."""

    def say(self, sort: str, words: str) -> None:
        """Put a line under the panes."""

    def refuse(self, words: str) -> None:
        """Say that nothing was done, and why."""

    def do(self, command: c.Command, *, quiet: bool = False) -> Done | None:
        """Do one command on the machine; None where it was refused."""


class Sitting:
    """Sees to it that time is counted, and that what is written comes to the disk."""

    def __init__(self, app: Speaking) -> None:
        self.app = app
        self._adrift = False

    def sit_down(self) -> None:
        """See that a session runs: the first thing done begins one, or ends a pause."""
        workshop, machine = self.app.workshop, self.app.machine_id
        session = workshop.record.open_session(machine)
        if session is None:
            before = list(workshop.record.all(Session, machine))
            target = self.app.settings.bench.target or (before[-1].target if before else TARGET)
            box = before[-1].box if before else ""
            workshop.do(c.StartSession(target=target, box=box), machine)
        elif session.paused:
            workshop.do(c.Resume(), machine)

    def stand_up(self) -> None:
        """Stop the segment that runs, where it can be written."""
        session = self.app.workshop.record.open_session(self.app.machine_id)
        if session is not None and not session.paused and self.app.workshop.store.writable:
            self.app.do(c.Pause(), quiet=True)

    def ended_by_itself(self) -> str:
        """End the session on the bench where it was left; return what to say of it, with the key to its summary."""
        try:
            text = self.app.workshop.end_left(self.app.machine_id)
        except PutbackError as fault:
            self.app.refuse(str(fault))
            return ""
        return self.with_summary(text)

    def with_summary(self, message: str) -> str:
        """Return what is said of a session that ended by itself, with the key that shows its summary."""
        if "has ended there" not in message:
            return message
        return f"{message} {self.app.keymap.words('{summary} shows its summary.')}"

    def woke(self) -> bool:
        """Pause what ran while the computer slept, and say so; tell whether there was anything."""
        try:
            text = self.app.workshop.woke()
        except PutbackError as fault:
            if self.app.message.words != str(fault):  # it is tried again with every tick, and told once
                self.app.refuse(str(fault))
            return False
        if text:
            self.app.say("asks", text)
        return bool(text)

    def look_after_the_folder(self) -> None:
        """Say once that the workshop's folder is gone, and what can be done, and once that it is there again."""
        gone = self.app.workshop.store.adrift
        if gone and not self._adrift:
            text = "The workshop's folder is gone: nothing new is saved. {quit} writes it elsewhere."
            self.app.refuse(self.app.keymap.words(text))
        elif self._adrift and not gone:
            self.app.say("note", "The workshop's folder is there again.")
        self._adrift = gone

    def followed(self) -> bool:
        """Take in what another copy wrote, where this one may only read; tell whether there was anything."""
        workshop = self.app.workshop
        if workshop.store.writable:
            return False
        try:
            found = workshop.follow()
        except PutbackError as fault:
            self.app.refuse(str(fault))
            return False
        if found and self.app.machine is None:
            self.app.machine_id = workshop.last_machine()
        return bool(found)
