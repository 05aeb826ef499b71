"""Random commands, right and wrong, against the record: what must hold whatever is done."""

from __future__ import annotations

from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import Phase, event, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from putback.errors import BadInput
from putback.store import Store
from putback.trade.checks.ledger import all_wanting, check_balance, left_over, short_of, trial_balance
from putback.trade.checks.open_jobs import jobs_first
from putback.trade.checks.skipped_steps import in_the_way
from putback.trade.commands import (
    Begin,
    Carry,
    Command,
    Confirm,
    Enter,
    EnterPiece,
    Finish,
    NewMachine,
    PutBack,
    Replace,
    StartSession,
    TakeOffAgain,
    TakeUpHeld,
)
from putback.trade.commands.rules import apply
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change, Document
from putback.trade.record.fastener import LEFT_OVER, Thing
from putback.trade.record.job import AS_IT_IS
from putback.trade.record.machine import Machine, Part
from putback.trade.record.photo import Photo
from putback.trade.record.place import SCRAPPED
from putback.trade.record.record import TABLES, Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.trade.refit.confirmations import unasked
from putback.trade.refit.orientation import turn_first
from putback.trade.refit.way_back import steps_off, what_waits
from tests.sampled import examples
from tests.strategies import AT, commands, confirmed

Documents = dict[str, dict[int, Document]]


def documents(record: Record) -> Documents:
    """All documents of a record, by table and number."""
    return {table: record.documents(table) for table in TABLES}


def loaded(tables: Documents) -> Record:
    """A record that took in whole tables, as at opening."""
    record = Record()
    for table, found in tables.items():
        record.load(table, found)
    return record


def answers(record: Record) -> dict[str, Any]:
    """Everything a record answers from its indexes."""
    found: dict[str, Any] = {}
    for machine in record.all(Machine):
        m = machine.id
        things = list(record.all(Thing, m))
        numbers = range(record.count(Step, m) + 1)
        places = record.places(m)
        found[f"machine {m}"] = (
            [list(record.all(kind, m)) for kind in TABLES.values()],
            [(record.step(m, n), record.steps_needing(m, n)) for n in numbers],
            [(record.last_step(m), record.open_step(m), record.open_session(m), record.last_taken_out(m))],
            [(place, record.total(m, place), sorted(record.account(m, place).items())) for place in places],
            [(b, record.bag(m, b.number), record.bag_by_code(b.code)) for b in record.all(Bag, m)],
            [record.steps_filling(b) for b in record.all(Bag, m)],
            [record.bags_filled_by(s.id) for s in record.all(Step, m)],
            [(record.highest_bag(m), record.threads(m))],
            [(p, record.photo_of_file(m, p.file)) for p in record.all(Photo, m)],
            [(record.part_named(m, p.name.upper(), p.inside), record.off_at(p.id)) for p in record.all(Part, m)],
            [(record.assembly_named(m, p.name), record.steps_of_part(p.id)) for p in record.all(Part, m)],
            [(t.id, sorted(record.standing(t.id).items()), record.stand_ins(t.id)) for t in things],
        )
        found[f"steps of {m}"] = [
            (record.things_of(s), record.moves_of(s.id), record.photos_of(s), record.released_by(s.id))
            for s in record.all(Step, m)
        ]
        found[f"sessions of {m}"] = [record.steps_of_session(s.id) for s in record.all(Session, m)]
    return found


