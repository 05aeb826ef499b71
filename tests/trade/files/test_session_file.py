"""Session files: what is read, and a sentence for each fault that names file, step, field and what to do."""

from __future__ import annotations

import re
import tomllib
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadSessionFile
from putback.trade import commands as c
from putback.trade.checks.ledger import trial_balance
from putback.trade.files.fastener_rows import FASTENER
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.said_rows import ADJUST, JOB
from putback.trade.files.session_file import MACHINE, MOVE, SESSION, STEP, SessionFile, read_session_file
from putback.trade.record.fastener import HANDS, KINDS, Thing
from putback.trade.record.job import SORTS, STATES, WHENS, Job
from putback.trade.record.machine import FACES, ORIGINS, Machine
from putback.trade.record.step import DOINGS, Adjustment, Soak, Step
from putback.trade.record.trouble_words import left_overs, troubles_of
from tests.strategies import session_files, toml

NOW = datetime(2025, 6, 1, 18, 0, tzinfo=timezone(timedelta(hours=2)))

HEAD = """
[machine]
name = "press"
origin = "us"

[assemblies]
case = {}
bell = { in = "case" }

[[session]]
start = 2025-03-01T10:00:00
"""

LID = """
[[session.step]]
do = "take off"
part = "lid"
in = "case"
bag = 1
fasteners = [{ hole = "1", gauge = "832", length = ".372" }]
close = [1]
"""


def read(text: str) -> SessionFile:
    """The file read, under the name `day.toml`."""
    return read_session_file(text, "day.toml", now=NOW)


def fault(text: str) -> str:
    """The one sentence that a bad file ends in, read or tried."""
    with pytest.raises(BadSessionFile) as found:
        rehearse(read(text))
    sentence = str(found.value)
    assert sentence.startswith("day.toml: ") and sentence.endswith((".", "?")) and "\n" not in sentence
    assert len(sentence) < 700
    return sentence


def step(**fields: object) -> str:
    """One more step, as TOML."""
    table = {"do": "take off", "part": "cam", **fields}
    return "[[session.step]]\n" + toml({name: value for name, value in table.items() if value is not None})


# -- what is read ------------------------------------------------------------------------------------


def test_a_step_becomes_commands_in_the_order_of_the_hand() -> None:
    text = HEAD + step(
        **{"in": "bell"},
        face="top",
        bag=3,
        put="box B",
        minutes=4,
        needs=[],
        whole=True,
        cover=True,
        note="brass",
        tools=["driver"],
        cautions=["hot"],
        at_refit=["oil"],
        soak={"what": "penetrant", "hours": 24},
        adjust=[
            {
                "what": "stop",
                "turns": 2.5,
                "gap": 0.31,
                "should_be": ".28",
                "why": "low",
                "shims": ["a"],
                "measure": "42 mm",
            }
        ],
        todo=[{"do": "make", "what": "felt"}],
        count=4,
        close=[3],
        fasteners=[
            {"hole": "1", "gauge": "832", "length": ".372", "head": "fillister", "drive": "slot", "note": "long"},
            {"hole": 3, "same": True},
            {"hole": "5", "kind": "taper pin", "od": 0.125, "small_end": "front", "once": True},
            {"hole": "7", "found": "empty", "note": "bright ring"},
        ],
        loose=[{"name": "ball", "put": "bag 4", "once": False}],
    )
    file = read(text)
    acts = [act.command for act in file.acts]
    assert acts[0] == file.machine == c.NewMachine(name="press", origin="us")
    assert acts[1:4] == [c.AddAssembly(name="case"), c.AddAssembly(name="bell", inside="case"), c.StartSession()]
    looks: dict[str, Any] = {"head": "fillister", "drive": "slot"}
    screw = c.Enter(hole="1", readings={"gauge": "832", "length": ".372"}, turns=0, note="long", **looks)
    assert acts[4:-1] == [
        c.Begin(name="cam", inside="bell", face="top", bag=3, needs=(), whole=True),
        screw,
        c.Enter(hole="3", readings=screw.readings, turns=0, like=True, **looks),
        c.Enter(hole="5", kind="taper pin", readings={"od": "0.125"}, small_end="front", turns=0, once=True),
        c.Enter(hole="7", found="empty", turns=0, note="bright ring"),
        c.EnterPiece(name="ball", put="bag 4", once=False),
        c.Annotate(
            cautions=("hot",), at_refit=("oil",), tools=("driver",), cover=True, note="brass",
            adjust=(
                Adjustment(
                    what="stop", turns=2.5, gap="0.31", should_be=".28", why="low", shims=("a",), measure="42 mm"
                ),
            ),
            todo=(Job(do="make", what="felt"),), soak=Soak("penetrant", 24),
        ),
        c.Finish(put="box B", minutes=4),
        c.CloseBag(number=3),
    ]  # fmt: skip
    assert acts[-1] == c.EndSession()
    wheres = [act.where for act in file.acts]
    assert wheres[:5] == ["machine", "assemblies", "assemblies", "session 1", "step 1"]
    assert wheres[5:10] == ["step 1, fastener 1", *(f"step 1, fastener {n}" for n in (2, 3, 4)), "step 1, loose 1"]


