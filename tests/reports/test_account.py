"""What the way back says of a step, and in which order. Orders of screws: common practice, no source."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.reports.account import Account, WayBack
from putback.reports.account.going_in import holes_in_order
from putback.reports.alike import alike
from putback.reports.blocks import as_text
from putback.reports.plan import plan_accounts, reach_blocks
from putback.reports.planning import refit_plan
from putback.reports.walking import walk_back
from putback.trade import commands as c
from putback.trade.cautions.dangers import FIRST
from putback.trade.commands import rules
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.orientation import lay_it
from putback.trade.refit.way_back import reach
from tests.trade.hands import Hands

FILE = """
[machine]
name = "press"
origin = "us"
mass = "31 kg"
[[session]]
start = 2025-03-01T10:00:00
[[session.step]]
do = "turn"
part = "machine"
state = "on its left cheek"
[[session.step]]
do = "take off"
part = "bottom plate"
face = "bottom"
bag = 1
put = "shelf"
fasteners = [
  { hole = "5", gauge = "1420", length = "1", head = "hex", kind = "bolt" },
  { kind = "washer", hole = "5", od = ".5", thick = ".062" },
]
[[session.step]]
do = "turn"
part = "machine"
state = "upright"
[[session.step]]
do = "take off"
part = "spring lever"
face = "front"
bag = 2
put = "shelf"
at_refit = ["grease the pivot"]
cautions = ["sharp edge"]
note = "penny side up"
adjust = [
  { what = "hook to hook", gap = "1.65", why = "it was stretched" },
  { what = "preload", turns = 2, before = true },
]
fasteners = [
  { hole = "1", gauge = "632", length = ".25", head = "pan", drive = "cross" },
  { hole = "3", gauge = "632", length = ".25", head = "countersunk", drive = "cross" },
]
[[session.step]]
do = "take off"
part = "lamp holder"
needs = [4]
"""


@pytest.fixture
def record() -> Record:
    """A machine that stands upright again, its bottom plate off."""
    return rehearse(read_session_file(FILE, "x", now=datetime(2025, 6, 1, tzinfo=UTC))).record


def account_of(record: Record, number: int) -> Account:
    """The account of a step as things stand."""
    step = record.step(1, number)
    assert step is not None
    return WayBack(record, 1).account(step)


def do(record: Record, command: c.Command) -> None:
    """Do one command."""
    record.absorb(rules.apply(record, 1, command, at="2025-06-01T10:00:00+00:00", codes=["PBX"]))


def test_what_comes_before_the_part_is_asked_before_it_and_what_comes_after_it_after(record: Record) -> None:
    do(record, c.PutBack(step=5))
    asked = [(block.sort, block.words) for block in account_of(record, 4).asked]
    assert asked == [
        ("caution", "sharp edge"),
        ("work", "grease the pivot"),
        ("setting", "preload: 2 turns"),
        ("after", "hook to hook: gap 1.65; why: it was stretched"),
    ]
    sorts = [block.sort for block in account_of(record, 4).blocks]
    assert sorts.index("setting") < sorts.index("fastener") < sorts.index("after")
    assert [block.words for block in account_of(record, 4).of("note")] == ["penny side up"]


def test_two_heads_of_one_size_are_two_letters_and_two_names(record: Record) -> None:
    rows = account_of(record, 4).of("fastener")
    assert [(row.letter, row.holes) for row in rows] == [("B", ("3",)), ("A", ("1",))]
    assert "countersunk" in rows[0].words and "pan" in rows[1].words
    pairs = alike(record, record.get(Machine, 1)).look_alike
    assert all(pair.one != pair.other for pair in pairs)


def test_a_washer_goes_on_before_what_came_out_ahead_of_it(record: Record) -> None:
    rows = account_of(record, 2).of("fastener")
    assert [row.words.split()[0] for row in rows] == ["washer", "bolt"]


def test_the_plan_turns_the_machine_where_the_work_wants_it(record: Record) -> None:
    """It stands upright: what was upright stays so, and the plate wants it on its cheek."""
    plan = refit_plan(record, 1)
    found = {a.step.number: [b.words for b in a.of("lie")] for a in plan_accounts(record, 1, plan)}
    assert plan.order == (5, 4, 3, 2, 1)
    assert found[5] == found[4] == [] and found[3] == ["turn the machine first: lay it on its left cheek"]
    assert found[2] == [] and found[1] == ["nothing to do here: it lies right for what comes next"]
    turned = next(a for a in plan_accounts(record, 1, plan) if a.step.number == 3)
    (lifting, *_), (_, first) = turned.of("usual"), turned.of("usual", "rules")[-2:]
    assert "NIOSH" in lifting.rules and first.words == FIRST


@pytest.mark.parametrize(("state", "message"), [
    ("on its left cheek", "lay it on its left cheek"), ("upright", "stand it upright"),
    ("tipped onto its back", "tip it onto its back"), ("upside down on felt", "lay it upside down on felt"),
    ("Standing on blocks", "stand it on blocks"),
])  # fmt: skip
def test_how_it_lay_is_told_as_what_to_do(state: str, message: str) -> None:
    assert lay_it(state) == message


def test_usual_cautions_stand_with_their_rules_on_every_outlet(record: Record) -> None:
    blocks = account_of(record, 5).of("usual", "rules")
    assert [block.sort for block in blocks] == ["usual", "rules"] and "wiring code" in blocks[0].rules
    text = as_text(reach_blocks(record, 1, reach(record, 1, "lamp holder"), part="lamp holder"))
    assert "rules: local wiring code" in text and text.splitlines()[-2] == FIRST


def test_a_part_back_sets_free_what_only_waited_for_it(record: Record) -> None:
    assert [block.words for block in account_of(record, 5).of("frees")] == ["4 spring lever"]


@given(st.permutations("123456789"), st.integers(2, 9), st.booleans())
def test_every_hole_is_filled_once_an_upper_one_first_where_it_hangs(order: list[str], many: int, hang: bool) -> None:
    rows = "".join(f'{{ hole = "{hole}", gauge = "832", length = ".375" }},' for hole in order[:many])
    face = "left" if hang else "top"
    file = (
        '[machine]\nname = "x"\n[[session]]\n[[session.step]]\ndo = "take off"\npart = "plate"\nbag = 1\n'
        f'put = "shelf"\nface = "{face}"\nfasteners = [{rows}]'
    )
    made = rehearse(read_session_file(file, "x", now=datetime(2025, 6, 1, tzinfo=UTC))).record
    step = made.get(Step, 1)
    holes = holes_in_order(made, step, "upright")
    assert sorted(holes) == sorted(order[:many])
    rows_used = {(int(hole) - 1) // 3 for hole in holes}
    if hang and len(rows_used) > 1 and {0, 2} <= rows_used:
        assert (int(holes[0]) - 1) // 3 == max(rows_used)
    if many >= 4:  # a pair that has its opposite goes crosswise
        for one, other in pairwise(holes):
            if str(10 - int(one)) in holes and holes.index(one) < holes.index(str(10 - int(one))):
                assert other == str(10 - int(one)) or one == "5"


def test_four_corners_go_crosswise_however_they_came_out() -> None:
    for order in permutations("1379"):
        file = "".join(f'{{ hole = "{hole}", gauge = "832", length = ".375" }},' for hole in order)
        text = (
            '[machine]\nname = "x"\n[[session]]\n[[session.step]]\ndo = "take off"\npart = "plate"\nbag = 1\n'
            f'put = "shelf"\nface = "top"\nfasteners = [{file}]'
        )
        made = rehearse(read_session_file(text, "x", now=datetime(2025, 6, 1, tzinfo=UTC))).record
        a, b, c_, d = holes_in_order(made, made.get(Step, 1), "upright")
        assert int(a) + int(b) == 10 == int(c_) + int(d)


def test_what_was_said_of_the_machine_is_said_again_with_the_first_step_back() -> None:
    hands = Hands()
    hands.do(c.SayOfMachine(note="two screws of the lid are brass", caution="lead paint"))
    hands.take_off("lid")
    hands.take_off("drum")
    way = WayBack(hands.record, 1)
    texts = [[block.words for block in way.account(step).blocks] for step in hands.record.all(Step, 1)]
    said = ["the machine: lead paint", "the machine: two screws of the lid are brass"]
    assert [words for words in texts[1] if words.startswith("the machine: ")] == said
    assert not [words for words in texts[0] if words.startswith("the machine: ")], "said once"
    walk = walk_back(hands.record, hands.record.get(Machine, 1), now="2025-03-01T10:00:00+01:00")
    assert "caution, the machine: lead paint" in walk.notes
