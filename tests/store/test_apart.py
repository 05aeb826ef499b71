"""Two copies of a workshop that grew apart are made one: proved, all or nothing, and what differs is told."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from putback import cli
from putback.errors import BadInput, Refused
from putback.opening import fresh_code, local_now, open_at
from putback.reports.export import export_json
from putback.scans.bag_code import new_code
from putback.store.backup import back_up
from putback.store.photos import keep_photo
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.files.joining import join
from putback.trade.files.proof import prove
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change
from putback.trade.record.record import TABLES, Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.workshop import Workshop
from tests.sampled import examples
from tests.strategies import AT, commands

Run = Any


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command line; gives status, output and errors."""

    def ran(*words: object) -> tuple[int, str, str]:
        status = cli.main([str(word) for word in words])
        captured = capsys.readouterr()
        return status, captured.out, captured.err

    return ran


def at_bench(folder: Path) -> Workshop:
    """Open a copy for a person of its own, so that what the two do in one second is told apart."""
    return Workshop.open(folder, clock=local_now, codes=fresh_code, who=folder.name)


def part_off(workshop: Workshop, name: str, *, machine: int = 1, new_bag: bool = False) -> None:
    workshop.do(c.Begin(name=name, face="top"), machine)
    if new_bag:
        workshop.do(c.TakeBag(), machine)
    workshop.do(c.Enter(hole="1", readings={"gauge": "832"}, head="fillister", drive="slot"), machine)
    workshop.do(c.Enter(hole="3", readings={"gauge": "832"}, head="fillister", drive="slot"), machine)
    workshop.do(c.Finish(put="shelf"), machine)


def sit_down(workshop: Workshop, *names: str, ended: bool = True) -> None:
    """A session with a bag of its own, in which parts come off."""
    workshop.do(c.StartSession(), 1)
    for name in names:
        part_off(workshop, name, new_bag=name == names[0])
    if ended:
        workshop.do(c.CloseBag(number=max(bag.number for bag in workshop.record.all(Bag))), 1)
        workshop.do(c.EndSession(), 1)


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    """A press with a part off and a recorder, in two copies, of which neither has grown yet."""
    one, other = tmp_path / "one", tmp_path / "other"
    with at_bench(one) as workshop:
        workshop.do(c.NewMachine(name="press", serial="41", origin="us"))
        workshop.do(c.NewMachine(name="recorder", serial="7", origin="us"))
        sit_down(workshop, "lid")
    back_up(one, other)
    return one, other


def both_grown(two: tuple[Path, Path]) -> tuple[Path, Path]:
    one, other = two
    with at_bench(one) as workshop:
        sit_down(workshop, "lever", "cam", "drum")
    with at_bench(other) as workshop:
        sit_down(workshop, "tray", "roller", "crank")
        workshop.do(c.MendMachine(mass="31 kg"), 1)
        workshop.do(c.MendMachine(mass="9 kg"), 2)
    return one, other


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_three_parts_more_off_the_press_at_each_of_two_computers(
    two: tuple[Path, Path], tmp_path: Path, run: Run
) -> None:
    one, other = both_grown(two)
    (tmp_path / "p.png").write_bytes(b"a picture")
    keep_photo(tmp_path / "p.png", other / "photos")
    before = files_of(one), files_of(other)
    status, out, err = run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "new")
    assert status == 0, (out, err)
    assert "press 41: step 2 of the second is step 5" in out
    assert "press 41: bag 2 of the second is bag 5; write it on the bag" in out
    assert "press 41: session 2 of the second is session 3" in out
    assert (files_of(one), files_of(other)) == before, "both are only read"
    assert run("--workshop", tmp_path / "new", "check")[0] == 0
    assert len(list((tmp_path / "new" / "photos").iterdir())) == 1
    with open_at(tmp_path / "new") as workshop:
        steps = workshop.record.all(Step)
        assert [(s.number, s.name) for s in steps if s.machine == 1] == list(
            enumerate(["lid", "lever", "cam", "drum", "tray", "roller", "crank"], 1)
        )
        bags = {bag.number: bag for bag in workshop.record.all(Bag)}
        assert sorted(bags) == [1, 2, 3, 4, 5, 6, 7]
        assert [s.number for s in workshop.record.all(Session)] == [1, 2, 3]
        with open_at(other, read_only=True) as there:
            assert there.record.bag_by_code(bags[5].code) is not None, "the label stays"
        said = [entry.change.said for entry in workshop.store.entries()]
        assert "step 7: took off crank, 2 out, part to shelf" in said and "session 3 ends" in said
        # what came in is taken back like anything else, change by change
        while workshop.last_done(1) is not None:
            workshop.take_back(1)
        assert not [s for s in workshop.record.all(Step) if s.machine == 1]


