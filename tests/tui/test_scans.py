"""A keyboard-wedge scanner typing into every state of the screen: what a scan does depends on where one is."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from random import Random

import pytest
from textual import events

from putback.photos.pairing import clock_of
from putback.reports.bags import bag_card
from putback.reports.check import check_workshop
from putback.scans.bag_code import is_code, new_code
from putback.scans.caliper import CaliperWatch
from putback.scans.command_code import command_code
from putback.scans.scan import ScanWatch
from putback.trade import commands as c
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change, Edit
from putback.trade.record.photo import Photo
from putback.trade.record.record import document
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.dialogs.prompts import AskLine, Pick
from putback.tui.keyboard.command_codes import STROKES, stroke_of
from putback.tui.keyboard.keys import FACE_OF_KEY, KEYS, command_for
from putback.tui.scans import places_of
from putback.tui.widgets.text_input import Line
from tests.tui.conftest import NAMES, Bench, Opened

WALK = ("1", "1", "1")
SPARE = new_code(Random(99), ())
"""A label printed ahead, on no bag yet."""
OTHER = new_code(Random(98), ())


class Scanner:
    """Types a code as a scanner does, at a pace of its own, by a clock that tests may trust."""

    def __init__(self, bench: Bench, gap: float = 0.01, suffix: str = "enter", *, small: bool = False) -> None:
        self.bench, self.gap, self.suffix, self.small = bench, gap, suffix, small
        self.at = 1000.0
        bench.app.pace_clock = self.tick

    def tick(self) -> float:
        """The app asks once for each key."""
        self.at += self.gap
        return self.at

    async def scan(self, code: str, *, after: float = 3.0) -> None:
        """Type a code, so many seconds after the last key."""
        self.at += after
        await self.type((*(code.lower() if self.small else code), *([self.suffix] if self.suffix else [])))

    async def type(self, keys: Iterable[str]) -> None:
        """Type single keys, then let everything come to rest."""
        for key in keys:
            character = key if len(key) == 1 else {"enter": "\r", "tab": "\t"}.get(key)
            self.bench.app.post_message(events.Key(NAMES.get(key, key), character))
        await self.bench.settle()
        await self.bench.settle()


PACES = {
    "fast": (0.005, "enter", False),
    "slow, bare and small": (0.12, "", True),
    "fast, with Tab": (0.005, "tab", False),
    "fast and bare": (0.005, "", False),
    "slow, with Enter": (0.12, "enter", False),
    "small letters": (0.03, "enter", True),
}
"""Seconds between keys, what ends the code, and whether Caps Lock turned it round."""


def bag_of(bench: Bench, number: int, *, open_: bool = True) -> Bag:
    """A bag of the machine on the bench, opened or closed as wanted."""
    machine = bench.app.machine_id
    bag = bench.app.workshop.record.bag(machine, number)
    assert bag is not None
    if open_ and bag.closed:
        bench.app.workshop.do(c.ReopenBag(number=number), machine)
    if not open_ and not bag.closed:
        bench.app.workshop.do(c.CloseBag(number=number), machine)
    found = bench.app.workshop.record.bag(machine, number)
    assert found is not None
    return found


def in_hand(bench: Bench) -> int:
    step = bench.app.workshop.record.open_step(bench.app.machine_id)
    assert step is not None
    return step.bag


# -- every state of the screen -----------------------------------------------------------------------

STATES: dict[str, tuple[tuple[str, ...], str]] = {
    "walk-back": ((), "card"),
    "before a part": (WALK, "card"),
    "naming the next part": ((*WALK, "enter", "pan"), "card"),
    "a place is wanted": ((*WALK, "1", "832", "enter", "372", "enter"), "chosen"),
    "half-typed gauge": ((*WALK, "1", "83"), "chosen"),
    "half-typed length": ((*WALK, "1", "832", "enter", "37"), "chosen"),
    "renaming in a step": ((*WALK, "1", "escape", "n", "x"), "chosen"),
    "a list in a step": ((*WALK, "1", "escape", "k"), "chosen"),
    "the list of everything": ((*WALK, "."), "card"),
    "a question in a list": ((*WALK, "1", "escape", "e"), "chosen"),
    "help": ((*WALK, "?"), "card"),
    "the summary": ((*WALK, "s"), "card"),
    "refit": ((*WALK, "r"), "proved"),
    "a bag's card": ((*WALK, "g", "1"), "card"),
    "the camera clock": ((*WALK, "z"), "card"),
    "machines": ((*WALK, "m"), "card"),
}


BY_HAND = ("half-typed length", "naming the next part")
"""States that are tried at every pace."""

TRIED = [pytest.param(state, "fast") for state in STATES]
TRIED += [pytest.param(state, pace) for state in BY_HAND for pace in list(PACES)[1:]]
TRIED += [
    pytest.param(state, "slow, bare and small", marks=pytest.mark.long) for state in sorted({*STATES} - {*BY_HAND})
]


@pytest.mark.parametrize(("state", "pace"), TRIED)
async def test_a_scan_lands_in_every_state(demo: Path, opened: Opened, state: str, pace: str) -> None:
    keys, expected = STATES[state]
    async with opened(demo) as bench:
        bag = bag_of(bench, 3)
        await bench.keys(*keys)
        before, number = bench.app.screen, bench.app.workshop.store.number
        typed = before.hand.form.typed if isinstance(before, BenchScreen) else None
        lines = [line.value for line in before.query(Line)]
        seconds, suffix, small = PACES[pace]
        await Scanner(bench, seconds, suffix, small=small).scan(bag.code)
        if expected == "card":
            assert bench.screen == "BagScreen" and bag.code in bench.picture()
            assert bench.app.workshop.store.number == number
        elif expected == "chosen":
            assert bench.app.screen is before and in_hand(bench) == 3
            assert "bag 3 in hand" in bench.said and bench.app.workshop.store.number == number + 1
        else:
            assert bench.app.screen is before
            assert "bag 3" in bench.said.lower() and bench.app.workshop.store.number == number
        if isinstance(before, BenchScreen):
            assert before.hand.form.typed == typed
        assert [line.value for line in before.query(Line)] == lines


# -- taking off --------------------------------------------------------------------------------------


async def test_the_pace_is_that_of_the_keys_not_of_the_screen_that_takes_them(demo: Path, opened: Opened) -> None:
    """A slow screen takes a scanner's Enter late: what counts is when the key came. A late Enter is a hand's."""
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        code = bag_of(bench, 1, open_=False).code
        for late, kept in ((0.1, True), (0.9, False)):
            first = events.Key("P", "P").time
            for number, key in enumerate((*code, "enter")):
                event = events.Key(key, "\r" if key == "enter" else key)
                event.time = first + 0.01 * number + (late if key == "enter" else 0)
                bench.app.post_message(event)
            await bench.settle()
            await bench.settle()
            assert (bench.screen == "BagScreen") is kept
            bench.app.scan = ScanWatch()
            await bench.keys("escape")


async def test_the_bag_in_hand_opens_its_card(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bag = bag_of(bench, 3)
        await bench.keys(*WALK, "1", "escape")
        scan = Scanner(bench)
        await scan.scan(bag.code)
        assert bench.screen == "BenchScreen" and in_hand(bench) == 3
        await scan.scan(bag.code)
        assert bench.screen == "BagScreen"


async def test_from_afar_a_scan_is_answered_too(demo: Path, opened: Opened) -> None:
    async with opened(demo, (60, 17)) as bench:
        bag = bag_of(bench, 3)
        await bench.keys(*WALK, "1", "escape")
        await Scanner(bench).scan(bag.code)
        assert in_hand(bench) == 3 and "bag 3 in hand" in bench.picture()


async def test_a_closed_bag_is_refused_and_its_machine_named(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bag = bag_of(bench, 3, open_=False)
        await bench.keys(*WALK, "1", "escape")
        before = in_hand(bench)
        await Scanner(bench).scan(bag.code)
        assert bench.app.message.sort == "refused" and in_hand(bench) == before
        assert bench.app.machine is not None and bench.app.machine.caption in bench.said and "closed" in bench.said


async def test_a_bag_of_another_machine_is_refused_and_both_are_named(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "escape")
        before = in_hand(bench)
        record, here = bench.app.workshop.record, bench.app.machine
        foreign = next(bag for bag in record.all(Bag) if bag.machine != bench.app.machine_id)
        owner = next(m.caption for m in bench.app.workshop.machines() if m.id == foreign.machine)
        await Scanner(bench).scan(foreign.code)
        assert bench.app.message.sort == "refused" and in_hand(bench) == before
        assert here is not None and owner in bench.said and here.caption in bench.said


async def test_the_choice_is_taken_back_like_anything(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bag = bag_of(bench, 3)
        await bench.keys(*WALK, "1", "escape")
        before = in_hand(bench)
        await Scanner(bench).scan(bag.code)
        assert in_hand(bench) == 3
        await bench.keys("-")
        assert in_hand(bench) == before


async def test_one_trigger_that_bounces_counts_once(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bag = bag_of(bench, 3)
        await bench.keys(*WALK, "1", "escape")
        scan = Scanner(bench)
        await scan.scan(bag.code)
        await scan.scan(bag.code, after=0.5)
        assert bench.screen == "BenchScreen" and "counted once" in bench.said


# -- labels printed ahead ----------------------------------------------------------------------------


async def test_a_spare_label_becomes_a_new_bag_and_is_taken_back(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "escape")
        record = bench.app.workshop.record
        number = record.highest_bag(bench.app.machine_id) + 1
        before = in_hand(bench)
        await Scanner(bench).scan(SPARE)
        assert bench.screen == "NewLabel" and f"bag {number}" in bench.picture()
        assert record.bag_by_code(SPARE) is None, "nothing is done before it is agreed to"
        await bench.keys("1")
        bag = record.bag_by_code(SPARE)
        assert bag is not None and bag.number == number == in_hand(bench) and bench.screen == "BenchScreen"
        await bench.keys("-")
        assert record.bag_by_code(SPARE) is None and in_hand(bench) == before


async def test_scanning_the_spare_label_once_more_agrees(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "83")
        scan = Scanner(bench)
        await scan.scan(OTHER)
        await scan.scan(SPARE)
        await scan.scan(SPARE)
        record = bench.app.workshop.record
        assert record.bag_by_code(SPARE) is not None and record.bag_by_code(OTHER) is None
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen) and screen.hand.form.text == "83"


async def test_another_bag_scanned_over_the_offer_is_chosen_instead(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bag = bag_of(bench, 3)
        await bench.keys(*WALK, "1", "escape")
        scan = Scanner(bench)
        await scan.scan(SPARE)
        await scan.scan(bag.code)
        assert bench.screen == "BenchScreen" and in_hand(bench) == 3 and "bag 3 in hand" in bench.said
        assert bench.app.workshop.record.bag_by_code(SPARE) is None


async def test_the_offer_can_be_left(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "escape")
        await Scanner(bench).scan(SPARE)
        await bench.keys("2")
        assert bench.app.workshop.record.bag_by_code(SPARE) is None and "on no bag" in bench.said


@pytest.mark.parametrize("keys", [WALK, (*WALK, "r"), (*WALK, "s"), (*WALK, "?")])
async def test_elsewhere_a_spare_label_is_said_to_be_on_no_bag(
    demo: Path, opened: Opened, keys: tuple[str, ...]
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*keys)
        before = bench.screen
        await Scanner(bench).scan(SPARE)
        assert bench.screen == before and "no bag of this workshop has it" in bench.said


def give_code(bench: Bench, bag: Bag, code: str) -> None:
    """Give a bag a code behind the commands' back, as a fault might."""
    before = document(bag)
    change = Change(did="x", said="", edits=(Edit("bags", bag.id, before, {**before, "code": code}),))
    bench.app.workshop.store.commit(change, at="2026-01-01T10:00:00+00:00", who="")