def test_the_same_is_like_the_one_above_of_that_kind() -> None:
    rows = [
        {"hole": "1", "gauge": "832", "length": ".372"},
        {"hole": "1", "kind": "washer", "od": ".29"},
        {"hole": "2", "kind": "screw", "same": True},
        {"hole": "2", "same": True, "note": "thin"},
        {"hole": "3", "found": "empty"},
        {"hole": "4", "same": True},
    ]
    acts = [a.command for a in read(HEAD + step(bag=1, fasteners=rows)).acts]
    entered = [a for a in acts if isinstance(a, c.Enter)]
    # the last is like the one directly above it that was there: the screw of hole 2
    assert [e.kind for e in entered] == ["screw", "washer", "screw", "screw", "screw", "screw"]
    assert [e.note or "" for e in entered] == ["", "", "", "thin", "", ""]
    assert entered[5].readings == {"gauge": "832", "length": ".372"} and not entered[5].found


def test_one_like_the_last_before_it_is_not_measured_and_looks_as_it_does_unless_said() -> None:
    like = [
        {"hole": "1", "like": True, "head": "pan", "note": "by its looks"},  # as the screw of the lid, an earlier step
        {"hole": "2", "kind": "nut", "gauge": "832"},
        {"hole": "3", "kind": "screw", "like": True, "hand": "left"},
    ]
    file = rehearse(read(HEAD.replace('"us"', '"us"\nparts_go = "box"') + LID + step(bag=2, fasteners=like)))
    assert next(iter(file.record.all(Machine))).parts_go == "box"
    remarks = 'notes = ["seized since 1950", "two screws are brass"]\ncautions = ["lead paint"]'
    said = HEAD.replace('"us"', f'"us"\n{remarks}')
    machine = next(iter(rehearse(read(said + LID + step(bag=2, fasteners=like))).record.all(Machine)))
    assert machine.notes == ("seized since 1950", "two screws are brass") and machine.cautions == ("lead paint",)
    lid, first, nut, third = (t for t in file.record.all(Thing) if t.sort == "fastener")
    assert (lid.like, first.like, nut.like, third.like) == (0, lid.id, 0, lid.id)
    assert (first.head, first.note, third.head, third.hand) == ("pan", "by its looks", "pan", "left")
    assert first.size == lid.size and first.readings == lid.readings


def test_needs_are_the_step_before_unless_said() -> None:
    text = HEAD + LID + step(part="a") + step(part="b", needs=[]) + step(part="d", needs=[1, 2])
    begun = [a.command for a in read(text).acts if isinstance(a.command, c.Begin)]
    assert [b.needs for b in begun] == [(), (1,), (), (1, 2)]


def test_time_goes_on_by_the_minutes_of_each_step() -> None:
    breaks = "breaks = [{ after = 1, minutes = 10 }]\n"
    text = (
        HEAD + breaks + step(part="a", minutes=4) + step(part="b") + "[[session]]\n" + step(part="d", minutes="7 min")
    )
    file = read(text)
    stamps = {f"{a.where} {type(a.command).__name__}": a.at[11:16] for a in file.acts}
    assert stamps["machine NewMachine"] == stamps["step 1 Begin"] == "10:00"
    assert stamps["step 1 Finish"] == stamps["session 1 Pause"] == "10:04"
    assert stamps["session 1 Resume"] == stamps["step 2 Begin"] == "10:14"
    assert stamps["step 2 Finish"] == stamps["session 1 EndSession"] == "10:19", "five minutes where nothing is said"
    # a session without a start is held now
    assert stamps["session 2 StartSession"] == "18:00" and stamps["step 3 Finish"] == "18:07"
    assert all(a.at.endswith("+02:00") for a in file.acts)


def test_sessions_without_a_start_follow_one_another() -> None:
    text = (
        HEAD.replace("start = 2025-03-01T10:00:00", "") + step(part="a", minutes=30) + "[[session]]\n" + step(part="b")
    )
    starts = [a.at for a in read(text).acts if isinstance(a.command, c.StartSession)]
    assert starts == ["2025-06-01T18:00:00+02:00", "2025-06-01T18:30:00+02:00"]


def test_a_start_keeps_its_offset_or_takes_the_zone_of_now() -> None:
    text = HEAD.replace("T10:00:00", "T10:00:00Z") + LID
    assert read(text).acts[0].at == "2025-03-01T10:00:00+00:00"
    zoned = read_session_file(HEAD, "x", now=NOW, zone=UTC)
    assert zoned.acts[0].at == "2025-03-01T10:00:00+00:00"


