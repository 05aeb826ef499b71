"""What was said of a loose piece, of a fastener and of a move stands on every card that shows them."""

from __future__ import annotations

from putback.reports.bags import bag_blocks, bag_card
from putback.reports.blocks import as_text, as_words
from putback.reports.card_blocks import card_blocks
from putback.reports.cards import part_card, step_card, thing_card
from putback.trade import commands as c
from putback.trade.record.machine import Part
from tests.trade.hands import Hands


def test_notes_of_pieces_fasteners_and_moves_are_on_the_cards() -> None:
    hands = Hands()
    hands.do(c.Begin(name="guard"))
    hands.do(c.Enter(hole="1", size="M5 x 16", note="the long one"))
    hands.do(c.EnterPiece(name="spring", count=2, note="long leg behind the post"))
    hands.do(c.Finish(put="shelf"))
    spring = hands.thing("spring")
    hands.do(c.Carry(thing=spring.id, count=1, source="bag 1", target="bag 2", note="kept dry"))
    part = next(t for t in hands.record.things_of(hands.last) if t.part)
    hands.do(c.Carry(thing=part.id, count=1, source="shelf", target="away: plater", note="nickel, no polish"))
    record = hands.record

    piece = " ".join(fact.words for fact in thing_card(record, spring).facts)
    assert "long leg behind the post" in piece and "(kept dry)" in piece
    step = as_text(card_blocks(record, step_card(record, hands.last))).split("\n")
    assert "2 x spring; long leg behind the post" in step
    assert any(line.startswith("hole 1: ") and "the long one" in line for line in step)
    assert any("nickel, no polish" in fact.words for fact in part_card(record, record.get(Part, part.part)).facts)

    first, second = (bag_card(record, hands.bag(number)) for number in (1, 2))
    assert {row.note for row in first.contents} == {"the long one", "long leg behind the post"}
    assert [row.note for row in second.contents] == ["long leg behind the post; kept dry"]
    assert second.to_json()["contents"][0]["note"] == "long leg behind the post; kept dry"
    assert "spring; long leg behind the post; kept dry" in as_text(bag_blocks(second))
    assert "long leg behind the post; kept dry" in as_words(bag_blocks(second))
