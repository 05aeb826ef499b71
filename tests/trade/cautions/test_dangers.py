"""Cautions called up by words: each where it belongs, none where a word only sounds like it.

The signs and the cautions are those of common practice and of the rules named beside each in the table; the
innocent words are the trade's own.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from putback.reports.account.made import usual
from putback.trade import commands as c
from putback.trade.cautions.dangers import DANGERS, FIRST, SOLVENT, cautions_told, dangers_in
from putback.trade.cautions.lifting import lifting_caution, lifting_index, mass_kg, recommended_kg
from putback.trade.cautions.on_the_way_back import BACK, called_back
from putback.trade.commands.cautions_called import called_for
from putback.trade.files.session_file import read_session_file
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from putback.trade.record.step import Soak, Step
from putback.tui.draw.text import wrapped
from tests.trade.hands import Hands

SAMPLES = Path(__file__).parents[3] / "sample_sessions"

CALLED = [
    ("spring", "motor mainspring"), ("spring", "spring barrel"), ("spring", "the spring is still wound"),
    ("mains", "lamp holder"), ("mains", "cloth cord, two pins"), ("mains", "electric motor"),
    ("motor", "motor with its belt"), ("capacitor", "suppressor capacitor"), ("capacitor", "condenser, oil-filled"),
    ("mercury", "tilt switch"), ("mercury", "glass bulb, silver liquid"), ("asbestos", "grey pad behind the lamp"),
    ("asbestos", "brake lining"), ("lead", "old paint under the lid"), ("lead", "white metal bearing"),
    ("lead", "desolder the wire"), ("cadmium", "golden, iridescent plating"), ("radium", "the dial was luminous"),
    ("radium", "the pointer glows; a small dial"), ("solvent", "penetrant, main bush"), ("solvent", "degreased"),
    ("acid", "derusting bath"), ("acid", "citric acid overnight"), ("celluloid", "celluloid window"),
    ("capsule", "aneroid capsule"), ("capsule", "spirit level"), ("cast iron", "cast-iron foot"),
    ("compressed air", "blown out"), ("compressed air", "compressed air through the pipe"),
    ("heat", "heat the nut"), ("heat", "freed with heat"), ("heat", "heat"), ("heat", "braze the pawl"),
    ("heat", "blowtorch on the collar"), ("flying metal", "grind it flat"), ("flying metal", "rivet drilled out"),
    ("flying metal", "drill the rivet out"), ("flying metal", "wire wheel"), ("flying metal", "chisel the nut off"),
    ("stored motion", "flywheel"), ("stored motion", "counterweight of the arm"), ("stored motion", "it may fall"),
    ("battery", "battery box"), ("battery", "accumulator, lead-acid"), ("pressure", "gas spring of the lid"),
    ("pressure", "refrigerant line"), ("pressure", "still under pressure"), ("high voltage", "output valve"),
    ("high voltage", "vacuum tube"), ("high voltage", "picture tube"), ("high voltage", "HT line"),
    ("strong bath", "hydrofluoric rust remover"), ("strong bath", "replate the dial"), ("strong bath", "lye bath"),
    ("strong bath", "nickel-plate it"), ("paint", "repaint the frame"), ("paint", "spray it black"),
    ("cleaner", "clean the wheels"), ("cleaner", "clean it with soap"), ("cleaner", "ultrasonic bath"),
    ("solvent", "bearing in diesel"), ("stripper", "paint stripper on the lid"), ("stripper", "methylene chloride"),
]  # fmt: skip

INNOCENT = [
    "lead screw", "leadscrew nut", "pencil lead", "lead-in wire guide", "cam clamp", "lampblack on the pad",
    "spring clip", "spring washer", "stop spring", "condenser lens", "acid-free tissue", "paraffin wax",
    "drain plug", "plug gauge", "level the bed", "gold leaf letters", "paint in the thread", "soldier arm",
    "felt pad", "rope drive", "gas pipe thread", "blow hole bracket", "iron casting frame",
    "motorway badge", "brass bulb horn", "remains of the label", "mainsail cover", "no solvent near the figures",
    "was clean", "clean thread and a bright ring", "clean the wheels: water only", "nickel-plated rim", "face plate",
    "heat shield", "water valve", "drill chuck", "tapping drill 2.5", "painted black", "top plate",
    "bead of solid brass", "the glow of the brass", "air vent", "capsule-shaped knob", "thin washer",
]  # fmt: skip


@pytest.mark.parametrize(("cause", "words"), CALLED)
def test_words_call_up_their_caution(cause: str, words: str) -> None:
    assert cause in [danger.cause for danger in dangers_in([words])]


@pytest.mark.parametrize("words", INNOCENT)
def test_words_that_only_sound_like_it_call_up_none(words: str) -> None:
    assert dangers_in([words]) == []


def test_every_caution_is_two_lines_at_most_and_defers_to_local_rules() -> None:
    for found in [d.text for d in DANGERS] + [f"{lifting_caution('31 kg')}. {FIRST}"]:
        assert found.endswith(FIRST) and len(wrapped(found, 77)) <= 2, found
    assert all(danger.rules for danger in DANGERS)


def test_a_motor_is_on_the_mains_unless_it_is_wound() -> None:
    machine = Machine(id=1, name="recorder")
    assert [x.cause for x in called_for(c.Begin(name="motor bridge"), machine)] == ["motor"]
    assert called_for(c.Begin(name="motor bridge"), machine, ["motor mainspring"]) == []
    assert [x.cause for x in called_for(c.Begin(name="motor, mains cord"), machine)] == ["mains"]


def test_letting_down_and_turning_call_for_theirs() -> None:
    heavy, light = Machine(id=1, name="press", mass="31 kg"), Machine(id=2, name="winder", mass="4.1 kg")
    assert [x.cause for x in called_for(c.Begin(name="brake", do="let down"), heavy)] == ["spring"]
    turned = c.Begin(name="machine", do="turn", state="on its back")
    assert [x.cause for x in called_for(turned, heavy)] == ["lifting"] and called_for(turned, light) == []


def test_the_lifting_equation_against_the_manual() -> None:
    # NIOSH 94-110, section 1 (the constant), table 1 HM at 40 cm .63, table 2 VM at 0 cm .78, table 3 DM at
    # 70 cm .88 (values from memory). By hand: 31 / 23 is 1.35, and 31 / (23 x .63 x .78 x .88) is 3.1; at 75 cm 3.2.
    assert recommended_kg() == 23
    assert recommended_kg(reach=40) / 23 == pytest.approx(0.63, abs=0.006)
    assert recommended_kg(start=0) / 23 == pytest.approx(0.78, abs=0.006)
    assert recommended_kg(distance=70) / 23 == pytest.approx(0.88, abs=0.006)
    assert lifting_index(31) == pytest.approx(1.35, abs=0.005)
    assert lifting_index(31, reach=40, start=0, distance=75) == pytest.approx(3.2, abs=0.06)
    assert mass_kg("51 lb") == pytest.approx(23.1, abs=0.05) and mass_kg("a lot") is None


def test_penetrant_calls_up_nothing_about_strippers() -> None:
    assert [danger.cause for danger in dangers_in(["penetrant on the pin"])] == ["solvent"]
    assert "barred" not in SOLVENT.words and "barred" in cautions_told(["varnish stripper"])[0]


@pytest.mark.parametrize(
    ("sample", "causes"),
    [
        ("drum_recorder", ["capsule", "spring", "capsule", "lead"]),
        ("skein_winder", ["spring", "solvent"]),
        ("ticket_dating_press", [
            "lifting", "mains", "asbestos", "spring", "cleaner", "spring", "solvent", "cast iron", "radium",
        ]),
    ],
)  # fmt: skip
def test_the_sample_sessions_call_up_what_their_work_calls_for(sample: str, causes: list[str]) -> None:
    text = (SAMPLES / f"{sample}.toml").read_text("utf-8")
    file = read_session_file(text, sample, now=datetime(2025, 6, 1, tzinfo=UTC))
    parts = [act.command.name for act in file.acts if isinstance(act.command, c.Begin)]
    found: list[str] = []
    session = 0
    for act in file.acts:
        if isinstance(act.command, c.StartSession):
            session = len(found)
        for called in called_for(act.command, Machine(id=1, name="x", mass=file.machine.mass or ""), parts):
            if called.cause not in found[session:]:
                found.append(called.cause)
    assert found == causes


def test_every_row_of_the_table_is_called_up_at_taking_off() -> None:
    """One command that a person types for each row of the trade's table, and what it calls up."""
    heavy = Machine(id=1, name="press", mass="31 kg")
    typed: list[tuple[c.Command, str]] = [
        (c.Begin(name="brake", do="let down"), "spring"),
        (c.Begin(name="press", do="turn", state="on its back"), "lifting"),
        (c.Begin(name="lamp holder"), "mains"),
        (c.EnterPiece(name="suppressor capacitor"), "capacitor"),
        (c.EnterPiece(name="bulb", note="silver liquid in it"), "mercury"),
        (c.Annotate(note="grey pad behind the lamp"), "asbestos"),
        (c.Annotate(cautions=("old paint flakes off",)), "lead"),
        (c.Enter(hole="1", note="golden, iridescent plating"), "cadmium"),
        (c.RenamePart(step=1, name="dial, luminous"), "radium"),
        (c.Annotate(soak=Soak("bush in penetrant", 48)), "solvent"),
        (c.Annotate(soak=Soak("lid in paint stripper", 1)), "stripper"),
        (c.Annotate(todo=(Job(do="do", what="frame: derusting bath"),)), "acid"),
        (c.Begin(name="celluloid window"), "celluloid"),
        (c.Begin(name="spirit level"), "capsule"),
        (c.Annotate(note="cast iron foot"), "cast iron"),
        (c.Annotate(tools=("compressed air",)), "compressed air"),
        (c.CameOut(how=("seized",), freed="heat"), "heat"),
        (c.Replace(thing=1, note="the rivet was drilled out"), "flying metal"),
        (c.EnterPiece(name="flywheel"), "stored motion"),
        (c.MendStep(step=1, note="battery box, leaking"), "battery"),
        (c.LeaveNote(note="the lid has a gas spring"), "pressure"),
        (c.LookAt(sort="works", what="all valves: high voltage not tried"), "high voltage"),
        (c.SendOut(to="plater", what="replate"), "strong bath"),
        (c.WorkOn(what="repaint the frame", state="in hand"), "paint"),
        (c.SayJob(job=Job(do="do", what="clean the wheels")), "cleaner"),
    ]
    for command, cause in typed:
        assert cause in [called.cause for called in called_for(command, heavy)], cause
    assert {cause for _, cause in typed} | {"motor"} == {danger.cause for danger in DANGERS} | {"lifting"}


