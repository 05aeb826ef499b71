"""The person's settings: what holds, and what is said of the rest."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.settings import FILE, LARGEST, Settings, read_settings, settings_in

WHOLE = """
# mine
[bell]
recorded = false      # the neighbours

[keys]
layout = "laptop"
block = "ZUI HJK BNM"
same = "l"
"refit.other" = ["+", "n"]
card.mend = "m"

[look]
theme = "contrast"
pictures = "off"

[instruments]
have = ["caliper", "gauge plate"]

[labels]
least_module = 0.4
dots = 203
paper = "Letter"

[bench]
hands = "left"
target = 25
"""


def told(text: str) -> list[str]:
    return [found.text for found in read_settings(text)[1]]


def test_every_setting_can_be_said() -> None:
    settings, found = read_settings(WHOLE)
    assert found == ()
    assert (settings.bell.recorded, settings.bell.refused) == (False, True)
    assert (settings.keys.layout, settings.keys.block, settings.layout) == ("laptop", "zuihjkbnm", "laptop")
    assert settings.keys.own == {"same": ("l",), "refit.other": ("+", "n"), "card.mend": ("m",)}
    assert (settings.look.theme, settings.look.pictures) == ("contrast", "off")
    assert settings.instruments.have == ("gauge plate", "caliper")
    assert (settings.labels.least_module, settings.labels.dots, settings.labels.paper) == (0.4, 203, "Letter")
    assert (settings.bench.hands, settings.bench.target) == ("left", 25.0)


def test_an_empty_file_is_no_file() -> None:
    assert read_settings("") == (Settings(), ())
    assert Settings().layout == "keypad"


def test_the_free_hand_chooses_the_layout_unless_one_is_said() -> None:
    assert read_settings("bench.hands = 'left'")[0].layout == "left"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[bel]\nasks = true", "settings.toml, line 1: There is no setting [bel]; there are bell, keys, look,"),
        ("[bell]\n\nrung = true", "settings.toml, line 3: [bell] has no setting rung; it has recorded, refused and"),
        ("[bell]\nasks = 'no'", "settings.toml, line 2: [bell] asks is “no”, and it takes true or false."),
        ("[bench]\ntarget = true", "line 2: [bench] target is true, and it takes a number from 1 to 600 (minutes)."),
        ("[bench]\ntarget = 0", "line 2: [bench] target is 0, and it takes a number from 1 to 600 (minutes)."),
        ("[bench]\ntarget = nan", "line 2: [bench] target is nan, and it takes a number"),
        ("[bench]\nhands = 'both'", "[bench] hands is “both”, and it takes right or left."),
        ("[labels]\ndots = 300.5", "[labels] dots is 300.5, and it takes a whole number from 72 to 4800"),
        ("[labels]\npaper = ''", "[labels] paper is “”, and it takes the name of a sheet."),
        ("[instruments]\nhave = ['caliper', 'eye']", "[instruments] have names “eye”, and it takes a list of some of"),
        ("[instruments]\nhave = 'caliper'", "[instruments] have is “caliper”, and it takes a list of some of"),
        ("[keys]\nlayout = 'dvorak'", "[keys] layout is “dvorak”, and it takes keypad, left or laptop."),
        ("[keys]\nblock = 'yuiopjbnm'", "[keys] block is “yuiopjbnm”, and it takes nine different letters"),
        ("[keys]\nsame = 5", "line 2: [keys] same is 5, and it takes a key, or a list of keys."),
        ("[look]\ntheme = 1979-05-27", "[look] theme is a date or time, and it takes dark, light or contrast."),
        ("bell = 3", "settings.toml, line 1: bell is a table: [bell] on a line of its own"),
        ("[bell]\nasks = \n", "settings.toml, line 2: None of it is read, for it is not TOML: Invalid value."),
        ("[bell]\nasks = true\nasks = false", "None of it is read, for it is not TOML: Cannot overwrite a value."),
        ("x = " + "[" * 5000, "settings.toml: None of it is read"),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence(text: str, sentence: str) -> None:
    (found,) = told(text)
    assert sentence in found
    assert found.endswith(".") and "\n" not in found


def test_the_rest_of_the_file_holds() -> None:
    settings, found = read_settings("[bell]\nasks = 1\nrefused = false\n[look]\ntheme = 'light'\nframe = 2\n")
    assert (settings.bell.asks, settings.bell.refused, settings.look.theme) == (True, False, "light")
    assert [f.line for f in found] == [2, 6]


def test_a_workshop_without_the_file_has_the_settings_as_they_come(tmp_path: Path) -> None:
    assert settings_in(tmp_path) == (Settings(), ())
    assert settings_in(tmp_path / "none") == (Settings(), ())


def test_a_file_that_cannot_be_read_is_said(tmp_path: Path) -> None:
    path = tmp_path / FILE
    path.write_bytes("[bell]\nasks = false".encode("utf-8-sig"))
    assert settings_in(tmp_path)[0].bell.asks is False
    path.write_bytes(b"[bell]\n# \xff")
    assert [f.text for f in settings_in(tmp_path)[1]] == [
        "settings.toml, line 2: It is not UTF-8 text, and is not read."
    ]
    path.write_bytes(b"#" * (LARGEST + 1))
    assert "larger than 64 KB" in settings_in(tmp_path)[1][0].text
    path.unlink()
    path.mkdir()
    assert "not a plain file" in settings_in(tmp_path)[1][0].text
    path.rmdir()
    path.symlink_to(tmp_path / "elsewhere")
    assert "not a plain file" in settings_in(tmp_path)[1][0].text


def test_where_there_is_no_file_the_reader_of_toml_is_not_loaded(tmp_path: Path) -> None:
    program = "import sys, pathlib, putback.settings as s; s.settings_in(pathlib.Path(sys.argv[1]))"
    program += "; print('tomllib' in sys.modules)"
    text = subprocess.run([sys.executable, "-c", program, str(tmp_path)], capture_output=True, text=True, check=True)
    assert text.stdout.strip() == "False"


def test_the_example_in_the_guide_is_sound_and_names_every_setting() -> None:
    guide = (Path(__file__).parents[1] / "docs/guide/settings.md").read_text("utf-8")
    example = guide.split("```toml\n")[1].split("```")[0]
    assert read_settings(example)[1] == ()
    tables = tomllib.loads(example)
    for name, table in {"bell": Settings().bell, "look": Settings().look, "instruments": Settings().instruments,
                        "labels": Settings().labels, "bench": Settings().bench}.items():  # fmt: skip
        assert set(tables[name]) == set(table.__struct_fields__), name
    assert {"layout", "block"} <= set(tables["keys"])


def test_the_template_is_the_guides_example_with_nothing_said() -> None:
    """`putback settings --template`: read as it is it changes nothing, and with its # taken away it is the guide's."""
    root = Path(__file__).parents[1]
    template = (root / "putback/settings.template.toml").read_text("utf-8")
    assert read_settings(template) == (Settings(), ())
    guide = (root / "docs/guide/settings.md").read_text("utf-8").split("```toml\n")[1].split("```")[0]
    lines = template.partition("\n\n")[2].splitlines()
    assert [line.removeprefix("# ").split("#")[0].strip() for line in lines if line.strip("# ")] == [
        line.removeprefix("# ").split("#")[0].strip() for line in guide.splitlines() if line.strip("# ")
    ]


VALUES = st.recursive(
    st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=4,
)


def written(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(map(written, value))}]"
    if isinstance(value, str):
        return '"' + "".join(f"\\U{ord(sign):08x}" for sign in value) + '"'
    return repr(value) if isinstance(value, int) else f"{value:f}"


@given(
    st.sampled_from(["bell", "keys", "look", "instruments", "labels", "bench", "other"]),
    st.sampled_from(["recorded", "layout", "block", "theme", "have", "dots", "target", "same", "x"]),
    VALUES.filter(lambda value: "\ud800" not in str(value)),
)
def test_no_value_stops_the_reading(table: str, name: str, value: object) -> None:
    settings, found = read_settings(f"[{table}]\n{name} = {written(value)}\n[bell]\nasks = false" * (table != "bell"))
    assert all(f.text for f in found)
    assert settings.bell.asks is (table == "bell")
    assert len(found) <= 1
