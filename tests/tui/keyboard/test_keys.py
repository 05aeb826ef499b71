"""The one table of keys."""

from __future__ import annotations

from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.bench.rarer_fields import RARER_FIELDS
from putback.tui.keyboard.keys import KEYS, PAD, command_for, keys_of, plain_key


def test_ids_are_unique() -> None:
    assert len({key.id for key in KEYS}) == len(KEYS)


def test_no_key_means_two_things_at_one_place() -> None:
    for place in {key.where for key in KEYS}:
        keys = [k for key in keys_of(place) for k in key.keys]
        assert len(keys) == len(set(keys)), place


def test_bench_letters_do_not_clash_with_the_keypad() -> None:
    pad = {k for place in ("part", "place") for key in keys_of(place) for k in key.keys}
    assert not pad & {k for key in keys_of("bench") for k in key.keys}


def test_p_is_free_everywhere_since_it_begins_a_bag_code() -> None:
    assert not [key.id for key in KEYS if "p" in key.keys or "P" in key.keys]


def test_every_bench_command_does_something() -> None:
    for key in keys_of("bench"):
        assert callable(getattr(BenchScreen, f"command_{key.id}")), key.id


def test_every_saying_has_its_question() -> None:
    assert all(callable(getattr(BenchScreen, f"say_{name}")) for name in RARER_FIELDS.values())


def test_keypad_twins_and_a_comma_for_the_decimal_key() -> None:
    assert {plain_key(name, None) for name in PAD} == {"+", "-", "*", "/", ".", "enter"}
    assert plain_key("comma", ",") == "."
    assert plain_key("5", "5") == "5"


def test_commands_are_found_by_key() -> None:
    assert command_for("?", "bench") == "help"
    assert command_for(" ", "bench") == "pause"
    assert command_for("1", "walk") == "walk.true"
    assert command_for("!", "bench") == ""
