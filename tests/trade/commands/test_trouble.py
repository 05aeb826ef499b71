"""Trouble with a screw: what each says, that it balances, and that every hole has what it should at the end."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.checks.filled_holes import holes_at_refit
from putback.trade.checks.ledger import all_wanting, left_over
from putback.trade.commands import MendFastener
from putback.trade.commands.trouble import TROUBLES
from putback.trade.files.proof import check_nouns
from putback.trade.record.fastener import LEFT_OVER, Thing
from putback.trade.record.place import FITTED, LOOSE, MISSING, SCRAPPED
from putback.trade.record.trouble_words import going_in, left_overs, troubled_holes, troubles_of
from putback.trade.refit.belonging import homes_of
from putback.trade.refit.way_back import what_waits
from tests.trade.hands import Hands

Trouble = c.Trouble
LONG: dict[str, Any] = {
    "size": "#8-32 UNC x 1/2", "thread": "#8-32 UNC", "length": "1/2", "readings": {"gauge": "832", "length": "1/2"},
}  # fmt: skip
SHORT: dict[str, Any] = {"size": "#8-32 UNC x 3/8", "thread": "#8-32 UNC", "length": "3/8"}


@pytest.fixture
def hands() -> Hands:
    """A lid off with four screws in bag 1, which is closed, and a cam with one in bag 2."""
    made = Hands()
    made.take_off("lid", "1", "3", "7", "9")
    made.do(c.CloseBag(number=1))
    made.take_off("cam", "5")
    return made


def told(hands: Hands, number: int = 1) -> list[str]:
    return list(troubles_of(hands.record, hands.step(number)))


def in_hole(hands: Hands, hole: str, number: int = 1) -> Thing:
    return next(t for t in going_in(hands.record, hands.step(number)) if t.goes_in == hole)


def test_what_is_lost_is_missing_and_holds_up_its_step_until_it_is_found(hands: Hands) -> None:
    assert hands.do(Trouble(what="lost", step=1, hole="3")).said == "step 1, hole 3: #8-32 UNC x 3/8 lost"
    assert hands.where("screw", "3") == {MISSING: 1}
    assert told(hands) == ["hole 3: #8-32 UNC x 3/8 lost"]
    assert [w.step for w in what_waits(hands.record, 1)] == [1]
    assert hands.refused(Trouble(what="lost", step=1, hole="3")) == "#8-32 UNC x 3/8 is missing already."
    again = hands.do(Trouble(what="found again", step=1, hole="3", put="shelf"))
    assert again.said == "step 1, hole 3: #8-32 UNC x 3/8 found again, at shelf"
    assert told(hands) == [] and hands.thing("screw", "3").trouble == ()


def test_lost_and_a_longer_one_goes_in_says_both(hands: Hands) -> None:
    hands.do(Trouble(what="lost", step=1, hole="3"))
    done = hands.do(Trouble(what="another goes in", step=1, hole="3", **LONG))
    line = "#8-32 UNC x 3/8 lost; #8-32 UNC x 1/2 goes in"
    assert done.said == f"step 1, hole 3: {line}, loose on the bench"  # bag 1 is closed
    assert told(hands) == [f"hole 3: {line}"]
    new = in_hole(hands, "3")
    assert (new.size, new.length, new.readings, new.start) == ("#8-32 UNC x 1/2", "1/2", LONG["readings"], LOOSE)
    assert hands.balance[SCRAPPED] == 1 and MISSING not in hands.balance
    hands.put_back(2)
    hands.put_back(1)
    assert [h.words for h in holes_at_refit(hands.record, 1)] == ["hole 3: #8-32 UNC x 3/8 lost; #8-32 UNC x 1/2 is in"]
    assert left_over(hands.record, 1) == [] and hands.balance == {"fitted": 7, "scrapped": 1}


def test_a_broken_one_is_scrapped_with_what_is_left_of_it_in_the_hole(hands: Hands) -> None:
    text = hands.do(Trouble(what="broken", step=1, hole="1", note="half of it is still in")).said
    assert text == "step 1, hole 1: #8-32 UNC x 3/8 broken: half of it is still in"
    assert told(hands) == ["hole 1: #8-32 UNC x 3/8 broken (half of it is still in)"]
    assert hands.where("screw", "1") == {SCRAPPED: 1}
    assert hands.refused(Trouble(what="broken", step=1, hole="1")) == "#8-32 UNC x 3/8 is broken already."
    assert hands.refused(Trouble(what="lost", step=1, hole="1")) == "#8-32 UNC x 3/8 is scrapped already."


def test_another_in_the_place_of_a_good_one_says_that_it_ends_as_scrapped(hands: Hands) -> None:
    done = hands.do(Trouble(what="another goes in", step=1, hole="7", put="bag 2", **LONG))
    assert done.said == (
        "step 1, hole 7: #8-32 UNC x 3/8 goes out of bag 1 and is scrapped; #8-32 UNC x 1/2 goes in, in bag 2"
    )
    assert told(hands) == ["hole 7: #8-32 UNC x 3/8 goes out; #8-32 UNC x 1/2 goes in"]


def test_a_thread_that_is_gone_is_said_and_holds_nothing_up(hands: Hands) -> None:
    assert hands.do(Trouble(what="thread gone", step=1, hole="9")).said == "step 1, hole 9: thread gone"
    assert told(hands) == ["hole 9: thread gone"] and what_waits(hands.record, 1) == []
    hands.do(Trouble(what="another goes in", step=1, hole="9", **LONG))
    assert told(hands) == ["hole 9: thread gone; #8-32 UNC x 3/8 goes out; #8-32 UNC x 1/2 goes in"]


def test_two_screws_change_holes_and_back(hands: Hands) -> None:
    text = hands.do(Trouble(what="goes in another hole", step=1, hole="3", into="7")).said
    assert text == "step 1, hole 3: its #8-32 UNC x 3/8 goes in hole 7, and #8-32 UNC x 3/8 of hole 7 in hole 3"
    assert told(hands) == ["hole 3: its #8-32 UNC x 3/8 goes in hole 7", "hole 7: its #8-32 UNC x 3/8 goes in hole 3"]
    assert troubled_holes(hands.record, hands.step(1)) == {"3", "7"}
    hands.do(Trouble(what="lost", step=1, hole="3"))
    hands.do(Trouble(what="another goes in", step=1, hole="3", **LONG))
    assert in_hole(hands, "7").size == "#8-32 UNC x 1/2"  # the new one goes where the lost one was to go
    hands.do(Trouble(what="goes in another hole", step=1, hole="7", into="7"))
    assert {t.goes_in: t.hole for t in going_in(hands.record, hands.step(1))} == {h: h for h in "1379"}


def test_a_hole_that_is_said_right_takes_those_that_change_with_it(hands: Hands) -> None:
    hands.do(Trouble(what="goes in another hole", step=1, hole="3", into="7"))
    hands.do(MendFastener(thing=hands.thing("screw", "7").id, hole="8"))
    assert {t.hole: t.goes_in for t in going_in(hands.record, hands.step(1))} == {
        "1": "1", "3": "8", "8": "3", "9": "9",
    }  # fmt: skip


def test_a_part_that_comes_off_once_more_finds_each_screw_in_the_hole_it_went_in(hands: Hands) -> None:
    hands.do(Trouble(what="goes in another hole", step=1, hole="3", into="7"))
    third = hands.thing("screw", "3").id
    hands.put_back(2)
    hands.put_back(1)
    hands.do(c.Begin(name="lid", needs=()))
    hands.do(c.Enter(hole="7", size="#8-32 UNC x 3/8"))
    entered = hands.record.get(Thing, third)
    assert (entered.hole, entered.goes_in, entered.step) == ("7", "7", hands.last.id)


def test_one_left_over_has_no_hole_and_the_end_names_it(hands: Hands) -> None:
    assert hands.do(Trouble(what="left over", size="screw M4x0.7 x 10 mm", thread="M4x0.7")).said == (
        "left over: screw M4x0.7 x 10 mm, loose on the bench"
    )
    lone = left_overs(hands.record, 1)[0]
    assert lone.sort == LEFT_OVER and lone.called == "screw M4x0.7 x 10 mm"
    assert homes_of(hands.record, 1, lone) == []
    hands.put_back(2)
    hands.put_back(1)
    assert [(h.thing.id, h.place) for h in left_over(hands.record, 1)] == [(lone.id, LOOSE)]
    hands.do(c.Carry(thing=lone.id, count=1, source=LOOSE, target=SCRAPPED))
    assert left_over(hands.record, 1) == [] and what_waits(hands.record, 1) == []


def test_where_one_left_over_could_belong_best_first(hands: Hands) -> None:
    hands.take_off("foot", "1", "2", needs=())
    hands.put_back(3)
    hands.do(c.Begin(name="tray", needs=()))
    hands.do(c.Enter(hole="4", found="empty"))
    hands.do(c.Finish(put="shelf"))
    hands.do(Trouble(what="broken", step=1, hole="1"))
    hands.do(Trouble(what="lost", step=1, hole="9"))
    hands.do(Trouble(what="left over", **SHORT))
    homes = homes_of(hands.record, 1, left_overs(hands.record, 1)[0])
    assert [home.text for home in homes] == [
        "step 1, lid, hole 9: #8-32 UNC x 3/8 is missing",
        "step 1, lid, hole 1: #8-32 UNC x 3/8 is scrapped",
        "step 4, tray, hole 4: found empty",
        "step 3, foot, hole 1: by the record #8-32 UNC x 3/8 is in it",
        "step 3, foot, hole 2: by the record #8-32 UNC x 3/8 is in it",
    ]
    refused = hands.refused(Trouble(what="left over", step=3, hole="1", **SHORT))
    assert refused == (
        "By the record hole 1 of step 3, foot, has its #8-32 UNC x 3/8: look there, and put it in if the hole is empty."
    )


def test_one_left_over_that_is_the_lost_one_is_found_again(hands: Hands) -> None:
    hands.do(Trouble(what="lost", step=1, hole="9"))
    done = hands.do(Trouble(what="left over", step=1, hole="9", size="#8-32 UNC x 3/8"))
    assert done.said == "step 1, hole 9: #8-32 UNC x 3/8 found again; it goes in, loose on the bench"
    assert told(hands) == [] and hands.balance == {"bag": 4, "loose": 1, "shelf": 2}


def test_one_noted_as_left_over_fills_a_hole_found_empty(hands: Hands) -> None:
    hands.do(c.Begin(name="tray", needs=()))
    hands.do(c.Enter(hole="4", found="empty"))
    hands.do(c.Finish(put="shelf"))
    hands.do(Trouble(what="left over", **LONG))
    lone = left_overs(hands.record, 1)[0]
    done = hands.do(Trouble(what="left over", thing=lone.id, step=3, hole="4"))
    assert done.said == "step 3, hole 4: found empty; #8-32 UNC x 1/2, left over, goes in, loose on the bench"
    assert told(hands, 3) == ["hole 4: found empty; #8-32 UNC x 1/2 goes in"]
    assert left_overs(hands.record, 1) == []
    hands.put_back(3)
    assert [h.words for h in holes_at_refit(hands.record, 1)] == ["hole 4: found empty; #8-32 UNC x 1/2 is in"]


def test_what_was_only_loosened_may_break_in_its_hole() -> None:
    hands = Hands()
    hands.do(c.Begin(do="loosen", name="clamp"))
    hands.do(c.Enter(hole="5", turns=3, size="#8-32 UNC x 3/8"))
    hands.do(c.Finish())
    hands.do(Trouble(what="broken", step=1, hole="5"))
    assert hands.where("screw", "5") == {SCRAPPED: 1}
    hands.do(Trouble(what="another goes in", step=1, hole="5", **LONG))
    hands.put_back(1)
    assert left_over(hands.record, 1) == []


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (
            Trouble(what="stolen", step=1, hole="1"),  # type: ignore[arg-type]
            f"“stolen” is not a trouble with a screw; say {', '.join(TROUBLES)}.",
        ),
        (Trouble(what="lost", step=9, hole="1"), "There is no step 9."),
        (Trouble(what="lost", step=1, hole="5"), "Step 1, lid, has no hole 5; its holes are 1, 3, 7, 9."),
        (Trouble(what="lost", step=1, hole="x"), "“x” is not a hole; say a place from 1 to 9"),
        (Trouble(what="lost", thing=5), "lid is not a fastener with a hole."),
        (Trouble(what="found again", step=1, hole="1"), "Of hole 1 nothing is missing."),
        (Trouble(what="another goes in", step=1, hole="1"), "Say the size of the one that goes in."),
        (
            Trouble(what="another goes in", step=1, hole="1", put="missing", **LONG),
            "It can lie only in a bag, in a box, on the shelf or on the bench.",
        ),
        (Trouble(what="another goes in", step=1, hole="1", head="egg", **LONG), "“egg” is not a head; say "),  # type: ignore[arg-type]
        (
            Trouble(what="goes in another hole", step=1, hole="1", into="5"),
            "Step 1, lid, has no hole 5; its holes are 1, 3, 7, 9.",
        ),
        (Trouble(what="goes in another hole", step=1, hole="1", into="1"), "#8-32 UNC x 3/8 goes in hole 1 already."),
        (Trouble(what="left over"), "Say the size of the one that is left over."),
        (Trouble(what="left over", thing=1), "screw #8-32 UNC x 3/8 came out of a hole, so it is not left over."),
        (
            Trouble(what="left over", step=1, hole="1", **LONG),
            "Hole 1 of step 1, lid, has its #8-32 UNC x 3/8 in bag 1.",
        ),
    ],
)
def test_what_cannot_be_is_refused(hands: Hands, command: c.Command, message: str) -> None:
    assert hands.refused(command).startswith(message)


def test_what_is_back_has_its_screws_in_it(hands: Hands) -> None:
    hands.put_back(2)
    for what in ("lost", "broken", "another goes in"):
        refused = hands.refused(Trouble(what=what, step=2, hole="5", **LONG))
        assert refused == (
            "By the record #8-32 UNC x 3/8 is in hole 5, and step 2, cam, is back: take it off again first."
        )
    hands.do(Trouble(what="thread gone", step=2, hole="5"))
    assert hands.refused(Trouble(what="thread gone", step=2, hole="5")) == "That is noted for hole 5 already."


def test_of_a_hole_found_empty_nothing_is_lost_or_broken(hands: Hands) -> None:
    hands.do(c.Begin(name="tray", needs=()))
    hands.do(c.Enter(hole="4", found="empty"))
    hands.do(c.Enter(hole="5", kind="washer", size="#8"))
    hands.do(c.Finish(put="shelf"))
    for what, end in (("lost", "there is nothing to be lost."), ("broken", "there is nothing to be broken.")):
        assert hands.refused(Trouble(what=what, step=3, hole="4")) == f"Hole 4 was found empty: {end}"  # type: ignore[arg-type]
    text = hands.refused(Trouble(what="goes in another hole", step=3, hole="4", into="5"))
    assert text == "Hole 4 was found empty: nothing came out that could go elsewhere."
    assert hands.refused(Trouble(what="thread gone", step=3, hole="5", kind="washer")) == "A washer has no thread."
    hands.do(Trouble(what="another goes in", step=3, hole="4", **LONG))
    assert in_hole(hands, "4", 3).size == "#8-32 UNC x 1/2"


ACTS = st.lists(
    st.tuples(st.sampled_from(TROUBLES), st.sampled_from("1379"), st.sampled_from("1379"), st.booleans()), max_size=12
)


@settings(deadline=None, max_examples=60)
@given(acts=ACTS)
def test_whatever_happens_each_hole_has_one_screw_at_the_end(acts: list[tuple[str, str, str, bool]]) -> None:
    """The four holes of a lid: any run of troubles, then everything that waits is replaced, and it goes back."""
    hands = Hands()
    hands.take_off("lid", "1", "3", "7", "9")
    for what, hole, into, filled in acts:
        lone = left_overs(hands.record, 1)
        known = lone[0].id if lone and what == "left over" and filled else 0
        at = hole if what != "left over" or filled else ""
        try:
            before = hands.documents()
            change = hands.do(Trouble(what=what, thing=known, step=1, hole=at, into=into, **LONG))  # type: ignore[arg-type]
        except BadInput:
            assert hands.documents() == before
            continue
        hands.record.absorb(change.reversed(number=1, said=""))
        assert hands.documents() == before
        hands.record.absorb(change)
        assert list(check_nouns(hands.record)) == []
    for held in all_wanting(hands.record, 1):
        hands.do(c.Replace(thing=held.thing.id, count=1))
    hands.put_back(1)
    holes = Counter(t.goes_in for t in going_in(hands.record, hands.step(1)))
    assert holes == Counter("1379")
    assert all(hands.record.standing(t.id) == {FITTED: 1} for t in going_in(hands.record, hands.step(1)))
    assert [h.thing.sort for h in left_over(hands.record, 1)] == [LEFT_OVER] * len(left_overs(hands.record, 1))