@pytest.mark.parametrize(
    ("message", "minutes"),
    [('"40 min"', 40), ('"40min"', 40), ('"40"', 40), ("40", 40), ("37.5", 37.5), ('"2.5 minutes"', 2.5)],
)
def test_a_target_is_minutes_however_written(message: str, minutes: float) -> None:
    started = [a.command for a in read(HEAD + f"target = {message}\n").acts if isinstance(a.command, c.StartSession)]
    assert [s.target for s in started] == [minutes]


def test_moves_are_made_after_their_step() -> None:
    move = {"after": 1, "what": "lid", "step": 1, "from": "shelf", "to": "away: plater", "note": "looked at"}
    early = "[[session.move]]\n" + toml(move)
    text = HEAD + LID.replace("bag = 1", 'bag = 1\nput = "shelf"') + step(part="cam") + early
    file = read(text)
    moved = next(i for i, a in enumerate(file.acts) if isinstance(a.command, c.CarryNamed))
    assert file.acts[moved].where == "session 1, move after step 1"
    assert isinstance(file.acts[moved + 1].command, c.Begin)
    late = (
        HEAD + LID.replace("bag = 1", 'bag = 1\nput = "shelf"') + "[[session]]\nstart = 2025-04-01T10:00:00\n" + early
    )
    acts = read(late).acts
    assert [type(a.command).__name__ for a in acts[-3:]] == ["StartSession", "CarryNamed", "EndSession"]


def test_trouble_is_told_after_its_step_and_its_moves() -> None:
    rows = [
        {"after": 1, "step": 1, "hole": 1, "what": "lost", "note": "under the bench"},
        {"after": 1, "step": 1, "hole": "1", "what": "another goes in", "gauge": "832", "length": ".5", "put": "shelf"},
        {"after": 1, "step": 1, "what": "left over", "gauge": "632", "length_by": "caliper", "length": ".25"},
    ]
    text = HEAD + LID + "".join("[[session.trouble]]\n" + toml(row) for row in rows) + step(part="cam")
    rehearsed = rehearse(read(text))
    acts = [act for act in rehearsed.file.acts if isinstance(act.command, c.Trouble)]
    assert [act.where for act in acts] == [f"session 1, trouble {n}, step 1" for n in (1, 2, 3)]
    assert [act.command.size for act in acts if isinstance(act.command, c.Trouble)] == [
        "",
        "#8-32 UNC x 1/2",
        "#6-32 UNC x 1/4",
    ]
    after = rehearsed.file.acts[rehearsed.file.acts.index(acts[-1]) + 1]
    assert isinstance(after.command, c.Begin)
    lid = next(iter(rehearsed.record.all(Step, 1)))
    assert list(troubles_of(rehearsed.record, lid)) == [
        "hole 1: #8-32 UNC x 3/8 lost (under the bench); #8-32 UNC x 1/2 goes in"
    ]
    assert [t.called for t in left_overs(rehearsed.record, 1)] == ["screw #6-32 UNC x 1/4"]


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"after": 2}, "trouble 1: after: there is no step 2 so far; the last one here is 1."),
        ({"step": 0}, "trouble 1: step: step 0 was not done by then."),
        ({"what": "stolen"}, "trouble 1: what = “stolen” is unknown; there is another goes in, "),
        ({"hole": "x"}, "trouble 1: hole: “x” is not a hole"),
        ({"hole": "7"}, "trouble 1, step 1: Step 1, lid, has no hole 7; its holes are 1."),
        ({"gauge": "832"}, "trouble 1: “gauge” is a size, and of one lost none is said."),
        ({"what": "another goes in"}, "trouble 1: say the size of the one that is meant: give gauge or od."),
        ({"what": "left over", "length": "3"}, "trouble 1: say the size of the one that is meant: give gauge or od."),
        ({"what": "another goes in", "gauge": "8/"}, "trouble 1, step 1: "),
        ({"into": "7"}, "trouble 1: into: it is the hole of one that goes in another hole, and of that only."),
        ({"what": "goes in another hole"}, "trouble 1: into: it is the hole of one that goes in another hole"),
        ({"what": "goes in another hole", "into": "0"}, "trouble 1: into: “0” is not a hole"),
        ({"what": "found again"}, "trouble 1, step 1: Of hole 1 nothing is missing."),
        ({"put": "pocket"}, "trouble 1: put: “pocket” is not a place; say bag 3"),
        ({"where": "x"}, "trouble 1: “where” is not a field here"),
    ],
)
def test_trouble_that_cannot_be_names_file_step_and_fault(fields: dict[str, Any], message: str) -> None:
    good = {"after": 1, "step": 1, "hole": "1", "what": "lost"}
    assert f"day.toml: session 1, {message}" in fault(HEAD + LID + "[[session.trouble]]\n" + toml({**good, **fields}))


