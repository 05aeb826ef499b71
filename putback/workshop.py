"""An open workshop: checks a command, makes one change, commits it, and answers queries.

It is the only door through which anything is written. The screen, the command line and the session
files all come this way.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import datetime
from itertools import islice
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from msgspec import Struct

from putback.abandoned_sessions import LastActs, crosses_midnight, is_left, left_message
from putback.bench_clock import BenchClock, Ticks
from putback.errors import BadInput, Refused, StoreError
from putback.progress import each
from putback.sizing.instruments import TOOLS, Tool
from putback.store import Entry, Store
from putback.store.loading import bulk
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.commands.named_size import sized, sized_anew
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change
from putback.trade.record.machine import Machine
from putback.trade.record.named import CodeMaker as CodeMaker
from putback.trade.record.named import bag_coded, fresh_codes, machine_named
from putback.trade.record.record import Record
from putback.trade.record.session import minutes_between
from putback.undo import last_taken_back, not_taken_back

if TYPE_CHECKING:
    from putback.trade.files.importing import TakenIn
    from putback.trade.files.rehearsal import Rehearsal
    from putback.trade.files.session_file import SessionFile

Clock = Callable[[], datetime]
"""Gives the time of now, with an offset."""

KEPT_AT_HAND = 64
"""Changes of one machine that are remembered for taking back; those before are read from the logbook."""

LOOKED_BACK = 512
"""Changes of the whole workshop that are looked through for one to bring again."""

FORGOTTEN = 10.0
"""Minutes without a change after which a session that was never ended is taken as left."""


class Done(Struct, frozen=True):
    """A command that is safely on disk."""

    number: int
    """The change's number in the journal."""
    said: str
    """What happened, as one line."""


