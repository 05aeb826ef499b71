"""The way back, told with keys of the keypad alone."""

from __future__ import annotations

from pathlib import Path

from putback.trade import commands as c
from putback.trade.cautions.dangers import FIRST
from putback.trade.checks.last_look import last_look
from putback.trade.checks.ledger import check_balance, left_over, trial_balance
from putback.trade.checks.open_jobs import jobs_first, still_open
from putback.trade.record.bag import Bag
from putback.trade.record.record import Record
from putback.trade.record.step import LAST_LOOK, Step
from putback.trade.refit.confirmations import unasked
from putback.trade.refit.orientation import turn_first
from putback.tui.refit.refit_screen import RefitScreen
from tests.tui.conftest import Bench, Opened


async def to_refit(bench: Bench, machine: str) -> RefitScreen:
    await bench.keys("escape")
    for known in bench.app.workshop.machines():
        if known.name == machine:
            bench.app.change_machine(known.id)
    await bench.settle()
    await bench.keys("escape", "r")
    screen = bench.app.screen
    assert isinstance(screen, RefitScreen)
    return screen


async def read_on(bench: Bench) -> None:
    """Turn pages until the last one is shown, as the eye does before a key confirms."""
    screen = bench.app.screen
    assert isinstance(screen, RefitScreen)
    while screen.card.at + 1 < len(screen.card.pages):
        await bench.keys("enter")


def left_hand(record: Record, machine: int) -> int:
    """Return the number of the step with a left-hand thread."""
    return next(s.number for s in record.all(Step, machine) for t in record.things_of(s) if t.hand == "left")


async def test_a_whole_machine_goes_back_until_nothing_is_left_over(demo: Path, opened: Opened) -> None:
    """The skein winder: a felt ring is scrapped and a new one is made on the way; the wheels go on unclean."""
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Skein winder")
        record, machine = bench.app.workshop.record, bench.app.machine_id
        bench.app.do(c.LookAt(sort="fault", what="the bell is dull"))
        warned = set_so = False
        for _ in range(200):
            step = screen.way.step()
            if step is None:
                break
            if step.number == left_hand(record, machine):
                warned |= "▲ hole 5: LEFT-HAND thread" in bench.picture()
            account = screen.way.account(step)
            if any(w.step == step.number and w.things for w in screen.way.waits()):
                await bench.keys("/", "1", "made of new felt", "enter")
            elif account.next == "setting" and account.todo and "worm end play" in account.todo.item and not set_so:
                await bench.keys("/", "0.2", "enter", "1", "enter")  # far off: asked once, it stays so, with a reason
                assert bench.said == "no reason: nothing recorded", "no words of the program stand there for Enter"
                await bench.keys("/", "0.2", "enter", "1")
                assert "it runs well so" not in bench.picture(), "half of it lies on the bench"
                await bench.keys("1", "enter")
                set_so = True
            elif bench.screen == "Pick" and "clean the figure wheels" in " ".join(bench.picture().split()):
                await bench.keys("2")
            elif bench.screen == "Pick":  # a job is done; the last look: the tools used behind the cover are all there
                await bench.keys("1")
            else:
                await bench.keys("enter")
            assert not list(check_balance(record))
        assert warned and all(s.back for s in record.all(Step, machine))
        assert not left_over(record, machine)
        assert set(trial_balance(record, machine)) == {"fitted", "scrapped"}
        assert "every step is back, 2 things still open; " in bench.said and "nothing left over" in bench.said
        rows = (line.split("││")[-1].rstrip("│ ") for line in bench.picture().splitlines())
        card = " ".join(" ".join(rows).split())
        assert "2 things still open:" in card and "reel hub came off in one piece" in card
        assert "clean the figure wheels: water only (before" in card and "put on as it is, step 12)" in card
        assert "Everything is back" in bench.picture() and "nothing to go" in bench.picture()
        assert "the end, page 1 of" in bench.picture(), "whatever page the last step was on"
        assert "what would you do differently?" in card
        await bench.keys("enter", "soak the felt first", "enter", "3", "enter")
        pages = [bench.picture()]
        while "read on" in bench.picture():
            await bench.keys("enter")
            pages.append(bench.picture())
            assert len(pages) < 9
        whole = " ".join(pages)
        assert "First checks, before it runs" in whole and "worm end play" in whole and ". bench" in pages[-1]
        assert "as set: 0.2" in whole and "it goes no further" in whole and "soak the felt first" in whole
        rows = (line.split("││")[-1].rstrip("│ ") for line in whole.splitlines())
        assert "is answered on the machine's card: . M /" in " ".join(" ".join(rows).split())
        step = record.step(machine, 3)
        assert step is not None and step.next_time == ("soak the felt first",)
        await bench.keys(".")
        assert "■ off ╫ back" in " ".join(bench.picture().split()), "the tree says what its signs mean"


