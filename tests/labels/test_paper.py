"""Label sheets: the grids stay on their paper, and bad ones are refused."""

import pytest

from putback.errors import BadInput
from putback.labels.paper import GRIDS, PAPERS, Grid, centred, grid, shifted


def test_papers_have_their_standard_sizes() -> None:
    assert PAPERS["A4"] == (210, 297)  # ISO 216
    assert PAPERS["Letter"] == pytest.approx((215.9, 279.4))  # ANSI/ASME Y14.1: 8.5 x 11 in


@pytest.mark.parametrize("name", GRIDS)
def test_every_label_of_every_grid_lies_on_the_paper_and_none_overlap(name: str) -> None:
    on = GRIDS[name]
    wide, high = on.size
    seen: list[tuple[float, float]] = []
    for sheet, left, top in on.places(on.per_sheet):
        assert sheet == 0
        assert left >= 0 and top >= 0
        assert left + on.width <= wide + 0.06 and top + on.height <= high + 0.06
        assert all(abs(left - x) >= on.width - 0.06 or abs(top - y) >= on.height - 0.06 for x, y in seen)
        seen.append((left, top))


@pytest.mark.parametrize("name", GRIDS)
def test_the_grids_stand_in_the_middle(name: str) -> None:
    on = GRIDS[name]
    wide, high = on.size
    right = wide - on.left - (on.columns - 1) * on.across - on.width
    bottom = high - on.top - (on.rows - 1) * on.down - on.height
    assert right == pytest.approx(on.left, abs=0.3)
    assert bottom == pytest.approx(on.top, abs=0.3)


def test_places_start_at_any_free_label_and_run_on_to_the_next_sheet() -> None:
    on = grid("A4 5x13")
    places = list(on.places(3, start=64))
    assert [sheet for sheet, _, _ in places] == [0, 0, 1]
    assert places[2][1:] == (on.left, on.top)
    for start in (0, 66, -1):
        with pytest.raises(BadInput, match="labels 1 to 65"):
            list(on.places(1, start))


def test_names() -> None:
    assert grid("A4") is GRIDS["A4 plain"]
    assert grid(" letter  PLAIN ") is GRIDS["Letter plain"]
    assert grid("letter 2x5") is GRIDS["Letter 2x5"]
    with pytest.raises(BadInput, match="A5 is not a label sheet known here; there is A4 plain"):
        grid("A5")


def test_plain_paper_gets_as_many_labels_as_fit() -> None:
    on = centred("A4", 50, 30, gap=2)
    assert (on.columns, on.rows) == (3, 9)  # 3 * 50 + 2 * 2 <= 200; 9 * 30 + 8 * 2 = 286 <= 287
    assert on.cut_marks
    assert shifted(on, right=1, down=-0.5).left == on.left + 1


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: centred("A4", 300, 30), "does not fit A4"),
        (lambda: centred("A4", 0, 30), "above 0"),
        (lambda: centred("B5", 30, 30), "B5 is not a paper"),
        (lambda: Grid("A4", 70, 37, 4, 8, 0, 0, 70, 37), "4 by 8 labels need 280.0 x 296.0 mm, A4 is 210.0"),
        (lambda: Grid("A4", 70, 37, 3, 8, 0, 0, 60, 37), "overlap"),
        (lambda: Grid("A4", 70, 37, 0, 8, 0, 0, 70, 37), "at least one"),
        (lambda: Grid("foolscap", 70, 37, 1, 1, 0, 0, 70, 37), "not a paper"),
    ],
)
def test_bad_grids_are_refused(make: object, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        make()  # type: ignore[operator]
