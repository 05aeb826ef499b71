"""Commands turned into keys, without a screen."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from msgspec.structs import replace

from putback.errors import BadInput
from putback.playing.presses import KeySequence, ScreenState
from putback.playing.strokes import strokes
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.record.face import Face
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine, Origin, Unit
from putback.trade.record.record import Record
from putback.trade.record.step import Adjustment
from putback.tui.form import entry
from putback.tui.form.typed_readings import as_read

AT = datetime(2025, 7, 1, tzinfo=UTC).isoformat()
INCH = Machine(id=1, name="Press", origin="us", unit="in")
METRIC = Machine(id=1, name="Winder", origin="metric", unit="mm")


def bench(*done: c.Command, unit: Unit = "in", form: entry.Form | None = None) -> ScreenState:
    record = Record()
    origin: Origin = "us" if unit == "in" else "metric"
    for command in (c.NewMachine(name="Press", origin=origin, unit=unit), c.StartSession(), *done):
        record.absorb(rules.apply(record, 1, command, at=AT, codes=("code",)))
    return ScreenState(
        record=record,
        machine=1,
        form=form or entry.Form(head="fillister", drive="slot"),
        face="top",
        area=0,
        put="shelf",
        put_other="",
    )


def keys(found: list[KeySequence]) -> list[str]:
    return ["".join(k[0] if len(k) > 1 else k for k in p.keys) for s in found for p in s.presses]


BEGUN = c.Begin(name="lid", face="top")


def test_a_new_fastener_of_three_digits_takes_nine_keys() -> None:
    command = c.Enter(hole="1", readings={"gauge": "832", "length": ".372"}, head="fillister", drive="slot")
    (found,) = strokes(command, bench(BEGUN))
    assert found.sort == "new_fastener"
    assert [key for p in found.presses for key in p.keys] == ["1", *"832", "enter", *"372", "enter"]


def test_the_next_like_it_takes_one_key_from_the_hole_marked_and_two_from_another() -> None:
    command = c.Enter(hole="3", readings={"gauge": "832", "length": ".372"}, head="fillister", drive="slot")
    at = bench(BEGUN, command)
    assert keys(strokes(replace(c.Enter(hole="1"), **like(command)), at)) == ["+"]
    assert keys(strokes(replace(c.Enter(hole="4"), **like(command)), at)) == ["4+"]
    assert keys(strokes(replace(c.Enter(hole="3a"), **like(command)), at)) == ["3*+"]


@pytest.mark.parametrize(("face", "order"), [("front", "32146789"), ("front", "12346789"), ("top", "32147896")])
def test_a_panel_of_eight_equal_screws_takes_twenty_keys_at_most(face: Face, order: str) -> None:
    """Gauge and length once, then the hole marked as next; part off and bag closed with it."""
    first = c.Enter(hole=order[0], readings={"gauge": "832", "length": ".372"}, head="fillister", drive="slot")
    done: list[c.Command] = [c.Begin(name="lid", face=face)]
    count = 0
    for hole in order:
        command = replace(first, hole=hole, like=bool(count))
        count += sum(len(p.keys) for s in strokes(command, bench(*done)) for p in s.presses)
        done.append(command)
    assert count + len("0") + len("b") <= 20


def like(command: c.Enter) -> dict[str, object]:
    return {"readings": command.readings, "head": command.head, "drive": command.drive, "like": True}


def test_head_and_drive_are_a_letter_and_a_number_and_count_with_the_step() -> None:
    command = c.Enter(hole="1", readings={"gauge": "832", "length": ".372"}, head="pan", drive="cross")
    chosen, typed = strokes(command, bench(BEGUN))
    assert (chosen.sort, keys([chosen])) == ("step", ["h", "2", "2"]), "three with the letter, four from the bare pad"
    assert typed.sort == "new_fastener"


def test_a_caliper_and_a_count_are_typed_into_one_field() -> None:
    command = c.Enter(hole="7", readings={"od": ".153", "tpi": "36", "length": ".465"}, head="fillister", drive="slot")
    assert keys(strokes(command, bench(BEGUN))) == ["7.153*36e465e"]
    assert as_read({"gauge": ".153 36", "length": "465"}, INCH) == command.readings


def test_a_dash_is_typed_as_it_is_written() -> None:
    command = c.Enter(hole="1", readings={"gauge": "8-32", "length": "1-1/4"}, head="fillister", drive="slot")
    assert keys(strokes(command, bench(BEGUN))) == ["18-32e1-1/4e"]


def test_what_was_taken_by_rule_or_eye_is_typed_with_its_mark() -> None:
    command = c.Enter(
        hole="7",
        readings={"od": ".16", "tpi": "32", "length": ".37", "od_by": "rule", "length_by": "eye"},
        head="fillister",
        drive="slot",
    )
    (typed,) = strokes(command, bench(BEGUN))
    assert (typed.sort, keys([typed])) == ("new_fastener", ["7.16+*32e.37++e"])
    plate = c.Enter(hole="7", readings={"gauge": "832", "gauge_by": "eye"}, head="fillister", drive="slot")
    assert keys(strokes(plate, bench(BEGUN))) == ["7832++ee"]


@pytest.mark.parametrize(
    ("readings", "typed"),
    [
        ({"od": ".247", "tpi": "20", "flank": "55", "length": ".372"}, "7.247*20*55e372e"),
        ({"gauge": "1/4 20", "flank": "60"}, "71/4*20*60ee"),
        ({"od": ".247", "tpi": "20", "nut": "1/4 bsw"}, "x+4+61/4*bswe7.247*20ee"),
        ({"od": ".247", "tpi": "20", "across": ".43"}, "x+4+4.43e7.247*20ee"),
    ],
)  # fmt: skip
def test_what_was_tried_and_what_has_no_field_is_typed_too(readings: dict[str, str], typed: str) -> None:
    command = c.Enter(hole="7", readings=readings, head="fillister", drive="slot")
    assert "".join(keys(strokes(command, bench(BEGUN)))) == typed


@pytest.mark.parametrize(
    ("typed", "machine", "read"),
    [
        ({"gauge": "832"}, INCH, {"gauge": "832"}),
        ({"gauge": ".164"}, INCH, {"od": ".164"}),
        ({"gauge": "3.90 0.70", "length": "372"}, METRIC, {"od": "3.90", "pitch": "0.70", "length": "372"}),
        ({"gauge": "5.89 1"}, METRIC, {"od": "5.89", "pitch": "1"}),
        ({"gauge": ".247 20 55"}, INCH, {"od": ".247", "tpi": "20", "flank": "55"}),
        ({"gauge": ".247 20+ 55"}, INCH, {"od": ".247", "tpi": "20", "flank": "55", "pitch_by": "rule"}),
        ({"gauge": ".247+ 20 55"}, INCH, {"od": ".247", "tpi": "20", "flank": "55", "od_by": "rule"}),
        ({"gauge": "1/4*20*60"}, INCH, {"gauge": "1/4 20", "flank": "60"}),
        ({"gauge": "m5 60", "flank": "60"}, METRIC, {"gauge": "m5 60", "flank": "60"}),
        ({"gauge": "m5"}, METRIC, {"gauge": "m5"}),
        ({"gauge": "zz"}, INCH, {"gauge": "zz"}),
        ({"od": "125", "thick": ".040"}, INCH, {"od": ".125", "thick": ".040"}),
    ],
)
def test_what_is_typed_is_kept_as_what_was_read(typed: dict[str, str], machine: Machine, read: dict[str, str]) -> None:
    assert as_read(typed, machine) == read


def test_each_kind_keeps_its_head_and_each_head_its_drive() -> None:
    form = entry.Form(kind="screw", head="fillister", drive="slot")
    nut = form.with_kind("nut")
    assert (nut.head, nut.drive) == ("", "")
    back = entry.Form.with_head(nut, "hex").with_kind("screw")
    assert (back.head, back.drive) == ("fillister", "slot")
    assert back.with_kind("nut").head == "hex"
    headless = form.with_head("headless")
    other = entry.Form(kind="screw", head="headless", drive="hex socket", turned_by=headless.turned_by)
    assert other.with_head("fillister").drive == "slot"
    assert other.with_head("fillister").with_head("headless").drive == "hex socket"


def test_a_part_off_is_one_key_and_its_bag_closed_another() -> None:
    at = bench(BEGUN, c.Enter(hole="1", readings={"gauge": "832"}))
    assert keys(strokes(c.Finish(put="shelf"), at)) == ["0"]
    assert keys(strokes(c.CloseBag(number=1), at)) == ["b"]
    assert keys(strokes(c.Finish(put="box B"), at)) == ["w", "4", "Be", "0"]


def test_a_setting_that_says_more_is_asked_in_full() -> None:
    short = c.Annotate(adjust=(Adjustment(what="stop", turns=2.5),))
    full = c.Annotate(adjust=(Adjustment(what="stop", turns=2.5, note="tight"),))
    assert keys(strokes(short, bench(BEGUN))) == ["a", "stope", "1e", "2.5e"]
    measure = c.Annotate(adjust=(Adjustment(what="spring", measure="42 mm hook to hook"),))
    assert keys(strokes(measure, bench(BEGUN))) == ["a", "springe", "42 mm hook to hooke"]
    assert keys(strokes(full, bench(BEGUN)))[:3] == ["x", "9", "stope"]


def test_what_the_screen_cannot_take_is_said() -> None:
    for size in ("8--32", "8-", "-8"):
        with pytest.raises(BadInput, match="a dash stands alone"):
            strokes(c.Enter(hole="1", readings={"gauge": size}, head="fillister", drive="slot"), bench(BEGUN))
    with pytest.raises(BadInput, match="cannot be typed"):
        strokes(c.Annotate(note="two\nlines"), bench(BEGUN))
    with pytest.raises(BadInput, match="by keys"):
        strokes(c.StockTake(bag=1, thing=1, counted=0), bench(BEGUN))


def test_a_job_is_said_with_its_time_and_one_in_hand_cannot_be() -> None:
    """X, left to do, the sort, what it is about, and when: the usual time is marked, so its number is pressed."""
    felt = c.Annotate(todo=(Job(do="get", what="felt"), Job(do="make", what="pin", when="no hurry")))
    assert keys(strokes(felt, bench(BEGUN))) == ["x", "3", "4", "felte", "3", "4", "x", "3", "3", "pine", "3", "4"]
    with pytest.raises(BadInput, match="A job that is in hand cannot be entered by keys"):
        strokes(c.Annotate(todo=(Job(do="get", what="felt", since=AT),)), bench(BEGUN))
