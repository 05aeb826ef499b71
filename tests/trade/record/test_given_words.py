"""A loose piece without a name has a number; notes and cautions are offered, a person's own last ones first."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from putback.trade import commands as c
from putback.trade.record.given_words import (
    CAUTIONS,
    LONGEST,
    NOTES,
    OFFERED,
    OWN,
    SPRINGS,
    cautions_offered,
    notes_offered,
    unnamed_piece,
)
from tests.trade.hands import Hands


def test_a_piece_without_a_name_has_the_next_number_of_its_machine() -> None:
    hands = Hands()
    hands.do(c.Begin(name="drum guard"))
    assert unnamed_piece(hands.record, 1) == "loose piece 1"
    hands.do(c.EnterPiece(name="loose piece 1"))
    hands.do(c.EnterPiece(name="spring"))
    assert unnamed_piece(hands.record, 1) == "loose piece 2"
    hands.do(c.EnterPiece(name="loose piece 10"))
    assert unnamed_piece(hands.record, 1) == "loose piece 11"
    hands.do(c.NewMachine(name="lathe"))
    assert unnamed_piece(hands.record, 2) == "loose piece 1"


def test_where_nothing_was_said_the_common_ones_are_offered() -> None:
    hands = Hands()
    assert notes_offered(hands.record, 1) == NOTES and len(NOTES) == OFFERED
    assert cautions_offered(hands.record, 1) == CAUTIONS and len(CAUTIONS) == OFFERED


def test_the_last_said_stands_first_and_each_once() -> None:
    hands = Hands()
    hands.do(c.SayOfMachine(note="paint is old", caution="lead paint"))
    hands.do(c.Begin(name="drum guard"))
    hands.do(c.Annotate(note="felt faces the drum", cautions=("drum turns freely", "Sharp edge")))
    hands.do(c.Annotate(note="was bent"))
    hands.do(c.Annotate(note="x" * (LONGEST + 1)))
    hands.do(c.Annotate(note="7"))
    hands.do(c.Enter(hole="1", note="shim under it"))
    hands.do(c.Annotate(note="two\nlines"))
    assert notes_offered(hands.record, 1)[: OWN + 1] == (
        "lines",
        "two",
        "felt faces the drum",
        "shim under it",
        NOTES[0],
    )
    assert cautions_offered(hands.record, 1)[:3] == ("drum turns freely", "lead paint", CAUTIONS[0])
    hands.do(c.Annotate(note="FELT faces the drum"))
    assert notes_offered(hands.record, 1)[:3] == ("FELT faces the drum", "lines", "two")


def test_of_a_fastener_its_own_notes_come_first_and_of_a_spring_what_it_is_for() -> None:
    hands = Hands()
    hands.do(c.Begin(name="drum guard"))
    hands.do(c.Annotate(note="felt faces the drum"))
    hands.do(c.Enter(hole="1", size="#8-32", note="shim under it"))
    assert notes_offered(hands.record, 1)[:2] == ("felt faces the drum", "shim under it")
    assert notes_offered(hands.record, 1, of_fastener=True)[:2] == ("shim under it", "felt faces the drum")
    hands.do(c.EnterPiece(name="return spring"))
    assert notes_offered(hands.record, 1)[2 : 2 + len(SPRINGS)] == SPRINGS


@given(st.lists(st.one_of(st.text(max_size=60).filter(str.strip), st.sampled_from(NOTES)), max_size=8))
def test_nine_are_offered_whatever_was_said_each_once_on_one_line_and_never_a_lone_figure(notes: list[str]) -> None:
    hands = Hands()
    hands.do(c.Begin(name="drum guard"))
    for note in notes:
        hands.do(c.Annotate(note=note))
    offered = notes_offered(hands.record, 1)
    assert len(offered) == OFFERED == len({phrase.casefold() for phrase in offered})
    assert all(1 < len(phrase) <= LONGEST and len(phrase.splitlines()) == 1 for phrase in offered)
    own = next(place for place, phrase in enumerate(offered) if phrase == NOTES[0])
    assert own <= OWN and offered[own:] == NOTES[: OFFERED - own]
