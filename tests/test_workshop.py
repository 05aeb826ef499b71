"""An open workshop: several machines, taking back without end, restarts, a killed process, reading only."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Container
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadInput, BadSessionFile, Damaged, DiskTrouble, InUse, NotAWorkshop, Refused
from putback.scans.bag_code import new_code
from putback.store import Store
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance, trial_balance
from putback.trade.files.session_file import read_session_file
from putback.trade.record.change import Change, Document, Edit
from putback.trade.record.fastener import Thing
from putback.trade.record.record import TABLES
from putback.trade.record.session import Session
from putback.undo import not_taken_back
from putback.workshop import KEPT_AT_HAND, Done, Workshop

START = datetime(2025, 3, 1, 10, 0, tzinfo=UTC)


class Clock:
    """A clock that goes on by a minute each time it is read."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


@pytest.fixture
def open_bench(tmp_path: Path) -> Callable[..., Workshop]:
    """Opens the one workshop of a test, as often as wanted, on one clock and one chance."""
    clock, rng = Clock(), Random(1)

    def opened(read_only: bool = False, must_exist: bool = False) -> Workshop:
        codes = lambda taken: new_code(rng, taken)  # noqa: E731 - a name for what is passed on
        return Workshop.open(
            tmp_path / "bench", clock=clock, codes=codes, who="Ann", read_only=read_only, must_exist=must_exist
        )

    return opened


Opener = Callable[..., Workshop]


def lay_out(workshop: Workshop, *names: str) -> list[int]:
    """Put machines on the bench; give their numbers."""
    for name in names:
        workshop.do(c.NewMachine(name=name, origin="us"))
    return [machine.id for machine in workshop.machines()]


def panel(workshop: Workshop, machine: int, name: str, *holes: str) -> None:
    """Take off a panel."""
    workshop.do(c.Begin(name=name), machine)
    for hole in holes:
        workshop.do(c.Enter(hole=hole, readings={"gauge": "832", "length": ".372"}, head="fillister"), machine)
    workshop.do(c.Finish(put="shelf"), machine)


def documents(workshop: Workshop) -> dict[str, dict[int, Document]]:
    """Everything in it."""
    return {table: dict(workshop.record.documents(table)) for table in TABLES}


# -- doing -------------------------------------------------------------------------------------------


def test_a_fastener_is_named_counted_and_on_disk(open_bench: Opener) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press")
        panel(workshop, 1, "lid", "1")
        thing = workshop.record.get(Thing, 1)
        assert (thing.size, thing.thread, thing.length, thing.verdict) == (
            "#8-32 UNC x 3/8",
            "#8-32 UNC",
            "3/8",
            "sure",
        )
        before = documents(workshop)
        assert workshop.store.number == 4
    with open_bench() as again:
        assert documents(again) == before
        assert again.record.last_taken_out(1) == thing and again.record.last_taken_out(2) is None


@pytest.mark.parametrize(
    "command",
    [
        c.Enter(hole="1", readings={"gauge": "what"}),
        c.Enter(hole="1", readings={"length": "7/"}),
        c.Enter(hole="1", kind="nail", readings={"gauge": "832"}),
        c.Enter(hole="1", head="egg", readings={"gauge": "832"}),  # type: ignore[arg-type]
        c.Enter(hole="99", readings={"gauge": "832"}),
        c.Enter(hole="1", note="half \udfff a character"),
    ],
)
def test_what_is_refused_leaves_no_trace(open_bench: Opener, command: c.Command) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press")
        workshop.do(c.Begin(name="lid"), 1)
        before, number = documents(workshop), workshop.store.number
        with pytest.raises(BadInput):
            workshop.do(command, 1)
        assert documents(workshop) == before and workshop.store.number == number
        workshop.do(c.Enter(hole="1"), 1)


def test_without_a_machine_nothing_is_done(open_bench: Opener) -> None:
    with open_bench() as workshop:
        with pytest.raises(Refused, match="no machine on the bench yet"):
            workshop.do(c.Enter(hole="1", readings={"gauge": "832"}))
        with pytest.raises(BadInput, match="There is no machine in this workshop yet"):
            workshop.machine()
        assert workshop.last_machine() == 0 and workshop.last_done(0) is None