def test_assemblies_may_stand_in_any_order() -> None:
    text = '[machine]\nname = "m"\n[assemblies]\na = { in = "b" }\nb = { in = "d" }\nd = {}\ne = {}\n[[session]]\n'
    added = [a.command for a in read(text).acts if isinstance(a.command, c.AddAssembly)]
    assert [(a.name, a.inside) for a in added] == [("d", ""), ("b", "d"), ("a", "b"), ("e", "")]


def test_a_file_of_nothing_but_a_machine_is_a_beginning() -> None:
    file = read('session = []\n[machine]\nname = "press"\n')
    assert [a.command for a in file.acts] == [c.NewMachine(name="press")]


@settings(max_examples=40, deadline=None)
@given(session_files())
def test_any_file_without_a_fault_is_read_and_counts_what_it_lists(file: dict[str, Any]) -> None:
    record = rehearse(read(toml(file))).record
    steps = [step for session in file["session"] for step in session["step"]]
    assert record.count(Step, 1) == len(steps)
    fasteners = sum(len(step["fasteners"]) for step in steps if step["do"] != "loosen")
    pieces = sum(piece["count"] for step in steps for piece in step.get("loose", []))
    parts = sum(step["do"] == "take off" and not step.get("loose") for step in steps)
    fitted = record.total(1, "fitted")
    everything = sum(record.total(1, place) for place in record.places(1))
    assert everything - fitted == fasteners + pieces + parts


# -- faults ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "the field “machine” is missing."),
        ("machine = 3", "“machine” is a table; 3 is there."),
        ('[machine]\nname = "x"', "the file: the field “session” is missing."),
        ('[machine]\nname = "x"\n[session]\nx = 1', "“session” is a list of tables; a table is there."),
        ('[machine]\nname = "x"\n[[sessions]]', "the file: “sessions” is not a field here; did you mean “session”?"),
        ("[machine\n", "this is not TOML: "),
        ("\x00", "this is not TOML: "),
        ("a = " + "9" * 5000, "this is not TOML: "),
        ("a = " + "[" * 5000 + "]" * 5000, "nested too deep"),
        ("a = " + "{ b = " * 5000 + "1" + " }" * 5000, "nested too deep"),
        (".".join("a" * 3000) + " = 1", "nested too deep"),
        ("k" * 100_000 + " = 1", "“kkk"),
        ("session = []\n[machine]\n", "machine: the field “name” is missing."),
        ('session = []\n[machine]\nname = " "', "machine: “name” is empty."),
        ("session = []\n[machine]\nname = 7", "machine: “name” is a text in quotation marks; 7 is there."),
        ("session = []\n[machine]\nname = true", "“name” is a text in quotation marks; true is there."),
        ("session = []\n[machine]\nname = []", "“name” is a text in quotation marks; a list is there."),
        ("session = []\n[machine]\nname = 2025-01-01", "“name” is a text in quotation marks; a date is there."),
        (f'session = []\n[machine]\nname = "{"x" * 10_001}"', "“name” is longer than 10000 characters."),
        ('session = []\n[machine]\nname = "x"\norigin = "usa"', "origin = “usa” is unknown; did you mean “us”?"),
        ('session = []\n[machine]\nname = "x"\nunit = "foot"', "unit = “foot” is unknown; there is in, mm."),
        ('session = []\n[machine]\nname = "x"\nmas = "x"', "machine: “mas” is not a field here; did you mean “mass”?"),
        ('session = []\nassemblies = []\n[machine]\nname = "x"', "the file: “assemblies” is a table; a list is there."),
        ('session = []\n[machine]\nname = "x"\n[assemblies]\na = 3', "assembly “a”: a table was expected; 3 is there."),
        ('session = []\n[machine]\nname = "x"\n[assemblies]\na = { on = "b" }', "assembly “a”: “on” is not a field"),
        ('session = []\n[machine]\nname = "x"\n[assemblies]\n"" = {}', "assemblies: one has no name."),
        (
            'session = []\n[machine]\nname = "x"\n[assemblies]\nbell = { in = "cse" }\ncase = {}',
            "assembly “bell”: in = “cse” is not an assembly; did you mean “case”?",
        ),
        (
            'session = []\n[machine]\nname = "x"\n[assemblies]\na = { in = "b" }\nb = { in = "a" }',
            "assembly “a”: in = “b” puts it inside itself.",
        ),
        ('session = []\n[machine]\nname = "x"\n[assemblies]\na = { in = "a" }', "puts it inside itself."),
        (
            'session = []\n[machine]\nname = "x"\n[assemblies]\nA = {}\na = {}',
            "assemblies: There is an assembly “a” already.",
        ),
    ],
)
def test_a_fault_above_the_sessions(text: str, message: str) -> None:
    assert message in fault(text)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("target = 0", "session 1: A segment lasts from one minute to a day."),
        ('target = "soon"', "session 1: “target” is minutes, as 45 or “45 min”, up to a day; “soon” is there."),
        ("target = inf", "“target” is minutes"),
        ("target = nan", "“target” is minutes"),
        ("target = -1", "“target” is minutes"),
        (
            f"target = {'9' * 400}",
            "“target” is minutes, as 45 or “45 min”, up to a day; a number far too large is there.",
        ),
        (f'target = "{"9" * 400}"', "“target” is minutes"),
        ("title = 3", "session 1: “title” is a text in quotation marks; 3 is there."),
        ("boxes = 1", "session 1: “boxes” is not a field here; did you mean “box”?"),
        ("step = 3", "session 1: “step” is a list of tables; 3 is there."),
        ("step = [3]", "session 1: “step” is a list of tables"),
        ("breaks = 3", "session 1: “breaks” is a list of tables"),
        ("breaks = [{ minutes = 3 }]", "session 1, breaks: the field “after” is missing."),
        (
            "breaks = [{ after = 1, minutes = 3 }]",
            "session 1, breaks: after: there is no step 1 in this session; it has 1 to 0.",
        ),
        ("move = [{ after = 0 }]", "session 1, move 1: the field “step” is missing."),
    ],
)
def test_a_fault_in_a_session(line: str, message: str) -> None:
    assert message in fault(HEAD + line)


