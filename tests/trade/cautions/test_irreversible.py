"""What cannot be undone is known by its words (common practice, no source)."""

from __future__ import annotations

import pytest

from putback.trade.cautions.irreversible import cannot_be_undone, is_kept_as_found


@pytest.mark.parametrize(
    ("words", "act"),
    [
        ("repaint the lid", "repaint"),
        ("Re-plate the dials", "Re-plate"),
        ("polish the brass rim", "polish"),
        ("drill out the rivet", "drill"),
        ("retap hole 3", "retap"),
        ("throw the old cord away", "throw the old cord away"),
        ("have it nickel plated", "nickel plated"),
        ("bead-blast the frame", "bead-blast"),
        ("clean the plate", ""),
        ("oil the hinge", ""),
        ("find the paint maker", ""),
        ("file the photos", ""),
    ],
)
def test_the_act_is_named_as_it_was_said(words: str, act: str) -> None:
    assert cannot_be_undone(words) == act


def test_only_a_machine_kept_as_found_is_asked_about() -> None:
    assert is_kept_as_found("keep as found") and is_kept_as_found("kept As Found, for the museum")
    assert not is_kept_as_found("run") and not is_kept_as_found("")
