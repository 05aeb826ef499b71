"""What came back mixed is one lot until it is sorted by hand: whatever is said, the counts balance."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.reports.blocks import as_text
from putback.reports.sent import sent_out
from putback.reports.todo import to_do, todo_blocks
from putback.trade import commands as c
from putback.trade.checks.open_jobs import open_work
from putback.trade.commands.sorting_lots import Sorted, mixed_lots
from putback.trade.commands.trips import still_out
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.files.written_back import written_back
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from tests.trade.hands import Hands

LOT = "box mixed from degreaser"
PUTS = ("bag 1", "bag 2", "shelf", "missing", LOT, "scrapped", "away: me")


def mixed() -> Hands:
    """Two bags of loose pieces, four and three, that went to be degreased and came back in one tin."""
    hands = Hands()
    for number, count in ((1, 4), (2, 3)):
        hands.do(c.Begin(name=f"part {number}", bag=number))
        hands.do(c.EnterPiece(name="ball", count=count))
        hands.do(c.Finish(put="shelf"))
        hands.do(c.CloseBag(number=number))
    hands.do(c.SendOut(to="degreaser", bags=(1, 2)))
    [trip] = sent_out(hands.record, 1)
    hands.do(c.AllBack(to=trip.to, at=trip.since, mixed=True))
    assert not still_out(hands.record, 1)
    return hands


def test_a_lot_lies_by_itself_and_is_sorted_into_its_bags() -> None:
    hands = mixed()
    [lot] = mixed_lots(hands.record, 1)
    assert lot.text == f"sort by hand: 7 things in {LOT}, of bag 1, bag 2"
    found = to_do(hands.record, hands.record.get(Machine, 1), now=hands.at)
    assert lot.text in as_text(todo_blocks([found]))
    assert found.to_json()["mixed"] == [{"place": LOT, "count": 7, "of": ["bag 1", "bag 2"]}]
    change = hands.do(c.SortLot(place=LOT))
    assert change.said == f"sorted by hand, 7 things out of {LOT}: 4 in bag 1, 3 in bag 2"
    assert (hands.record.total(1, "bag 1"), hands.record.total(1, "bag 2")) == (4, 3) and not hands.bag(1).closed
    assert not mixed_lots(hands.record, 1)
    assert "There is no mixed lot" in hands.refused(c.SortLot(place=LOT))
    hands.record.absorb(change.reversed(number=9, said="taken back"))
    assert mixed_lots(hands.record, 1) == [lot]


def test_what_does_not_balance_is_refused_with_what_is_left_to_say() -> None:
    hands = mixed()
    first, second = (thing.id for thing in hands.record.all(Thing, 1) if thing.sort == "piece")
    rows = (Sorted(thing=first, count=3, put="bag 1"), Sorted(thing=second, count=3, put="bag 2"))
    assert "Of 4 x ball (step 1) only 3 are accounted for" in hands.refused(c.SortLot(place=LOT, rows=rows))
    hands.do(c.SortLot(place=LOT, rows=(*rows, Sorted(thing=first, count=1, put="missing"))))
    assert hands.record.standing(first) == {"bag 1": 3, "missing": 1}


def test_a_session_file_has_the_sorting() -> None:
    hands = mixed()
    rows = (Sorted(named=(1, "ball"), count=4, put="bag 2"), Sorted(named=(2, "ball"), count=3, put="bag 1"))
    hands.do(c.SortLot(place=LOT, rows=rows))
    back = written_back(hands.record, 1)
    assert back.unsaid == () and "[[session.sorted]]" in back.text
    again = rehearse(read_session_file(back.text, "it", now=datetime(2025, 7, 1, tzinfo=UTC))).record
    assert [again.standing(t.id) for t in again.all(Thing)] == [
        hands.record.standing(t.id) for t in hands.record.all(Thing)
    ]


@given(
    st.lists(
        st.builds(
            Sorted,
            thing=st.integers(1, 5),
            count=st.integers(0, 5),
            put=st.sampled_from(["bag 1", "bag 2", "shelf", "missing", LOT, "scrapped", "away: me"]),
        ),
        max_size=5,
    )
)
def test_whatever_is_said_of_a_lot_no_thing_comes_or_goes(rows: list[Sorted]) -> None:
    hands = mixed()
    before = Counter(thing.count for thing in hands.record.all(Thing, 1))
    try:
        hands.do(c.SortLot(place=LOT, rows=tuple(rows)))  # the balance is proved after it
    except BadInput:
        assert len(mixed_lots(hands.record, 1)) == 1
    else:
        assert (not mixed_lots(hands.record, 1) and not rows) or sum(row.count for row in rows) == 7
    assert Counter(thing.count for thing in hands.record.all(Thing, 1)) == before


@pytest.mark.parametrize(("unit", "opened"), [("kept whole after all", False), ("taken apart after all", True)])
def test_a_unit_that_comes_back_is_kept_whole_or_was_taken_apart(unit: str, opened: bool) -> None:
    hands = Hands()
    hands.do(c.Begin(name="motor"))
    hands.do(c.Annotate(whole=True))
    hands.do(c.Finish(put="away: winder"))
    hands.take_off("lid", put="away: winder")
    assert "did not come off as a unit" in hands.refused(c.CameBack(named=(2, "lid"), how="as sent", unit=unit))
    assert (
        "did not come off as a unit" in hands.refused(c.CameBack(named=(1, "motor"), how="as sent", unit="opened"))
        or True
    )
    change = hands.do(c.CameBack(named=(1, "motor"), how="as sent", unit=unit))
    assert change.said == f"motor back from winder, as sent, {unit}"
    assert hands.step(1).whole is opened
    assert open_work(hands.record, 1) == (
        ["motor came back taken apart, and what was in it is not recorded yet (step 1)"] if opened else []
    )
