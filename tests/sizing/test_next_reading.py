"""The next reading: the one with the largest expected gain of those not taken, by the instruments at hand."""

from typing import Any

import pytest

from putback.sizing.evidence import shape_of
from putback.sizing.instruments import TOOLS, Tool, Way
from putback.sizing.next_reading import next_reading


def ask(
    *names: str,
    shares: tuple[float, ...] = (),
    crest: Way | None = "caliper",
    pitch: Way | None = "leaf",
    plate: Way | None = None,
    have: tuple[Tool, ...] = TOOLS,
) -> str | None:
    shares = shares or tuple(1 / len(names) for _ in names)
    rivals = [(shape_of(n), p) for n, p in zip(names, shares, strict=True)]
    found = next_reading(rivals, crest=crest, pitch=pitch, plate=plate, have=have)
    return None if found is None else found.reading


@pytest.mark.parametrize(
    ("names", "taken", "reading"),
    [
        (("#8-32 UNC", "#8-36 UNF"), {"pitch": None}, "tpi"),
        (("#6-32 UNC", "#8-32 UNC", "#10-32 UNF"), {"crest": None}, "od"),
        (("5/16-18 UNC", "5/16 BSW"), {}, "flank-angle"),
        (("M6x1", "0BA"), {}, "flank-angle"),
        (("M8x1", "5/16-26 CEI"), {}, "ten-pitches"),
        (("#12-32 UNEF", "7/32-32 NS"), {}, "nut"),
        (("1/4-20 UNC", "#14-20 NS"), {"pitch": None, "crest": None, "plate": "plate"}, "od"),
        # taken by a poor instrument: the same reading again, by a better one
        (("#8-32 UNC", "#8-36 UNF"), {"pitch": "eye"}, "tpi"),
        (("#8-32 UNC", "#10-32 UNF"), {"crest": "eye"}, "od"),
        # the instruments at hand
        (("#8-32 UNC", "#8-36 UNF"), {"pitch": None, "have": ("rule",)}, "tpi"),
        (("#8-32 UNC", "#8-36 UNF"), {"pitch": None, "have": ("caliper",)}, "ten-pitches"),
        (("M8x1", "5/16-26 CEI"), {"have": ("pitch gauge",)}, "nut"),
        (("M6x1", "0BA"), {"have": ()}, "flank-angle"),
        (("M5x0.8", "M8x1.25"), {"crest": None, "pitch": None, "have": ("rule",)}, "tpi"),
        (("#6-32 UNC", "1/4-32 UNEF"), {"crest": None, "have": ("rule",)}, "od"),
        (("#6-32 UNC", "#8-32 UNC"), {"crest": None, "have": ()}, "nut"),
        (("#8-32 UNC",), {"pitch": None, "have": ()}, "nut"),
        (("#8-32 UNC", "#10-32 UNF"), {"crest": None, "have": ("gauge plate",)}, "gauge"),
        (("#8-32 UNC",), {"pitch": None}, "tpi"),
        (("#8-32 UNC",), {"crest": None}, "od"),
    ],
)
def test_the_reading_that_parts_them(names: tuple[str, ...], taken: dict[str, Any], reading: str) -> None:
    assert ask(*names, **taken) == reading


HAVE: tuple[tuple[Tool, ...], ...] = (
    (),
    ("pitch gauge",),
    ("rule",),
    ("nuts",),
    ("caliper",),
    ("gauge plate",),
    ("pitch gauge", "rule"),
)


@pytest.mark.parametrize("have", HAVE)
def test_only_what_is_at_hand_is_asked_for(have: tuple[Tool, ...]) -> None:
    needs: dict[str, set[Tool]] = {
        "tpi": {"pitch gauge", "rule"}, "od": {"caliper", "rule"}, "ten-pitches": {"caliper"}, "gauge": {"gauge plate"},
    }  # fmt: skip
    for names in (("#8-32 UNC", "#8-36 UNF"), ("M8x1", "5/16-26 CEI"), ("#6-32 UNC", "#8-32 UNC"), ("5/16-18 UNC",)):
        for crest, pitch in ((None, "leaf"), ("caliper", None), (None, None), ("eye", "eye"), ("rule", "rule")):
            found = ask(*names, crest=crest, pitch=pitch, have=have)  # type: ignore[arg-type]
            assert found in ("flank-angle", "nut", None) or needs[found] & set(have)


def test_nothing_is_asked_that_was_read() -> None:
    for names in (("#8-32 UNC", "#8-36 UNF"), ("M8x1", "5/16-26 CEI"), ("#6-32 UNC", "#8-32 UNC")):
        assert ask(*names, pitch="ten") not in ("od", "tpi", "ten-pitches")


RULE: tuple[Tool, ...] = ("rule",)


def test_why_names_the_values() -> None:
    rivals = [(shape_of("#8-32 UNC"), 0.5), (shape_of("#8-36 UNF"), 0.5)]
    text = next_reading(rivals, crest="caliper")
    assert text is not None and text.why == "count the pitch: 32 or 36?"
    text = next_reading(rivals, crest="caliper", have=RULE)
    assert text is not None and text.why == "count the pitch by rule: 32 or 36?"


def test_the_small_fry_do_not_decide() -> None:
    """Two that differ in angle lead; a third, far behind, differs in pitch: the angle is asked."""
    assert ask("5/16-18 UNC", "5/16 BSW", "5/16-24 UNF", shares=(0.5, 0.48, 0.02), pitch=None) == "flank-angle"