@pytest.mark.parametrize(
    ("start", "message"),
    [
        (
            '"2025-03-01"',
            "session 1: “start” is a date and time without quotation marks, as 2024-10-06T19:10:00; “2025-0",
        ),
        ("2025-03-01", "a date is there."),
        ("10:00:00", "“start” is a date and time"),
        ("0001-01-01T00:00:00", "“start” is in the year 1; that must be a mistake."),
        ("9999-12-31T23:59:59", "“start” is in the year 9999; that must be a mistake."),
        ("3", "3 is there."),
    ],
)
def test_a_start_that_is_no_time(start: str, message: str) -> None:
    assert message in fault(HEAD.replace("2025-03-01T10:00:00", start) + LID)


def test_breaks_and_moves_hold_to_what_was_done() -> None:
    two = "breaks = [{ after = 1, minutes = 3 }, { after = 1, minutes = 3 }]\n"
    assert "session 1, breaks: after: there are two breaks after step 1." in fault(HEAD + two + LID)
    long = "breaks = [{ after = 1, minutes = 1e6 }]\n"
    assert "session 1, breaks: minutes: a break within a session must be at most a day" in fault(HEAD + long + LID)
    good = {"after": 1, "what": "lid", "step": 1, "from": "loose", "to": "shelf"}
    for fields, found in (
        ({"after": 2}, "move 1: after: there is no step 2 so far; the last one here is 1."),
        ({"after": -1}, "move 1: “after” is a whole number from 0 up; -1 is there."),
        ({"step": 0}, "move 1: step: step 0 was not done by then."),
        ({"step": 2}, "move 1: step: step 2 was not done by then."),
        ({"count": 0}, "move 1: “count” is a whole number from 1 up; 0 is there."),
        ({"from": ""}, "move 1: “from” is empty."),
        ({"to": "pocket"}, "move 1: to: “pocket” is not a place; say bag 3"),
        ({"to": "fitted"}, "session 1, move after step 1: Things leave their place on the machine by a step"),
        ({"what": "lip"}, "move after step 1: Step 1 released no “lip”; it released screw #8-32 UNC x 3/8, lid."),
        ({"from": "shelf"}, "move after step 1: There is no lid of step 1 at “shelf”; there is 1 at “loose”."),
        ({"where": "x"}, "move 1: “where” is not a field here"),
    ):
        assert found in fault(HEAD + LID + "[[session.move]]\n" + toml({**good, **fields})), found


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"do": None}, "step 2: the field “do” is missing."),
        ({"part": None}, "step 2: the field “part” is missing."),
        ({"part": " "}, "step 2: “part” is empty."),
        ({"do": "take of"}, "step 2: do = “take of” is unknown; did you mean “take off”?"),
        ({"do": "smash"}, "step 2: do = “smash” is unknown; there is "),
        ({"face": "topp"}, "step 2: face = “topp” is unknown; did you mean “top”?"),
        ({"cuations": ["x"]}, "step 2: “cuations” is not a field here; did you mean “cautions”?"),
        ({"in": "cse"}, "step 2: in = “cse” is not an assembly; did you mean “case”?"),
        ({"in": "wheelwork"}, "step 2: in = “wheelwork” is not an assembly; there is bell, case."),
        ({"bag": 0}, "step 2: “bag” is a whole number from 1 up; 0 is there."),
        ({"bag": "3"}, "step 2: “bag” is a whole number; “3” is there."),
        ({"bag": True}, "step 2: “bag” is a whole number; true is there."),
        ({"bag": 10**400}, "step 2: “bag” is a whole number from 1 up; a number far too large is there."),
        ({"bag": 100_000}, "step 2: bag: a bag has a number from 1 to 99999; 100000 is there."),
        ({"bag": 1}, "step 2: Bag 1 is closed; reopen it first, or take another."),
        ({"put": "bag 1"}, "step 2, put: Bag 1 is closed"),
        ({"put": "nowhere"}, "step 2: put: “nowhere” is not a place; say bag 3"),
        ({"put": "fitted"}, "step 2, put: cam comes off, so it cannot go to “fitted”."),
        ({"close": [1]}, "step 2: close: bag 1 is closed already, since step 1."),
        ({"close": [7]}, "step 2, close: There is no bag 7 on this machine."),
        ({"close": 1}, "step 2: “close” is a list of whole numbers, as [3, 5]; 1 is there."),
        ({"needs": [9]}, "step 2: needs: there is no step 9; the file has 3."),
        ({"needs": [0]}, "step 2: needs: there is no step 0"),
        ({"needs": [2]}, "step 2: needs: step 2 is this one; it cannot need itself, that makes a circle."),
        ({"needs": [3]}, "step 2: needs: step 2 (cam) needs 3 (pin) and 3 needs 2: a circle; only an earlier"),
        ({"needs": ["1"]}, "step 2: “needs” is a list of whole numbers"),
        ({"needs": [10**400]}, "step 2: needs: there is no step"),
        ({"part": "lid", "in": "case"}, "step 2: lid is off already, since step 1."),
        ({"minutes": -1}, "step 2: “minutes” is minutes, as 45 or “45 min”, up to a day; -1 is there."),
        ({"minutes": 1e308}, "step 2: “minutes” is minutes"),
        ({"minutes": "a while"}, "step 2: “minutes” is minutes"),
        ({"count": 2}, "step 2: count: 2 were counted by hand, and the lists come to 0."),
        ({"count": -1}, "step 2: “count” is a whole number from 0 up; -1 is there."),
        ({"whole": "yes"}, "step 2: “whole” is true or false; “yes” is there."),
        ({"cautions": "hot"}, "step 2: “cautions” is a list of texts"),
        ({"cautions": [1]}, "step 2: “cautions” is a list of texts"),
        ({"tools": [["a"]]}, "step 2: “tools” is a list of texts"),
        ({"soak": 3}, "step 2: “soak” is a table; 3 is there."),
        ({"soak": {"what": "oil"}}, "step 2, soak: the field “hours” is missing."),
        ({"soak": {"what": "oil", "hours": 0}}, "step 2: A soak must be longer than 0 hours"),
        (
            {"todo": [{"do": "sell", "what": "x"}]},
            "step 2, todo: do = “sell” is unknown; there is do, find out, get, make, send out, soak, test.",
        ),
        ({"todo": [{"do": "make"}]}, "step 2, todo: the field “what” is missing."),
        ({"todo": [{"what": "felt"}]}, "step 2, todo: the field “do” is missing."),
        ({"todo": [{"do": "mend", "what": ""}]}, "step 2, todo: “what” is empty."),
        (
            {"todo": [{"do": "get", "what": "x", "when": "soon"}]},
            "step 2, todo: when = “soon” is unknown; there is before it goes back, before the machine runs, no hurry.",
        ),
        (
            {"todo": [{"do": "get", "what": "x", "state": "half"}]},
            "step 2, todo: state = “half” is unknown; there is done, in hand, to do.",
        ),
        (
            {"todo": [{"do": "get", "what": "x", "state": "to do", "since": "2025-03-01T10:00:00"}]},
            "step 2, todo: state: it is “to do”, and has a stamp of since.",
        ),
        (
            {"todo": [{"do": "get", "what": "x", "state": "in hand", "done": "2025-03-01T10:00:00"}]},
            "step 2, todo: state: it is “in hand”, and has a stamp of done.",
        ),
        (
            {"todo": [{"do": "get", "what": "x", "since": "Monday"}]},
            "step 2, todo: “since” is a date and time without quotation marks",
        ),
        (
            {"todo": [{"do": "get", "what": "x", "result": "found"}]},
            "step 2, todo: result: it is entered when the job is done.",
        ),
        ({"todo": [{"do": "get", "what": "x"}, {"do": "get", "what": "X"}]}, "step 2: “to get: X” is there twice."),
        ({"adjust": [{"turns": 1}]}, "step 2, adjust: the field “what” is missing."),
        ({"adjust": [{"what": "a", "turns": "two"}]}, "step 2, adjust: “turns” is a number from 0 up; “two” is there."),
        (
            {"adjust": [{"what": "a", "turns": 10**400}]},
            "“turns” is a number from 0 up; a number far too large is there.",
        ),
        (
            {"adjust": [{"what": "a", "gap": True}]},
            "step 2, adjust: “gap” is a reading, as text or number; true is there.",
        ),
        ({"loose": [{"name": "ball"}]}, "step 2: it has loose pieces and no bag; say bag = a number, or put."),
        ({"bag": 2, "loose": [{}]}, "step 2, loose 1: the field “name” is missing."),
        (
            {"bag": 2, "loose": [{"name": "ball", "count": 0}]},
            "step 2, loose 1: “count” is a whole number from 1 up; 0 is there.",
        ),
        (
            {"bag": 2, "loose": [{"name": "ball", "count": 10**6}]},
            "step 2, loose 1: Pieces are counted from 1 to 10000",
        ),
        ({"bag": 2, "loose": [{"name": "ball", "put": "bag 1"}]}, "step 2, loose 1: Bag 1 is closed"),
        ({"tools": [f"{n}{'x' * 9_990}" for n in range(101)]}, "step 2: That is too much at once"),
    ],
)
def test_a_fault_in_a_step(fields: dict[str, object], message: str) -> None:
    assert message in fault(HEAD + LID + step(**fields) + step(part="pin"))