def test_on_the_way_back_what_still_holds_is_said() -> None:
    hands = Hands(mass="31 kg")
    lamp, soaked = hands.take_off("lamp holder"), hands.take_off("bush", "1")
    hands.do(c.Begin(name="brake", do="let down"))
    hands.do(c.Annotate(step=soaked.number, note="degreased in white spirit"))
    hands.do(c.Annotate(step=lamp.number, at_refit=("test: ten tickets through",)))
    hands.do(c.Finish())
    back = {s.name: s for s in hands.record.all(Step, 1)}
    causes = {name: [x.cause for x in called_back(hands.record, step)] for name, step in back.items()}
    assert causes == {"lamp holder": ["mains", "trial run"], "bush": [], "brake": ["spring"]}
    heavy, *_ = called_back(hands.record, back["bush"], turned=True)
    assert heavy.cause == "lifting" and "NIOSH" in heavy.text
    hands.do(c.Annotate(step=soaked.number, at_refit=("degrease the bush",)))
    assert [x.cause for x in called_back(hands.record, hands.record.get(Step, back["bush"].id))] == ["solvent"]
    both = called_back(hands.record, back["lamp holder"])
    words = [block.words for block in usual(both, ())]
    assert words == [*(one.text.removesuffix(f". {FIRST}") for one in both), FIRST] and not list(usual([], ()))
    assert all(block.rules for block in usual(both, ()) if block.sort == "usual")
    named = list(usual(both[:1], ["mains cord: pull the plug"]))  # said already, in the person's words
    assert [block.sort for block in named] == ["rules", "rules"] and both[0].rules in named[0].words
    found = [x.text for step in back.values() for x in called_back(hands.record, step)]
    found += [f"{words}. {FIRST}" for words in BACK.values()]
    assert all(words.endswith(FIRST) and len(wrapped(words, 77)) <= 2 for words in found)


def test_a_clockwork_is_loaded_before_its_trial_and_needs_no_mains() -> None:
    hands = Hands()
    step = hands.take_off("motor bridge")
    hands.do(c.Annotate(step=step.number, at_refit=("wind the motor and test it for an hour",)))
    step = hands.record.get(Step, step.id)
    assert [x.cause for x in called_back(hands.record, step)] == ["spring"]
