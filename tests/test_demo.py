"""The demo: its ready workshop is what its session files make, and it plays where there is no terminal."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from putback.demo import MACHINES, build_demo, lay_out_demo
from putback.reports.check import check_workshop
from putback.scans.bag_code import is_code
from putback.store import Store
from putback.trade.checks.ledger import bench_check, trial_balance
from putback.trade.record.record import TABLES
from putback.trade.record.step import Step

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "putback" / "demo"
AT = "2025-06-01T18:00:00+00:00"


@pytest.fixture(scope="module")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A throwaway copy of the ready workshop."""
    folder = tmp_path_factory.mktemp("demo") / "bench"
    lay_out_demo(folder)
    return folder


def test_the_ready_workshop_is_a_fresh_build(laid_out: Path, tmp_path: Path) -> None:
    """`python -m putback.demo.build` makes it again; do so after a change of the files or of a rule."""
    with build_demo(tmp_path / "fresh") as fresh, Store.open(laid_out, at=AT, who="", read_only=True) as ready:
        for table in TABLES:
            assert dict(ready.documents(table)) == dict(fresh.store.documents(table)), table
        assert [(e.number, e.at, e.who, e.change) for e in ready.entries()] == [
            (e.number, e.at, e.who, e.change) for e in fresh.store.entries()
        ]


def test_the_ready_workshop_is_sound_and_can_be_written(laid_out: Path) -> None:
    assert check_workshop(laid_out, is_code).ok
    with Store.open(laid_out, at=AT, who="Ann") as store:
        assert store.writable and store.notes == ()


def test_a_copy_can_be_written_though_the_original_may_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lay_out_demo(tmp_path / "locked")
    for path in ((tmp_path / "locked"), *(tmp_path / "locked").rglob("*")):
        path.chmod(0o500 if path.is_dir() else 0o400)
    monkeypatch.setattr("putback.demo.STORE", str(tmp_path / "locked"))
    lay_out_demo(tmp_path / "bench")
    for path in ((tmp_path / "bench"), *(tmp_path / "bench").rglob("*")):
        assert path.stat().st_mode & 0o600 == 0o600, path


def test_a_machine_is_half_apart_with_nothing_loose(laid_out: Path) -> None:
    with build_demo(laid_out.parent / "again", MACHINES[-1:]) as workshop:
        machine = workshop.machine()
        steps = list(workshop.record.all(Step, machine.id))
        assert machine.caption == "Ticket-dating press 2041?7" and len(steps) == 20
        assert not any(step.back or step.is_open for step in steps)
        assert bench_check(workshop.record, machine.id) == []
        names = {step.name for step in steps}
        assert "left panel" in names and "right panel" not in names, "the right panel is the next to come off"
        balance = trial_balance(workshop.record, machine.id)
        assert balance == {"bag": 60, "box": 1, "shelf": 5, "away": 1, "scrapped": 1}


def test_the_demo_holds_three_machines(laid_out: Path) -> None:
    with Store.open(laid_out, at=AT, who="", read_only=True) as store:
        assert len(store.documents("machines")) == len(list(MACHINES)) == 3


@pytest.mark.parametrize("name", ["drum_recorder.toml", "skein_winder.toml"])
def test_the_demos_machines_are_those_of_the_samples(name: str) -> None:
    assert (DEMO / name).read_bytes() == (ROOT / "sample_sessions" / name).read_bytes()


def demo(*words: str, home: Path) -> subprocess.CompletedProcess[str]:
    """The demo in a process without a terminal, in an empty home."""
    environment = {"PATH": os.environ["PATH"], "HOME": str(home), "LANG": "C.UTF-8"}
    command = [sys.executable, "-m", "putback", "demo", *words]
    return subprocess.run(command, capture_output=True, text=True, check=False, env=environment, cwd=ROOT)


def test_without_a_terminal_it_plays_and_tells_summary_and_plan(tmp_path: Path) -> None:
    text = demo(home=tmp_path)
    assert text.returncode == 0 and text.stderr == ""
    summary, plan = text.stdout.split("\nRefit plan for ")
    assert summary.startswith("Ticket-dating press 2041?7, session 2: bell, ribbon, lamp") and "it balances" in summary
    assert plan.startswith("Ticket-dating press 2041?7: 20 of 20 steps to go")
    assert "bag 3: hole 3: screw #6-32 UNC x 1/2" in plan and "waits for ribbon (scrapped)" in plan
    assert list(tmp_path.iterdir()) == [], "it leaves nothing behind"


def test_as_json_it_is_one_value(tmp_path: Path) -> None:
    found = json.loads(demo("--json", home=tmp_path).stdout)
    assert set(found) == {"summary", "refit"}
    assert found["refit"]["order"] == list(range(20, 0, -1))
    assert found["summary"]["machine"] == "Ticket-dating press 2041?7"
