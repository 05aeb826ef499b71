"""The sample sessions come to what sample_sessions/README.md says, alone and all in one workshop."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import Any

import networkx as nx
import pytest

from putback.reports.check import check_workshop
from putback.reports.plan import everything_home
from putback.reports.planning import refit_plan
from putback.reports.summary import session_numbered, summarise
from putback.scans.bag_code import is_code, new_code
from putback.trade import commands as c
from putback.trade.checks.ledger import all_wanting, left_over, short_of, trial_balance
from putback.trade.checks.open_jobs import jobs_first, open_jobs
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.trade.refit.confirmations import one_use, unasked
from putback.trade.refit.orientation import turn_first
from putback.trade.refit.way_back import fasteners_out, reach, steps_off
from putback.workshop import Workshop
from tests.strategies import confirmed

SAMPLES = Path(__file__).parents[1] / "sample_sessions"
NOW = datetime(2025, 6, 1, 18, 0, tzinfo=UTC)

ONE_USE = {"drum_recorder": [], "skein_winder": ["split pin", "paper gasket"], "ticket_dating_press": ["split pin"]}
"""What goes in new, in the order it came off: split pins and gaskets (common practice, no source)."""

FIGURES: dict[str, dict[str, Any]] = tomllib.loads(
    "\n".join(re.findall(r"^```toml\n(.*?)^```", (SAMPLES / "README.md").read_text("utf-8"), re.M | re.S))
)
"""What each sample must come to, as its README says."""


@pytest.fixture(scope="module", params=sorted(FIGURES))
def sample(request: pytest.FixtureRequest) -> tuple[Record, dict[str, Any], dict[str, Any]]:
    """One sample played alone: its record, the figures, and the file as plain TOML."""
    text = (SAMPLES / f"{request.param}.toml").read_text("utf-8")
    record = rehearse(read_session_file(text, request.param, now=NOW)).record
    return record, FIGURES[request.param], tomllib.loads(text)


def test_every_sample_has_its_figures() -> None:
    assert sorted(path.stem for path in SAMPLES.glob("*.toml")) == sorted(FIGURES)


Sample = tuple[Record, dict[str, Any], dict[str, Any]]


class Tally:
    """The figures of a session file straight from its TOML: no part of the program has a hand in it."""

    def __init__(self, file: dict[str, Any]) -> None:
        self.rows = [row for session in file["session"] for row in session.get("step", [])]
        self.moves = [move for session in file["session"] for move in session.get("move", [])]
        self.placed: Counter[str] = Counter()
        self.bags_of: list[set[str]] = []
        self.lacks: dict[int, list[str]] = {}
        for row in self.rows:
            here = self.step(row)
            self.placed.update(here)
            self.bags_of.append({place for place in here if place.startswith("bag ")})
        for number, row in enumerate(self.rows, 1):
            places = [row.get("put", "")] + [piece.get("put", "") for piece in row.get("loose", [])]
            names = [row["part"]] + [piece["name"] for piece in row.get("loose", [])]
            self.lacks[number] = [f"{n}, {p}" for n, p in zip(names, places, strict=True) if self.gone(p)]
        for move in self.moves:
            count = move.get("count", 1)
            self.placed[move["from"]] -= count
            self.placed[move["to"]] += count
            found = self.lacks[move["step"]]
            if f"{move['what']}, {move['from']}" in found:
                found.remove(f"{move['what']}, {move['from']}")
            if self.gone(move["to"]):
                found.append(f"{move['what']}, {move['to']}")

    @staticmethod
    def gone(place: str) -> bool:
        """Whether nothing can be fetched from there."""
        return place.startswith(("away", "borrowed")) or place in ("missing", "scrapped")

    @staticmethod
    def step(row: dict[str, Any]) -> Counter[str]:
        """Where the fasteners, pieces and part of one step went."""
        here: Counter[str] = Counter()
        if row["do"] != "loosen" and (out := [f for f in row.get("fasteners", []) if "found" not in f]):
            here[f"bag {row['bag']}"] += len(out)
        for piece in row.get("loose", []):
            here[piece.get("put") or f"bag {row['bag']}"] += piece.get("count", 1)
        if row.get("put"):
            here[row["put"]] += 1
        return here

    @property
    def graph(self) -> nx.DiGraph[int]:
        """The needs: an arrow from a step to each one it needs."""
        graph: nx.DiGraph[int] = nx.DiGraph()
        graph.add_nodes_from(range(1, len(self.rows) + 1))
        for number, row in enumerate(self.rows, 1):
            graph.add_edges_from((number, need) for need in row.get("needs", [number - 1] if number > 1 else []))
        return graph

    @property
    def undone(self) -> set[int]:
        """The steps with a job that has to be done before they go back: what `when` says, else its sort."""
        found = set()
        for number, row in enumerate(self.rows, 1):
            for job in row.get("todo", []):
                usual = "before it goes back" if job["do"] in ("do", "make") else "no hurry"
                if job.get("when", usual) == "before it goes back" and job.get("state") != "done":
                    found.add(number)
        return found

    @staticmethod
    def plain(tool: str) -> str:
        """A tool's name with its numbers as numbers, so that 1.0 and 1 are one."""
        words = tool.lower().replace("screwdriver", "driver")
        return re.sub(r"\d+(\.\d+)?(?!/)\b", lambda n: f"{float(n[0]):g}", words)

    def fits_by_table(self) -> list[int]:
        """Steps that name no tool though they have a fastener that one turns: a table would have to tell which."""
        by_hand = {"knurled", "wing", "ring", "eye"}
        found = []
        for number, row in enumerate(self.rows, 1):
            head = ""
            for fastener in row.get("fasteners", []):
                head = head if fastener.get("same") else fastener.get("head", "")
                kind = fastener.get("kind", "screw")
                if not row.get("tools") and kind not in ("spacer", "washer", "shim") and head not in by_hand:
                    found.append(number)
        return found

    def opened(self, kind: str) -> int:
        """How often a bag or a tool is taken up on the strict way back."""
        held: set[str] = set()
        count = 0
        for row, bags in reversed(list(zip(self.rows, self.bags_of, strict=True))):
            wanted = bags if kind == "bags" else {self.plain(tool) for tool in row.get("tools", [])}
            if wanted:
                count += len(wanted - held)
                held = wanted
        return count


