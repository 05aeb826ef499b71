"""Sheets of labels: paper, grid, and where each label lies. All measures in millimetres."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from putback.errors import BadInput

INCH = 25.4
PAPERS = {"A4": (210.0, 297.0), "Letter": (8.5 * INCH, 11 * INCH)}
"""Width and height of the papers, upright (ISO 216; ANSI/ASME Y14.1)."""
ROLL = "roll"
"""The paper of a label printer: each label is a page of its own size."""
_SLACK = 0.05


@dataclass(frozen=True, slots=True)
class Grid:
    """A sheet with labels in rows and columns. Raises BadInput when they do not fit the paper."""

    paper: str
    """A4, Letter, or roll: a page of one label's own size."""
    width: float
    """Of one label."""
    height: float
    """Of one label."""
    columns: int
    """Labels beside one another."""
    rows: int
    """Labels above one another."""
    left: float
    """From the paper's edge to the first label."""
    top: float
    """From the paper's edge to the first label."""
    across: float
    """From one label's left edge to the next one's."""
    down: float
    """From one label's top edge to the next one's."""
    cut_marks: bool = False
    """Whether to print marks to cut by: for plain paper, not for sheets that are cut already."""
    round: bool = False
    """Whether the labels are discs; width and height are then the diameter."""

    def __post_init__(self) -> None:
        if self.paper not in (*PAPERS, ROLL):
            raise BadInput(f"{self.paper} is not a paper known here; there is {' and '.join(PAPERS)}")
        measures = (self.width, self.height, self.across, self.down)
        if min(self.columns, self.rows) < 1 or min(measures) <= 0 or min(self.left, self.top) < 0:
            raise BadInput("a label grid needs at least one row and column, and measures above 0")
        if self.across < self.width - _SLACK or self.down < self.height - _SLACK:
            raise BadInput("the labels of this grid overlap: the step from one to the next is too small")
        right = self.left + (self.columns - 1) * self.across + self.width
        bottom = self.top + (self.rows - 1) * self.down + self.height
        wide, high = self.size
        if right > wide + _SLACK or bottom > high + _SLACK:
            raise BadInput(
                f"{self.columns} by {self.rows} labels need {right:.1f} x {bottom:.1f} mm,"
                f" {self.paper} is {wide:.1f} x {high:.1f} mm"
            )

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the paper."""
        return (self.width, self.height) if self.paper == ROLL else PAPERS[self.paper]

    @property
    def print_size(self) -> tuple[float, float]:
        """Width and height of what may be printed on: the label, or the 4 to 3 rectangle in a disc."""
        return (self.width * 0.8, self.height * 0.6) if self.round else (self.width, self.height)

    @property
    def per_sheet(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    def places(self, count: int, start: int = 1) -> Iterator[tuple[int, float, float]]:
        """Sheet (from 0), left and top of `count` labels, the first at the `start`th place of its sheet.

        Row by row. Raises BadInput when the sheet has no such place.
        """
        if not 1 <= start <= self.per_sheet:
            raise BadInput(f"the sheet has labels 1 to {self.per_sheet}, so none can start at {start}")
        for place in range(start - 1, start - 1 + count):
            sheet, on_sheet = divmod(place, self.per_sheet)
            row, column = divmod(on_sheet, self.columns)
            yield sheet, self.left + column * self.across, self.top + row * self.down


def centred(paper: str, width: float, height: float, *, gap: float = 0.0, margin: float = 5.0) -> Grid:
    """As many labels of a size as fit on plain paper inside `margin`, in its middle, with cut marks.

    Raises BadInput when not even one fits.
    """
    if paper not in PAPERS:
        raise BadInput(f"{paper} is not a paper known here; there is {' and '.join(PAPERS)}")
    if width <= 0 or height <= 0:
        raise BadInput("a label needs a width and a height above 0")
    wide, high = PAPERS[paper]
    columns = int((wide - 2 * margin + gap + _SLACK) // (width + gap))
    rows = int((high - 2 * margin + gap + _SLACK) // (height + gap))
    if columns < 1 or rows < 1:
        raise BadInput(f"a label of {width:g} x {height:g} mm does not fit {paper}")
    return Grid(
        paper,
        width,
        height,
        columns,
        rows,
        left=(wide - columns * width - (columns - 1) * gap) / 2,
        top=(high - rows * height - (rows - 1) * gap) / 2,
        across=width + gap,
        down=height + gap,
        cut_marks=True,
    )


def roll(width: float, height: float) -> Grid:
    """Labels of a size on a roll or tape, one a page."""
    return Grid(ROLL, width, height, 1, 1, 0.0, 0.0, width, height)


def discs(of: Grid) -> Grid:
    """The same grid with round labels of its labels' width."""
    return replace(of, round=True)


def _inches(columns: int, rows: int, *measures: float) -> Grid:
    width, height, left, top, across, down = (measure * INCH for measure in measures)
    return Grid("Letter", width, height, columns, rows, left, top, across, down)


GRIDS = {
    "A4 plain": centred("A4", 63.5, 38.1),
    "A4 3x7": Grid("A4", 63.5, 38.1, 3, 7, 7.2, 15.15, 66.0, 38.1),
    "A4 3x8": Grid("A4", 70.0, 37.0, 3, 8, 0.0, 0.5, 70.0, 37.0),
    "A4 2x7": Grid("A4", 99.1, 38.1, 2, 7, 4.65, 15.15, 101.6, 38.1),
    "A4 2x4": Grid("A4", 99.1, 67.7, 2, 4, 4.65, 13.1, 101.6, 67.7),
    "A4 5x13": Grid("A4", 38.1, 21.2, 5, 13, 4.75, 10.7, 40.6, 21.2),
    "Letter plain": centred("Letter", 63.5, 38.1),
    "Letter 3x10": _inches(3, 10, 2.625, 1, 0.1875, 0.5, 2.75, 1),
    "Letter 2x10": _inches(2, 10, 4, 1, 0.15625, 0.5, 4.1875, 1),
    "Letter 2x5": _inches(2, 5, 4, 2, 0.15625, 0.5, 4.1875, 2),
    "Letter 4x20": _inches(4, 20, 1.75, 0.5, 0.28125, 0.5, 2.0625, 0.5),
    "roll 62x29": roll(62, 29),
    "roll 57x32": roll(57, 32),
    "roll 54x25": roll(54, 25),
    "roll 50 round": discs(roll(50, 50)),
    "tape 12": roll(70, 12),
    "tape 24": roll(70, 24),
}
"""Common grids by their measures (common practice, no source): check one sheet on plain paper first."""


def grid(name: str) -> Grid:
    """The grid of that name; `A4` and `Letter` alone are their plain grids with cut marks.

    Raises BadInput that names the grids there are.
    """
    wanted = " ".join(name.split()).casefold()
    for known, there in GRIDS.items():
        if wanted in (known.casefold(), known.casefold().removesuffix(" plain")):
            return there
    raise BadInput(f"{name} is not a label sheet known here; there is {', '.join(GRIDS)}")


def shifted(of: Grid, *, right: float = 0.0, down: float = 0.0) -> Grid:
    """The grid shifted on its paper, for a printer that feeds a little off."""
    return replace(of, left=of.left + right, top=of.top + down)
