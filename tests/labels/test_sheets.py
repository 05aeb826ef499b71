"""Label sheets by name and by measures."""

from __future__ import annotations

import pytest

from putback.errors import BadInput
from putback.labels.paper import GRIDS
from putback.labels.sheets import read_sheet


def test_a_sheet_is_known_by_its_name() -> None:
    assert read_sheet("a4 3X7") == GRIDS["A4 3x7"] and read_sheet("Letter") == GRIDS["Letter plain"]


def test_a_sheet_is_known_by_its_measures() -> None:
    """The measures of a sheet that has a name give the same sheet."""
    assert read_sheet("A4", label="63.5x38.1", rows="3x7", edge="7.2x15.15", step="66x38.1") == GRIDS["A4 3x7"]
    inches = read_sheet("letter", label="4x2in", rows="2x5", edge="0.15625x0.5in", step="4.1875x2in")
    assert inches == GRIDS["Letter 2x5"]


def test_a_label_on_plain_paper_is_repeated_with_cut_marks() -> None:
    on = read_sheet("A4", label="50 x 25 mm")
    assert (on.columns, on.rows, on.cut_marks) == (4, 11, True)


def test_labels_of_a_cut_sheet_stand_in_the_middle_where_no_edge_is_said() -> None:
    on = read_sheet("A4", label="70x37", rows="3x8")
    assert (on.left, on.top, on.cut_marks) == (0.0, 0.5, False)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ({"paper": "A9"}, "not a label sheet known"),
        ({"paper": "A4 3x7", "label": "50x25"}, "has labels of its own"),
        ({"label": "wide"}, "two measures are wanted"),
        ({"label": "50x25", "rows": "three"}, "columns and rows are wanted"),
        ({"rows": "3x7"}, "--grid needs --label"),
        ({"edge": "3x7"}, "--edge needs --label"),
        ({"label": "50x25", "edge": "3x7"}, "--edge and --step need --grid"),
        ({"label": "60x40", "rows": "9x9"}, "9 by 9 labels need"),
        ({"label": "60x40", "rows": "2x2", "step": "50x40"}, "overlap"),
        ({"label": "60x40", "rows": "0x2"}, "at least one row"),
        ({"label": "300x400"}, "does not fit A4"),
        ({"label": "60x40", "rows": "3x7", "edge": "40x3"}, "A4 is 210.0 x 297.0 mm"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused(words: dict[str, str], message: str) -> None:
    with pytest.raises(BadInput, match=message):
        read_sheet(**words)
