"""Tools by kind and size: two spellings of one tool are one (names of tools: common practice, no source)."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.sizing.drivers import blades
from putback.trade.sizes.tools import Tool, read_tool


@pytest.mark.parametrize(
    ("spellings", "called"),
    [
        (("driver 1.0 x 6", "Driver 1 x 6", "screwdriver 1.0x6", "blade 1.0 x 6.0", "1,0 x 6 driver"), "blade 1 x 6"),
        (("driver 1.0 x 5.5", "blade 1 x 5.5"), "blade 1 x 5.5"),
        (("spanner 7/16", "wrench 7/16", "7/16 Wrench", 'spanner 7/16"', "spanner 0.4375 in"), "spanner 7/16"),
        (("spanner 13", "13 mm spanner", "open-ended spanner 13mm", "wrench 13.0"), "spanner 13 mm"),
        (("hex key 5/64", "hexagon key 5/64", "hex wrench 5/64 in"), "hexagon key 5/64"),
        (("PH2", "driver PH 2", "cross-head screwdriver no 2", "cross number 2"), "cross number 2"),
        # BS 57: a 6BA nut is .193 in across the flats, as heads.csv has it
        (("spanner 6BA", "6 BA spanner", "spanner .193 in"), "spanner .193 in"),
        (("round-nose pliers", "Round nose  pliers"), "round nose pliers"),
        # 11/32 in four figures, as a table prints it
        (("spanner 11/32", "spanner 0.3438 in"), "spanner 11/32"),
    ],
)
def test_one_tool_in_several_spellings(spellings: tuple[str, ...], called: str) -> None:
    assert {read_tool(words).called for words in spellings} == {called}
    assert len({read_tool(words) for words in spellings}) == 1


def test_different_tools_stay_different() -> None:
    words = [
        "driver 1 x 6", "driver 1 x 5.5", "driver 1.2 x 6", "driver PH2", "driver PH1", "driver", "spanner 7/16",
        "spanner 7", "spanner 16", "ring spanner 7/16", "hex key 7/16", "spanner 1/4 BSF", "spanner 1/4",
        "pin punch 3", "pin punch 3/32", "winding key", "winding key 1/4 square", "third hand", "3rd hand", "",
    ]  # fmt: skip
    for one, other in combinations(words, 2):
        assert read_tool(one) != read_tool(other), (one, other)


def test_every_standard_blade_is_the_driver_of_that_size() -> None:
    """ISO 2380-1 tips, as the table of blades has them."""
    for blade in blades():
        assert read_tool(f"blade {blade.name}") == read_tool(f"driver {float(blade.tip)} x {float(blade.wide)}")


@given(st.one_of(st.text(), st.text(alphabet='0123456789./ x"mBAin')))
def test_anything_typed_is_some_tool(text: str) -> None:
    tool = read_tool(text)
    assert isinstance(tool, Tool)
    assert read_tool(f"  {text.upper()} ") == read_tool(text.upper())