def test_the_figures_are_those_of_the_files(sample: Sample) -> None:
    """The README's figures against the plain files; networkx walks the needs (its `descendants`)."""
    _, figures, file = sample
    tally = Tally(file)
    assert len(tally.rows) == figures["steps"]
    bags = [tally.placed[f"bag {n}"] for n in range(1, figures["bags"] + 1)]
    assert bags == figures["bag"]
    sorts = Counter({"bag": sum(bags)})
    for place, count in tally.placed.items():
        if not place.startswith("bag ") and count:
            sorts[place.partition(":")[0].partition(" ")[0]] += count
    assert dict(sorts) == {sort: n for sort, n in figures["balance"].items() if sort != "fitted"}
    assert (tally.opened("bags"), tally.opened("tools")) == (figures["openings"], figures["tools"])
    assert sum(bool(row.get("tools")) for row in tally.rows) == figures["with_tools"]
    assert tally.fits_by_table() == [], "nothing would fit beside what is named: the tally needs no table of tools"
    wants = {str(number): things for number, things in tally.lacks.items() if things}
    assert wants == figures.get("wants", {})
    assert sorted(tally.undone) == figures.get("undone", [])
    stopped = {int(n) for n in wants} | tally.undone
    held_up = stopped | {s for n in stopped for s in nx.descendants(tally.graph, n)}
    assert sorted(held_up) == figures["waiting"]
    for part, least in figures["reach"].items():
        number = max(n for n, row in enumerate(tally.rows, 1) if row["part"] == part)
        steps = {number, *nx.descendants(tally.graph, number)}
        assert len(steps) == least["steps"]
        assert sum(tally.rows[n - 1].get("minutes", 0) for n in steps) == least["minutes"]