SCREW = {"hole": "1", "gauge": "832", "length": ".372"}


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ([{}], "step 2, fastener 1: the field “hole” is missing."),
        ([{"hole": "10"}], "step 2, fastener 1: hole: “10” is not a hole; say a place from 1 to 9"),
        ([SCREW, SCREW], "step 2, fastener 2: Hole 1 has its screw #8-32 UNC x 3/8 already; add a letter, as 1a"),
        ([SCREW, {"hole": "1", "found": "empty"}], "step 2, fastener 2: Hole 1 has its screw"),
        ([{"hole": "1", "same": True}], "step 2, fastener 1: same = true, and there is no fastener above it."),
        ([SCREW, {"hole": "2", "same": True, "kind": "nut"}], "fastener 2: same = true, and there is no nut above it."),
        ([SCREW, {"hole": "2", "same": True, "od": ".1"}], "fastener 2: “od” and same = true; leave one of them out."),
        (
            [{"hole": "1", "like": True, "kind": "nut"}],
            "step 2, fastener 1: like = true, and there is no nut before it.",
        ),
        ([SCREW, {"hole": "2", "like": True, "od": ".1"}], "fastener 2: “od” and like = true; leave one of them out."),
        ([{"hole": "1"}], "fastener 1: nothing was read of the screw; give one of gauge, od, tpi"),
        ([{"hole": "1", "length": ".372"}], "fastener 1: a length alone does not name a screw; give gauge or od"),
        ([{**SCREW, "kind": "scrw"}], "fastener 1: kind = “scrw” is unknown; did you mean “screw”?"),
        ([{**SCREW, "head": "filister"}], "fastener 1: head = “filister” is unknown; did you mean “fillister”?"),
        ([{**SCREW, "drive": "slotted"}], "fastener 1: drive = “slotted” is unknown; did you mean “slot”?"),
        ([{**SCREW, "hand": "lefft"}], "fastener 1: hand = “lefft” is unknown; did you mean “left”?"),
        ([{**SCREW, "found": "emty"}], "fastener 1: found = “emty” is unknown; did you mean “empty”?"),
        ([{**SCREW, "small_end": "up"}], "fastener 1: small_end = “up” is unknown"),
        ([{**SCREW, "turns": -1}], "fastener 1: “turns” is a number from 0 up; -1 is there."),
        ([{**SCREW, "colour": "red"}], "step 2, fastener 1: “colour” is not a field here; there is across, bore,"),
        ([{**SCREW, "gauge": "abc"}], "step 2, fastener 1: "),
        ([{**SCREW, "gauge": ""}], "step 2, fastener 1: “gauge” is empty."),
        (
            [{**SCREW, "length": 10**400}],
            "fastener 1: “length” is a reading, as text or number; a number far too large",
        ),
        ([{**SCREW, "length": float("inf")}], "fastener 1: “length” is a reading"),
        ([{**SCREW, "length": ["3/8"]}], "fastener 1: “length” is a reading, as text or number; a list is there."),
        ([{**SCREW, "length": "three eighths"}], "step 2, fastener 1: "),
    ],
)
def test_a_fault_in_a_fastener(rows: list[dict[str, object]], message: str) -> None:
    assert message in fault(HEAD + LID + step(bag=2, fasteners=rows))


