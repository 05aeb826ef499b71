"""Stories at the bench, told with keys."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.reports.account import WayBack
from putback.reports.bags import BagRow
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance
from putback.trade.checks.walked import still_wrong
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.tui.bench import bench_screen
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.draw.views import TreeRow, tree_rows
from putback.tui.form.form_pane import FormPane
from putback.tui.keyboard.bench_keys import GROUPS
from putback.tui.widgets.panes import BagPane, BagsData
from tests.tui.conftest import Clock, Opened

WALK = ("1", "1", "1")

FIRST = ("1", "832", "enter", "372", "enter")
"""A first screw: it begins a session."""
"""The walk-back answered: true, true, true."""


def things(app_record: object, step: Step) -> list[str]:
    return [t.size for t in app_record.things_of(step) if t.sort == "fastener"]  # type: ignore[attr-defined]


async def test_a_panel_of_seven_screws_comes_off_by_keypad_and_survives_leaving(demo: Path, opened: Opened) -> None:
    async with opened(demo, every_paint=True) as bench:
        assert bench.screen == "WalkBackScreen"
        await bench.keys(*WALK)
        await bench.keys("1", "632", "enter", "370", "enter", "+", "+", "+")
        step = bench.app.workshop.record.open_step(bench.app.machine_id)
        assert step is not None
        assert [t.hole for t in bench.app.workshop.record.things_of(step)] == ["1", "7", "9", "3"]
        assert things(bench.app.workshop.record, step) == ["#6-32 UNC x 3/8"] * 4
        await bench.keys("4")
        screen, form, bags = bench.app.screen, bench.app.screen.query_one(FormPane), bench.app.screen.query_one(BagPane)
        assert isinstance(screen, BenchScreen) and not screen.behind
        screen.at_once.clock = lambda: float("inf")  # the last paint is long ago
        screen.press("+")
        assert not form.changed, "the pane that was typed at is painted before anything else has its turn"
        assert screen.behind, "tree and bags follow"
        shown = bags.shown
        await bench.settle()
        assert not screen.behind and shown is not None and bags.shown is not None
        assert sum(row.count for row in bags.shown.rows) == sum(row.count for row in shown.rows) + 1
        await bench.keys("6", "63")
    async with opened(demo) as bench:
        assert bench.screen == "WalkBackScreen"
        await bench.keys(*WALK, "6", "632", "enter", "370", "enter", "8", "+", "0")
        record = bench.app.workshop.record
        step = record.last_step(bench.app.machine_id)
        assert step is not None and step.ended and step.put == "shelf"
        assert len(things(record, step)) == 7
        assert sum(1 for t in record.things_of(step) if t.sort == "part") == 1
        assert not list(check_balance(record))
        assert "took off" in bench.said


async def test_take_back_goes_on_after_a_restart(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        before = bench.app.workshop.record.documents("things")
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter", "+")
    async with opened(demo) as bench:
        await bench.keys("escape")
        after = bench.app.workshop.record.documents("things")
        await bench.keys("-", "-", "-")
        assert bench.app.workshop.record.documents("things") == before
        assert bench.app.workshop.record.open_step(bench.app.machine_id) is None
    async with opened(demo) as bench:
        page, line = next((n, ids.index("again") + 1) for n, (_, ids) in enumerate(GROUPS) if "again" in ids)
        await bench.keys("escape", "ctrl+y", "ctrl+y", ".", *"+" * page, str(line))
        assert bench.said.startswith("again: hole") and bench.app.workshop.record.documents("things") == after
        await bench.keys("ctrl+y")
        assert bench.app.message.sort == "refused" and "nothing to bring again" in bench.said


async def test_the_size_snaps_while_it_is_typed(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "83")
        await bench.keys("2")
        assert "#8-32" in bench.picture()
        await bench.keys("enter", "372")
        assert "3/8" in bench.picture()


async def test_flanks_that_are_asked_for_are_typed_behind_the_size(demo: Path, opened: Opened) -> None:
    async with opened(demo, (80, 24)) as bench:
        await bench.keys(*WALK, *"1632", "enter", *"370", "enter", *"3832", "enter", *"370", "enter")
        await bench.keys(*"7.247*20")
        whole = " ".join(bench.picture().split())
        assert "flanks against the light: 60 or 55" in whole and "degrees? Type it behind: * 55" in whole
        await bench.keys(*"*60", "enter", *"497", "enter")
        step = bench.app.workshop.record.open_step(bench.app.machine_id)
        assert step is not None
        thing = bench.app.workshop.record.things_of(step)[-1]
        assert thing.readings == {"od": ".247", "tpi": "20", "length": ".497", "flank": "60"}
        assert (thing.thread, thing.verdict) == ("1/4-20 UNC", "sure")


async def test_a_length_by_eye_a_pins_small_end_and_a_slot_are_kept_and_shown(demo: Path, opened: Opened) -> None:
    """Roughly is one key more; what was said of pin and slot is there again on the way back."""
    (demo / "settings.toml").write_text('[instruments]\nhave = ["rule"]\n', encoding="utf-8")
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", ".37++")
        assert "by eye .37++" in bench.picture()
        await bench.keys("enter", "x", "+", "+", "1", ".050", "enter", ".265", "enter", "3", "832", "enter", "372")
        assert "blade 1.2 x 6.5; 0.6 is too" in bench.picture()
        await bench.keys("enter", "k", "7", "x", "6", "1", "5", ".125")
        assert "strike the small end (front)" in bench.picture()
        await bench.keys("enter", "1.001", "enter")
        record = bench.app.workshop.record
        step = record.open_step(bench.app.machine_id)
        assert step is not None
        eye, slot, pin = record.things_of(step)
        assert eye.readings == {"gauge": "832", "length": ".37", "length_by": "eye"} and eye.verdict == "likely"
        assert (slot.readings["slot"], slot.readings["across"], slot.verdict) == (".050", ".265", "sure")
        assert pin.small_end == "front"
        await bench.keys("0", "r")
        assert bench.screen == "RefitScreen"
        account = WayBack(record, bench.app.machine_id).account(record.get(Step, step.id))
        assert "fits: blade" in bench.picture() and account.of("fits")[0].words.startswith("blade 1.2 x 6.5")
        assert any("goes in from the back" in row.words for row in account.of("fastener"))


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (60, 17), (200, 60)])
async def test_the_screen_holds_at_every_size(demo: Path, opened: Opened, size: tuple[int, int]) -> None:
    async with opened(demo, size) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372")
        rows = bench.picture().split("\n")
        assert len(rows) == size[1]
        assert any("832" in row for row in rows) or any("█" in row for row in rows)  # or in tall figures


async def test_ascii_screen_has_only_ascii(demo: Path, opened: Opened) -> None:
    async with opened(demo, ascii_only=True) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372")
        assert bench.picture().isascii()


async def test_refusals_are_one_line_and_lose_nothing(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter")
        number = bench.app.workshop.store.number
        await bench.keys("1")
        assert bench.said == "hole 1 has one already: * before the size for another beside it"
        await bench.keys("832", "enter", "372", "enter")
        assert "has its" in bench.said and "1a" in bench.said
        await bench.keys("escape", "1", "*")
        assert bench.said == "hole 1a, beside the one in 1"
        await bench.keys("escape", "2", "zz", "enter", "enter")
        assert bench.app.message.sort == "refused" and "zz" in bench.said
        assert bench.app.workshop.store.number == number


async def test_a_name_is_text_and_never_markup(demo: Path, opened: Opened) -> None:
    names = ["bolt [left]", "M6 [/]", "“quotes” 'too' \\", "🔧 wrench", "שלום", "x" * 300]
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen)
        for name in names:
            assert screen.hand.begin(name), bench.said
            screen.redraw()
            await bench.settle()
            assert len(bench.picture().split("\n")) == 24
            await bench.keys("0")
        steps = [s.name for s in bench.app.workshop.record.all(Step, bench.app.machine_id)]
        assert steps[-len(names) :] == names


async def test_a_scan_in_the_middle_of_a_length_chooses_the_bag_and_leaves_the_length(
    demo: Path, opened: Opened
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "37")
        bag = bench.app.workshop.record.bag(bench.app.machine_id, 3)
        assert bag is not None
        if bag.closed:
            bench.app.workshop.do(c.ReopenBag(number=3), bench.app.machine_id)
        await bench.keys(bag.code)
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen) and screen.hand.form.text == "37"
        assert screen.hand.step is not None and screen.hand.step.bag == 3 and "bag 3 in hand" in bench.said


async def test_a_code_typed_into_a_name_opens_the_bag_and_leaves_the_name(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "pan")
        bag = bench.app.workshop.record.bag(bench.app.machine_id, 3)
        assert bag is not None
        await bench.keys(bag.code.lower())
        assert bench.screen == "BagScreen"
        await bench.keys("escape", "el", "enter")
        step = bench.app.workshop.record.open_step(bench.app.machine_id)
        assert step is not None and step.name == "panel"


async def test_a_wrong_code_is_refused_by_its_check_character(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bag = bench.app.workshop.record.bag(bench.app.machine_id, 3)
        assert bag is not None
        wrong = bag.code[:5] + ("7" if bag.code[5] != "7" else "8") + bag.code[6:]
        await bench.keys(*WALK, wrong)
        assert bench.screen == "BenchScreen"
        assert bench.app.message.sort == "refused"


async def test_pause_goes_on_with_a_walk_back_and_the_time_stands(demo: Path, opened: Opened, clock: Clock) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, *FIRST)
        clock.move(10)
        await bench.keys("space")
        assert bench.screen == "BreakScreen"
        await bench.keys(".")
        clock.move(30)
        session = bench.app.workshop.record.open_session(bench.app.machine_id)
        assert session is not None and session.paused and session.minutes(clock().isoformat()) == 10
        await bench.keys("space")
        assert bench.screen == "WalkBackScreen"


async def test_the_bell_waits_until_the_part_is_off(demo: Path, opened: Opened, clock: Clock) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter")
        clock.move(46)
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen)
        screen.tick()
        assert "waits until" in bench.said
        await bench.keys("0")
        assert "nothing is half done" in bench.said


async def test_a_crash_does_not_count_the_weeks_after_it(demo: Path, opened: Opened, clock: Clock) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter")
        clock.move(5)
        await bench.keys("+")
        bench.app.exit()  # no pause is written, as when the power goes
    clock.move(60 * 24 * 21)
    async with opened(demo) as bench:
        record, machine = bench.app.workshop.record, bench.app.machine_id
        assert record.open_session(machine) is None  # it ended at its last act
        session = list(record.all(Session, machine))[-1]
        assert session.minutes(session.ended) == 5


async def test_not_so_asks_what_is_so_and_notes_it(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("2", "the spring is still on", "enter", ".", "1", "3")
        step = bench.app.workshop.record.last_step(bench.app.machine_id)
        assert step is not None and "the spring is still on" in step.note
        record, machine = bench.app.workshop.record, bench.app.machine_id
        assert record.open_session(machine) is None, "looking and noting begin no session and no clock"
        last = list(record.all(Session, machine))[-1]
        assert [w.answer for w in last.walked][-3:] == ["not so", "true", "cannot see it now"]
        await bench.keys(*FIRST)
        assert record.open_session(machine) is not None, "the first thing taken off begins one"


async def test_what_was_wrong_is_closed_by_a_correction_on_its_card_or_as_right_after_all(
    demo: Path, opened: Opened
) -> None:
    async with opened(demo) as bench:
        record, machine = bench.app.workshop.record, bench.app.machine_id
        await bench.keys("2", "the face", "enter", "*", "3", "4")  # corrected on the card, and straight to the bench:
        await bench.keys("0", "2", "the name", "enter")  # what was not looked at yet is asked about all the same
        second = list(record.latest_steps(machine))[1]
        assert [walked.step_id for walked in still_wrong(record, machine)] == [second.id]
        await bench.keys(".", "1")
        assert "wrong, and not put right yet" in bench.said
        said = [block.words for block in WayBack(record, machine).account(record.get(Step, second.id)).of("open")]
        assert said and said[0].startswith("said to be wrong at the walk-back of")


async def test_what_is_only_said_begins_no_session_and_ends_no_break(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        app, record = bench.app, bench.app.workshop.record
        step = record.last_step(app.machine_id)
        assert step is not None
        words = (
            c.Annotate(step=step.number, note="long leg to the left"),
            c.Annotate(step=step.number, todo=(Job(do="get", what="a new felt ring"),)),
            c.MendStep(step=step.number, note="seen again"),
            c.MendMachine(mass="32 kg"),
        )
        for command in words:
            assert app.do(command) is not None
            assert record.open_session(app.machine_id) is None, command
        await bench.keys(*FIRST, "space", ".")
        for command in (words[0], c.Annotate(step=step.number, todo=(Job(do="make", what="a new pin"),))):
            assert app.do(command) is not None
        session = record.open_session(app.machine_id)
        assert session is not None and session.paused


async def test_after_a_cut_in_the_middle_of_a_step_the_walk_back_begins_with_it(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, *FIRST, "3", "63")
        bench.app.exit()  # as when the power goes: 63 was typed, and nothing recorded
    async with opened(demo) as bench:
        shown = bench.picture()
        assert "part 21 is coming off, and not off yet" in shown
        assert "hole 1 is recorded; what was typed after it was not kept" in " ".join(shown.replace("│", " ").split())
    async with opened(demo) as bench:
        await bench.keys(*WALK, "3", "832", "enter", "372", "enter")
        bench.app.exit()
    async with opened(demo) as bench:
        assert "holes 1 3 are recorded; what was typed after them" in " ".join(
            bench.picture().replace("│", " ").split()
        )


async def test_the_bell_is_set_in_the_middle_of_a_session(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, *FIRST, "x", "+")
        shown = bench.picture()
        assert "the bell, the box" in shown, shown
        line = next(row for row in shown.splitlines() if "the bell, the box" in row)
        await bench.keys(line.split("the bell")[0].split()[-1])
        assert "minutes to the bell: 40" in bench.picture()
        await bench.keys("1", "50", "enter")
        assert "minutes to the bell: 50" in bench.said
        session = bench.app.workshop.record.open_session(bench.app.machine_id)
        assert session is not None and session.target == 50 and not session.paused
        assert "50:00" in bench.picture()


async def test_the_note_for_next_time_is_asked_once(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, *FIRST, "0")
        bench.app.do(c.Annotate(step=21, tools=("driver 1.2 x 8",)))
        await bench.keys("s", "e")
        assert bench.screen == "BreakScreen", bench.picture()
        await bench.keys("+", "the brake is on", "enter", "0")
        assert bench.screen == "SummaryScreen" and "everything is on disk" in bench.said
        session = list(bench.app.workshop.record.all(Session, bench.app.machine_id))[-1]
        assert session.ended and bench.app.workshop.record.open_session(bench.app.machine_id) is None


async def test_an_empty_workshop_asks_three_questions_and_is_on_the_bench(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path / "new") as bench:
        assert bench.screen == "AskLine"
        await bench.keys("escape", "r", "r", "Bench lathe [old]", "enter", "escape", "enter", "3", "7", "enter")
        machine = bench.app.machine
        assert machine is not None
        assert (machine.name, machine.origin, machine.unit) == ("rBench lathe [old]", "uk", "in")
        await bench.keys("m", "4", "*", "1", *("backspace",) * 30, "Bench lathe", "enter", ".")
        assert bench.app.machine is not None and bench.app.machine.name == "Bench lathe"
        # The head said since goes with the next; another kind said is not passed over.
        await bench.keys("5", "2ba", "enter", "372", "enter", "h", "1", "enter", "+", "k", "3", "+")
        assert bench.app.message.sort == "refused" and "The last was a screw" in bench.said
        record = bench.app.workshop.record
        step = record.last_step(machine.id)
        assert step is not None and step.bag == 7
        assert [t.head for t in record.things_of(step)] == ["", "fillister"]
        # Erasing does not run on into what is recorded, and what is taken back is typed again as its kind.
        await bench.keys("9", "8", "-", "-", "-", "-")
        assert "once more" in bench.said and len(record.things_of(step)) == 2
        await bench.keys("-")
        assert len(record.things_of(step)) == 1 and bench.app.screen.hand.form.kind == "screw"  # type: ignore[attr-defined]


async def test_another_machine_is_two_keys_away(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "m", "1")
        assert bench.app.machine is not None and bench.app.machine.name == "Drum recorder"


async def test_keys_faster_than_a_question_are_for_the_question(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1")
        form = bench.app.screen.hand.form  # type: ignore[attr-defined]
        await bench.keys("escape")
        for key in ("h", "3", "enter", "l", *"spring", "enter", "3", "enter", "enter", "k", "enter"):
            bench.app.simulate_key(key)
        await bench.settle()
        assert bench.screen == "BenchScreen"
        assert (form.hole, bench.app.screen.hand.form.head, bench.app.screen.hand.form.hole) == ("1", "round", "")  # type: ignore[attr-defined]
        step = bench.app.workshop.record.last_step(bench.app.machine_id)
        assert step is not None
        assert [(t.name, t.count) for t in bench.app.workshop.record.things_of(step)] == [("spring", 3)]


async def test_pieces_notes_cautions_settings_and_any_time(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "side plate", "enter")
        await bench.keys("l", "spring", "enter", "3", "enter", "enter")
        await bench.keys("t", "oily", "enter", "c", "sharp edge", "enter")
        await bench.keys("a", "end stop", "enter", "1", "enter", "2.5", "enter", "f", "w", "3", "0")
        record = bench.app.workshop.record
        step = record.last_step(bench.app.machine_id)
        assert step is not None
        assert (step.note, step.cautions, step.needs, step.put) == ("oily", ("sharp edge",), (), "loose")
        assert step.adjust[0].turns == 2.5
        assert [(t.name, t.count) for t in record.things_of(step) if t.sort == "piece"] == [("spring", 3)]
        assert "loose 1" in bench.picture()


async def test_a_caution_is_said_once_in_a_session_and_is_in_nobodys_way(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "lamp [left]", "enter")
        assert bench.app.message.sort == "caution" and bench.said.startswith("recorded. mains: plug out")
        assert "licensed practice first" in " ".join(bench.picture().split()), "in full at 80 columns"
        await bench.keys("1", "632", "enter", "370", "enter", "0")
        assert bench.said.startswith("step 21: took off lamp [left]")
        await bench.keys("enter", "second lamp", "enter")
        assert bench.app.message.sort == "recorded", "once for each cause"


async def test_every_other_doing_can_be_entered(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await bench.keys("o", "5", "cam clamp", "enter")  # mark
        await bench.keys("2", "enter", "two dots", "enter")
        await bench.keys("o", "7", "enter", "on its back", "enter")  # turn
        await bench.keys("o", "8", "bush", "enter", "48", "enter")  # soak
        await bench.keys("o", "4", "jaw", "enter", "5", "832", "enter", "372", "enter")  # loosen
        await bench.keys("enter", "0")
        record = bench.app.workshop.record
        steps = list(record.all(Step, bench.app.machine_id))[-4:]
        assert [s.do for s in steps] == ["mark", "turn", "soak", "loosen"]
        assert steps[0].adjust[0].mark == "two dots"
        assert steps[1].state == "on its back"
        assert steps[2].soak is not None and steps[2].soak.hours == 48
        assert steps[3].tag == "A" and record.things_of(steps[3])[0].turns == 1
        assert not list(check_balance(record))


async def test_the_odd_one_is_asked_about_in_the_hand(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "632", "enter", "372", "enter", "+", "+")
        await bench.keys("3", "632", "enter", "497", "enter")
        assert bench.app.message.sort == "asks" and ".125 longer than the 3 here (all .372)" in bench.said


@pytest.mark.parametrize(("answer", "minutes", "screen_after"), [("1", 10, "WalkBackScreen"), ("2", 30, "BenchScreen")])
async def test_after_a_long_idle_the_next_key_asks_whether_it_was_a_break(
    demo: Path, opened: Opened, clock: Clock, answer: str, minutes: float, screen_after: str
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, *FIRST)
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen)
        clock.move(30)
        screen.breaks._key_at -= 20 * 60
        await bench.keys("1")
        assert bench.screen == "Pick" and "20 min without a key. Was that a break?" in bench.picture()
        await bench.keys(answer)
        assert bench.screen == screen_after
        session = bench.app.workshop.record.open_session(bench.app.machine_id)
        assert session is not None and round(session.minutes(clock().isoformat()), 1) == minutes


async def test_a_timer_that_nobody_stopped_is_noticed_at_the_next_opening(
    demo: Path, opened: Opened, clock: Clock
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter")
        bench.app.exit()  # no pause is written, as when the power goes
    clock.move(60 * 3)
    async with opened(demo) as bench:
        assert "The time ran on since 09:00" in bench.picture()


async def test_a_session_left_overnight_is_told_and_the_next_thing_done_begins_another(
    demo: Path, opened: Opened, clock: Clock
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter")
        first = bench.app.workshop.record.open_session(bench.app.machine_id)
        assert first is not None
        clock.move(60 * 14)  # the program stays open
        await bench.keys("+")
        assert bench.screen == "WalkBackScreen"
        words = " ".join(bench.picture().replace("│", " ").split())
        assert f"Session {first.number} was left on 1 Jul at 09:00 and has ended there. S shows its summary." in words
        assert bench.app.workshop.record.open_session(bench.app.machine_id) is None
        await bench.keys(*WALK, "+")
        session = bench.app.workshop.record.open_session(bench.app.machine_id)
        assert session is not None and session.number == first.number + 1
        await bench.keys("Q")
    clock.move(60 * 24 * 22)
    async with opened(demo) as bench:
        words = " ".join(bench.picture().replace("│", " ").split())
        assert f"Session {session.number} was left on 1 Jul at 23:00" in words


async def test_a_break_of_half_a_day_was_the_end(demo: Path, opened: Opened, clock: Clock) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter", "space")
        assert bench.screen == "BreakScreen"
        clock.move(60 * 5)
        await bench.keys("space")
        assert bench.screen == "WalkBackScreen" and "was left on 1 Jul at 09:00" in bench.picture()
        assert bench.app.workshop.record.open_session(bench.app.machine_id) is None


@pytest.mark.parametrize(("answer", "number", "minutes"), [("1", 1, 0), ("2", 0, 10), ("3", 0, 100)])
async def test_a_gap_over_midnight_is_asked_about_by_the_next_key(
    demo: Path, opened: Opened, clock: Clock, answer: str, number: int, minutes: float
) -> None:
    clock.move(60 * 14.5)  # 23:30
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter")
        first = bench.app.workshop.record.open_session(bench.app.machine_id)
        assert first is not None
        clock.move(90)
        await bench.keys("+")
        assert bench.screen == "Pick"
        words = " ".join(bench.picture().split())
        assert f"Session {first.number} stood still from 23:30 over midnight. What was that?" in words
        await bench.keys(answer)
        if answer != "3":
            assert bench.screen == "WalkBackScreen", "a return begins with the walk-back"
            await bench.keys(*WALK)
        clock.move(10)
        await bench.keys("+")
        assert bench.screen == "BenchScreen", "it is asked once"
        session = bench.app.workshop.record.open_session(bench.app.machine_id)
        assert session is not None and session.number == first.number + number
        assert session.minutes(clock().isoformat()) == pytest.approx(minutes, abs=0.1)


async def test_a_second_copy_reads_and_follows(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench, opened(demo) as second:
        assert not second.app.workshop.store.writable
        assert "READ ONLY" in second.picture()
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter")
        screen = second.app.screen
        assert isinstance(screen, BenchScreen)
        screen.tick()
        step = second.app.workshop.record.open_step(second.app.machine_id)
        assert step is not None and len(second.app.workshop.record.things_of(step)) == 1
        number = bench.app.workshop.store.number
        await second.keys("+")
        assert second.app.message.sort == "refused"
        assert bench.app.workshop.store.number == number
        await second.keys("7")
        assert "nothing typed here is kept" in second.said and not screen.hand.form.hole, (
            "said before anything is typed"
        )
        screen.tick()
        await second.settle()
        assert second.screen == "BenchScreen", "the other copy is still there"
        bench.app.workshop.close()
        screen.tick()
        await second.settle()
        assert "The other copy has closed this workshop" in second.picture()
        await second.keys("1")
        assert second.app.again, "it is opened once more, to write"


async def test_a_copy_that_goes_on_reading_is_asked_once(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench, opened(demo) as second:
        bench.app.workshop.close()
        screen = second.app.screen
        assert isinstance(screen, BenchScreen)
        screen.tick()
        await second.settle()
        await second.keys("2")
        screen.tick()
        await second.settle()
        assert second.screen == "BenchScreen" and not second.app.again


async def test_a_face_is_drawn_as_the_turned_machine_shows_it(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "/", "0", "1", "632", "enter", "370", "enter", "0")
        step = bench.app.workshop.record.last_step(bench.app.machine_id)
        assert step is not None
        await bench.keys("o", "7", "enter", "upside down", "enter", " ", " ", "1")
        machine = bench.app.machine
        assert machine is not None and machine.lies == "upside down" and bench.screen == "WalkBackScreen"
        assert step.face == "back" and "top is down" in bench.picture()


async def test_another_like_the_last_does_not_draw_the_tree_anew(
    tmp_path: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a machine of thousands of parts that takes longer than a key may."""
    drawn: list[Machine] = []

    def counted(record: Record, machine: Machine, area: int) -> list[TreeRow]:
        drawn.append(machine)
        return tree_rows(record, machine, area)

    monkeypatch.setattr(bench_screen, "tree_rows", counted)
    async with opened(tmp_path) as bench:
        await bench.keys("fare stamp", "enter", "2", "enter", "1", "832", "enter", "372", "enter", "+")
        before = len(drawn)
        await bench.keys("+", "+")
        assert len(drawn) == before
        await bench.keys("0")
        assert len(drawn) == before + 1 and "part 1" in bench.picture()


