"""The next reading: the one with the largest expected gain of those not taken."""

import pytest

from putback.sizing.asking import next_reading
from putback.sizing.evidence import shape_of


def ask(*names: str, shares: tuple[float, ...] = (), **taken: bool) -> str | None:
    shares = shares or tuple(1 / len(names) for _ in names)
    rivals = [(shape_of(n), p) for n, p in zip(names, shares, strict=True)]
    told = next_reading(rivals, **{"crest": True, "leaf": True, "ten": False, "plate": False, **taken})
    return None if told is None else told.reading


@pytest.mark.parametrize(
    ("names", "taken", "reading"),
    [
        (("#8-32 UNC", "#8-36 UNF"), {"leaf": False}, "tpi"),
        (("#6-32 UNC", "#8-32 UNC", "#10-32 UNF"), {"crest": False}, "od"),
        (("5/16-18 UNC", "5/16 BSW"), {}, "flank-angle"),
        (("M6x1", "0BA"), {}, "flank-angle"),
        (("M8x1", "5/16-26 CEI"), {}, "ten-pitches"),
        (("#12-32 UNEF", "7/32-32 NS"), {}, "nut"),
        (("1/4-20 UNC", "#14-20 NS"), {"leaf": False, "crest": False, "plate": True}, "od"),
    ],
)
def test_the_reading_that_parts_them(names: tuple[str, ...], taken: dict[str, bool], reading: str) -> None:
    assert ask(*names, **taken) == reading


def test_nothing_is_asked_that_was_read() -> None:
    for names in (("#8-32 UNC", "#8-36 UNF"), ("M8x1", "5/16-26 CEI"), ("#6-32 UNC", "#8-32 UNC")):
        assert ask(*names, ten=True) not in ("od", "tpi", "ten-pitches")


def test_why_names_the_values() -> None:
    rivals = [(shape_of("#8-32 UNC"), 0.5), (shape_of("#8-36 UNF"), 0.5)]
    told = next_reading(rivals, crest=True, leaf=False, ten=False, plate=False)
    assert told is not None and told.why == "count the pitch: 32 or 36?"


def test_the_small_fry_do_not_decide() -> None:
    """Two that differ in angle lead; a third, far behind, differs in pitch: the angle is asked."""
    assert ask("5/16-18 UNC", "5/16 BSW", "5/16-24 UNF", shares=(0.5, 0.48, 0.02), leaf=False) == "flank-angle"