def test_steps_and_what_came_out(sample: Sample) -> None:
    record, figures, file = sample
    steps = list(record.all(Step, 1))
    things = list(record.all(Thing, 1))
    assert record.get(Machine, 1).caption == figures["machine"]
    assert (len(steps), record.count(Session, 1)) == (figures["steps"], figures["sessions"])
    assert sum(fasteners_out(record, step) for step in steps) == figures["fasteners"]
    assert sum(t.count for t in things if t.sort == "piece") == figures["pieces"]
    assert sum(t.sort == "part" for t in things) == figures["parts"]
    assert [s.number for s in steps if any(t.found for t in record.things_of(s))] == figures["empty"]
    assert [s.number for s in steps if s.do == "loosen"] == figures["loosened"]
    # and the same straight from the file, by another way than the program's
    rows = [row for session in file["session"] for row in session["step"]]
    listed = sum(len([f for f in r.get("fasteners", []) if "found" not in f]) for r in rows if r["do"] != "loosen")
    assert listed == figures["fasteners"]
    assert sum(p.get("count", 1) for r in rows for p in r.get("loose", [])) == figures["pieces"]


def test_bags_and_the_trial_balance(sample: Sample) -> None:
    record, figures, _ = sample
    bags = list(record.all(Bag, 1))
    held = {bag.number: sum(record.in_bag(bag).values()) for bag in bags}
    assert [held[number] for number in sorted(held)] == figures["bag"] and len(bags) == figures["bags"]
    assert sorted(bag.number for bag in bags if not bag.closed) == figures["open"]
    assert trial_balance(record, 1) == figures["balance"]
    assert sum(figures["balance"].values()) == sum(thing.count for thing in record.all(Thing, 1))
    assert sum(figures["bag"]) == figures["balance"]["bag"]


def test_what_waits_and_what_for(sample: Sample) -> None:
    record, figures, _ = sample
    plan = refit_plan(record, 1)
    assert plan.order == tuple(range(figures["steps"], 0, -1)) and plan.proved_best is None
    assert (plan.bag_openings, plan.tool_changes) == (figures["openings"], figures["tools"])
    assert (plan.tools_known, plan.tools_unknown) == (figures["with_tools"], 0)
    assert [waits.step for waits in plan.waiting] == figures["waiting"]
    wants = {
        str(step.number): [f"{held.thing.called}, {held.place}" for held in short_of(record, step)]
        for step in record.all(Step, 1)
    }
    assert {number: things for number, things in wants.items() if things} == figures.get("wants", {})
    assert [s.number for s in record.all(Step, 1) if jobs_first(record, s)] == figures.get("undone", [])


def test_the_least_work_to_reach_a_part(sample: Sample) -> None:
    record, figures, _ = sample
    for part, least in figures["reach"].items():
        found = reach(record, 1, part)
        assert len(found.steps) == least["steps"] and found.fasteners == least["fasteners"]
        assert found.minutes == least["minutes"]


def test_a_part_to_be_made_anew_is_reached_as_if_the_machine_were_whole() -> None:
    text = (SAMPLES / "skein_winder.toml").read_text("utf-8")
    record = rehearse(read_session_file(text, "skein_winder", now=NOW)).record
    felt = reach(record, 1, "friction felt")  # it is scrapped, and a ring is to be made in its place
    assert felt.steps == (1, 3, 4, 5, 6) and felt.bags == (2, 3, 4)


def test_sizes_are_named_as_a_person_would(sample: Sample) -> None:
    record, figures, _ = sample
    sizes = Counter(t.called for t in record.all(Thing, 1) if t.sort == "fastener" and not t.found)
    assert {size: sizes[size] for size in figures["size"]} == figures["size"]
    unnamed = [t for t in record.all(Thing, 1) if t.sort == "fastener" and not t.found and not t.size]
    assert unnamed == []


# -- all three in one workshop -----------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop folder into which all three were played."""
    folder = tmp_path_factory.mktemp("samples") / "workshop"
    found: list[int] = []
    with opened(folder) as workshop:
        for name in FIGURES:
            file = read_session_file((SAMPLES / f"{name}.toml").read_text("utf-8"), name, now=NOW)
            workshop.play(file, lambda done: found.append(done.number))
    assert found == list(range(1, len(found) + 1))
    return folder


def opened(folder: Path) -> Workshop:
    """The workshop in `folder`, with a still clock and fixed chance."""
    rng = Random(1)
    return Workshop.open(folder, clock=lambda: NOW, codes=lambda taken: new_code(rng, taken), who="Ann")


