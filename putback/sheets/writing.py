"""A printed sheet as a value, and its way into a file: `make.pdf`, `parcels.pdf`, `to-get.pdf`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from putback.errors import BadInput
from putback.labels.drawing import Drawing
from putback.labels.paper import PAPERS, Grid
from putback.labels.printing import write_pages


@dataclass(frozen=True, slots=True)
class Printed:
    """What is to be printed, whatever stands on it."""

    name: str
    """What its file is called, without the ending."""
    nothing: str
    """What is said where there is nothing to print."""
    pages: Callable[[str, str], Sequence[Drawing]]
    """Gives its pages on a paper and with a day."""


def paper_of(on: Grid) -> str:
    """Return the paper for whole pages where labels are printed on `on`: A4 where that is a roll."""
    return on.paper if on.paper in PAPERS else "A4"


def write_sheet(sheet: Printed, out: Path, *, paper: str = "A4", day: str = "") -> Path:
    """Write a sheet into a folder. Raises BadInput where there is nothing to print, DiskTrouble as the disk does."""
    pages = sheet.pages(paper, day)
    if not pages:
        raise BadInput(sheet.nothing)
    return write_pages(sheet.name, pages, out, paper)
