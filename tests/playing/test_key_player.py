"""Session files played as keystrokes: the record is the one that plain replay gives."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

import msgspec
import pytest

from putback.errors import BadSessionFile, Refused
from putback.playing.key_player import Report, play_keys
from putback.scans.bag_code import new_code
from putback.trade.checks.ledger import check_balance
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.record import TABLES, Record
from putback.trade.record.session import minutes_between
from putback.workshop import Workshop
from tests.tui.quicker import quicker

NOW = datetime(2025, 7, 1, 9, 0, tzinfo=UTC)
SAMPLES = Path(__file__).parents[2] / "sample_sessions"
OF_NO_MEANING = {"id", "at", "code", "began", "ended", "opened", "closed", "segments"}
"""Stamps and codes, and numbers that only tie documents together."""


def plain(table: str, noun: Any) -> dict[str, Any]:
    found: Mapping[str, Any] = msgspec.structs.asdict(noun)
    kept = {name: value for name, value in found.items() if name not in OF_NO_MEANING}
    if table == "steps" and noun.minutes is None:
        kept["minutes"] = minutes_between(noun.began, noun.ended)  # by the clock, where the file says a number
    return kept


def told(record: Record) -> dict[str, list[dict[str, Any]]]:
    return {table: [plain(table, noun) for noun in record.all(kind)] for table, kind in TABLES.items()}


def play(folder: Path, text: str, name: str) -> tuple[Report, Record, Record]:
    rehearsal = rehearse(read_session_file(text, name, now=NOW))
    rng = Random(11)
    with quicker(), Workshop.open(folder, clock=lambda: NOW, codes=partial(new_code, rng)) as workshop:
        numbers: list[int] = []
        report = play_keys(workshop, rehearsal, lambda done: numbers.append(done.number))
        assert numbers == list(range(1, workshop.store.number + 1))
        assert not list(check_balance(workshop.record))
        return report, workshop.record, rehearsal.record


@pytest.mark.parametrize("sessions", [1, pytest.param(99, marks=pytest.mark.long)])
def test_the_skein_winder_by_keys_is_the_skein_winder(tmp_path: Path, sessions: int) -> None:
    head, *played = (SAMPLES / "skein_winder.toml").read_text(encoding="utf-8").split("[[session]]")
    text = "[[session]]".join([head, *played[:sessions]])
    report, by_keys, by_file = play(tmp_path, text, "skein_winder.toml")
    assert told(by_keys) == told(by_file)
    rows = [row for s in tomllib.loads(text)["session"] for step in s["step"] for row in step.get("fasteners", [])]
    same = sum(1 for row in rows if row.get("same"))
    assert report.same_again.count == same
    assert report.new_fastener.strokes_mean < 10


PANEL = """
[machine]
name = "Bench press"
origin = "us"
[assemblies]
case = {}
[[session]]
start = 2025-06-01T09:00:00
[[session.step]]
do = "turn"
part = "machine"
state = "on its back"
minutes = 4
[[session.step]]
do = "mark"
part = "lever"
face = "left"
minutes = 3
adjust = [{ what = "lever", mark = "two dots" }]
[[session.step]]
do = "take off"
part = "panel, left"
in = "case"
face = "left"
bag = 1
put = "shelf"
close = [1]
minutes = 6
cover = true
needs = [1]
tools = ["driver 1.0 x 5.5", "hook"]
at_refit = ["oil first"]
todo = [{ do = "do", what = "clean the edges" }]
fasteners = [
  { hole = "1", gauge = "832", length = ".372" },
  { hole = "3", same = true }, { hole = "7", same = true }, { hole = "9", same = true },
  { hole = "2", same = true }, { hole = "8", same = true }, { hole = "4", same = true }, { hole = "6", same = true },
]
[[session.step]]
do = "loosen"
part = "jaw"
face = "top"
tag = "A"
fasteners = [{ hole = "5", gauge = "440", length = ".250", turns = 2.5, should_be = "#4-40 UNC x 3/8" }]
[[session.move]]
after = 3
what = "panel, left"
step = 3
count = 1
from = "shelf"
to = "away: plater"
note = "new paint"
"""


def test_a_panel_of_eight_equal_screws_takes_at_most_twenty_strokes(tmp_path: Path) -> None:
    report, by_keys, by_file = play(tmp_path, PANEL, "panel.toml")
    assert told(by_keys) == told(by_file)
    assert (report.new_fastener.count, report.same_again.count) == (2, 7)
    assert report.same_again.strokes_max == 1
    panel = report.new_fastener.strokes_mean * 2 - 9 - 3  # the loosened one: nine keys, and 2.5 over the 1
    assert 9 + report.same_again.count + 1 <= 20 and panel > 0
    assert set(report.to_json()) == {"new_fastener", "same_again", "other", "step", "without_keys"}


LIKE = (
    PANEL.replace(
        'origin = "us"',
        'origin = "us"\nparts_go = "box"\n'
        'first_look = [{ sort = "from", what = "a barn" }, { sort = "missing", what = "one foot" }]',
    )
    + """
