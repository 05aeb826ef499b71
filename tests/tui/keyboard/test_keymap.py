"""The keys as they hold for one person: layouts, keys of one's own, and what is said where that cannot be."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback import cli
from putback.settings import KeySettings, Settings, read_settings
from putback.tui.keyboard.key_list import PLACES
from putback.tui.keyboard.keymap import DEFAULT, FIGURES, READY, Keymap, groups, keymap_of, read_key, spoken
from putback.tui.keyboard.keys import KEYS, command_for, pressed
from tests.tui.conftest import Opened
from tests.tui.pages.test_pages import WALK

ROOT = Path(__file__).parents[3]


def mapped(text: str) -> tuple[Keymap, list[str]]:
    settings, odd = read_settings(text)
    assert odd == ()
    keymap, found = keymap_of(settings)
    return keymap, [finding.text for finding in found]


def at_work_together(keymap: Keymap) -> None:
    """No key means two commands where both work, and P begins a bag's code everywhere."""
    for places in groups():
        keys = [key for command in keymap.keys_of(*places) for key in command.keys]
        assert len(keys) == len(set(keys)), places
        assert not {"p", "P"} & set(keys)
    # What has no key is chosen from the list alone, as the table has it: no letter is left for it.
    listed = [command.id for command in keymap.keys if not (command.keys and command.shown)]
    assert [id for id in listed if id != "look"] == [key.id for key in KEYS if not key.keys and key.id != "look"]


def test_without_settings_the_table_holds() -> None:
    assert keymap_of(Settings()) == (Keymap(DEFAULT.keys), ())
    assert [(k.id, k.shown) for k in DEFAULT.keys] == [(k.id, k.shown) for k in KEYS]
    for command in KEYS:
        for key in map(pressed, command.keys):
            assert DEFAULT.plain(key, command.where) == key


def test_every_place_of_the_table_has_its_words() -> None:
    assert list(PLACES) == list(dict.fromkeys(key.where for key in KEYS))


@pytest.mark.parametrize("name", READY)
def test_a_layout_gives_each_keypad_key_a_twin_wherever_no_text_is_typed(name: str) -> None:
    keymap, found = mapped(f"keys.layout = '{name}'")
    assert found == []
    at_work_together(keymap)
    twins = READY[name].all
    assert set(twins) >= set("0123456789+-*/")
    for command in KEYS:
        for pad in set(command.keys) & set(twins):
            if command.where != "field":
                assert command_for(keymap.plain(twins[pad], command.where), command.where) == command.id
            assert keymap.plain(pad, command.where) == pad, command.id


@pytest.mark.parametrize("name", READY)
def test_in_a_field_of_any_layout_figures_are_figures_and_letters_letters(name: str) -> None:
    keymap, _ = mapped(f"keys.layout = '{name}'")
    for sign in "0123456789./-+*abcdefghijklmnoqrstuvwxyz ":
        assert keymap.plain(sign, "field") == sign
    assert keymap.plain("tab", "field") == ("enter" if name == "left" else "tab")


@pytest.mark.parametrize("name", READY)
def test_what_a_layout_takes_is_on_the_same_letter_with_shift(name: str) -> None:
    keymap, _ = mapped(f"keys.layout = '{name}'")
    for command in KEYS:
        letters = [key for key in command.keys if len(key) == 1 and key.isalpha()]
        for letter in letters:
            moved = letter.upper() if letter in READY[name].all.values() else letter
            assert command_for(keymap.plain(moved, command.where), command.where) == command.id
    assert keymap.shown("caution") == ("Shift C" if name == "left" else "C")


def test_the_block_is_the_persons_own_where_a_keyboard_has_other_letters() -> None:
    keymap, found = mapped("[keys]\nlayout = 'laptop'\nblock = 'ZUI HJK BNM'")
    assert found == [] and keymap.plain("z", "place", "bench") == "7"
    assert keymap.plain("y", "place", "bench") == "y"
    at_work_together(keymap)
    _, found = mapped("[keys]\nblock = 'ZUI HJK BNM'")
    assert found == ["settings.toml, line 2: [keys] block is not used: there is no block in the layout “keypad”."]
    keymap, found = mapped("[keys]\nlayout = 'laptop'\nblock = 'LUI HJK BNM'")
    assert "L beside the block of “laptop” does something else" in found[0]
    assert keymap.plain("y", "place", "bench") == "7"


def test_two_commands_change_places() -> None:
    keymap, found = mapped("[keys]\nnote = 'c'\ncaution = 't'")
    assert found == []
    assert (keymap.plain("c", "bench"), keymap.plain("t", "bench")) == ("t", "c")
    assert (keymap.shown("note"), keymap.shown("caution")) == ("C", "T")
    assert keymap.words("{caution} warns, {note} notes, {these braces} stay") == "T warns, C notes, {these braces} stay"


