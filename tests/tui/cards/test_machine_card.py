"""The card of a machine: the first look is said on it, and answered on it in the end."""

from __future__ import annotations

from pathlib import Path

from putback.trade.record.machine import Machine
from tests.tui.conftest import Opened


async def test_the_first_look_by_the_pad_and_what_became_of_it(demo: Path, opened: Opened) -> None:
    async with opened(demo, (60, 17)) as bench:
        await bench.keys("1", "1", "1", "m", "/")
        assert bench.screen == "MachineScreen"
        await bench.keys("1", "3", "the bell is dull", "enter", "8", "one foot", "enter", ".")
        assert (bench.screen == "MachineScreen" and "fault: the bell is dull" in bench.said) or "missing" in bench.said
        machine = bench.app.workshop.record.get(Machine, bench.app.machine_id)
        known = len(machine.first_look) - 2
        assert [one.what for one in machine.first_look[known:]] == ["the bell is dull", "one foot"]
        await bench.keys("-")
        assert len(bench.app.workshop.record.get(Machine, machine.id).first_look) == known + 1
    async with opened(demo) as bench:
        await bench.keys("1", "1", "1", "=", "bell is dull", "enter")
        assert bench.screen == "MachineScreen"
        link = next(k for k, one in enumerate(bench.app.screen.links(), 1) if "bell is dull" in one.label)  # type: ignore[attr-defined]
        await bench.keys(str(link), "it rings", "enter")
        machine = bench.app.workshop.record.get(Machine, bench.app.machine_id)
        assert machine.first_look[-1].came_of == "it rings"
        assert "now: it rings" in bench.picture()
        await bench.keys("*")
        assert "name" in bench.picture() and "serial" in bench.picture()


async def test_a_machine_kept_as_found_asks_before_what_cannot_be_undone(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys("balance", "enter", "1", "enter", "m", "/", "2", "3", ".")
        machine = bench.app.workshop.record.get(Machine, bench.app.machine_id)
        assert machine.intent == "keep as found"
        await bench.keys("j", "/", "1", "1", "repaint the lid", "enter", "3", "enter")
        assert "cannot be undone" in " ".join(bench.picture().split())
        await bench.keys("escape")
        assert not bench.app.workshop.record.get(Machine, machine.id).todo, "without a reason nothing is recorded"
        await bench.keys("/", "1", "1", "repaint the lid", "enter", "3", "enter", "rust through", "enter")
        [job] = bench.app.workshop.record.get(Machine, machine.id).todo
        assert job.what == "repaint the lid (kept as found; done because: rust through)"
        await bench.keys("escape", "enter", "felt", "enter", "w", "7")
        assert "this machine is kept as found. Why?" in " ".join(bench.picture().replace("│", " ").split())
        await bench.keys("escape", "0")
        bench.app.push_screen(bench.app.screen_named("step", bench.app.workshop.record.last_step(machine.id).id))  # type: ignore[union-attr]
        await bench.keys("*", "4", "7")
        assert "felt: thrown away it cannot be had back" in " ".join(bench.picture().split())
