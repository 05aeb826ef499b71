"""The machine and its tree."""

from __future__ import annotations

import pytest
from hypothesis import given

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.commands import MendMachine
from putback.trade.commands.machines import clean_name
from putback.trade.commands.named_size import sized
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine, Part
from putback.trade.record.step import Adjustment
from tests.strategies import ODD_NAMES, names
from tests.trade.hands import Hands


def test_a_machine_is_put_on_the_bench() -> None:
    hands = Hands(name="  Fare   stamp ", serial=" 41?7 ", origin="metric", maker="none")
    machine = hands.record.get(Machine, 1)
    assert (machine.name, machine.serial, machine.unit, machine.origin) == ("Fare stamp", "41?7", "mm", "metric")


@pytest.mark.parametrize(("origin", "unit"), [("us", "in"), ("uk", "in"), ("metric", "mm"), ("unknown", "in")])
def test_the_unit_follows_the_origin_unless_said(origin: str, unit: str) -> None:
    assert Hands(origin=origin).record.get(Machine, 1).unit == unit
    assert Hands(origin=origin, unit="mm").record.get(Machine, 1).unit == "mm"


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.NewMachine(name="press"), "press is in this workshop already"),
        (c.NewMachine(name=" PRESS "), "already"),
        (c.NewMachine(name="  "), "A machine needs a name"),
        (c.NewMachine(name="\x00\x1b"), "A machine needs a name"),
        (c.NewMachine(name="x" * 501), "at most 500"),
        (c.NewMachine(name="new", origin="mars"), "“mars” is not an origin; say us, uk, metric, unknown"),  # type: ignore[arg-type]
        (c.NewMachine(name="new", unit="ft"), "“ft” is not a unit of a machine; say in, mm"),  # type: ignore[arg-type]
        (c.AddAssembly(name=""), "An assembly needs a name"),
        (c.AddAssembly(name="bell", inside="nowhere"), "There is no assembly “nowhere”"),
        (c.RenamePart(step=3, name="lid"), "There is no step 3"),
    ],
)
def test_what_cannot_be_set_up_is_refused(command: c.Command, message: str) -> None:
    assert message in Hands().refused(command)


def test_two_machines_of_one_name_are_told_apart_by_serial() -> None:
    hands = Hands(serial="1")
    hands.do(c.NewMachine(name="press", serial="2"))
    assert [m.caption for m in hands.record.all(Machine)] == ["press 1", "press 2"]
    assert "already" in hands.refused(c.NewMachine(name="Press", serial="2"))


def test_what_was_said_of_a_machine_is_put_right() -> None:
    hands = Hands(origin="unknown", serial="1")
    hands.do(c.NewMachine(name="recorder"))
    hands.do(MendMachine(name=" Fare  stamp ", serial="", origin="metric", maker="Ours"))
    machine = hands.record.get(Machine, 1)
    assert (machine.name, machine.serial, machine.maker, machine.unit) == ("Fare stamp", "", "Ours", "mm")
    hands.do(c.Begin(name="lid"))
    hands.do(c.Enter(hole="1", readings={"gauge": "m5"}))
    hands.do(MendMachine(origin="us"))
    assert hands.record.get(Machine, 1).unit == "mm", "the numbers typed so far were millimetres"
    assert "Sizes were read in mm on this machine already" in hands.refused(MendMachine(unit="in"))
    assert "recorder is in this workshop already" in hands.refused(MendMachine(name="Recorder"))
    assert "“mars” is not an origin" in hands.refused(MendMachine(origin="mars"))  # type: ignore[arg-type]
    assert "what the record says already" in hands.refused(MendMachine(origin="us"))


def test_what_it_is_restored_for_is_said_in_words() -> None:
    hands = Hands()
    for intent, words in (
        ("run", "to be restored to run"),
        ("keep as found", "keep as found"),
        ("show", "to be restored for show"),
    ):
        assert hands.do(c.MendMachine(intent=intent)).said == f"the machine: {words}"


def test_country_decade_and_trade_shift_what_its_threads_may_be() -> None:
    """A 3 mm screw of half a millimetre: a German one of before 1925 may be Loewenherz (53 degrees 8 minutes)."""
    plain, german = Hands(origin="metric"), Hands(origin="metric", country="Germany", decade="1910s")
    screw = c.Enter(hole="1", readings={"od": "2.93", "pitch": ".5"})
    assert [sized(hands.record, 1, screw).verdict for hands in (plain, german)] == ["sure", "either"]
    plain.do(MendMachine(country="Germany", decade="before 1925", trade="typewriter"))
    machine = plain.record.get(Machine, 1)
    assert (machine.country, machine.decade, machine.trade) == ("Germany", "before 1925", "typewriter or calculator")
    assert sized(plain.record, 1, screw).verdict == "either"
    assert "type it as 1920s" in plain.refused(MendMachine(decade="long ago"))
    assert "is none of typewriter or calculator" in plain.refused(MendMachine(trade="baker"))
    plain.do(MendMachine(country="", decade="", trade=""))
    assert plain.record.get(Machine, 1).trade == ""


