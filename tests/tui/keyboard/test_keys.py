"""The one table of keys."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.settings import KeySettings, Settings
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.keyboard.keymap import keymap_of
from putback.tui.keyboard.keys import KEYS, LEFT_OUT, NEVER_LEFT_OUT, PAD, command_for, keys_of, plain_key
from putback.tui.widgets.panes import KeysLine
from tests.tui.conftest import Opened


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


async def test_every_bench_command_does_something(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("escape")
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen)
        assert set(screen.commands) == {key.id for key in keys_of("bench")} | {"begin", "more"}


def test_keypad_twins_and_a_comma_for_the_decimal_key() -> None:
    assert {plain_key(name, None) for name in PAD} == {"+", "-", "*", "/", ".", "enter"}
    assert plain_key("comma", ",") == "."
    assert plain_key("5", "5") == "5"


def test_commands_are_found_by_key() -> None:
    assert command_for("?", "bench") == "help"
    assert command_for(" ", "bench") == "pause"
    assert command_for("1", "walk") == "walk.true"
    assert command_for("!", "bench") == ""


FEET = {"part": ("refit", "summary", "pause", "help"), "place": ("anytime", "closebag", "pause", "help"), "field": ()}
"""The bench's feet: a place of the table, and what of the rest stands in it."""


@pytest.mark.parametrize("width", [60, 72, 80, 100])
@pytest.mark.parametrize("layout", ["", "left"])
def test_a_foot_leaves_out_its_least_used_keys_and_never_the_way_to_the_others(layout: str, width: int) -> None:
    keymap, _ = keymap_of(Settings(keys=KeySettings(layout=layout)))
    for place, beside in FEET.items():
        keys = [*keymap.keys_of(place), *map(keymap.key, beside)]
        shown = KeysLine(id="keys").fitting(keys, width)
        assert [key for key in keys if key in shown] == shown
        assert sum(len(f" {key.shown} {key.label} ") for key in shown) <= width
        left_out = [key.id for key in keys if key not in shown]
        kept = {"more", "more.place", "help", "help.field", "back", "back.place"} & {key.id for key in keys}
        assert not kept & set(left_out), (place, left_out)
        known = [id for id in LEFT_OUT if id in {key.id for key in keys}]
        assert set(left_out) <= set(known) or set(known) <= set(left_out), (place, left_out)


def test_what_is_left_out_first_is_a_key_of_the_table() -> None:
    assert {*LEFT_OUT, *NEVER_LEFT_OUT} <= {key.id for key in KEYS}
    assert not set(LEFT_OUT) & NEVER_LEFT_OUT