[[session.step]]
do = "take off"
part = "lid"
face = "top"
bag = 2
fasteners = [
  { hole = "7", like = true },
  { hole = "9", like = true, head = "pan", drive = "cross", should_be = "#4-40 UNC x 1/4" },
  { hole = "1", like = true, hand = "left" },
  { hole = "3", like = true, hand = "right" },
]
"""
)


def test_what_is_like_the_one_before_is_played_with_what_is_unlike(tmp_path: Path) -> None:
    text = LIKE.replace(', turns = 2.5, should_be = "#4-40 UNC x 3/8"', "").replace(
        'do = "loosen"', 'do = "undo"\nbag = 2'
    )
    report, by_keys, by_file = play(tmp_path, text.replace('tag = "A"\n', ""), "panel.toml")
    assert told(by_keys) == told(by_file)
    assert next(iter(by_keys.all(Machine))).parts_go == "box" and report.same_again.count == 7 + 4


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('what = "clean the edges"', 'what = "clean the edges", state = "done"', "step 3: A job that is done cannot"),
        ('hole = "5",', 'once = true, hole = "5",', "step 4, fastener 1: Whether a thing goes in again"),
        (
            "[[session.move]]", '[[session.trouble]]\nafter = 3\nstep = 3\nhole = "1"\nwhat = "lost"\n[[session.move]]',
            "session 1, trouble 1, step 3: Trouble with a screw cannot",
        ),
    ],
)  # fmt: skip
def test_what_has_no_keys_is_said_before_one_is_pressed(tmp_path: Path, old: str, new: str, why: str) -> None:
    with pytest.raises(BadSessionFile, match=why):
        play(tmp_path, PANEL.replace(old, new), "panel.toml")
    with Workshop.open(tmp_path, clock=lambda: NOW, codes=lambda taken: "") as workshop:
        assert workshop.store.number == 0


def test_what_cannot_be_typed_is_named_with_its_step(tmp_path: Path) -> None:
    with pytest.raises(BadSessionFile, match=r"panel\.toml: step 3, fastener 1: (?s:.*)cannot be typed"):
        play(tmp_path, PANEL.replace('gauge = "832"', 'note = "two\\nlines", gauge = "832"'), "panel.toml")


def test_sizes_written_with_their_dash_are_played_by_keys(tmp_path: Path) -> None:
    dashed = PANEL.replace('gauge = "832", length = ".372"', 'gauge = "8-32", length = "1-1/4"')
    report, by_keys, by_file = play(tmp_path, dashed, "panel.toml")
    assert told(by_keys) == told(by_file) and report.new_fastener.count == 2


def test_a_machine_that_is_there_already_is_refused_before_a_key_is_pressed(tmp_path: Path) -> None:
    rehearsal = rehearse(read_session_file(PANEL, "panel.toml", now=NOW))
    rng = Random(1)
    with Workshop.open(tmp_path, clock=lambda: NOW, codes=lambda taken: new_code(rng, taken)) as workshop:
        workshop.play(rehearsal, lambda done: None)
        number = workshop.store.number
        with pytest.raises(Refused, match="already"):
            play_keys(workshop, rehearsal, lambda done: None)
        assert workshop.store.number == number


def test_a_part_held_from_three_faces_is_played_face_by_face(tmp_path: Path) -> None:
    rows = """{ hole = "1", gauge = "832", length = ".372" }, { hole = "3", same = true },
        { hole = "3", face = "right", same = true }, { hole = "5", face = "right", same = true },
        { hole = "9", face = "right", found = "empty", note = "bright" }, { hole = "1", face = "top", same = true },
        { hole = "1", face = "top", kind = "washer", od = ".39" }, { hole = "7", same = true, kind = "screw" }"""
    text = (
        '[machine]\nname = "x"\norigin = "us"\nunit = "in"\n[[session]]\nstart = 2025-07-01T08:00:00\n'
        '[[session.step]]\ndo = "take off"\npart = "bracket"\nface = "front"\nbag = 1\nput = "shelf"\n'
        f"fasteners = [{rows}]\n"
    )
    _, by_keys, by_file = play(tmp_path, text, "bracket.toml")
    spots = [thing.spot for thing in by_file.all(Thing) if thing.hole]
    assert spots == ["1", "3", "3, right", "5, right", "9, right", "1, top", "1, top", "7"]
    assert told(by_keys)["things"] == told(by_file)["things"]