async def test_two_bags_with_one_code_are_told_apart_or_refused(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        record, machine = bench.app.workshop.record, bench.app.machine_id
        bag = bag_of(bench, 3)
        foreign = next(b for b in record.all(Bag) if b.machine != machine)
        give_code(bench, foreign, bag.code)
        await bench.keys(*WALK, "1", "escape")
        scan = Scanner(bench)
        await scan.scan(bag.code)
        assert in_hand(bench) == 3, "the one of this machine is meant"
        twin = record.bag(machine, 2)
        assert twin is not None
        give_code(bench, twin, bag.code)
        await scan.scan(bag.code)
        assert bench.app.message.sort == "refused" and "Two bags have the code" in bench.said


# -- command codes -----------------------------------------------------------------------------------


def test_every_command_of_the_screen_has_one_code_and_no_two_share_it() -> None:
    codes = [command_code(stroke.name) for stroke in STROKES]
    assert len(set(codes)) == len(codes)
    assert all(stroke_of(code) is stroke for code, stroke in zip(codes, STROKES, strict=True))
    covered = {(stroke.shown, stroke.label) for stroke in STROKES}
    for key in KEYS:
        by_figure = set("123456789") <= set(key.keys) or key.id == "faces.go"
        assert not key.keys or by_figure or (key.shown, key.label) in covered, key.id


def test_a_figure_behind_the_stroke_is_a_face_on_the_sheet_too() -> None:
    found = {stroke.shown: stroke for stroke in STROKES if stroke.name.startswith("key.")}
    for figure, face in FACE_OF_KEY.items():
        assert found[figure].key_at(("faces",)) == figure and f"the {face} face" in found[figure].text
    assert stroke_of(command_code("faces.go")) is found["8"], "a sheet printed before has that for the top"


PLACES = {
    "part": WALK,
    "place": (*WALK, "1", "832", "enter", "372", "enter"),
    "field": (*WALK, "1", "832"),
    "bench": WALK,
    "refit": (*WALK, "r"),
    "walk": (),
    "list": (*WALK, "k"),
    "bag": (*WALK, "g", "1"),
}
"""Keys that lead to each place of the key table."""


@pytest.mark.parametrize("place", PLACES)
async def test_every_command_on_the_sheet_presses_its_key_where_that_works(
    demo: Path, opened: Opened, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*PLACES[place])
        screen = bench.app.screen
        here = places_of(screen)
        assert place in here
        pressed: list[str] = []
        monkeypatch.setattr(screen, "press", pressed.append)
        for stroke in STROKES:
            pressed.clear()
            bench.app.code_seen(command_code(stroke.name))
            key = stroke.key_at(here)
            if key:
                assert pressed == [key], stroke
                if "list" not in here:
                    assert command_for(key, *here), stroke
            else:
                assert not pressed and bench.app.message.sort == "refused" and stroke.label in bench.said


async def test_a_whole_part_comes_off_by_elbow(demo: Path, opened: Opened) -> None:
    """Begun, sized, one more like it, the part off, and the last taken back: no key is touched."""
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        scan = Scanner(bench)
        for name in ("key.1", "key.6", "key.3", "key.2", "enter", "key.3", "key.7", "key.2", "enter", "same", "off"):
            await scan.scan(command_code(name))
        record = bench.app.workshop.record
        step = record.last_step(bench.app.machine_id)
        assert step is not None and step.ended
        assert [t.hole for t in record.things_of(step) if t.sort == "fastener"] == ["1", "7"]
        await scan.scan(command_code("back"))
        assert record.open_step(bench.app.machine_id) is not None


async def test_refit_goes_on_by_elbow(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "r")
        number = bench.app.workshop.store.number
        scan = Scanner(bench)
        await scan.scan(command_code("refit.next"))
        assert bench.app.workshop.store.number > number or bench.app.message.sort == "refused"
        await scan.scan(command_code("refit.leave"))
        assert bench.screen == "BenchScreen"


async def test_leaving_by_code(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        loose = any(held for held in bench.app.workshop.record.account(bench.app.machine_id, "loose"))
        await Scanner(bench).scan(command_code("quit"))
        assert loose or not bench.app.is_running or bench.app._exit


async def test_a_command_where_it_means_nothing_is_refused_and_said_where_it_works(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "83")
        await Scanner(bench).scan(command_code("pause"))
        assert bench.app.message.sort == "refused" and "at the bench" in bench.said
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen) and screen.hand.form.text == "83"


async def test_a_command_of_another_sheet_is_refused(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await Scanner(bench).scan(command_code("no such stroke"))
        assert "print a new one" in bench.said


async def test_a_command_scanned_into_a_question_leaves_the_words(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "pan")
        scan = Scanner(bench)
        await scan.scan(command_code("pause"))
        assert isinstance(bench.app.screen, AskLine) and bench.app.screen.query_one(Line).value == "pan"
        await bench.keys("escape", "k")
        await scan.scan(command_code("pause"))
        assert isinstance(bench.app.screen, Pick)


# -- the camera's clock ------------------------------------------------------------------------------


@pytest.mark.parametrize(("size", "ascii_only"), [((80, 24), False), ((60, 20), False), ((100, 50), True)])
async def test_the_clock_code_on_the_screen_is_read_by_another_reader(
    demo: Path, opened: Opened, size: tuple[int, int], ascii_only: bool
) -> None:
    """The cells of the screen drawn to pixels, two half blocks to a cell, and read by ZXing."""
    import zxingcpp
    from PIL import Image

    async with opened(demo, size, ascii_only=ascii_only) as bench:
        await bench.keys("escape", "z")
        assert bench.screen == "ClockScreen"
        rows = [row for row in bench.picture().split("\n")]
        picture = Image.new("L", (len(rows[0]) * 8, len(rows) * 16), 255)
        for y, row in enumerate(rows):
            for x, cell in enumerate(row):
                top = cell in "█▀#"
                bottom = cell in "█▄#"
                for dark, offset in ((top, 0), (bottom, 8)):
                    if dark:
                        picture.paste(0, (x * 8, y * 16 + offset, x * 8 + 8, y * 16 + offset + 8))
        found = [clock_of(one.text) for one in zxingcpp.read_barcodes(picture)]
        assert [at.isoformat() for at in found if at] == ["2025-07-01T09:00:00+00:00"]


async def test_a_screen_too_small_for_the_clock_code_says_so(demo: Path, opened: Opened) -> None:
    async with opened(demo, (60, 14)) as bench:
        await bench.keys("escape", "z")
        assert "too small" in bench.picture()


async def test_doubtful_photos_are_settled_by_key_and_shown_on_the_cards(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        app, machine = bench.app, bench.app.machine_id
        stamp = "2025-03-02T14:20:00+00:00"
        shown = [
            c.FiledPhoto(
                file=f"{n:032x}.jpg", name=f"DSC_{n}", taken=stamp, step=5, when="after", doubt=n > 0, instead=6
            )
            for n in range(3)
        ]
        app.workshop.do(c.FilePhotos(photos=tuple(shown)), machine)
        await bench.keys("escape", "z")
        assert "1 settles 2 doubtful photos" in bench.picture()
        await bench.keys("1")
        assert "Which step does it show?" in bench.picture() and "DSC_1" in bench.picture()
        assert "2 step 6:" in bench.picture() and "(before)" in bench.picture()
        await bench.keys("2", "4")
        assert bench.said == "2 photos settled"
        photos = [(p.step, p.doubt) for p in app.workshop.record.all(Photo, machine)]
        five, six = app.workshop.record.step(machine, 5), app.workshop.record.step(machine, 6)
        assert five is not None and six is not None
        assert photos == [(five.id, False), (six.id, False), (0, False)]
        await bench.keys("escape")
        bag = next(b for b in app.workshop.record.all(Bag, machine) if 5 in bag_card(app.workshop.record, b).steps)
        await Scanner(bench).scan(bag.code)
        assert "1 photo" in bench.picture() and "begun on 20" in bench.picture()


# -- a caliper with a data cable ---------------------------------------------------------------------


async def test_a_caliper_lands_in_the_field_with_its_unit(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bench.app.caliper = CaliperWatch(known=True)
        hand = Scanner(bench, 0.2)
        await hand.type((*WALK, "1", "6", "3", "2", "enter"))
        hand.gap = 0.004
        await hand.scan("9.52mm")
        record = bench.app.workshop.record
        step = record.open_step(bench.app.machine_id)
        assert step is not None
        [thing] = record.things_of(step)
        assert thing.readings["length"] == "9.52mm" and thing.length == "3/8"


@pytest.mark.parametrize("reading", ["9.52mm", "0.164", ".372", "1.25in"])
@pytest.mark.parametrize("keys", [(), ("1", "632", "enter", "370", "enter"), ("r",)], ids=["part", "place", "refit"])
async def test_a_caliper_where_no_measure_is_wanted_is_refused_and_changes_nothing(
    demo: Path, opened: Opened, keys: tuple[str, ...], reading: str
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, *keys)
        bench.app.caliper = CaliperWatch(known=True)
        before = {table: bench.app.workshop.record.documents(table) for table in ("steps", "things", "bags")}
        screen = bench.screen
        await Scanner(bench, 0.004).scan(reading)
        await bench.settle()
        assert bench.app.message.sort == "refused" and reading in bench.said and bench.screen == screen
        assert {table: bench.app.workshop.record.documents(table) for table in before} == before
        if isinstance(bench.app.screen, BenchScreen):
            assert bench.app.screen.hand.form.hole == ""


async def test_with_a_caliper_watched_for_a_hand_still_does_everything(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bench.app.caliper = CaliperWatch(known=True)
        hand = Scanner(bench, 0.2)
        await bench.settle()
        for keys in (("1", "1", "1"), ("1", "6", "3", "2", "enter", "3", "7", "0", "enter"), ("3", "+", "h", "escape")):
            await hand.type(keys)
        record = bench.app.workshop.record
        step = record.open_step(bench.app.machine_id)
        assert step is not None and [t.hole for t in record.things_of(step)] == ["1", "3"]


async def test_keys_given_back_late_go_to_the_screen_on_top_by_then(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bench.app.caliper = CaliperWatch(known=True)
        burst = Scanner(bench, 0.01)
        await burst.type((*WALK, "1", "6", "3", "2", "enter", "3", "7", "0", "enter"))
        await bench.settle()
        record = bench.app.workshop.record
        step = record.open_step(bench.app.machine_id)
        assert step is not None and [(t.hole, t.readings["gauge"]) for t in record.things_of(step)] == [("1", "632")]


# -- everything at once ------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [0, pytest.param(1, marks=pytest.mark.long)])
async def test_random_keys_and_scans_end_with_a_clean_check(demo: Path, opened: Opened, seed: int) -> None:
    chance = Random(seed)
    async with opened(demo, (100, 32)) as bench:
        record = bench.app.workshop.record
        bench.app.caliper = CaliperWatch(known=True)
        codes = [bag.code for bag in record.all(Bag)]
        codes += [command_code(stroke.name) for stroke in STROKES if stroke.name not in ("quit", "far")]
        codes += [SPARE, OTHER, SPARE[:6], "PB3K7M2Q5", "9.52mm", "0.164", command_code("nothing")]
        keys = [*"1234567890.+-*/" * 2, *["enter"] * 6, *["escape"] * 4, *"nkhdvelgwzsrjm", "backspace"]
        hand = Scanner(bench, 0.2)
        for _ in range(30):
            hand.gap = 0.2
            await hand.type(chance.choices(keys, k=chance.randint(1, 3)))
            hand.gap, hand.suffix = chance.choice([0.004, 0.03, 0.2]), chance.choice(["enter", "tab", ""])
            await hand.scan(chance.choice(codes), after=chance.choice([0.3, 3.0]))
        assert bench.app.is_running and bench.app._exception is None
    assert check_workshop(demo, is_code).ok