def test_of_different_machines_nothing_is_renewed(two: tuple[Path, Path], tmp_path: Path, run: Run) -> None:
    one, other = two
    with at_bench(one) as workshop:
        sit_down(workshop, "lever")
    with at_bench(other) as workshop:
        workshop.do(c.StartSession(), 2)
        part_off(workshop, "spindle", machine=2, new_bag=True)
        workshop.do(c.NewMachine(name="winder", serial="4"))
    status, out, _ = run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "new", "--json")
    told = json.loads(out)
    assert status == 0 and told["renewed"] == [] and told["different"] == [] and told["ok"]
    assert told["changes"] == told["common"] + told["first"] + told["second"]
    for folder, machine in ((one, "press"), (other, "recorder"), (other, "winder")):
        mine = json.loads(run("--workshop", folder, "export", "--machine", machine)[1])
        new = json.loads(run("--workshop", tmp_path / "new", "export", "--machine", machine)[1])
        assert [s["number"] for s in mine["steps"]] == [s["number"] for s in new["steps"]]
        for table in ("bags", "moves", "things"):
            assert len(mine[table]) == len(new[table])


def test_what_both_changed_stays_as_the_first_has_it_and_is_told(
    two: tuple[Path, Path], tmp_path: Path, run: Run
) -> None:
    one, other = two
    with at_bench(one) as workshop:
        workshop.do(c.MendMachine(mass="31 kg"), 1)
    with at_bench(other) as workshop:
        workshop.do(c.MendMachine(mass="32 kg"), 1)
        workshop.do(c.MendMachine(mass="9 kg"), 2)
    status, out, _ = run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "new")
    assert status == 1 and "  press 41: mass “31 kg”, in the second “32 kg”" in out.splitlines()
    with open_at(tmp_path / "new", read_only=True) as workshop:
        assert [m.mass for m in workshop.machines()] == ["31 kg", "9 kg"]


def test_a_hang_tag_of_one_letter_is_told(two: tuple[Path, Path], tmp_path: Path, run: Run) -> None:
    one, other = two
    for folder, name in ((one, "lever"), (other, "tray")):
        with at_bench(folder) as workshop:
            workshop.do(c.Begin(do="loosen", name=name, tag="C"), 1)
            workshop.do(c.Finish(), 1)
    status, out, err = run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "new")
    assert status == 1, err
    assert "  press 41, hang-tag C: hangs on “lever” and on “tray”; give one another" in out.splitlines()


def test_a_second_journal_that_a_synced_drive_left(two: tuple[Path, Path], tmp_path: Path, run: Run) -> None:
    one, other = both_grown(two)
    twin = one / "workshop (2).journal"
    shutil.copy(other / "workshop.journal", twin)
    with at_bench(one) as workshop:
        workshop.store.fold()
    status, _, err = run("--workshop", one, "check", "--join", twin, "--mend", tmp_path / "new")
    assert status == 0, err
    assert not (tmp_path / "new" / twin.name).exists() and run("--workshop", tmp_path / "new", "check")[0] == 0
    again = run("--workshop", tmp_path / "new", "check", "--join", twin, "--mend", tmp_path / "twice")
    assert again[0] == 2 and "there is nothing to join" in again[2] and not (tmp_path / "twice").exists()


