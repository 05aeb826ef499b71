"""The quick units against pint, and the cost of importing the floor."""

import subprocess
import sys
from fractions import Fraction

import pint
import pytest

from putback.errors import Unreadable
from putback.sizing.units import in_unit, unit_size


def test_own_units_agree_with_pint() -> None:
    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
    for own, theirs in (("mm", "millimeter"), ("in", "inch"), ("inch", "inch"), ("thou", "thou")):
        assert unit_size(own) == registry.Quantity(Fraction(1), theirs).to("mm").magnitude


@pytest.mark.parametrize(
    ("name", "mm"), [("cm", 10), ("foot", Fraction(3048, 10)), ("um", Fraction(1, 1000)), ("yard", Fraction(9144, 10))]
)
def test_others_go_through_pint(name: str, mm: Fraction) -> None:
    assert unit_size(name) == mm


@pytest.mark.parametrize("name", ["kg", "s", "xyzzy", "degC", "e", "c"])
def test_no_length(name: str) -> None:
    with pytest.raises(Unreadable, match="not a unit of length"):
        unit_size(name)


def test_in_unit() -> None:
    assert in_unit(Fraction(254, 10), "in") == 1
    assert in_unit(Fraction(254, 10), "mm") == Fraction(254, 10)


def test_sizing_without_pint_and_quickly() -> None:
    """A whole answer needs no pint; importing the package costs at most 30 ms of this processor."""
    code = (
        "import sys, time; start = time.process_time(); import putback.sizing; spent = time.process_time() - start;"
        "from putback.sizing import Readings, snap; snap(Readings(od='.164', tpi='32', length='11.2mm'));"
        "assert 'pint' not in sys.modules; print(spent)"
    )
    best = min(
        float(subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True).stdout)
        for _ in range(3)
    )
    assert best < 0.030