async def test_a_refusal_is_of_one_key_and_gone_with_the_next(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys("fare stamp", "enter", "2", "enter", "enter", "guard", "enter", "1", "enter")
        assert bench.app.message.sort == "refused" and "Type the gauge first" in bench.picture()
        await bench.keys("8")
        assert "Type the gauge first" not in bench.picture()


def test_beside_a_bag_stands_a_stroke_for_each_piece_or_a_plain_line() -> None:
    pane = BagPane(id="bags")
    bags = [BagRow("", number, "open", count, "") for number, count in ((1, 10), (2, 3), (3, 0))]

    def bars(width: int) -> list[str]:
        rows = pane.lines(BagsData(tuple(bags), 0, 0), width, 20)[:3]
        return ["".join(sign for sign in row.plain if sign in "┃─") for row in sorted(rows, key=lambda r: r.plain[:5])]

    assert bars(28) == ["┃" * 10, "┃" * 3, ""]
    assert bars(22) == ["─" * 5, "─" * 2, ""]


async def test_what_was_said_of_a_field_or_a_hole_goes_with_it(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("escape", "/", "6", "enter", "side", "enter", "1632", "enter", "370", "enter", "2", "enter")
        assert "if it is measured" in bench.said
        await bench.keys("escape")
        assert "if it is measured" not in bench.picture()
        await bench.keys("+", "+", "9632", "enter", "497", "enter")
        assert "does it belong in hole 9?" in bench.said
        await bench.keys("4")
        assert "does it belong" not in bench.picture() and bench.app.message.sort != "asks"


async def test_a_hole_that_cannot_be_read_stays_in_its_question(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "flap", "enter", "1", "escape", "e", "right right", "enter")
        assert "right right" in bench.picture() and "is not a hole" in " ".join(bench.picture().split())
        number = bench.app.workshop.store.number
        await bench.keys(*["backspace"] * 11, "7", "enter", "clean", "enter")
        assert bench.app.workshop.store.number == number + 1
        assert bench.app.message.words.startswith("hole 7")