def test_fasteners_need_a_bag_unless_they_stay_on() -> None:
    text = "step 2: it has fasteners and no bag; say bag = a number."
    assert text in fault(HEAD + LID + step(fasteners=[SCREW]))
    rehearse(read(HEAD + LID + step(do="loosen", fasteners=[SCREW])))
    rehearse(read(HEAD + LID + step(fasteners=[{"hole": "1", "found": "empty"}])))


def test_a_file_of_too_many_steps_is_refused() -> None:
    text = (
        HEAD.replace("[[session]]\nstart = 2025-03-01T10:00:00", "") + "[[session]]\nstep = [" + "{}," * 100_001 + "]"
    )
    assert "it has 100001 steps; 100000 is the most." in fault(text)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_file_with_one_thing_wrong_ends_in_one_sentence(data: st.DataObject) -> None:
    """Anything at all in any one place of a good file is read, or refused in a sentence that names the file."""
    table = tomllib.loads(HEAD + LID + step(bag=2, fasteners=[SCREW], adjust=[{"what": "stop", "turns": 1}]))
    paths = list(_paths(table))
    *way, last = data.draw(st.sampled_from(paths))
    here: Any = table
    for key in way:
        here = here[key]
    wild = st.one_of(
        st.integers(),
        st.floats(),
        st.booleans(),
        st.text(st.characters(exclude_categories=["Cs"]), max_size=9),
        st.just([]),
        st.just({}),
        st.just([{}]),
        st.just(-(10**400)),
        st.just({"a": [1]}),
    )
    here[last] = data.draw(wild)
    try:
        rehearse(read(toml(_dated(table))))
    except BadSessionFile as told:
        assert str(told).startswith("day.toml: ") and "\n" not in str(told)


