"""Ways out for a thread that cannot be had."""

import pytest

from putback.sizing.replacing import MODERN, Replacement, replacements
from putback.sizing.threads import all_threads, thread_named


def ways(name: str) -> tuple[Replacement, ...]:
    thread = thread_named(name)
    assert thread is not None
    return replacements(thread)


def test_the_same_thread_goes_straight_in() -> None:
    """1/8-40 is #5-40: equal diameter, pitch and angle."""
    first = ways("1/8-40 NS")[0]
    assert (first.thread.name, first.change) == ("#5-40 UNC", "")


def test_the_other_angle_is_said() -> None:
    first = ways("1/4 BSW")[0]
    assert first.thread.name == "1/4-20 UNC" and "55 against 60" in first.change


def test_otherwise_the_next_larger_is_drilled_and_tapped() -> None:
    first = ways("#9-32 NS")[0]
    assert first.thread.name == "#10-24 UNC" and first.change.startswith("drill #25 and tap #10-24 UNC")


@pytest.mark.parametrize("series", ["NS", "BA", "BSF", "CEI", "old metric", "Loewenherz"])
def test_every_obsolete_thread_has_a_way_out(series: str) -> None:
    for thread in all_threads():
        if thread.series == series and 1.2 < thread.major < 24:
            found = replacements(thread)
            assert found and all(r.thread.series in MODERN for r in found), thread.name
            assert all(r.thread.major >= thread.major * 99 / 100 for r in found)
