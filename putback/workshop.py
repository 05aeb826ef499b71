"""An open workshop: checks a command, makes one change, commits it, and answers queries.

It is the only door through which anything is written. The screen, the command line and the session
files all come this way.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Container, Iterable, Iterator
from datetime import datetime
from itertools import islice
from pathlib import Path
from types import TracebackType

from msgspec import Struct

from putback.errors import BadInput, Refused
from putback.store import Entry, Store
from putback.trade import commands as c
from putback.trade.bag import Bag
from putback.trade.change import Change
from putback.trade.fastener import Thing
from putback.trade.machine import Machine
from putback.trade.record import TABLES, Record
from putback.trade.rehearsal import Rehearsal, rehearse
from putback.trade.session import minutes_between
from putback.trade.session_file import SessionFile
from putback.trade.sized import sized
from putback.trade.wording import few, instead, quoted

Clock = Callable[[], datetime]
"""Gives the time of now, with an offset."""

CodeMaker = Callable[[Container[str]], str]
"""Gives an unused bag code, told which are taken."""

KEPT_AT_HAND = 64
"""Changes of one machine that are remembered for taking back; those before are read from the logbook."""

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

    def __init__(self, store: Store, *, clock: Clock, codes: CodeMaker, who: str = "") -> None:
        self.store = store
        self.clock = clock
        self.who = who
        self.record = Record()
        self._codes = codes
        self._done: dict[int, deque[Entry]] = {}
        for table in TABLES:
            self.record.load(table, store.documents(table), store.last_id(table))

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
    ) -> Workshop:
        """Open the workshop in `folder`, making it where it is absent unless it `must_exist`.

        Raises a StoreError with one sentence: the folder is a file, of a newer version, or damaged.
        """
        at = clock().isoformat(timespec="seconds")
        store = Store.open(folder, at=at, who=who, read_only=read_only, must_exist=must_exist)
        try:
            return cls(store, clock=clock, codes=codes, who=who)
        except BaseException:
            store.close()
            raise

    def __enter__(self) -> Workshop:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let the folder go."""
        self.store.close()

    # -- doing -------------------------------------------------------------------------------------

    def now(self) -> str:
        """Return the stamp of now."""
        return self.clock().isoformat(timespec="seconds")

    def do(self, command: c.Command, machine: int = 0, *, at: str = "") -> Done:
        """Do one command on a machine; it is on disk when this returns.

        A fastener's size is named here from its readings. Raises Refused or BadInput where the record
        or the words do not allow it, a StoreError where the disk does not take it; then nothing has
        changed.
        """
        at = at or self.now()
        if isinstance(command, c.Enter):
            command = sized(self.record, machine, command)
        change = c.apply(self.record, machine, command, at=at, codes=self._fresh_codes())
        number = self._commit(change, at)
        if change.machine in self._done and change.did not in c.NOT_TAKEN_BACK:
            self._done[change.machine].append(Entry(number, at, self.who, change))
        return Done(number, change.said)

    def _commit(self, change: Change, at: str) -> int:
        number = self.store.commit(change, at=at, who=self.who)
        self.record.absorb(change)
        return number

    def _fresh_codes(self) -> Iterator[str]:
        """Give unused bag codes; none is drawn before it is wanted."""
        fresh: set[str] = set()
        while True:
            code = self._codes(_Taken(self.record, fresh))
            fresh.add(code)
            yield code

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
        change = entry.change.reversed(number=entry.number, said=f"taken back: {entry.change.said}")
        number = self._commit(change, self.now())
        self._done[machine].pop()
        return Done(number, change.said)

    def play(self, file: SessionFile | Rehearsal, told: Callable[[Done], None]) -> int:
        """Play a session file, telling each change once it is on disk; return the machine's number.

        A file that was not rehearsed yet is first tried in memory. Raises BadSessionFile, naming file,
        step and fault, or Refused where the machine is there already; then nothing has changed.
        """
        if isinstance(file, SessionFile):
            self.refuse_twin(file)
            file = rehearse(file)
        played = file.file
        self.refuse_twin(played)
        machine = self.record.next_id("machines")
        for act in played.acts:
            told(self.do(act.command, machine, at=act.at))
        return machine

    def refuse_twin(self, file: SessionFile) -> None:
        """Raise Refused where the machine of a session file is in the workshop already."""
        for other in self.record.all(Machine):
            if other.is_twin_of(file.machine.name, file.machine.serial):
                raise Refused(f"{file.name}: {other.caption} is in this workshop already.")

    def come_back(self, machine: int) -> None:
        """Mend the clock of a session that was never ended: it is taken as left at its last change.

        Does nothing where no session runs or the last change is fresh.
        """
        session = self.record.open_session(machine)
        if session is None or session.paused:
            return
        last = session.segments[-1].start
        for entry in self.store.entries_back():
            if entry.change.machine == machine:
                last = max(last, entry.at, key=datetime.fromisoformat)
                break
        if minutes_between(last, self.now()) > FORGOTTEN:
            self.do(c.Pause(), machine, at=last)

    def follow(self) -> int:
        """Take in what another copy has written since; return how many changes that were.

        Only a copy that may not write has anything to follow.
        """
        entries = () if self.store.writable else self.store.follow()
        for entry in entries:
            self.record.absorb(entry.change)
        if entries:
            self._done.clear()
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
        named = [m for m in known if m.is_exactly(words)] or [m for m in known if m.answers_to(words)]
        if len(named) > 1:
            captions = few([m.caption for m in named])
            raise BadInput(f"More than one machine answers to {quoted(words)}: {captions}; say name and serial.")
        if not named:
            names = {name for m in known for name in (m.name, m.serial, m.caption) if name}
            raise BadInput(f"There is no machine {quoted(words)} in this workshop{instead(words, names)}")
        return named[0]

    def last_machine(self) -> int:
        """Return the number of the machine of the last change; 0 in an empty workshop."""
        for entry in self.store.entries_back():
            if entry.change.machine and self.record.find(Machine, entry.change.machine):
                return entry.change.machine
        machines = self.machines()
        return machines[-1].id if machines else 0

    def bag(self, code: str) -> Bag:
        """Return the bag of that code. Raises BadInput where there is none."""
        bag = self.record.bag_by_code(code)
        if bag is None:
            raise BadInput(f"No bag in this workshop has the code {code}.")
        return bag

    def last_fastener(self, machine: int) -> Thing | None:
        """Return the fastener entered last on the machine, or None."""
        return self.record.last_taken_out(machine)


def not_taken_back(newest_first: Iterable[Entry], machine: int) -> Iterator[Entry]:
    """Give the changes of a machine that still stand and can be taken back, newest first."""
    gone: set[int] = set()
    for entry in newest_first:
        change = entry.change
        if change.machine != machine or change.did in c.NOT_TAKEN_BACK:
            continue
        if change.undoes:
            gone.add(change.undoes)
        elif entry.number not in gone:
            yield entry


class _Taken:
    """Every code in use, and those just made."""

    def __init__(self, record: Record, fresh: set[str]) -> None:
        self._record = record
        self._fresh = fresh

    def __contains__(self, code: object) -> bool:
        return code in self._fresh or (isinstance(code, str) and self._record.bag_by_code(code) is not None)
