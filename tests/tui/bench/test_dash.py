"""A dash in a size field: sizes are written with it, so it is a character; two in a row erase."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.sizing.lengths import LISTS, stocked
from putback.sizing.threads import all_threads
from putback.trade import commands as c
from putback.trade.commands.named_size import answer_for
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.tui.form.entry import Form, dashed, ends_in_dash, labels
from putback.tui.form.typed_readings import as_read
from tests.sampled import some
from tests.tui.conftest import Opened
from tests.tui.form.test_entry import play

WALK = ("1", "1", "1")
US = Machine(id=1, name="stamp", origin="us", unit="in")
UK = Machine(id=1, name="lathe", origin="uk", unit="in")
METRIC = Machine(id=1, name="winder", origin="metric", unit="mm")
MACHINES = (US, UK, METRIC)


def typed(machine: Machine, gauge: str, length: str = "") -> object:
    """What a fastener comes to whose size is typed so, key by key: its answer, or the sentence that refuses it."""
    form, act = play(f"1{gauge}E{length}E")
    assert act.do == "record" and form.hole == "1", (gauge, length, act)
    readings = as_read(form.readings, machine)
    try:
        answer = answer_for(Record(), machine, c.Enter(hole="1", readings=readings, head="fillister", drive="slot"))
    except BadInput as fault:
        return re.sub(r"'.*?'", "", str(fault))
    halves = (answer.thread, answer.length)
    return answer.size, answer.problem, [None if half is None else half.to_json() for half in halves]


def names() -> Iterator[tuple[str, str]]:
    """Every name of the gauge list that has a pitch behind its size, with a dash and with a blank."""
    for thread in all_threads():
        name = thread.name.lower().removeprefix("#")
        found = re.fullmatch(r"(\S+?)[-x]([0-9.]+)( .*)?", name) or re.fullmatch(r"(\S+ \S+?)[-x]([0-9.]+)( .*)?", name)
        if found is not None:
            size, pitch, series = found[1], found[2], found[3] or ""
            yield f"{size}-{pitch}", f"{size}*{pitch}"
            if series:
                yield f"{size}-{pitch}{series}", f"{size}*{pitch}{series}"


@pytest.mark.parametrize("machine", some(MACHINES, 3), ids=lambda m: m.origin)
def test_every_name_of_the_gauge_list_is_the_same_with_its_dash_and_without(machine: Machine) -> None:
    """The list is the standards' own, in sizing/data; a carton writes #8-32, 1/4-20, M5-0.8."""
    pairs = list(dict.fromkeys(names()))
    assert len(pairs) > 150 and ("8-32", "8*32") in pairs and ("1/4-20", "1/4*20") in pairs
    for dash, blank in pairs:
        assert typed(machine, dash) == typed(machine, blank), dash


def test_the_sizes_of_the_report_are_what_they_say() -> None:
    """#8-32, #10-24, 1/4-20: Unified sizes of ASME B1.1, as any carton of them writes."""
    for gauge, name in (("8-32", "#8-32 UNC"), ("10-24", "#10-24 UNC"), ("1/4-20", "1/4-20 UNC")):
        size = typed(US, gauge, "1-1/4")
        assert isinstance(size, tuple) and size[0] == f"{name} x 1 1/4", size


@pytest.mark.parametrize("machine", MACHINES, ids=lambda m: m.origin)
def test_every_stocked_length_is_the_same_with_its_dash_and_without(machine: Machine) -> None:
    gauge = "m5" if machine is METRIC else "1/4-20"
    whole = {item.name for which in LISTS for item in stocked(which)}
    mixed = sorted(name for name in whole if re.fullmatch(r"[0-9]+ [0-9]+/[0-9]+", name))
    assert "1 1/4" in mixed and len(mixed) > 8
    for name in mixed:
        assert typed(machine, gauge, name.replace(" ", "-")) == typed(machine, gauge, name.replace(" ", "*")), name