def test_no_two_bags_have_one_code(open_bench: Opener) -> None:
    drawn = iter(["PBA", "PBA", "PBA", "PBB"])

    def codes(taken: Container[str]) -> str:
        return next(code for code in drawn if code not in taken)

    with open_bench() as workshop:
        lay_out(workshop, "press")
        workshop._codes = codes
        panel(workshop, 1, "lid", "1")
        panel(workshop, 1, "cam", "1")
        assert [bag["code"] for bag in documents(workshop)["bags"].values()] == ["PBA", "PBB"]
        assert workshop.bag("PBB").number == 2
        with pytest.raises(BadInput, match="No bag in this workshop has the code PBC"):
            workshop.bag("PBC")


# -- several machines --------------------------------------------------------------------------------


def test_machines_keep_apart(open_bench: Opener) -> None:
    with open_bench() as workshop:
        press, recorder = lay_out(workshop, "press", "recorder")
        panel(workshop, press, "lid", "1", "3")
        panel(workshop, recorder, "lid", "5")
        assert trial_balance(workshop.record, press) == {"bag": 2, "shelf": 1}
        assert trial_balance(workshop.record, recorder) == {"bag": 1, "shelf": 1}
        assert [bag["number"] for bag in documents(workshop)["bags"].values()] == [1, 1]
        workshop.take_back(press)
        last = workshop.record.last_step(press)
        assert last is not None and last.is_open
        assert trial_balance(workshop.record, recorder) == {"bag": 1, "shelf": 1}


def test_the_default_machine_is_that_of_the_last_change(open_bench: Opener) -> None:
    with open_bench() as workshop:
        press, _ = lay_out(workshop, "press", "recorder")
        assert workshop.machine().name == "recorder"
        workshop.do(c.Begin(name="lid"), press)
        assert workshop.machine().name == "press"
    with open_bench(read_only=True) as workshop:
        assert workshop.machine().name == "press"


def test_a_machine_is_chosen_by_name_serial_or_both(open_bench: Opener) -> None:
    with open_bench() as workshop:
        workshop.do(c.NewMachine(name="Ticket press", serial="2041?7"))
        workshop.do(c.NewMachine(name="Ticket press", serial="20417"))
        workshop.do(c.NewMachine(name="Recorder", serial="5?83"))
        assert workshop.machine("2041?7").id == 1, "to the last sign before loosely"
        assert workshop.machine("20417").id == 2
        assert workshop.machine("ticket press 2041?7").id == 1
        assert workshop.machine("583").id == workshop.machine("recorder").id == workshop.machine("5?83").id == 3
        with pytest.raises(BadInput, match="More than one machine answers to “ticket press”: Ticket press 2041"):
            workshop.machine("ticket press")
        assert workshop.machine("rec").id == workshop.machine("5").id == 3, "the beginning of a word of it"
        with pytest.raises(
            BadInput, match=r"There is no machine “recordr” in this workshop; did you mean “Recorder 5\?83”"
        ):
            workshop.machine("recordr")


# -- taking back -------------------------------------------------------------------------------------


def test_everything_is_taken_back_one_by_one_across_restarts(open_bench: Opener) -> None:
    stages = []
    with open_bench() as workshop:
        lay_out(workshop, "press")
        stages.append(documents(workshop))
        workshop.do(c.Begin(name="lid"), 1)
        for hole in "137":
            stages.append(documents(workshop))
            workshop.do(c.Enter(hole=hole, readings={"gauge": "832"}), 1)
        stages.append(documents(workshop))
        workshop.do(c.Finish(put="shelf"), 1)
        assert workshop.take_back(1).said == "taken back: step 1: took off lid, 3 out, part to shelf"
        assert documents(workshop) == stages.pop()
    while stages:
        with open_bench() as workshop:
            workshop.take_back(1)
            assert documents(workshop) == stages.pop()
    with open_bench() as workshop, pytest.raises(Refused, match="There is nothing left to take back"):
        workshop.take_back(1)


