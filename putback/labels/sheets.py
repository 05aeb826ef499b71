"""A label sheet as a person names it: by its name, or by its measures."""

from __future__ import annotations

import re

from putback.errors import BadInput
from putback.labels.paper import INCH, PAPERS, Grid, centred, discs, grid, roll
from putback.labels.printer import DOTS, LEAST_MODULE, PrinterProfile
from putback.settings import LabelSettings

_PAIR = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*[x×*]\s*(\d+(?:[.,]\d+)?)\s*(mm|in)?\s*", re.IGNORECASE)  # noqa: RUF001

_ROUND = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(mm|in)?\s*round\s*", re.IGNORECASE)
_OWN = re.compile(r"\s*(?:roll|tape)\s+(?=\S*\s*(?:[x×*]|mm|in|round))(.+)", re.IGNORECASE)  # noqa: RUF001


def as_set(settings: LabelSettings) -> tuple[Grid, PrinterProfile]:
    """The sheet and the printer that a person's settings name. Raises BadInput for a sheet that is not one."""
    on = read_sheet(settings.paper or "A4")
    dots, module = settings.dots or DOTS, settings.least_module or LEAST_MODULE
    return on, PrinterProfile(dpi=dots, least_module=module, inches=on.paper == "Letter")


def read_sheet(paper: str = "A4", *, label: str = "", rows: str = "", edge: str = "", step: str = "") -> Grid:
    """The grid that these words stand for.

    `paper` alone is a sheet of `paper.GRIDS`, or a roll as `roll 62x29` or `roll 40 round`. With `label`, a width and
    height as `63.5x38.1` (mm) or `2x1in`, or a diameter as `40 round`, it is plain A4 or Letter: as many such labels
    as fit, with cut marks. `rows` is columns and
    rows of a sheet that is cut already, as `3x7`; then `edge` is from the paper's left and top edge to the
    first label (without it the labels stand in the middle), `step` from one label to the next (without it
    they touch). Raises BadInput for words that are not a measure, and for labels that do not fit the paper.
    """
    if not label:
        for given, option in ((rows, "--grid"), (edge, "--edge"), (step, "--step")):
            if given:
                raise BadInput(f"{option} needs --label too: the width and height of one label")
        if own := _OWN.fullmatch(paper):
            width, height, is_disc = _label(own[1], "--paper")
            return discs(roll(width, height)) if is_disc else roll(width, height)
        return grid(paper)
    plain = " ".join(paper.split()).casefold().removesuffix(" plain")
    name = next((known for known in PAPERS if known.casefold() == plain), "")
    if not name:
        raise BadInput(f"--label goes with plain {' or '.join(PAPERS)}; {paper} has labels of its own")
    width, height, is_disc = _label(label, "--label")
    if not rows:
        if edge or step:
            raise BadInput("--edge and --step need --grid too: columns and rows, as 3x7")
        plain_sheet = centred(name, width, height)
        return discs(plain_sheet) if is_disc else plain_sheet
    columns, down = _counts(rows)
    across, along = _measures(step, "--step") if step else (width, height)
    wide, high = PAPERS[name]
    middle = ((wide - (columns - 1) * across - width) / 2, (high - (down - 1) * along - height) / 2)
    left, top = _measures(edge, "--edge") if edge else (max(0.0, middle[0]), max(0.0, middle[1]))
    return Grid(name, width, height, columns, down, left, top, across, along, round=is_disc)


def _label(text: str, option: str) -> tuple[float, float, bool]:
    """Width and height of a label, and whether it is a disc."""
    if found := _ROUND.fullmatch(text):
        diameter = float(found[1].replace(",", ".")) * (INCH if (found[2] or "").lower() == "in" else 1.0)
        return diameter, diameter, True
    return *_measures(text, option), False


def _measures(text: str, option: str) -> tuple[float, float]:
    found = _PAIR.fullmatch(text)
    if found is None:
        raise BadInput(f"{option} {text}: two measures are wanted, as 63.5x38.1 (mm) or 2x1in")
    scale = INCH if (found[3] or "").lower() == "in" else 1.0
    first, second = (float(number.replace(",", ".")) * scale for number in (found[1], found[2]))
    return first, second


def _counts(text: str) -> tuple[int, int]:
    found = re.fullmatch(r"\s*(\d{1,3})\s*[x×*]\s*(\d{1,3})\s*", text)  # noqa: RUF001
    if found is None:
        raise BadInput(f"--grid {text}: columns and rows are wanted, as 3x7")
    return int(found[1]), int(found[2])
