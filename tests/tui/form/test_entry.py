"""The form as a pure machine: strokes counted as a person counts them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.trade.record.fastener import KINDS
from putback.trade.record.machine import Machine
from putback.tui.form.entry import (
    FIELDS,
    NOTHING,
    Form,
    FormAct,
    next_letter,
    press,
)
from putback.tui.form.typed_readings import as_read

INCH = Machine(id=1, name="stamp", origin="us", unit="in")


def play(
    keys: str, form: Form | None = None, taken: tuple[str, ...] = (), suggested: str = "1"
) -> tuple[Form, FormAct]:
    """Press one key after the other (E is Enter) and return the form and the last act."""
    form, act = form or Form(), NOTHING
    for key in keys:
        form, act = press(form, "enter" if key == "E" else key, taken=taken, suggested=suggested)
    return form, act


def test_a_new_fastener_takes_nine_strokes() -> None:
    """Place, three digits, Enter, three digits, Enter: DESIGN's own count."""
    strokes = "1832E372E"
    form, act = play(strokes)
    assert len(strokes) == 9
    assert act == FormAct("record", "1")
    assert form.readings == {"gauge": "832", "length": "372"}


def test_the_next_like_it_takes_one_stroke() -> None:
    assert play("+", suggested="3")[1] == FormAct("same", "3")


def test_a_place_and_plus_is_the_same_in_that_hole() -> None:
    assert play("9+")[1] == FormAct("same", "9")


def test_enter_on_the_size_of_the_one_before_takes_it_over() -> None:
    """Alone it is the same again; with a length behind it, one that was measured."""
    offers = {"gauge": "832", "length": "372"}
    at = Form(offers=offers).choose("4")
    assert at.offers == {}, "what was offered for another hole is not for this one"
    form = Form(hole="4", typed=("",), offers=offers)
    assert play("EE", form)[1] == FormAct("same", "4")
    asked, act = play("E", form)
    assert act == NOTHING and asked.readings == {"gauge": "832"} and asked.like
    done, act = play("497E", asked)
    assert act == FormAct("record", "4") and done.readings == {"gauge": "832", "length": "497"}
    assert play("49---E", asked)[1] == FormAct("same", "4"), "erased again"
    typed, act = play("1032EE", form)
    assert act == FormAct("record", "4") and typed.readings == {"gauge": "1032"} and not typed.offers_shown
    typed, act = play("-7EE", asked)
    assert act == FormAct("record", "4") and typed.readings == {"gauge": "8327"}, "another first field is a reading"
    nut = Form(kind="nut", hole="4", typed=("",), offers={"gauge": "832"})
    assert play("E", nut)[1] == FormAct("same", "4")


def test_what_was_said_of_this_one_keeps_an_empty_first_field_what_it_is() -> None:
    form = Form(hole="4", typed=("",), offers={"gauge": "832"}, extra={"slot": ".045"})
    assert play("EE", form)[1] == FormAct("record", "4") and play("EE", form)[0].readings == {"slot": ".045"}


def test_star_stands_for_the_blank() -> None:
    assert play("1.164*32E")[0].readings == {"gauge": ".164 32"}


def test_plus_behind_figures_says_by_rule_and_by_eye() -> None:
    """The nine-key loop keeps its keys: + alone is still another like the last."""
    form, act = play("1832E37++E")
    assert act == FormAct("record", "1") and len("1832E37++E") == 10
    assert as_read(form.readings, INCH) == {"gauge": "832", "length": "37", "length_by": "eye"}
    assert play("1.16+*32E.37+E")[1] == FormAct("record", "1")


def test_star_before_the_first_digit_is_another_hole_at_the_place() -> None:
    assert play("5*", taken=("5",))[0].hole == "5a"
    assert play("5*", taken=("5", "5a"))[0].hole == "5b"
    assert next_letter("5a", ["5"]) == "5b"


def test_minus_erases_then_goes_back_a_field_then_leaves() -> None:
    form, _ = play("1832E37---")
    assert form.field == "length" and form.text == ""
    form, _ = play("-", form)
    assert form.field == "gauge" and form.text == "832"
    form, _ = play("----", form)
    assert not form.hole


def test_escape_leaves_the_field_at_once() -> None:
    form, _ = press(play("1832E37")[0], "escape", taken=(), suggested="1")
    assert not form.hole


def test_empty_first_field_is_refused_and_empty_last_one_is_not() -> None:
    assert play("1E")[1].do == "refused"
    assert play("1832EE")[1] == FormAct("record", "1")
    form, act = play("1832E+")
    assert (act.do, form.text) == ("refused", ""), "there is nothing yet that could be rough"


def test_a_nut_has_one_field_and_a_washer_its_own() -> None:
    assert play("1" + "1032E", Form(kind="nut"))[1] == FormAct("record", "1")
    form, act = play("2.290E.040E", Form(kind="washer"))
    assert act.do == "record" and form.readings == {"od": ".290", "thick": ".040"}


@pytest.mark.parametrize(
    ("keys", "meant"),
    [("0", "off"), ("-", "take back"), ("*", "bag"), ("/", "face"), (".", "more")],
)
def test_the_keypad_at_a_place(keys: str, meant: str) -> None:
    assert play(keys)[1] == FormAct(meant)


def test_every_kind_has_fields() -> None:
    assert set(FIELDS) == set(KINDS)


@given(st.lists(st.sampled_from([*"0123456789./*-+abm#", "enter", "backspace", "escape"]), max_size=60))
def test_no_keys_break_the_form(keys: list[str]) -> None:
    form = Form()
    for key in keys:
        form, act = press(form, key, taken=("1", "5"), suggested="3")
        assert (act.do in ("record", "same")) <= bool(act.hole)
        assert bool(form.hole) == bool(form.typed)
        if act.do == "record":
            assert form.readings
            form = form.cleared()


SHOULDER = Form(hole="5", kind="shoulder screw", typed=("640", "185", ""))


def test_the_star_is_the_x_between_two_measures_and_a_blank_between_two_readings() -> None:
    form, act = play("187*125", SHOULDER)
    assert (form.text, act) == (".187 x .125".replace(".", ""), NOTHING)
    assert as_read(form.readings, INCH)["shoulder"] == ".187 x .125"
    form, act = play("*", form)
    assert act.do == "refused" and form.text == "187 x 125", "there is one x"
    assert play("*", SHOULDER)[1].do == "refused", "the diameter comes first"
    form, _ = press(play("187*", SHOULDER)[0], "backspace", taken=(), suggested="")
    assert form.text == "187"
    assert as_read({"gauge": "640", "shoulder": "187x125"}, INCH)["shoulder"] == ".187 x .125"
    metric = Machine(id=1, name="stamp", origin="metric", unit="mm")
    assert as_read({"gauge": "m3", "shoulder": "4.0 x 3.0"}, metric)["shoulder"] == "4.0 x 3.0"
    form, _ = play("415*407", Form(hole="5", typed=("640", "")))
    assert form.readings["length"] == "415 407"