def test_taking_back_passes_over_time_at_the_bench(open_bench: Opener) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press")
        workshop.do(c.StartSession(), 1)
        workshop.do(c.Begin(name="lid"), 1)
        workshop.do(c.Pause(), 1)
        workshop.do(c.Resume(), 1)
        workshop.do(c.WalkBack(step=1, answer="true"), 1)
        workshop.do(c.EndSession(), 1)
        workshop.do(c.StartSession(), 1)
        assert workshop.take_back(1).said == "taken back: step 1: take off lid"
        assert workshop.record.last_step(1) is None
        assert [s.ended != "" for s in workshop.record.all(Session, 1)] == [True, False]
        with pytest.raises(Refused):
            workshop.take_back(1)


def test_what_is_done_after_taking_back_is_taken_back_first(open_bench: Opener) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press")
        workshop.do(c.Begin(name="lid"), 1)
        workshop.do(c.Enter(hole="1"), 1)
        workshop.take_back(1)
        workshop.do(c.Enter(hole="3"), 1)
        assert [t.hole for t in workshop.record.all(Thing)] == ["3"]
        workshop.take_back(1)
        assert workshop.take_back(1).said == "taken back: step 1: take off lid"
        assert documents(workshop)["things"] == {} and documents(workshop)["steps"] == {}


@given(acts=st.lists(st.sampled_from(["enter", "back", "again", "reopen", "pause", "other"]), max_size=20))
@settings(max_examples=25)
def test_what_was_taken_back_is_brought_again(acts: list[str]) -> None:
    """As often as it was taken back, until something else is done; after a restart or a pause too."""
    clock, rng = Clock(), Random(1)
    with TemporaryDirectory() as folder:
        bench = Workshop.open(Path(folder), clock=clock, codes=lambda taken: new_code(rng, taken))
        lay_out(bench, "press", "winder")
        bench.do(c.StartSession(), 1)
        bench.do(c.Begin(name="lid"), 1)
        stands: list[list[Thing]] = [[]]
        ahead: list[list[Thing]] = []
        for nth, act in enumerate(acts):
            match act:
                case "enter" if len(stands) < 9:
                    bench.do(c.Enter(hole=str(len(stands)), readings={"gauge": "832"}, note=f"{nth}"), 1)
                    stands.append(list(bench.record.all(Thing, 1)))
                    ahead.clear()
                case "back" if len(stands) > 1:
                    bench.take_back(1)
                    ahead.append(stands.pop())
                case "again" if ahead:
                    assert bench.bring_again(1).said.startswith("again: hole")
                    stands.append(ahead.pop())
                case "again":
                    with pytest.raises(Refused, match="there is nothing to bring again"):
                        bench.bring_again(1)
                case "reopen":
                    bench.close()
                    bench = Workshop.open(Path(folder), clock=clock, codes=lambda taken: new_code(rng, taken))
                case "pause":
                    bench.do(c.Pause(), 1)
                    bench.do(c.Resume(), 1)
                case "other":
                    panel(bench, 2, f"plate {nth}", "1")
            assert list(bench.record.all(Thing, 1)) == stands[-1]
        assert bench.take_back(1).said.startswith("taken back: ")
        bench.close()


def test_what_stands_in_the_way_is_not_written_over(open_bench: Opener) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press")
        workshop.do(c.Begin(name="lid"), 1)
        workshop.take_back(1)
        step = next(workshop.store.entries_back()).change.edits[-1]
        elsewhere = Change(did="Note", said="elsewhere", edits=(Edit(step.table, step.id, None, step.old),))
        workshop.store.commit(elsewhere, at=START.isoformat(), who="")
        before = documents(workshop)
        with pytest.raises(Refused, match="something else is in its place"):
            workshop.bring_again(1)
        assert documents(workshop) == before


def test_more_is_taken_back_than_is_kept_at_hand(open_bench: Opener) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press")
        workshop.last_done(1)
        workshop.do(c.Begin(name="lid"), 1)
        before = documents(workshop)
        holes = [f"{place}{letter}" for letter in "abcdefghij" for place in "123456789"]
        assert len(holes) > KEPT_AT_HAND + 10
        for hole in holes:
            workshop.do(c.Enter(hole=hole), 1)
        for hole in reversed(holes):
            assert workshop.take_back(1).said.startswith(f"taken back: hole {hole}:")
        assert documents(workshop) == before


