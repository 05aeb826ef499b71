"""TOML is read within bounds: a file made to take gigabytes is refused at once, any other is read as it is."""

from __future__ import annotations

import tomllib
import tracemalloc
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadSessionFile
from putback.settings import read_settings
from putback.toml_text import DEEPEST, TooDeep, read_toml
from putback.trade.files.fastener_rows import MOST_AT_A_STEP
from putback.trade.files.session_file import read_session_file

SAMPLES = Path(__file__).parents[1] / "sample_sessions"

LONG = 30_000

BOMBS = {
    "key": ".".join("a" * LONG) + " = 1\n",
    "with blanks": " . ".join("a" * LONG) + " = 1\n",
    "quoted": ".".join(['"a"'] * LONG) + " = 1\n",
    "both quotes": ".".join(['"a"', "'b'", "c"] * (LONG // 3)) + " = 1\n",
    "table": "[" + ".".join("a" * LONG) + "]\n",
    "tables": "[[" + ".".join("a" * LONG) + "]]\n",
    "inline": "x = { " + ".".join("a" * LONG) + " = 1 }\n",
    "behind a text": 'x = "\\""\n' + ".".join("a" * LONG) + " = 1\n",
    "behind a remark": "# it's\n" + ".".join("a" * LONG) + " = 1\n",
    "behind lines": 'x = """\n"quoted" it\'s \\"\n"""\n' + ".".join("a" * LONG) + " = 1\n",
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_a_key_of_thirty_thousand_parts_costs_nothing(bomb: str) -> None:
    tracemalloc.start()
    try:
        with pytest.raises(TooDeep):
            read_toml(BOMBS[bomb])
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 3_000_000
    assert "nested too deep" in read_settings(BOMBS[bomb])[1][0].text
    with pytest.raises(BadSessionFile, match="nested too deep"):
        read_session_file(BOMBS[bomb], "bomb.toml", now=datetime(2025, 3, 1, tzinfo=UTC))


WORDY = ".".join("a" * 40)


@pytest.mark.parametrize(
    "text",
    [
        f'note = "{WORDY}"', f"note = '{WORDY}'", f"# {WORDY}", f'note = """\n{WORDY}\n"""',
        f"note = '''{WORDY}'''",
        f"x = 1 # it's {WORDY}", "a.b.c = 1", f'"{WORDY}" = 1', "x = [1.5, 2.5, 3.5]\ny = { a.b = 1.5, c.d = 2.5 }",
        "x = 2025-03-01T10:00:00.5", ".".join("a" * DEEPEST) + " = 1",
    ],
)  # fmt: skip
def test_what_only_looks_like_a_long_key_is_read(text: str) -> None:
    assert read_toml(text) == tomllib.loads(text)


def test_a_key_one_part_longer_is_refused() -> None:
    with pytest.raises(TooDeep):
        read_toml(".".join("a" * (DEEPEST + 1)) + " = 1")


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_the_samples_are_read_as_ever(path: Path) -> None:
    text = path.read_text("utf-8")
    assert read_toml(text) == tomllib.loads(text)


@given(st.text("ab.\"'#=\n []{},\\", max_size=80))
def test_it_refuses_nothing_that_is_short_and_reads_it_alike(text: str) -> None:
    try:
        expected: object = tomllib.loads(text)
    except ValueError as fault:
        expected = type(fault)
    try:
        found: object = read_toml(text)
    except ValueError as fault:
        found = type(fault)
    assert found == expected or (found is TooDeep and text.count(".") >= DEEPEST)


def test_a_number_of_too_many_digits_is_a_finding() -> None:
    assert "too many digits" in read_settings("x = " + "9" * 5000)[1][0].text


def test_twenty_thousand_fasteners_in_one_step_are_refused_with_a_sentence() -> None:
    row = '{hole = "1", kind = "washer", od = ".5"},'
    step = '[[session.step]]\ndo = "take off"\npart = "lid"\nbag = 1\n'
    text = f'[machine]\nname = "press"\n[[session]]\n{step}fasteners = [{row * 20_000}]\n'
    with pytest.raises(BadSessionFile, match=f"20,000 are too many; a step holds at most {MOST_AT_A_STEP:,}"):
        read_session_file(text, "heap.toml", now=datetime(2025, 3, 1, tzinfo=UTC))