def test_keys_of_ones_own_stand_instead_of_the_tables_and_escape_stays() -> None:
    keymap, found = mapped("[keys]\n'refit.next' = ['Space', 'f5']\nrefit.leave = 'x'\nrefit.pause = 'Ctrl+A'")
    assert found == []
    assert keymap.plain(" ", "refit") == keymap.plain("f5", "refit") == "enter"
    assert keymap.plain("enter", "refit") == ""
    assert keymap.plain("escape", "refit") == "escape" and keymap.plain("x", "refit") == "."
    assert keymap.shown("refit.pause") == "Ctrl A"


def test_nine_keys_for_the_places() -> None:
    keymap, found = mapped("[keys]\nwalk.true = 'y'\nplace = ['f1','f2','f3','f4','f5','f6','f7','f8','f9']")
    assert found == [] and keymap.plain("f7", "place", "bench") == "7"
    assert keymap.plain("7", "place", "bench") == ""
    assert keymap.shown("place") == "F1-F9" and keymap.places == tuple("123456789")


def test_the_hole_map_shows_the_letters_that_lie_like_the_places() -> None:
    assert mapped("[bench]\nhands = 'left'")[0].places == tuple("XCVSDFWER") and DEFAULT.places == tuple("123456789")


def test_a_capital_is_its_small_letter_as_with_the_shift_lock_on() -> None:
    assert DEFAULT.plain("N", "part", "bench") == "n"
    assert DEFAULT.plain("N", "field") == "N"


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("nothing = 'n'", "nothing is not a command; putback keys lists them all."),
        ("note = 'hyper'", "note: “hyper” is not a key."),
        ("note = 'Alt+N'", "note: “Alt+N” is not a key."),
        ("note = 'p'", "note cannot be on P: every bag's code begins with it."),
        ("note = 'Shift+P'", "note cannot be on P: every bag's code begins with it."),
        ("note = 'c'", "note cannot be on C: caution (caution) is there."),
        ("same = '7'", "same cannot be on 7: place (place) is there."),
        ("enter = 'g'", "enter cannot be on G: in a field that is typed."),
        ("blank = 'Space'", "blank cannot be on Space: in a field that is typed."),
        ("type = '5'", "type cannot be changed: it is the figures themselves."),
        ("note = 'Ctrl+C'", "note cannot be on Ctrl C: it leaves the program."),
        ("note = 'Ctrl+I'", "note cannot be on Ctrl I: a terminal sends it for Tab."),
        ("note = []", "note has no key; leave the line out to have it as it comes."),
        ("place = 'x'", "place takes nine keys, for 1 to 9."),
        ("note = ['t', 't']", "note has the same key twice."),
        ("trouble = 'x'", "trouble has no key: it is chosen from the list of everything else."),
    ],
)
def test_what_cannot_be_is_said_and_the_rest_holds(line: str, sentence: str) -> None:
    keymap, found = mapped(f"[keys]\nkind = 'k'\nlook = 'f2'\n{line}")
    assert found == [f"settings.toml, line 4: [keys] {sentence}"]
    assert keymap.shown("look") == "F2" and keymap.shown("note") == "T"
    at_work_together(keymap)


def test_of_two_lines_on_one_key_the_first_holds() -> None:
    keymap, found = mapped("[keys]\nnote = 'f2'\ncaution = 'f2'\n")
    assert found == ["settings.toml, line 3: [keys] caution cannot be on F2: note (note) is there."]
    assert (keymap.shown("note"), keymap.shown("caution")) == ("F2", "C")


WRITTEN = st.one_of(
    st.sampled_from([key for command in KEYS for key in command.keys]),
    st.sampled_from(["Shift E", "F4", "Ctrl+F", "ctrl+q", "p", "Ü", "ß", "hyper", "", " ", "ctrl+shift+x"]),
    st.text(max_size=3),
)
OWN = st.dictionaries(
    st.sampled_from([command.id for command in KEYS] + ["nothing"]),
    st.lists(WRITTEN, max_size=3).map(tuple) | st.just(tuple("wersdfxcv")),
    max_size=8,
)


@given(st.sampled_from(["", "left", "laptop"]), OWN)
def test_whatever_is_written_no_key_means_two_things_and_nothing_is_lost(
    layout: str, own: dict[str, tuple[str, ...]]
) -> None:
    keymap, found = keymap_of(Settings(keys=KeySettings(layout=layout, own=own)))
    at_work_together(keymap)
    assert [key.id for key in keymap.keys] == [key.id for key in KEYS]
    assert len(found) <= len(own) and all(finding.what.endswith(".") for finding in found)
    refused = {finding.what.split()[1].rstrip(":") for finding in found}
    for id in set(own) - refused:
        assert set(map(read_key, own[id])) <= set(keymap.key(id).keys)