def test_what_still_stands_is_told_newest_first(open_bench: Opener) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press", "recorder")
        workshop.do(c.Begin(name="lid"), 1)
        workshop.do(c.Begin(name="cam"), 2)
        workshop.do(c.Enter(hole="1"), 1)
        workshop.take_back(1)
        workshop.do(c.Enter(hole="3"), 1)
        stands = [entry.number for entry in not_taken_back(workshop.store.entries_back(), 1)]
        assert stands == [7, 3]


# -- restarts, kills, readers ------------------------------------------------------------------------


def test_numbers_are_not_given_again_after_a_restart(open_bench: Opener) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press")
        workshop.do(c.Begin(name="lid"), 1)
        workshop.take_back(1)
    with open_bench() as workshop:
        workshop.do(c.Begin(name="cam"), 1)
        assert list(documents(workshop)["steps"]) == [2]


KILLED = """
import os, signal, sys
from pathlib import Path
from putback.opening import open_at
from putback.trade import commands as c
workshop = open_at(Path(sys.argv[1]))
workshop.do(c.NewMachine(name="press", origin="us"))
workshop.do(c.Begin(name="lid"), 1)
for hole in "123456":
    done = workshop.do(c.Enter(hole=hole, readings={"gauge": "832"}), 1)
    print(done.number, flush=True)
os.kill(os.getpid(), signal.SIGKILL)
"""


def test_a_killed_copy_loses_nothing_it_confirmed(tmp_path: Path, open_bench: Opener) -> None:
    killed = subprocess.run(
        [sys.executable, "-c", KILLED, str(tmp_path / "bench")], capture_output=True, text=True, check=False
    )
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    confirmed = int(killed.stdout.split()[-1])
    with open_bench() as workshop:
        assert workshop.store.number == confirmed == 8
        assert any("cut off last time" in note for note in workshop.store.notes)
        assert [t.hole for t in workshop.record.all(Thing)] == list("123456")
        assert list(check_balance(workshop.record)) == []
        workshop.do(c.Enter(hole="7"), 1)


def test_a_second_copy_reads_and_follows(open_bench: Opener) -> None:
    with open_bench() as first:
        lay_out(first, "press")
        with open_bench() as second:
            assert not second.store.writable and "read only" in second.store.notes[-1]
            with pytest.raises(InUse):
                second.do(c.Begin(name="lid"), 1)
            panel(first, 1, "lid", "1")
            assert second.record.last_step(1) is None
            assert second.follow() == 3
            assert documents(second) == documents(first)
            last = second.last_done(1)
            assert last is not None and last.change.did == "Finish"
            first.take_back(1)
            assert second.follow() == 1 and second.follow() == 0
            last = second.last_done(1)
            assert last is not None and last.change.did == "Enter"
        assert first.follow() == 0


def test_a_folder_that_may_not_be_written_is_only_read(open_bench: Opener, tmp_path: Path) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "press")
    folder = tmp_path / "bench"
    folder.chmod(0o500)
    try:
        if os.access(folder, os.W_OK):
            pytest.skip("this user may write anywhere")
        with open_bench() as workshop, pytest.raises(DiskTrouble):
            workshop.do(c.Begin(name="lid"), 1)
    finally:
        folder.chmod(0o700)


def test_a_workshop_that_must_be_there_is_not_made(open_bench: Opener, tmp_path: Path) -> None:
    with pytest.raises(NotAWorkshop):
        open_bench(must_exist=True)
    assert not (tmp_path / "bench").exists()


def test_a_document_that_is_no_noun_leaves_the_folder_free(open_bench: Opener, tmp_path: Path) -> None:
    bad = Change(did="x", said="", edits=(Edit("bags", 1, None, {"id": 1, "colour": "red"}),))
    with open_bench() as workshop:
        with pytest.raises(Damaged, match="Document 1 of table 'bags' cannot be read"):
            workshop.store.commit(bad, at=START.isoformat(), who="")
        assert workshop.store.number == 0, "what the record cannot read is not written"
    with Store.open(tmp_path / "bench", at=START.isoformat(), who="") as store:
        store.commit(bad, at=START.isoformat(), who="")
    with pytest.raises(Damaged, match="Document 1 of table 'bags' cannot be read"):
        open_bench()
    with Store.open(tmp_path / "bench", at=START.isoformat(), who="") as store:
        assert store.writable, "the lock was let go"