@pytest.fixture
def workshop(folder: Path) -> Iterator[Workshop]:
    """That workshop, open."""
    with opened(folder) as found:
        yield found


def test_all_three_stand_side_by_side(workshop: Workshop) -> None:
    for name, figures in FIGURES.items():
        machine = workshop.machine(figures["machine"])
        assert workshop.machine(figures["machine"].replace("?", "")) == machine
        assert trial_balance(workshop.record, machine.id) == figures["balance"], name
        assert workshop.record.count(Bag, machine.id) == figures["bags"]
        plan = refit_plan(workshop.record, machine.id)
        assert plan.bag_openings == figures["openings"] and [w.step for w in plan.waiting] == figures["waiting"]
    assert workshop.machine().caption == list(FIGURES.values())[-1]["machine"]
    codes = [bag.code for bag in workshop.record.all(Bag)]
    assert len(set(codes)) == len(codes) == sum(figures["bags"] for figures in FIGURES.values())


def test_the_folder_is_sound(folder: Path) -> None:
    proof = check_workshop(folder, is_code)
    assert proof.ok and proof.findings == () and proof.changes > 600


def test_each_session_is_summed_up(workshop: Workshop) -> None:
    for figures in FIGURES.values():
        machine = workshop.machine(figures["machine"])
        summaries = [
            summarise(workshop.record, machine, session_numbered(workshop.record, machine, n + 1), now=workshop.now())
            for n in range(figures["sessions"])
        ]
        lines = [line for summary in summaries for line in summary.steps]
        assert [line.number for line in lines] == list(range(1, figures["steps"] + 1))
        assert sum(line.fasteners for line in lines) == figures["fasteners"]
        assert sum(line.pieces for line in lines) == figures["pieces"]
        assert sum(sum(summary.sizes.values()) for summary in summaries) == figures["fasteners"]
        assert {row.number for s in summaries for row in s.bags} == set(range(1, figures["bags"] + 1))
        assert all(summary.balance == figures["balance"] for summary in summaries)


def test_refit_to_the_end_leaves_only_what_is_fitted(tmp_path: Path) -> None:
    """Once everything away or missing is booked in and what is scrapped is replaced, all goes home."""
    for name, figures in FIGURES.items():
        with opened(tmp_path / name) as workshop:
            text = (SAMPLES / f"{name}.toml").read_text("utf-8")
            machine = workshop.play(read_session_file(text, name, now=NOW), lambda done: None)
            record = workshop.record
            for held in all_wanting(record, machine):
                thing, count, place = held.thing.id, held.count, held.place
                if place == "scrapped":
                    workshop.do(c.Replace(thing=thing, count=count, note="made new"), machine)
                else:
                    workshop.do(c.Carry(thing=thing, count=count, source=place, target="shelf"), machine)
            for step, job in open_jobs(record, machine):
                if job.first:
                    workshop.do(c.WorkOn(step=step.number, what=job.what, state="done"), machine)
            assert refit_plan(record, machine).waiting == ()
            for number in refit_plan(record, machine).order:
                gone = record.step(machine, number)
                assert gone is not None
                step = gone
                if step.do in ("turn", "soak") and step.back:
                    continue
                assert not everything_home(record, machine)
                if turn_first(record, step):
                    workshop.do(c.Confirm(step=number, item=turn_first(record, step)), machine)
                for item in unasked(record, step):
                    workshop.do(confirmed(record, step, item), machine)
                workshop.do(c.PutBack(step=number), machine)
            things = sum(figures["balance"].values())
            once = [t for t in record.all(Thing, machine) if one_use(t) and t.start == "fitted"]
            assert [t.name for t in once] == ONE_USE[name]
            scrapped = figures["balance"].get("scrapped", 0) + sum(t.count for t in once)
            balance = trial_balance(record, machine)
            assert balance.pop("scrapped", 0) == scrapped and balance == {"fitted": things}
            assert everything_home(record, machine) and left_over(record, machine) == []
            assert steps_off(record, machine) == []
            assert all(not record.in_bag(bag) for bag in record.all(Bag, machine))
        assert check_workshop(tmp_path / name, is_code).ok
