"""A screw taken with one key is as the one before: it says so, and can be measured after all."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path

from putback.book.contents import gather
from putback.book.html import html_of
from putback.errors import BadInput
from putback.reports.cards import thing_card
from putback.reports.check import check_workshop
from putback.reports.export import export_json
from putback.scans.bag_code import is_code
from putback.trade.files.importing import read_export, take_in
from putback.trade.record.fastener import DRIVES, HEADS, KINDS, Thing
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.workshop import Workshop
from tests.tui.conftest import Bench, Opened

MACHINE = ("fare stamp", "enter", "2", "enter")
EARLIER = Path(__file__).parents[2] / "store" / "earlier"


def things(bench: Bench) -> list[Thing]:
    record = bench.app.workshop.record
    return [thing for thing in record.all(Thing, bench.app.machine_id) if thing.sort == "fastener"]


def words(record: Record, thing: Thing) -> str:
    return "; ".join(fact.words for fact in thing_card(record, thing).facts)


def no_photo(name: str) -> Path:
    raise BadInput(f"{name} is not here")


async def test_a_screw_taken_with_one_key_says_that_it_was_not_measured(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "1", "832", "enter", "372", "enter", "+", "+")
        first, second, third = things(bench)
        assert (first.like, second.like, third.like) == (0, first.id, first.id)
        record = bench.app.workshop.record
        assert second.size == first.size == "#8-32 UNC x 3/8" and record.threads(1) == {"#8-32 UNC": 3}
        assert "sure" in words(record, first) and "read: " in words(record, first)
        found = words(record, second)
        assert "as the one from hole 1, not measured itself" in found
        assert "sure" not in found.replace("measured", "") and "read" not in found
        out = export_json(record, changes=1)
        assert [row.get("like", 0) for row in out["things"]] == [0, 1, 1]
        await bench.keys("0")
        book = gather(record, record.get(Machine, 1), now="2025-07-01T10:00:00+00:00", look=no_photo)
        assert f"not measured: {second.hole} {third.hole}" in html_of(book)


async def test_it_is_measured_after_all_with_its_place_enter_and_the_length(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "1", "832", "enter", "372", "enter", "+")
        hole = things(bench)[1].hole
        await bench.keys(hole)
        assert "not measured itself" in bench.said and "832" in bench.picture()
        await bench.keys("enter", "497", "enter")
        first, second = things(bench)
        assert second.like == 0 and second.readings == {"gauge": "832", "length": ".497"} and second.length == "1/2"
        assert bench.said == f"hole {hole}: screw #8-32 UNC x 3/8 is screw #8-32 UNC x 1/2 now"
        await bench.keys("-")
        assert things(bench)[1].like == first.id and things(bench)[1].length == "3/8"
        await bench.keys("ctrl+y")
        assert things(bench)[1].like == 0
        await bench.keys(hole, "1032", "enter")  # measured now: a second one there is refused at its end
        await bench.keys("enter")
        assert bench.app.message.sort == "refused" and len(things(bench)) == 2


async def test_enter_on_the_size_offered_in_a_new_hole(tmp_path: Path, opened: Opened) -> None:
    """Twice it is as the one before, as with the one key; with a length behind it was measured itself."""
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "v", "1", "832", "enter", "372", "enter", "9")
        assert "[832]" in bench.picture() and "[372]" in bench.picture() and "sure" not in bench.picture()
        await bench.keys("enter")
        assert "832" in bench.picture() and "same again, not measured itself" in bench.said
        await bench.keys("enter")
        first, second = things(bench)
        assert (second.hole, second.like, second.length) == ("9", first.id, "3/8")
        await bench.keys("7", "enter", "497", "enter")
        third = things(bench)[2]
        assert (third.like, third.length, third.readings) == (0, "1/2", {"gauge": "832", "length": ".497"})
        assert [thing.hand for thing in things(bench)] == ["left"] * 3, "its thread is taken over whole"
        await bench.keys("0", "3", "enter", "enter")  # the first hole of the next part
        fourth = things(bench)[3]
        assert (fourth.hole, fourth.like, fourth.length) == ("3", third.id, "1/2")


async def test_enter_held_down_takes_nothing_out(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "1", "832", "enter", "372", "enter", *["enter"] * 8)
        assert len(things(bench)) == 1 and bench.app.message.sort == "refused"


async def test_one_measured_with_a_caliper_is_offered_as_it_was_typed(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "1", ".162*32", "enter", "372", "enter", "3+", "9")
        assert "[.162 32]" in bench.picture()
        await bench.keys("enter", "enter", "3", "enter", "enter")
        first, second, third = things(bench)
        assert (second.like, second.readings) == (0, first.readings) and third.like == first.id
        assert bench.said == f"hole 3: {second.called}, measured now"


async def test_like_the_last_of_its_kind_in_the_part(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "1", "832", "enter", "372", "enter", "k", "3", "1", "375", "enter", "enter")
        assert [thing.name for thing in things(bench)] == ["screw", "washer"]
        await bench.keys("k", "1", "3", "+")
        assert things(bench)[2].name == "screw" and things(bench)[2].like == things(bench)[0].id


def test_a_workshop_of_before_opens_with_its_screws_as_they_were(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(EARLIER / "same-again", tmp_path / "w"))
    assert check_workshop(folder, is_code).ok
    with Workshop.open(
        folder, clock=lambda: datetime(2025, 4, 1, tzinfo=UTC), codes=lambda taken: "", who="Ann"
    ) as workshop:
        screws = [thing for thing in workshop.record.all(Thing, 1) if thing.sort == "fastener"]
        assert [(s.hole, s.size, s.like) for s in screws] == [(h, "#8-32 UNC x 3/8", 0) for h in "317"]
        out = export_json(workshop.record, changes=1)
    record = read_export((EARLIER / "same-again.export.json").read_text("utf-8"), "old.json", is_code)
    assert list(record.all(Thing)) == list(read_export(json.dumps(out), "new.json", is_code).all(Thing))


async def test_taken_in_elsewhere_it_is_still_like_the_same_one(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "1", "832", "enter", "372", "enter", "+")
        found = read_export(json.dumps(export_json(bench.app.workshop.record, changes=1)), "x.json", is_code)
    there = read_export((EARLIER / "same-again.export.json").read_text("utf-8"), "old.json", is_code)
    rows = [edit.new for edit in take_in(there, found, iter(())).change.edits if edit.table == "things" and edit.new]
    assert rows[1]["like"] == rows[0]["id"] > 3


async def test_what_is_said_between_parts_is_said_of_the_first_of_the_next(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "v", "1", "832", "enter", "372", "enter", "0")
        bolt = str(KINDS.index("bolt") + 1)
        await bench.keys("k", bolt, "h", "2", "1", "enter", "lid", "enter", "3", "1032", "enter", "500", "enter")
        found = [(thing.name, thing.hand, thing.head, thing.drive) for thing in things(bench)]
        assert found == [("screw", "left", "", ""), ("bolt", "", HEADS[1], DRIVES[0])]
        await bench.keys("0", "h", "3", "1", "7", "+")
        assert things(bench)[2].name == "bolt" and things(bench)[2].head == HEADS[2], "as the last, but for its head"


async def test_what_was_said_of_the_next_one_is_not_lost_with_the_one_key(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "1", "832", "enter", "372", "enter")
        await bench.keys("x", "+", "3", "#8-32 UNC x 1/2", "enter", "+")
        assert things(bench)[1].should_be == "#8-32 UNC x 1/2" and things(bench)[1].like == things(bench)[0].id
        await bench.keys("x", "++", "1", "045", "enter", "enter", "+")  # its slot was read: it is measured
        assert "of this one was read" in bench.said and len(things(bench)) == 2