def test_bags_begin_with_the_number_that_was_said() -> None:
    hands = Hands(first_bag=17)
    hands.do(c.Begin(name="lid"))
    hands.do(c.Enter(hole="1", readings={"gauge": "832", "length": ".372"}))
    hands.do(c.TakeBag())
    assert [bag.number for bag in hands.record.all(Bag, 1)] == [17, 18]
    assert "from 1 to" in hands.refused(c.NewMachine(name="new", first_bag=-1))


def test_nothing_is_done_without_a_machine() -> None:
    hands = Hands()
    hands.machine = 0
    assert hands.refused(c.Begin(name="lid")) == "There is no machine on the bench yet."
    hands.machine = 7
    assert hands.refused(c.Begin(name="lid")) == "There is no such machine on the bench."


def test_assemblies_nest_and_have_one_name_each() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="case"))
    hands.do(c.AddAssembly(name="bell", inside="case"))
    assert "There is an assembly “Case” already" in hands.refused(c.AddAssembly(name="Case"))
    case, bell = hands.record.all(Part, 1)
    assert bell.inside == case.id and bell.assembly


def test_a_part_that_came_off_becomes_an_assembly() -> None:
    hands = Hands()
    hands.take_off("drum")
    hands.do(c.AddAssembly(name="drum"))
    assert [(p.name, p.assembly) for p in hands.record.all(Part, 1)] == [("drum", True)]


def test_a_part_is_renamed_everywhere() -> None:
    hands = Hands()
    hands.take_off("part 1", "5")
    hands.do(c.RenamePart(step=1, name="left panel"))
    assert hands.last.name == "left panel"
    assert hands.thing("left panel").sort == "part"
    assert hands.record.part_named(1, "LEFT panel", 0) and not hands.record.part_named(1, "part 1", 0)
    hands.do(c.RenamePart(step=1, name="Left panel"))
    assert hands.last.name == "Left panel"


def test_a_name_that_is_taken_is_refused() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="bell"))
    hands.do(c.AddAssembly(name="case"))
    hands.take_off("lid")
    hands.take_off("dome", inside="case", whole=True)
    hands.take_off("cam")
    assert "There is a part “cam” there already" in hands.refused(c.RenamePart(step=1, name="cam"))
    assert "There is an assembly “bell” already" in hands.refused(c.RenamePart(step=2, name="bell"))
    hands.do(c.RenamePart(step=2, name="lid"))


def test_a_mark_is_renamed_too() -> None:
    hands = Hands()
    hands.do(c.Begin(do="mark", name="lever"))
    hands.do(c.Finish())
    hands.do(c.RenamePart(step=1, name="lever on its boss"))
    assert hands.last.name == "lever on its boss"
    assert "Nothing to do" in hands.refused(c.RenamePart(step=1, name="lever on its boss"))


@pytest.mark.parametrize("name", ODD_NAMES)
def test_any_name_will_do(name: str) -> None:
    hands = Hands(name=name)
    hands.do(c.AddAssembly(name=name))
    hands.take_off(name, "1", inside=hands.record.get(Part, 1).name)
    assert hands.last.name == hands.record.get(Machine, 1).name


@given(names())
def test_a_clean_name_stays_as_it_is(name: str) -> None:
    try:
        clean = clean_name(name, "A part")
    except BadInput:
        return
    assert clean == clean_name(clean, "A part")
    assert clean.isprintable() or all(ord(char) >= 0xA0 for char in clean if not char.isprintable())


def test_what_is_said_of_the_machine_itself_stays_several_and_is_taken_back() -> None:
    hands = Hands()
    assert hands.do(c.SayOfMachine(note="seized since 1950")).said == "noted: seized since 1950 (the machine)"
    hands.do(c.SayOfMachine(note="two screws of the lid are brass", caution="lead paint"))
    machine = hands.record.get(Machine, 1)
    assert machine.notes == ("seized since 1950", "two screws of the lid are brass")
    assert machine.cautions == ("lead paint",)
    for command in (c.SayOfMachine(), c.SayOfMachine(note=" "), c.SayOfMachine(note="seized since 1950")):
        assert "nothing new noted" in hands.refused(command)
    assert "notes seized since 1951" in hands.do(c.MendMachine(notes=("seized since 1951", "", " "))).said
    assert hands.record.get(Machine, 1).notes == ("seized since 1951",)
    assert hands.do(c.MendMachine(cautions=())).said == "the machine: cautions none"


def test_settings_as_found_of_the_machine_itself() -> None:
    hands = Hands()
    stop = Adjustment(what="end stop", turns=2.5)
    assert hands.do(c.SayOfMachine(adjust=stop)).said == "setting noted: end stop: 2.5 turns (the machine)"
    hands.do(c.SayOfMachine(adjust=Adjustment(what="belt", gap=".25")))
    assert [setting.what for setting in hands.record.get(Machine, 1).adjust] == ["end stop", "belt"]
    assert "from 0 to 10000" in hands.refused(c.SayOfMachine(adjust=Adjustment(what="stop", turns=float("inf"))))
    assert "A setting" in hands.refused(c.SayOfMachine(adjust=Adjustment(what=" ")))
    assert "settings as found: end stop: 2.5 turns" in hands.do(c.MendMachine(adjust=(stop,))).said
    assert hands.record.get(Machine, 1).adjust == (stop,)