class Bench(RuleBasedStateMachine):
    """A workshop in memory on which anything is tried; each change is taken back and done again."""

    def __init__(self) -> None:
        super().__init__()
        self.store = Store.in_memory()
        self.record = Record()
        self.changes: list[Change] = []
        self.before: list[Documents] = []
        self.codes = (f"PB{number}" for number in count())

    @initialize()
    def sit_down(self) -> None:
        self.do(NewMachine(name="press", serial="41?7", origin="us"), 0)
        self.do(StartSession(box="A"), 1)
        self.do(Begin(name="lid", face="top"), 1)

    @rule(data=st.data())
    def go_on(self, data: st.DataObject) -> None:
        for _ in range(6):
            self.try_something(data)
            self.everything_is_in_one_place()
        if data.draw(st.integers(0, 3)) == 0:
            for _ in range(data.draw(st.integers(1, 8))):
                self.take_back()

    def try_something(self, data: st.DataObject) -> None:
        machine = data.draw(st.sampled_from([1, 1, 1, *(m.id for m in self.record.all(Machine))]))
        command = data.draw(commands(self.record, machine))
        before = documents(self.record)
        try:
            self.do(command, machine)
            event(f"{type(command).__name__} done")
        except BadInput as refusal:
            event(f"{type(command).__name__} refused")
            sentence = str(refusal)
            assert sentence.endswith((".", "?")) and "\n" not in sentence
            assert documents(self.record) == before

    def take_back(self) -> None:
        if len(self.changes) > 2:
            change = self.changes.pop().reversed(number=1, said="taken back")
            self.store.commit(change, at=AT, who="")
            self.record.absorb(change)
            assert documents(self.record) == self.before.pop()

    def do(self, command: Command, machine: int) -> None:
        before = documents(self.record)
        change = apply(self.record, machine, command, at=AT, codes=self.codes)
        assert documents(self.record) == before, "a rule wrote to the record"
        self.store.commit(change, at=AT, who="")
        self.record.absorb(change)
        after = documents(self.record)
        self.record.absorb(change.reversed(number=1, said=""))
        assert documents(self.record) == before, "taking it back does not lead to where it began"
        self.record.absorb(change)
        assert documents(self.record) == after
        self.changes.append(change)
        self.before.append(before)

    @invariant()
    def everything_is_in_one_place(self) -> None:
        assert list(check_balance(self.record)) == []
        for machine in self.record.all(Machine):
            things = list(self.record.all(Thing, machine.id))
            assert sum(trial_balance(self.record, machine.id).values()) == sum(t.count for t in things)
            short = [h for s in self.record.all(Step, machine.id) for h in short_of(self.record, s)]
            gone = [h for h in all_wanting(self.record, machine.id) if not _back(self.record, h.thing)]
            assert sorted(map(repr, short)) == sorted(map(repr, gone))
            waits = {w.step for w in what_waits(self.record, machine.id)}
            steps = (_step(self.record, h.thing) for h in short)
            assert {step.number for step in steps if not step.is_open} <= waits

    @invariant()
    def store_and_record_agree(self) -> None:
        tables = {table: dict(self.store.documents(table)) for table in TABLES}
        assert documents(self.record) == tables
        assert answers(self.record) == answers(loaded(tables)), "an index went out of step"

    def teardown(self) -> None:
        if self.changes:
            self.replay_from_disk()
            for machine in list(self.record.all(Machine)):
                self.put_everything_back(machine.id)

    def replay_from_disk(self) -> None:
        """The same changes from a folder come to the same documents."""
        with TemporaryDirectory() as folder:
            with Store.open(Path(folder), at=AT, who="Ann") as store:
                store.commit_many((change, AT, "Ann") for change in self.changes)
            with Store.open(Path(folder), at=AT, who="Ann", read_only=True) as store:
                tables = {table: dict(store.documents(table)) for table in TABLES}
        assert tables == documents(self.record)

    def put_everything_back(self, machine: int) -> None:
        """Refit to the end: whatever was done, once what is out of reach is replaced, all goes home."""
        if self.record.open_step(machine) is not None:
            self.do(Finish(put="shelf"), machine)
        while self.record.held_steps(machine):
            self.do(TakeUpHeld(), machine)
            self.do(Finish(put="shelf"), machine)
        for held in all_wanting(self.record, machine):
            self.do(Replace(thing=held.thing.id, count=held.count, put="shelf", source=held.place), machine)
        for thing in self.record.all(Thing, machine):
            for place in self.record.standing(thing.id) if thing.sort == LEFT_OVER else ():
                if place != SCRAPPED:  # no hole was found for it
                    self.do(Carry(thing=thing.id, count=1, source=place, target=SCRAPPED), machine)
        for skipped in [step for step in steps_off(self.record, machine) if step.skipped]:
            for covering in in_the_way(self.record, skipped)[0]:  # it was left out, and covered since
                self.do(TakeOffAgain(step=covering.number), machine)
        for off in steps_off(self.record, machine):
            step = self.record.get(Step, off.id)
            if step.back:
                continue  # a turn or a soak that nothing waiting needed any more
            turn = turn_first(self.record, step)
            if turn:
                self.do(Confirm(step=step.number, item=turn), machine)
            for item in unasked(self.record, step):
                self.do(confirmed(self.record, step, item), machine)
            for job in jobs_first(self.record, step):
                self.do(Confirm(step=step.number, item=job.question, anyway=AS_IT_IS), machine)
            self.do(PutBack(step=step.number), machine)
        assert all(step.back for step in self.record.all(Step, machine))
        assert left_over(self.record, machine) == [] and what_waits(self.record, machine) == []
        assert set(trial_balance(self.record, machine)) <= {"fitted", "scrapped"}
        for thing in self.record.all(Thing, machine):
            if thing.found or thing.sort == LEFT_OVER:
                continue
            new = sum(t.count for t in self.record.stand_ins(thing.id))
            assert self.record.standing(thing.id).get(SCRAPPED, 0) == new
        assert all(self.record.in_bag(bag) == {} for bag in self.record.all(Bag, machine))


def _step(record: Record, thing: Thing) -> Step:
    return record.get(Step, thing.step)


def _back(record: Record, thing: Thing) -> bool:
    return bool(_step(record, thing).back)


TestBench = Bench.TestCase
TestBench.settings = settings(
    max_examples=examples(8),
    stateful_step_count=10,
    deadline=None,
    report_multiple_bugs=False,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # shrinking forty steps takes minutes
)


def test_a_long_day_reaches_every_sort_of_place() -> None:
    """The machine above is worth nothing if it never gets far; this walks one good path through it."""
    bench = Bench()
    bench.sit_down()
    for command in (
        Enter(hole="1", size="#8-32 UNC x 3/8"),
        EnterPiece(name="spring", count=3),
        Finish(put="away: plater"),
        Begin(name="cam"),
        Finish(put="box B"),
        Begin(name="pawl"),
        Finish(put="kept with cam"),
        Begin(name="bell"),
        Finish(put="scrapped"),
        Begin(name="foot"),
        Finish(),
        Begin(name="drum"),
        Finish(put="shelf"),
        Carry(thing=2, count=1, source="bag 1", target="borrowed: a photograph"),
        Carry(thing=2, count=1, source="bag 1", target="missing"),
    ):
        bench.do(command, 1)
        bench.everything_is_in_one_place()
    balance = trial_balance(bench.record, 1)
    assert balance == {
        "loose": 1, "bag": 2, "box": 1, "kept with": 1, "shelf": 1, "away": 1, "borrowed": 1, "scrapped": 1,
        "missing": 1,
    }  # fmt: skip
    bench.teardown()