def test_a_step_of_both_that_one_put_another_before(two: tuple[Path, Path], tmp_path: Path, run: Run) -> None:
    one, other = two
    with at_bench(one) as workshop:
        sit_down(workshop, "lever")
    with at_bench(other) as workshop:
        workshop.do(c.InsertStep(before=1, do="loosen", name="knob"), 1)
    status, _, err = run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "new")
    assert status == 2 and "step 1 of press 41, which both had, was taken back or got another number" in err
    assert not (tmp_path / "new").exists()


def test_what_was_joined_before_and_went_on(two: tuple[Path, Path], tmp_path: Path, run: Run) -> None:
    one, other = both_grown(two)
    assert run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "new")[0] == 0
    with at_bench(other) as workshop:
        sit_down(workshop, "gear")
    status, _, err = run("--workshop", tmp_path / "new", "check", "--join", other, "--mend", tmp_path / "twice")
    assert status == 2 and "was joined to" in err and not (tmp_path / "twice").exists()


def test_two_sessions_that_go_on(two: tuple[Path, Path], tmp_path: Path, run: Run) -> None:
    one, other = two
    for folder, name in ((one, "lever"), (other, "tray")):
        with at_bench(folder) as workshop:
            sit_down(workshop, name, ended=False)
    assert run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "new")[0] == 0
    with open_at(tmp_path / "new", read_only=True) as workshop:
        assert [bool(s.ended) for s in workshop.record.all(Session)] == [True, False, True]
    for folder in two:
        with at_bench(folder) as workshop:
            workshop.do(c.Begin(name="half"), 1)
    status, _, err = run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "x")
    assert status == 2 and "in the middle of a step of press 41" in err and not (tmp_path / "x").exists()


def test_what_both_were_in_the_middle_of_and_one_ended(two: tuple[Path, Path], tmp_path: Path, run: Run) -> None:
    """The other goes on with a session and a step of its own: nothing of it has to be ended or finished first."""
    one, other = two
    with at_bench(one) as workshop:
        workshop.do(c.StartSession(), 1)
        workshop.do(c.Begin(name="lever", face="top"), 1)
    shutil.rmtree(other)
    back_up(one, other)
    with at_bench(other) as workshop:
        workshop.do(c.Finish(put="shelf"), 1)
        workshop.do(c.EndSession(), 1)
        workshop.do(c.StartSession(), 1)
        workshop.do(c.Begin(name="cam", face="top"), 1)
    status, _, err = run("--workshop", one, "check", "--join", other, "--mend", tmp_path / "new")
    assert status == 0, err
    with open_at(tmp_path / "new", read_only=True) as joined, open_at(other, read_only=True) as there:
        assert [bool(s.ended) for s in joined.record.all(Session, 1)] == [True, True, False]
        assert list(joined.record.all(Step, 1)) == list(there.record.all(Step, 1))


def test_what_cannot_be_one_leaves_nothing(two: tuple[Path, Path], tmp_path: Path, run: Run) -> None:
    one, other = two
    for folder in two:  # the same screws go back twice
        with at_bench(folder) as workshop:
            workshop.do(c.Carry(thing=1, count=1, source="bag 1", target="scrapped"), 1)
    for words, why in (
        (("--join", other, "--mend", tmp_path / "new"), "cannot be made one: joined, "),
        (("--join", one, "--mend", tmp_path / "new"), "nothing to join"),
        (("--join", tmp_path / "no", "--mend", tmp_path / "new"), "There is no workshop in"),
        (("--join", other), "--join OTHER goes with --mend NEW"),
        (("--join", other, "--mend", one / "x"), "lies inside the workshop"),
        (("--join", other, "--mend", other / "x"), "lies inside"),
    ):
        status, _, err = run("--workshop", one, "check", *words)
        assert status == 2 and why in err, (words, err)
        assert not (tmp_path / "new").exists()
    with open_at(tmp_path / "strange") as workshop:
        workshop.do(c.NewMachine(name="press", serial="41", origin="us"))
    status, _, err = run("--workshop", one, "check", "--join", tmp_path / "strange", "--mend", tmp_path / "new")
    assert status == 2 and "no common beginning" in err