@pytest.mark.parametrize(
    ("dash", "blank"),
    [
        (".164-32", ".164*32"),
        (".247-20-55", ".247*20*55"),
        (".16+-32", ".16+*32"),
        (".164-32++", ".164*32++"),
        ("1/4-20-60", "1/4*20*60"),
        ("3.9mm-0.7", "3.9mm*0.7"),
    ],
)
def test_a_diameter_with_its_count_behind_a_dash_is_kept_as_the_readings_it_stands_for(dash: str, blank: str) -> None:
    for machine in MACHINES:
        with_dash, without = as_read({"gauge": dash}, machine), as_read({"gauge": blank}, machine)
        if "gauge" in with_dash:  # a name, kept as it was typed
            with_dash["gauge"], without["gauge"] = (t["gauge"].replace("-", "*") for t in (with_dash, without))
        assert with_dash == without


def test_two_dashes_erase_and_each_further_one_erases_one_more() -> None:
    assert [play("1832" + "-" * n)[0].text for n in range(5)] == ["832", "832-", "83", "8", ""]
    assert play("1832---9")[0].text == "89"
    assert play("1832---9-")[0].text == "89-", "a figure ends the erasing"
    assert play("11-8---")[0].text == "1", "the dash it comes upon is erased as any character"
    form, _ = play("1832E37-----")
    assert (form.field, form.text) == ("gauge", "83"), "an empty field goes back, and the run goes on there"
    form, _ = play("1832-----")
    assert not form.hole


def test_backspace_erases_at_once_and_leaves_the_dash_a_character() -> None:
    form, _ = play("1832")
    for _ in range(2):
        form, _ = play_key(form, "backspace")
    assert form.text == "8" and play("-32", form)[0].text == "8-32"


def play_key(form: Form, key: str) -> tuple[Form, object]:
    from putback.tui.form.entry import press

    return press(form, key, taken=(), suggested="1")


@pytest.mark.parametrize("keys", ["18-E", "1832E1-E", "18-+E", "1.164*-E"])
def test_a_dash_at_the_end_is_unfinished_and_refused_at_enter(keys: str) -> None:
    form, act = play(keys)
    assert act.do == "refused" and "dash" in act.why
    assert form.text == keys[1:-1].split("E")[-1].replace("*", " "), "and nothing typed is lost"


@given(st.text("0123456789/.-", max_size=30))
def test_no_size_ever_holds_two_dashes_in_a_row_or_begins_with_one(keys: str) -> None:
    text, erasing = "", False
    for key in keys:
        if key == "-" and text:
            text, erasing = dashed(text, erasing)
        elif key != "-":
            text, erasing = text + key, False
    assert "--" not in text and not text.startswith("-")
    assert ends_in_dash(text) == text.endswith("-")


def test_the_foot_says_what_the_dash_would_do() -> None:
    assert labels(play("1")[0])["dash"] == "back"
    assert labels(play("18")[0])["dash"] == "dash, twice erases"
    assert labels(play("18-")[0])["dash"] == labels(play("1832--")[0])["dash"] == "erase one more"


async def test_a_size_typed_as_the_program_prints_it_is_recorded_as_that(demo: Path, opened: Opened) -> None:
    """Before there was a dash, 8-32 recorded an M32, 10-24 a 1-24 and 1-1/4 a quarter of an inch, all silently."""
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "8-32")
        assert "#8-32 UNC" in bench.picture() and "dash, twice erases" in bench.picture()
        await bench.keys("enter", "1-")
        assert "erase one more" in bench.picture()
        await bench.keys("enter")
        assert "follows the dash" in bench.said
        await bench.keys("1/4", "enter")
        assert "#8-32 UNC x 1 1/4" in bench.said, bench.said
        await bench.keys("2", "10-24", "enter", "3/8", "enter")
        assert "#10-24 UNC x 3/8" in bench.said, bench.said


async def test_dashes_that_erase_too_far_take_nothing_back_that_is_recorded(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "8-32", "enter", "3/8", "enter")
        number = bench.app.workshop.store.number
        await bench.keys("2", "10", "-----")
        assert bench.app.workshop.store.number == number and "nothing typed is left" in bench.said