# -- time --------------------------------------------------------------------------------------------


def test_a_session_left_open_is_taken_as_left_at_its_last_change(tmp_path: Path) -> None:
    now = START
    with Workshop.open(tmp_path / "bench", clock=lambda: now, codes=lambda taken: "PBX", who="") as workshop:
        lay_out(workshop, "press", "recorder")
        workshop.come_back(1)
        workshop.do(c.StartSession(), 1)
        now += timedelta(minutes=25)
        workshop.do(c.Begin(name="lid"), 1)
        now += timedelta(minutes=9)
        workshop.come_back(1)
        assert not workshop.record.get(Session, 1).paused, "nine minutes are nothing"
        workshop.do(c.AddAssembly(name="case"), 2)
        now += timedelta(hours=3)
        workshop.come_back(1)
        session = workshop.record.get(Session, 1)
        assert session.paused and session.minutes(workshop.now()) == 25
        workshop.come_back(1)
        workshop.do(c.Resume(), 1)
        now += timedelta(minutes=5)
        assert workshop.record.get(Session, 1).minutes(workshop.now()) == 30


# -- playing session files ---------------------------------------------------------------------------

FILE = """
[machine]
name = "press"
serial = "41?7"
[[session]]
start = 2025-03-01T10:00:00
[[session.step]]
do = "take off"
part = "lid"
bag = 1
fasteners = [{ hole = "1", gauge = "832", length = ".372" }, { hole = "3", same = true }]
"""


def test_a_file_is_played_and_told_change_by_change(open_bench: Opener) -> None:
    found: list[Done] = []
    with open_bench() as workshop:
        lay_out(workshop, "recorder")
        machine = workshop.play(read_session_file(FILE, "day.toml", now=START), found.append)
        assert machine == 2 and [done.number for done in found] == list(range(2, 9))
        assert workshop.record.get(Thing, 2).size == "#8-32 UNC x 3/8"
        for name in ("press", "PRESS"):
            again = FILE.replace("press", name)
            with pytest.raises(Refused, match=r"day\.toml: press 41\?7 is in this workshop already"):
                workshop.play(read_session_file(again, "day.toml", now=START), found.append)
        other = FILE.replace("41?7", "41?8")
        assert workshop.play(read_session_file(other, "day.toml", now=START), lambda done: None) == 3


def test_a_bad_file_changes_nothing(open_bench: Opener) -> None:
    with open_bench() as workshop:
        lay_out(workshop, "recorder")
        before, number = documents(workshop), workshop.store.number
        bad = FILE + '[[session.step]]\ndo = "take off"\npart = "lid"\n'
        with pytest.raises(BadSessionFile, match=r"day\.toml: step 2: lid is off already, since step 1\."):
            workshop.play(read_session_file(bad, "day.toml", now=START), lambda done: None)
        assert documents(workshop) == before and workshop.store.number == number


def test_the_journal_replays_to_the_same_documents(open_bench: Opener, tmp_path: Path) -> None:
    with open_bench() as workshop:
        workshop.play(read_session_file(FILE, "day.toml", now=START), lambda done: None)
        workshop.take_back(1)
        before = documents(workshop)
        entries = list(workshop.store.entries())
        workshop.store.fold()
    with open_bench() as workshop:
        assert documents(workshop) == before
    with Store.in_memory() as store:
        for number, entry in zip(count(1), entries, strict=False):
            assert store.commit(entry.change, at=entry.at, who=entry.who) == number == entry.number
        assert {table: dict(store.documents(table)) for table in TABLES} == before
    snapshot = json.loads((tmp_path / "bench" / "workshop.json").read_text("utf-8"))
    assert {table: len(rows) for table, rows in snapshot.items() if table in TABLES} == {
        table: len(rows) for table, rows in before.items() if rows
    }