class Workshop:
    """One workshop folder, open. Use as a context manager, or call `close`."""

    def __init__(
        self, store: Store, *, clock: Clock, codes: CodeMaker, who: str = "", ticks: Callable[[], Ticks] | None = None
    ) -> None:
        """`ticks` tells how long the computer has run, where there is a clock that nobody can set."""
        self.store = store
        self.clock = BenchClock(clock, ticks)
        self.who = who
        self._codes = codes
        self._done: dict[int, deque[Entry]] = {}
        self.have: tuple[Tool, ...] = TOOLS
        """What there is to measure with: the plates at hand count in a size's name."""
        self.left: dict[int, str] = {}
        """What is to be told of sessions that were found left at opening, by machine."""
        with bulk():
            self.record = Record(store.rows)
        self._acts = LastActs(self.record, store.entries_back)

    @classmethod
    def open(
        cls,
        folder: Path,
        *,
        clock: Clock,
        codes: CodeMaker,
        who: str = "",
        read_only: bool = False,
        must_exist: bool = False,
        ticks: Callable[[], Ticks] | None = None,
    ) -> Workshop:
        """Open the workshop in `folder`, making it where it is absent unless it `must_exist`.

        A long journal is folded first, where this copy may write. Raises a StoreError with one sentence: the
        folder is a file, of a newer version, or damaged.
        """
        at = clock().isoformat(timespec="seconds")
        store = Store.open(folder, at=at, who=who, read_only=read_only, must_exist=must_exist)
        try:
            workshop = cls(store, clock=clock, codes=codes, who=who, ticks=ticks)
            workshop.rest()
            with suppress(StoreError):  # a disk that refuses says so at the first thing done
                workshop._end_all_left()
            return workshop
        except BaseException:
            store.close()
            raise

    def __enter__(self) -> Workshop:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is not None:
            self.store.close()
        else:
            self.close()

    def close(self) -> None:
        """Let the folder go; a long journal is folded first."""
        try:
            self.rest()
        finally:
            self.store.close()

    def rest(self) -> None:
        """Use a quiet moment, at opening, at the end of a session or at closing: fold a long journal.

        Never called between two keystrokes. Where the disk refuses, everything stays as it was and the next
        change says what is wrong, or the next quiet moment finishes it.
        """
        if self.store.should_fold():
            with suppress(StoreError):
                self.store.fold()

    # -- doing -------------------------------------------------------------------------------------

    def now(self) -> str:
        """Return the stamp of now; never one before the last."""
        return self.clock.now().isoformat(timespec="seconds")

    def do(self, command: c.Command, machine: int = 0, *, at: str = "") -> Done:
        """Do one command on a machine; it is on disk when this returns.

        A fastener's size is named here from its readings. Raises Refused or BadInput where the record
        or the words do not allow it, a StoreError where the disk does not take it; then nothing has
        changed.
        """
        if not at:
            at = self._at_last_act(command, machine)
        if isinstance(command, c.StartSession) and not any(self.record.open_session(m.id) for m in self.machines()):
            self.clock.start_afresh()
        at = at or self.now()
        if isinstance(command, c.Enter):
            command = sized(self.record, machine, command, have=self.have)
        elif isinstance(command, c.MendFastener):
            command = sized_anew(self.record, machine, command, have=self.have)
        change = self._apply(machine, command, at)
        number = self._commit(change, at)
        if change.machine in self._done and change.did not in rules.NOT_TAKEN_BACK:
            self._done[change.machine].append(Entry(number, at, self.who, change))
        if isinstance(command, c.EndSession):
            self.rest()
        return Done(number, change.said)

    def _apply(self, machine: int, command: c.Command, at: str) -> Change:
        return rules.apply(self.record, machine, command, at=at, codes=fresh_codes(self.record, self._codes))

    def _commit(self, change: Change, at: str) -> int:
        number = self.store.commit(change, at=at, who=self.who)
        if change.machine and change.did != rules.TAKE_IN:
            self._acts.acted(change.machine, at)
        return number

    def last_done(self, machine: int) -> Entry | None:
        """Return the machine's last change that can be taken back, or None.

        The logbook is read the first time, and again only when everything at hand was taken back.
        """
        if not self._done.get(machine):
            newest_first = list(islice(not_taken_back(self.store.entries_back(), machine), KEPT_AT_HAND))
            self._done[machine] = deque(reversed(newest_first), maxlen=KEPT_AT_HAND)
        at_hand = self._done[machine]
        return at_hand[-1] if at_hand else None

    def take_back(self, machine: int) -> Done:
        """Take back the machine's last change. It is a change like any other, so it can go on without
        limit, after a restart too. Raises Refused where nothing is left."""
        entry = self.last_done(machine)
        if entry is None:
            raise Refused("There is nothing left to take back.")
        self.end_left(machine)
        change = entry.change.reversed(number=entry.number, said=f"taken back: {entry.change.said}")
        try:
            number = self._commit(change, self.now())
        except ValueError as fault:  # spares are the workshop's: another machine may have had some of them since
            raise Refused(
                f"It cannot be taken back, since it was changed again for another machine: {entry.change.said}."
            ) from fault
        self._done[machine].pop()
        return Done(number, change.said)

    def bring_again(self, machine: int) -> Done:
        """Do again what was taken back last; after a restart too. It is a change like any other.

        Raises Refused where nothing was taken back since the last thing done.
        """
        newest_first = list(islice(self.store.entries_back(), LOOKED_BACK))
        entry = last_taken_back(newest_first[::-1], machine)
        if entry is None:
            raise Refused("Nothing was taken back since the last thing done: there is nothing to bring again.")
        self.end_left(machine)
        at = self.now()
        try:
            number = self._commit(entry.change, at)
        except ValueError as fault:
            raise Refused("It cannot be brought again: something else is in its place by now.") from fault
        if machine in self._done:
            self._done[machine].append(Entry(number, at, self.who, entry.change))
        return Done(number, f"again: {entry.change.said}")

    def play(self, file: SessionFile | Rehearsal, on_done: Callable[[Done], None]) -> int:
        """Play a session file, telling each change once it is on disk; return the machine's number.

        A file that was not rehearsed yet is first tried in memory. Raises BadSessionFile, naming file,
        step and error, or Refused where the machine is there already; then nothing has changed.
        """
        from putback.trade.files.rehearsal import rehearse  # only where a session file is played
        from putback.trade.files.session_file import SessionFile  # the same

        if isinstance(file, SessionFile):
            self.refuse_twin(file)
            file = rehearse(file)
        played = file.file
        self.refuse_twin(played)
        machine = self.record.next_id("machines")
        for act in each(played.acts, "acts played"):
            on_done(self.do(act.command, machine, at=act.at))
        return machine

    def refuse_twin(self, file: SessionFile) -> None:
        """Raise Refused where the machine of a session file is in the workshop already."""
        for other in self.record.all(Machine):
            if other.is_twin_of(file.machine.name, file.machine.serial):
                raise Refused(f"{file.name}: {other.caption} is in this workshop already.")

    def take_in(self, found: Record, machines: Iterable[int] | None = None) -> TakenIn:
        """Take in machines of an exported record, as one change; it is on disk when this returns.

        `machines` names them by their numbers in the export, else all are taken. Raises Refused where one is
        here already, a StoreError where the disk does not take it; then nothing has changed.
        """
        from putback.trade.files.importing import take_in  # only where a record is taken in

        taken = take_in(self.record, found, fresh_codes(self.record, self._codes), machines)
        self._commit(taken.change, self.now())
        return taken

    def come_back(self, machine: int) -> str:
        """Mend the clock of a session that was never ended: it is taken as left at its last change.

        Returns a sentence that tells of it. Does nothing, and returns an empty text, where no session goes on
        or the last change is fresh. Where the computer's clock was set
        back since, time goes on from that change.
        """
        text = self.left.pop(machine, "") or self.end_left(machine)
        session = self.record.open_session(machine)
        if session is None:
            return text
        last = self._acts.last(session)
        self.clock.not_before(datetime.fromisoformat(last))
        if not session.paused and minutes_between(last, self.now()) > FORGOTTEN:
            self.do(c.Pause(), machine, at=last)
            return f"The time ran on since {last[11:16]}, when the program stopped: it is cut there."
        return ""

    # -- a session that nobody ended ------------------------------------------------------------------

    def end_left(self, machine: int) -> str:
        """End a session that was left for LEFT minutes, as at its last act; return a sentence that tells of it.

        Empty where no session goes on, or it was not left, or this copy may only read. Raises a StoreError where
        the disk does not take it.
        """
        session = self.record.open_session(machine)
        if session is None or not self.store.writable:
            return ""
        last = self._acts.last(session)
        return self.end_at_last_act(machine) if is_left(last, self.now()) else ""

    def end_at_last_act(self, machine: int) -> str:
        """End the session that goes on as at its last act; return a sentence that tells of it."""
        session = self.record.open_session(machine)
        if session is None:
            return ""
        last = self._acts.last(session)
        # no fold follows: that would be in the way of the key that found the session left
        self._commit(
            rules.apply(self.record, machine, c.EndSession(), at=last, codes=fresh_codes(self.record, self._codes)),
            last,
        )
        return left_message(session, last)

    def over_midnight(self, machine: int) -> str:
        """Return the stamp of the last act where midnight has gone by since in a gap that has to be asked about."""
        session = self.record.open_session(machine)
        last = self._acts.last(session) if session is not None and self.store.writable else ""
        return last if last and crosses_midnight(last, self.now()) else ""

    def _at_last_act(self, command: c.Command, machine: int) -> str:
        """End a session that was left before something else is done; give the stamp where that is said of its end."""
        session = self.record.open_session(machine) if machine else None
        if session is None:
            return ""
        if not command.is_of_the_end:
            self.end_left(machine)
            return ""
        last = self._acts.last(session)
        return last if is_left(last, self.now()) else ""

    def _end_all_left(self) -> None:
        """End every session that was left, at opening; what is told of each waits in `left`."""
        for machine in self.machines():
            if text := self.end_left(machine.id):
                self.left[machine.id] = text

    def woke(self) -> str:
        """Pause every session that ran while the computer slept, as at the moment it fell asleep.

        Returns a sentence that tells of it, empty where there was nothing to do. Raises a StoreError where the
        disk does not take it; then it is tried again the next time.
        """
        self.now()
        text = ""
        if not self.store.writable:
            self.clock.naps.clear()  # the copy that writes sees to it
        while self.clock.naps:
            nap = self.clock.naps[0]
            start = nap.start.isoformat(timespec="seconds")
            slept = minutes_between(start, nap.end.isoformat(timespec="seconds"))
            for machine in self.machines() if slept > FORGOTTEN else ():
                session = self.record.open_session(machine.id)
                if session is None or session.paused:
                    continue
                if datetime.fromisoformat(session.segments[-1].start) <= nap.start:
                    self.do(c.Pause(), machine.id, at=start)
                    text = f"The computer slept for {slept:.0f} minutes; the session is paused since {start[11:16]}."
            self.clock.naps.pop(0)
        return text

    def follow(self) -> int:
        """Take in what another copy has written since; return how many changes that were.

        Only a copy that may not write has anything to follow.
        """
        entries = () if self.store.writable else self.store.follow()
        if entries:
            self._done.clear()
            self._acts.forget()
        return len(entries)

    # -- asking ------------------------------------------------------------------------------------

    def machines(self) -> list[Machine]:
        """Return every machine, in the order they came to the bench."""
        return list(self.record.all(Machine))

    def machine(self, words: str = "") -> Machine:
        """Return the machine that `words` names, or the one of the last change where nothing is said.

        Raises BadInput where there is none or more than one, naming those there are.
        """
        known = self.machines()
        if not known:
            raise BadInput("There is no machine in this workshop yet.")
        if not words:
            return self.record.get(Machine, self.last_machine())
        return machine_named(known, words, "in this workshop")

    def last_machine(self) -> int:
        """Return the number of the machine of the last change; 0 in an empty workshop."""
        for entry in self.store.entries_back():
            if entry.change.machine and self.record.find(Machine, entry.change.machine):
                return entry.change.machine
        machines = self.machines()
        return machines[-1].id if machines else 0

    def bag(self, code: str, machine: str = "") -> Bag:
        """Return the bag of that code, on the machine that `machine` names where that is given.

        Raises BadInput where there is none, or where an error gave two bags one code.
        """
        return bag_coded(self.record, code, self.machine(machine) if machine else None)