def _paths(value: Any) -> Any:
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in pairs:
        yield (key,)
        for path in _paths(inner):
            yield (key, *path)


def _dated(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _dated(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_dated(inner) for inner in value]
    return value.isoformat() if isinstance(value, datetime) else value


# -- the document that tells of them -----------------------------------------------------------------

DOCUMENT = (Path(__file__).parents[3] / "docs" / "session-files.md").read_text("utf-8")


def test_the_example_in_the_document_plays() -> None:
    example = re.search(r"^```toml\n(.*?)^```", DOCUMENT, re.M | re.S)
    assert example is not None
    record = rehearse(read(example[1])).record
    assert trial_balance(record, 1) == {"bag": 4, "shelf": 1}


def test_jobs_are_read_in_the_words_of_any_time_with_how_they_stand() -> None:
    """One in hand or done without a stamp has the time of its step; a stamp without a state says it."""
    text = (
        HEAD
        + """
[[session.step]]
do = "take off"
part = "lid"
put = "shelf"
todo = [
  { do = "order", what = "felt" }, { do = "clean", what = "rim" }, { do = "mend", what = "tip broken off" },
  { do = "make", what = "pin", when = "before the machine runs", state = "in hand" },
  { do = "send out", what = "plate", since = 2025-03-02T09:00:00+01:00 },
  { do = "test", what = "drip", done = 2025-03-03T09:00:00+01:00, result = "dry" },
  { do = "find out", what = "the maker", state = "done" },
]
"""
    )
    step = rehearse(read(text)).record.step(1, 1)
    assert step is not None
    first, last = WHENS[0], WHENS[2]
    found = [(job.do, job.what, job.when, job.state) for job in step.todo]
    assert found == [
        ("get", "felt", last, "to do"), ("do", "clean rim", first, "to do"),
        ("do", "mend: tip broken off", first, "to do"), ("make", "pin", WHENS[1], "in hand"),
        ("send out", "plate", last, "in hand"), ("test", "drip", last, "done"),
        ("find out", "the maker", last, "done"),
    ]  # fmt: skip
    assert step.todo[4].since == "2025-03-02T09:00:00+01:00"
    assert (step.todo[5].done, step.todo[5].result) == ("2025-03-03T09:00:00+01:00", "dry")
    assert step.began <= step.todo[3].since <= step.ended and step.began <= step.todo[6].done <= step.ended


def test_the_document_tells_of_every_field_and_word() -> None:
    found = set(re.findall(r"`([^`\n]+)`", DOCUMENT))
    found |= {word for words in found for word in re.findall(r"[a-z_]+", words)}
    fields = {*MACHINE, *SESSION, *STEP, *FASTENER, *ADJUST, *JOB, *MOVE}
    assert fields <= found
    assert {*KINDS, *ORIGINS, *FACES, *SORTS, *STATES, *WHENS, *HANDS} - found <= {"right"}
    assert all(do in found or do in DOCUMENT for do in DOINGS)


def test_a_fastener_is_on_its_own_face_or_that_of_the_step() -> None:
    screw = {"hole": "3", "gauge": "832"}
    rows = [
        screw,
        {**screw, "face": "right"},
        {"hole": "5", "face": "inside", "same": True},
        {"hole": "7", "like": True},
    ]
    record = rehearse(read(HEAD + step(face="front", bag=3, fasteners=rows))).record
    assert [t.spot for t in record.all(Thing) if t.hole] == ["3", "3, right", "5, inside", "7"]
    assert "“underneath” is unknown" in fault(HEAD + step(bag=3, fasteners=[{**screw, "face": "underneath"}]))
    again = [screw, {**screw, "face": "front"}]
    assert "Hole 3 has its " in fault(HEAD + step(face="front", bag=3, fasteners=again))
