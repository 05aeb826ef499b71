"""What is known of a machine, and what there is to measure with: told on the screen, and in the names of sizes."""

from __future__ import annotations

from pathlib import Path

from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from tests.tui.conftest import Bench, Opened

METRIC = ("balance", "enter", "4", "enter")


def things(bench: Bench) -> list[Thing]:
    return list(bench.app.workshop.record.all(Thing, bench.app.machine_id))


async def test_country_decade_and_trade_are_told_and_taken_back(tmp_path: Path, opened: Opened) -> None:
    """3 mm of half a millimetre: M3 at first sight; on a German machine of before 1925 it may be Loewenherz."""
    async with opened(tmp_path) as bench:
        await bench.keys(*METRIC, "m", "/", "*", "7", "Germany", "enter")
        assert bench.said == "the machine: country Germany"
        await bench.keys("*", "8", "once", "enter")
        assert "type it as 1920s, 1923 or before 1925" in bench.picture(), "asked again"
        await bench.keys("before 1925", "enter")
        assert bench.said == "the machine: decade before 1925"
        await bench.keys("*", "9", "2")
        assert bench.said == "the machine: trade clock"
        await bench.keys("-", ".")
        machine = bench.app.workshop.record.get(Machine, bench.app.machine_id)
        assert (machine.country, machine.decade, machine.trade) == ("Germany", "before 1925", "")
        await bench.keys("enter", "lid", "enter", "7", "2.93*.5")
        assert "Loewenherz" in bench.picture()
        await bench.keys("enter", "8", "enter")
        assert things(bench)[-1].verdict == "either"


async def test_a_machine_with_its_plate_and_all(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*METRIC, "m", "3", "press", "enter", "2", "1", "41", "enter", "", "enter", "", "enter")
        await bench.keys("US", "enter", "9 kg", "enter", "enter", "enter", "1890s", "enter", "3")
        machine = bench.app.workshop.record.get(Machine, bench.app.machine_id)
        assert (machine.name, machine.country, machine.decade, machine.trade) == (
            "press",
            "US",
            "1890s",
            "sewing machine",
        )


async def test_the_plates_at_hand_count_in_the_name_that_is_recorded(tmp_path: Path, opened: Opened) -> None:
    """A British machine and an American plate alone: a screw of another thread goes into the #10-32 hole oftener."""
    shares = []
    for folder, have in (("every", ""), ("one", '[instruments]\nhave = ["plate unc/unf"]\n')):
        home = tmp_path / folder
        home.mkdir()
        (home / "settings.toml").write_text(have, encoding="utf-8")
        async with opened(home) as bench:
            await bench.keys("fare stamp", "enter", "3", "enter", "enter", "lid", "enter", "7", "832")
            await bench.keys("enter", "372", "enter")
            shares.append(things(bench)[-1].verdict)
            assert bench.app.workshop.have == (("plate unc/unf",) if have else bench.app.workshop.have)
    assert shares == ["likely", "either"]


async def test_a_carton_is_typed_in_one_line(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys("fare stamp", "enter", "2", "enter", "enter", "lid", "enter", "7", *"8-32 x 3/8", "enter")
        assert "#8-32 UNC x 3/8" in bench.picture()
        await bench.keys("enter")
        thing = things(bench)[-1]
        assert thing.readings == {"gauge": "8-32", "length": "3/8"} and thing.size == "#8-32 UNC x 3/8"
        await bench.keys("9", ".163*.161", "enter", "372", "enter")
        assert things(bench)[-1].readings["od"] == ".163 .161"


async def test_the_first_bag_of_another_machine_comes_after_the_bags_there_are(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        highest = max(bench.app.workshop.record.highest_bag(m.id) for m in bench.app.workshop.machines())
        await bench.keys("1", "1", "1", "m", "4", "balance", "enter", "4")
        assert str(highest + 1) in bench.picture()
        await bench.keys("enter")
        assert bench.app.machine is not None and bench.app.machine.first_bag == highest + 1
