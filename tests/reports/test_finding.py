"""Finding: what is typed picks out the nearest of everything, in every machine."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from time import perf_counter

import pytest
from hypothesis import given, settings

from putback.errors import BadInput
from putback.reports.finding import MOST, SORTS, Findable, entries, find
from putback.trade import commands as c
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Part
from putback.trade.record.record import Record, document
from putback.trade.record.step import Step
from tests.strategies import names
from tests.trade.hands import Hands

SAMPLES = Path(__file__).parents[2] / "sample_sessions"


@pytest.fixture(scope="module")
def press() -> Record:
    text = (SAMPLES / "ticket_dating_press.toml").read_text("utf-8")
    return rehearse(read_session_file(text, "press", now=datetime(2025, 6, 1, 18, 0, tzinfo=UTC))).record


def told(record: Record, typed: str) -> list[tuple[str, str]]:
    return [(hit.entry.sort, hit.entry.name) for hit in find(entries(record), typed).hits]


def test_every_sort_is_found_by_its_name(press: Record) -> None:
    assert told(press, "bag 12")[0] == ("bag", "bag 12")
    assert ("part", "ribbon spring barrel") in told(press, "ribbon spring barrel")[:1]
    assert told(press, "step 17")[0][1].startswith("step 17: ")
    assert ("piece", "feed pawl spring") in told(press, "pawl spring")
    assert told(press, "") == [] and told(press, "   ") == [] and told(press, "nothing like it") == []


def test_a_bag_is_found_by_its_code(press: Record) -> None:
    bag = next(press.all(Bag))
    assert told(press, bag.code.lower())[0] == ("bag", f"bag {bag.number}")


def test_a_bare_number_is_that_bag_and_that_step(press: Record) -> None:
    """All that a bare number pad can type."""
    for number in ("1", "2"):
        hits = find(entries(press), number, here=1).hits
        assert [hit.entry.name.split(":")[0] for hit in hits[:2]] == [f"bag {number}", f"step {number}"]


def test_a_size_is_found_as_it_is_typed_at_the_bench_and_as_it_is_written(press: Record) -> None:
    for typed in ("832", "#8-32", "8-32 unc"):
        found = find(entries(press), typed)
        sizes = {press.get(Thing, h.entry.id).thread for h in found.hits[:9]}
        assert sizes == {"#8-32 UNC"}, typed


def test_a_note_is_found_and_shown(press: Record) -> None:
    step = next(s for s in press.all(Step) if s.cautions)
    hit = next(h for h in find(entries(press), step.cautions[0]).hits if h.entry.sort == "step")
    assert hit.entry.id == step.id and hit.why == step.cautions[0]


def test_all_words_must_be_there_in_any_order(press: Record) -> None:
    assert told(press, "barrel ribbon spring") == told(press, "spring barrel ribbon")
    assert told(press, "ribbon nowhere") == []


def test_equal_fasteners_of_a_step_are_one_line(press: Record) -> None:
    step = next(s for s in press.all(Step) if s.name == "ribbon spring barrel")
    lines = [h for h in find(entries(press), "ribbon spring barrel").hits if h.entry.sort == "fastener"]
    held = {t.called for t in press.things_of(step) if t.sort == "fastener"}
    assert len(lines) == len(held)
    assert any(h.entry.name.startswith("3 x screw") and "1, 3, 8" in h.entry.detail for h in lines)


def test_the_machine_on_the_bench_comes_first_among_equals() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.do(c.NewMachine(name="lathe"))
    hands.machine = 2
    hands.take_off("lid")
    known = entries(hands.record)
    for here in (1, 2):
        hits = find(known, "lid", here=here).hits
        assert next(h.entry.machine_id for h in hits if h.entry.sort == "part") == here
    assert {h.entry.machine for h in find(known, "lid").hits} == {"press", "lathe"}
    assert {h.entry.machine for h in find(known, "lid lathe").hits} == {"lathe"}


@settings(max_examples=40, deadline=None)
@given(name=names())
def test_whatever_a_thing_is_called_it_is_found_by_its_name(name: str) -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    try:
        hands.do(c.EnterPiece(name=name))
    except BadInput:
        return
    kept = hands.record.get(Thing, 1).name
    assert any(h.entry.sort == "piece" for h in find(entries(hands.record), kept).hits)


def _one_look(known: Sequence[Findable]) -> float:
    """Seconds that one look at the name and detail of every entry takes on this machine, now."""
    begun = perf_counter()
    assert not sum("\0" in entry.name or "\0" in entry.detail for entry in known)
    return perf_counter() - begun


def test_a_workshop_of_twenty_thousand_changes_is_looked_through_between_two_keys() -> None:
    """Fifty machines of 130 steps and 260 screws: a key costs few looks at every text there is, whatever is typed."""
    record = Record()
    tables: dict[str, dict[int, dict[str, object]]] = {"machines": {}, "parts": {}, "steps": {}, "things": {}}
    hands = Hands()
    machine = hands.record.documents("machines")[1]
    step = thing = 0
    for number in range(1, 51):
        tables["machines"][number] = {**machine, "id": number, "name": f"machine {number}"}
        for at in range(1, 131):
            step += 1
            tables["parts"][step] = document(Part(id=step, machine=number, name=f"plate {at}"))
            tables["steps"][step] = document(
                Step(id=step, machine=number, number=at, name=f"plate {at}", part=step, note="found with a bent corner")
            )
            for hole in "13":
                thing += 1
                tables["things"][thing] = document(
                    Thing(
                        id=thing,
                        machine=number,
                        step=step,
                        sort="fastener",
                        name="screw",
                        hole=hole,
                        size="#8-32 UNC x 3/8" if hole == "1" else "#6-32 UNC x 1/4",
                        start="shelf",
                    )
                )
    for table, rows in tables.items():
        record.load(table, rows)
    known = entries(record)
    assert len(known) > 20_000
    worst, look = 0.0, min(_one_look(known) for _ in range(3))
    for typed in ("p", "pl", "pla", "plate 1", "832", "bent corner", "nothing"):
        begun = perf_counter()
        found = find(known, typed)
        worst = max(worst, perf_counter() - begun)
        assert len(found.hits) <= MOST and found.total >= len(found.hits)
    assert worst < 60 * look
    assert set(SORTS) >= {entry.sort for entry in known}
