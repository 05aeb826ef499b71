"""A pair of hands for the tests of the trade: a record, and commands done on it one after another."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest
from msgspec.structs import replace

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance, trial_balance
from putback.trade.commands import rules
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change
from putback.trade.record.fastener import Thing
from putback.trade.record.record import TABLES, Record
from putback.trade.record.step import Step
from putback.trade.refit.confirmations import unasked
from putback.trade.refit.orientation import turn_first
from tests.strategies import confirmed

START = datetime(2025, 3, 1, 10, 0, tzinfo=UTC)


class Hands:
    """One machine on the bench, and a clock that goes on by a minute with each command."""

    def __init__(self, **machine: str | int) -> None:
        self.record = Record()
        self.machine = 0
        self.codes: Iterator[str] = (f"PB{number:07}" for number in count(1))
        self._minutes = count()
        self.at = ""
        self.do(replace(c.NewMachine(name="press"), **machine))
        self.machine = 1

    def do(self, command: c.Command) -> Change:
        """Do one command; the balance must hold after it."""
        self.at = (START + timedelta(minutes=next(self._minutes))).isoformat()
        change = rules.apply(self.record, self.machine, command, at=self.at, codes=self.codes)
        self.record.absorb(change)
        assert list(check_balance(self.record)) == []
        return change

    def refused(self, command: c.Command) -> str:
        """Have a command refused; return the sentence. Nothing may have changed."""
        before = self.documents()
        with pytest.raises(BadInput) as refusal:
            self.do(command)
        assert self.documents() == before
        return str(refusal.value)

    def documents(self) -> dict[str, dict[int, dict[str, object]]]:
        """All documents."""
        return {table: self.record.documents(table) for table in TABLES}

    def take_off(self, name: str, *holes: str, put: str = "shelf", **begin: object) -> Step:
        """Take off a part held by #8-32 screws in `holes`."""
        self.do(replace(c.Begin(name=name), **begin))
        for hole in holes:
            self.do(c.Enter(hole=hole, size="#8-32 UNC x 3/8", thread="#8-32 UNC", length="3/8"))
        self.do(c.Finish(put=put))
        return self.last

    def put_back(self, number: int) -> Change:
        """Turn the machine as the step wants it, confirm everything of it, and put it back."""
        turn = turn_first(self.record, self.step(number))
        if turn:
            self.do(c.Confirm(step=number, item=turn))
        for item in unasked(self.record, self.step(number)):
            self.do(confirmed(self.record, self.step(number), item))
        return self.do(c.PutBack(step=number))

    @property
    def last(self) -> Step:
        """The last step."""
        step = self.record.last_step(self.machine)
        assert step is not None
        return step

    def step(self, number: int) -> Step:
        """A step by its number."""
        step = self.record.step(self.machine, number)
        assert step is not None
        return step

    def bag(self, number: int) -> Bag:
        """A bag by its number."""
        bag = self.record.bag(self.machine, number)
        assert bag is not None
        return bag

    def thing(self, name: str, hole: str = "") -> Thing:
        """The last thing of that name, and hole where one is said."""
        found = [t for t in self.record.all(Thing, self.machine) if t.name == name and hole in ("", t.hole)]
        return found[-1]

    def where(self, name: str, hole: str = "") -> dict[str, int]:
        """Where the last thing of that name stands."""
        return self.record.standing(self.thing(name, hole).id)

    @property
    def balance(self) -> dict[str, int]:
        """The trial balance."""
        return trial_balance(self.record, self.machine)