@given(st.sampled_from([pressed(key) for command in KEYS for key in command.keys]))
def test_a_key_is_read_as_it_is_printed(key: str) -> None:
    assert read_key(spoken(key)) == key


# -- on the screen -----------------------------------------------------------------------------------


async def test_a_panel_comes_off_under_the_left_hand(demo: Path, opened: Opened) -> None:
    (demo / "settings.toml").write_text("[bench]\nhands = 'left'\n")
    async with opened(demo) as bench:
        foot = bench.picture().splitlines()
        assert any("X right" in row and "C wrong" in row and "Z later" in row for row in foot)
        await bench.keys("x", "x", "x", "s")
        assert bench.app.screen.hand.form.hole == "4"  # type: ignore[attr-defined]
        assert re.search("▶.*D +F ", bench.picture()) and "X" in bench.picture()  # empty places show their keys
        await bench.keys("632", "tab", "372", "tab", "g")
        assert bench.picture().splitlines()[-1].lstrip().startswith("X-R place  G same again  A part off  Q take back")
        step = bench.app.workshop.record.open_step(bench.app.machine_id)
        assert step is not None
        assert [t.hole for t in bench.app.workshop.record.things_of(step)] == ["4", "6"]
        await bench.keys("q", "a")
        assert bench.app.workshop.record.open_step(bench.app.machine_id) is None
        await bench.keys("C", "wear gloves", "enter", "x")
        assert bench.app.workshop.record.last_step(bench.app.machine_id).cautions == ("wear gloves",)  # type: ignore[union-attr]
        await bench.keys("z", "g")
        assert "caution       Shift C" in bench.picture()
        await bench.keys("z", "?")
        assert "Q   W  E  R   T" in bench.picture() and "-   7  8  9   *" in bench.picture()


async def test_a_key_given_away_does_nothing_and_the_footer_shows_the_new_one(demo: Path, opened: Opened) -> None:
    (demo / "settings.toml").write_text("[keys]\nrefit = 'f9'\n[bell]\nasks = false\n")
    async with opened(demo, (120, 36)) as bench:
        await bench.keys(*WALK, "r")
        assert bench.screen == "BenchScreen"
        assert "F9 refit" in bench.picture()
        bench.app.simulate_key("f9")
        await bench.settle()
        assert bench.screen == "RefitScreen"


# -- beside the screen -------------------------------------------------------------------------------


def test_the_command_line_lists_them_as_they_hold(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "settings.toml").write_text("[keys]\nnote = 'f2'\nloose = 'p'\n")
    assert cli.main(["keys", "--workshop", str(tmp_path)]) == 0
    out, err = capsys.readouterr()
    assert re.search(r"^  F2 +note +A note on this step", out, re.MULTILINE)
    assert err == "putback: settings.toml, line 3: [keys] loose cannot be on P: every bag's code begins with it.\n"
    assert cli.main(["keys", "--json", "--workshop", str(tmp_path)]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert [row["id"] for row in rows] == [key.id for key in KEYS]
    told = "A note on this step: typed, or a figure and Enter for one of nine phrases, your last ones first."
    assert {"id": "note", "where": "bench", "keys": ["F2"], "label": "note", "told": told} in rows


def test_the_readme_tells_the_keys_of_the_table() -> None:
    text = (ROOT / "README.md").read_text("utf-8").split("## The keys")[1].split("\n## ")[0]
    rows = [line.split("|") for line in text.splitlines() if line.startswith("| `")]
    found = {key for row in rows for key in re.findall(r"`(\S+?)`", row[1])}
    wanted = {key for command in DEFAULT.keys_of("part", "place") for key in command.keys} - {"backspace"}
    assert {"1-9"} | found == {spoken(k) for k in wanted - set(FIGURES)} | {"1-9", "1", "9"}
    letters = set(re.findall(r"`([A-Z]|Space|Tab|[?=])`", text)) - {"P"}
    assert letters <= {key.shown for key in DEFAULT.keys_of("bench")}
    assert "P" not in {key.shown for key in DEFAULT.keys}


def test_the_guide_draws_the_layouts_as_they_are() -> None:
    text = (ROOT / "docs/guide/settings.md").read_text("utf-8")
    for layout in READY.values():
        for row, (before, behind) in enumerate(layout.rows):
            letters = "  ".join(layout.block[3 * row : 3 * row + 3].upper())
            assert f"{spoken(before)}   {letters}   {spoken(behind)}" in text, layout.name
