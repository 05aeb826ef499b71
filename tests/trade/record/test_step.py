"""A step and its settings in words."""

from __future__ import annotations

import msgspec

from putback.trade.record.step import DOINGS, LIST_NAMES, LISTS, Adjustment, OfStep, Step


def test_a_setting_tells_what_was_found_and_what_it_should_be() -> None:
    assert Adjustment(what="stop", turns=1).text == "stop: 1 turn"
    assert Adjustment(what="stop", turns=2.5, note="from hard in").text == "stop: 2.5 turns; from hard in"
    found = Adjustment(what="barrel", mark="dot up", gap=".312", shims=(".010 at 8", ".005 at 3"))
    assert found.text == "barrel: dot up; gap .312; shims .010 at 8, .005 at 3"
    wrong = Adjustment(what="gap", gap=".312", should_be=".281", why="low dates")
    assert wrong.text == "gap: set to .281 (found gap .312)"
    assert Adjustment(what="gap", should_be=".281").text == "gap: set to .281"
    assert Adjustment(what="spring", measure="42 mm").text == "spring: 42 mm"
    assert Adjustment(what="bell").text == "bell"


def test_a_step_asks_for_cautions_work_and_settings_once_each() -> None:
    step = Step(
        id=1,
        machine=1,
        number=1,
        cautions=("hot", "sharp"),
        at_refit=("oil", "hot"),
        adjust=(Adjustment(what="stop", turns=2),),
        confirmed=("sharp",),
    )
    assert step.to_confirm == ("hot", "sharp", "oil", "stop: 2 turns")
    assert step.unconfirmed == ("hot", "oil", "stop: 2 turns")


def test_every_doing_has_words_for_what_was_done() -> None:
    found = {Step(id=1, machine=1, number=1, do=do, name="cam").text for do in DOINGS}
    assert len(found) == len(DOINGS) and all("cam" in words for words in found)
    assert Step(id=1, machine=1, number=1, do="turn", name="press", state="upright").text == "turned press: upright"


def test_the_lists_of_texts_have_a_row_each_and_a_step_keeps_them() -> None:
    assert set(LIST_NAMES) == set(OfStep.__struct_fields__)
    assert all(field.default == () for field in msgspec.structs.fields(Step) if field.name in LIST_NAMES)
    known = {one.name: one for one in LISTS}
    assert list(known["cautions"].told(("hot", " ", "sharp"))) == ["caution noted: hot", "caution noted: sharp"]
    assert list(known["tools"].told(("hook", "magnet"))) == ["to be laid out: hook, magnet"]
    assert list(known["tools"].told(())) == [] and known["at_refit"].in_mending == "work before it goes on"