# -- any two histories -------------------------------------------------------------------------------


class Side:
    """One of two records, with the changes made in it."""

    def __init__(self, done: list[Change], seed: int) -> None:
        self.record, self.done, self.rng = Record(), list(done), Random(seed)
        for change in done:
            self.record.absorb(change)

    def do(self, command: c.Command, machine: int) -> None:
        fresh = (new_code(self.rng, {bag.code for bag in self.record.all(Bag)}) for _ in iter(int, 1))
        change = rules.apply(self.record, machine, command, at=AT, codes=fresh)
        self.record.absorb(change)
        self.done.append(change)

    @property
    def documents(self) -> dict[str, dict[int, Any]]:
        return {table: self.record.documents(table) for table in TABLES}


@settings(
    max_examples=examples(16),
    deadline=None,
    suppress_health_check=[HealthCheck.data_too_large, HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # shrinking a day takes minutes
)
@given(st.data())
def test_any_two_histories_at_different_machines_are_one_and_prove_clean(data: st.DataObject) -> None:
    """What each did at its own machine is as it was there; at one machine it is proved, or refused with a sentence."""
    start = Side([], 1)
    for name in ("press", "recorder"):
        start.do(c.NewMachine(name=name, serial="41?7", origin="us"), 0)
    start.do(c.StartSession(box="A"), 1)
    start.do(c.StartSession(), 2)

    def grow(side: Side, machine: int) -> None:
        for _ in range(data.draw(st.integers(1, 12))):
            try:
                side.do(data.draw(commands(side.record, machine)), machine)
            except BadInput:
                continue

    grow(start, 1)
    one, other = Side(start.done, 2), Side(start.done, 3)
    grow(one, 1)
    apart = data.draw(st.booleans(), label="at different machines")
    grow(other, 2 if apart else 1)
    tail = [(n, AT, "Zoë", change) for n, change in enumerate(other.done, 1)][len(start.done) :]
    last_ids = {
        table: max((e.id for change in one.done for e in change.edits if e.table == table), default=0)
        for table in TABLES
    }
    codes = (new_code(Random(n), set()) for n in range(100, 1000))
    made_machine = any(e.table == "machines" and e.old is None for _, _, _, ch in tail for e in ch.edits)
    try:
        joined = join(
            start.documents,
            one.documents,
            other.documents,
            tail,
            next_number=len(one.done) + 1,
            last_ids=last_ids,
            codes=codes,
        )
    except Refused:
        assert not apart or made_machine
        return
    now = one.documents
    for change, _, _ in joined.changes:
        for edit in change.edits:
            assert now[edit.table].get(edit.id) == edit.old, edit
            if edit.new is None:
                del now[edit.table][edit.id]
            else:
                now[edit.table][edit.id] = edit.new
        one.record.absorb(change)
    for table in ("steps", "bags", "sessions"):
        numbers = [(row["machine"], row["number"]) for row in one.record.documents(table).values()]
        assert len(numbers) == len(set(numbers)), table
    codes_now = [bag.code for bag in one.record.all(Bag)]
    assert len(codes_now) == len(set(codes_now))
    if not apart:
        return
    assert not joined.different
    assert not list(prove(one.record, lambda code: True))  # the strategies have a code that is none
    mine, theirs = (export_json(side.record, changes=0, machine=2) for side in (one, other))
    assert [numberless(row) for row in mine["steps"]] == [numberless(row) for row in theirs["steps"]]
    for table in TABLES:
        assert len(mine[table]) == len(theirs[table])


def numberless(row: dict[str, Any]) -> dict[str, Any]:
    """A step without the numbers that documents have in a workshop."""
    return {field: value for field, value in row.items() if field not in ("id", "session", "part", "area")}