async def test_cautions_and_settings_stand_before_the_step_and_each_is_confirmed(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Drum recorder")
        record, machine = bench.app.workshop.record, bench.app.machine_id
        await read_on(bench)
        await bench.keys("enter")  # 22 drum spindle
        assert FIRST in bench.picture()  # the frame says whose rules come first, and no key waits for it
        assert "lead" in bench.picture() and "29 CFR 1910.1025" in bench.picture()
        await bench.keys("enter")  # 21 has a caution: confirmed, not yet back
        step = record.step(machine, 21)
        assert step is not None and step.cautions and not step.back
        assert step.confirmed == step.cautions
        await read_on(bench)
        await bench.keys("enter")
        step = record.step(machine, 21)
        assert step is not None and step.back
        await bench.keys("-")
        step = record.step(machine, 21)
        assert step is not None and not step.back
        assert isinstance(screen, RefitScreen)
        assert FIRST not in bench.picture()  # once for each cause in a session
        for _ in range(40):
            if (now := screen.way.step()) is None or now.number == 17:
                break
            await bench.keys("enter")
        assert "capsule or gas: do not open" in bench.picture() and FIRST in bench.picture()


async def test_a_job_to_be_done_first_is_asked_about_and_named_at_the_end(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Ticket-dating press")
        record, machine = bench.app.workshop.record, bench.app.machine_id

        def lamp() -> Step:
            step = record.step(machine, 20)
            assert step is not None and step.name == "lamp holder"
            return step

        async def show() -> None:
            screen.way.chosen = lamp().id
            screen.redraw()
            await bench.settle()

        await show()
        assert "now: to send out first: have a licensed" in bench.picture()
        before = bench.app.workshop.store.number
        await bench.keys("enter")
        assert "How does it stand?" in bench.picture() and "put the part on as it is" in bench.picture()
        await bench.keys("3")
        assert bench.app.workshop.store.number == before and screen.way.step() != lamp()
        await show()
        await bench.keys("enter", "1")
        assert lamp().todo[0].state == "done" and "done: have a licensed electrician" in bench.said
        await bench.keys("-")
        assert lamp().todo[0].state == "to do"
        await show()
        await bench.keys("enter", "2")
        assert jobs_first(record, lamp()) == [] and lamp().todo[0].open
        assert any("put on as it is, step 20" in words for words in still_open(record, machine))


async def test_what_waits_says_for_what_and_is_refused(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Ticket-dating press")
        steps = bench.app.workshop.record.all(Step, bench.app.machine_id)
        step = next(s for s in steps if s.name == "ribbon")
        screen.way.chosen = step.id
        screen.redraw()
        await bench.settle()
        assert "waits for ribbon (scrapped)" in bench.picture()
        await bench.keys("enter")
        assert bench.app.message.sort == "refused" and "ribbon is scrapped" in bench.said
        await bench.keys("/", "2")
        assert bench.said == f"step {step.number}, ribbon, skipped: it goes on without ribbon (scrapped)"


async def test_the_right_bag_proves_itself_and_another_machines_is_refused(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await to_refit(bench, "Skein winder")
        record = bench.app.workshop.record
        right = record.bag(bench.app.machine_id, 12)
        wrong = record.bag(bench.app.machine_id, 1)
        foreign = next(b for b in record.all(Bag) if b.machine != bench.app.machine_id)
        assert right is not None and wrong is not None
        await bench.keys(right.code)
        assert "is the right one" in bench.said
        await bench.keys(wrong.code)
        assert "is not wanted" in bench.said
        await bench.keys(foreign.code)
        assert "belongs to" in bench.said and bench.app.message.sort == "refused"


async def test_steps_can_be_done_out_of_order_where_nothing_needs_them(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Skein winder")
        first = screen.way.step()
        await bench.keys("+")
        other = screen.way.step()
        assert first is not None and other is not None and first.id != other.id
        await bench.keys(*["enter"] * len(other.unconfirmed))
        await read_on(bench)
        await bench.keys("enter")
        assert bench.app.workshop.record.get(Step, other.id).back


async def test_a_kinder_order_is_one_key_away_and_says_what_is_proved(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Skein winder")
        strict = [s.number for s in screen.way.off()]
        await bench.keys("5")
        assert bench.said.startswith("fewest bag openings (proved): 12 bag openings")
        assert sorted(s.number for s in screen.way.off()) == sorted(strict) != [s.number for s in screen.way.off()]
        await bench.keys("5", "5", "5")
        assert [s.number for s in screen.way.off()] == strict


async def test_a_step_is_skipped_seen_at_the_last_look_and_done_late(demo: Path, opened: Opened) -> None:
    """The winder's gearbox: the worm wheel is left out, the cover closed over it, and it all comes off again."""
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Skein winder")
        record, machine = bench.app.workshop.record, bench.app.machine_id

        async def until(number: int) -> None:
            for _ in range(60):
                step = screen.way.step()
                if step is None or step.number == number:
                    return
                await bench.keys("1" if bench.screen == "Pick" else "enter")

        def step(number: int) -> Step:
            found = record.step(machine, number)
            assert found is not None
            return found

        await until(16)
        await bench.keys("0", "no key for it yet", "enter")
        assert step(16).skipped == "no key for it yet" and "1 skipped" in bench.picture()
        await until(14)
        while unasked(record, step(14))[0] != LAST_LOOK or turn_first(record, step(14)):
            await bench.keys("enter")
        assert any("skipped (no key for it yet)" in end.words for end in last_look(record, step(14)))
        assert "step 16, worm wheel: skipped" in bench.picture()
        await bench.keys("enter")
        assert bench.screen == "Pick" and "close it anyway" in bench.picture()
        await bench.keys("1")  # the tools are there; the wheel is not
        await bench.keys("enter", "1", "enter")
        assert step(14).answers and "it has to close" in step(14).answers[0]
        await read_on(bench)
        await bench.keys("enter")
        assert step(14).back
        while not (screen.way.step() or step(16)).skipped:  # walk down to it: it stands last
            await bench.keys("2")
        await read_on(bench)
        await bench.keys("enter")
        assert bench.app.message.sort == "refused" and "14 (gearbox cover)" in bench.said
        screen.card.at = 0
        screen.redraw()
        await bench.settle()
        assert "off again first: 14 gearbox" in bench.picture()
        await bench.keys("9", "1")  # all that is over it comes off again
        assert not step(14).back and step(14).answers == ()
        now = screen.way.step()
        assert not step(16).skipped and now is not None and now.number == 16
        assert not list(check_balance(record))


async def test_from_a_metre_away_one_bag_one_line_one_key(demo: Path, opened: Opened) -> None:
    async with opened(demo, size=(60, 17)) as bench:
        screen = await to_refit(bench, "Skein winder")
        assert screen.far
        picture = bench.picture().splitlines()
        assert len(picture) == 17 and "Enter" in picture[-1]
        assert any("put on gearbox body" in line for line in picture)
        await read_on(bench)
        assert any("M6" in line and "3 x bolt" in line for line in bench.picture().splitlines())
        await bench.keys("4")
        assert not screen.far
        await bench.keys("tab")
        assert screen.far
        await bench.keys("3", "stiff", "enter")
        assert any("noted: stiff" in line for line in bench.picture().splitlines()[-3:]), "what the last key did"


async def test_a_one_use_piece_is_new_with_enter_and_the_old_one_only_with_a_reason(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Skein winder")
        record = bench.app.workshop.record
        for _ in range(80):
            step = screen.way.step()
            assert step is not None
            new = [item for item in unasked(record, step)[:1] if "not the old one" in item]
            if new and screen.way.wait_of(step) is None:
                break
            await bench.keys("1" if bench.screen == "Pick" else "enter")
        assert step is not None and "a new one is at hand" in bench.picture()
        await bench.keys("/", "2", "enter")
        assert "in once more: nothing else at hand" in record.get(Step, step.id).answers[0]
        await bench.keys("-", "enter")
        assert "is at hand; the old one is scrapped" in bench.said


async def test_a_part_is_sent_away_in_the_middle_and_comes_back(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Skein winder")
        record, machine = bench.app.workshop.record, bench.app.machine_id
        first = screen.way.step()
        assert first is not None
        await bench.keys("/", "2", "1", "1")  # behind what holds up most: something of this step; the part; the plater
        assert "shelf to away (plater)" in bench.said
        screen.way.chosen = first.id
        screen.redraw()
        await bench.settle()
        assert "waits for gearbox body (away: plater)" in bench.picture()
        await read_on(bench)
        await bench.keys("enter")
        assert bench.app.message.sort == "refused" and not record.get(Step, first.id).back
        await bench.keys("/", "1", "1", "enter")  # back, and looked at: as sent, where it lay before
        assert "gearbox body back from plater, as sent" in bench.said
        await read_on(bench)
        await bench.keys("enter")
        assert record.get(Step, first.id).back and not list(check_balance(record))
        assert "away: plater" not in record.places(machine)


async def test_no_enter_confirms_what_the_eye_has_not_seen(demo: Path, opened: Opened) -> None:
    """Two strokes in a tenth of a second put one step back; within a step each counts."""
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Skein winder")
        record = bench.app.workshop.record
        first = screen.way.step()
        assert first is not None
        now = [100.0]
        bench.app.seconds = lambda: now[0]
        await bench.keys("+", "*")  # drawn anew, at a time that stands
        now[0] += 0.6
        while screen.card.at + 1 < len(screen.card.pages):
            await bench.keys("enter")
        await bench.keys("enter")
        second = screen.way.step()
        assert record.get(Step, first.id).back and second is not None and second.id != first.id
        now[0] += 0.1
        before = bench.app.workshop.store.number
        await bench.keys("enter")
        assert bench.app.workshop.store.number == before
        assert bench.said == f"too quick: step {second.number} is now shown"
        now[0] += 0.5
        await read_on(bench)
        await bench.keys("enter")
        assert bench.app.workshop.store.number == before + 1


async def test_a_note_and_the_photos_are_one_key_away(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen = await to_refit(bench, "Skein winder")
        step = screen.way.step()
        assert step is not None
        await bench.keys("3", "long leg behind the post", "enter")
        assert "long leg behind the post" in bench.app.workshop.record.get(Step, step.id).note
        assert "long leg behind the post" in bench.picture()
        await bench.keys("1")
        assert bench.said == f"There is no photo of step {step.number}."
