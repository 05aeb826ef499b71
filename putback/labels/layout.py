"""Where things stand on a label, and how large the square's modules come out.

The bag's number is the largest, then part and steps, then what is in the bag, then whose it is.
Along the foot of a label that has the room runs a steel rule: it proves that the sheet was printed at
its true size, and measures a screw in passing. All measures in millimetres.
"""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

from putback.dates import day as written
from putback.errors import BadInput
from putback.labels import payload, qr, wording
from putback.labels.drawing import INCH, Code, Drawing, Mark, Rectangle, Words
from putback.labels.facts import LabelFacts
from putback.labels.lettering import CAP_HEIGHT, measure, printable
from putback.labels.printer import PrinterProfile


@dataclass(frozen=True, slots=True)
class Label:
    """A label ready to be drawn, and what its square holds."""

    facts: LabelFacts
    """What it says."""
    payload: payload.Payload
    """The text in the square and what of the summary did not fit."""
    code: Code
    """The square with its version, level and module."""
    drawing: Drawing
    """The same, set."""

    @property
    def code_alone(self) -> bool:
        """Whether a summary was wanted and did not fit at all."""
        return self.payload.text == self.facts.code and bool(self.payload.left_out)


_MOST_MODULE = 0.8
"""A code alone gets no larger modules than this; the room is better used for print."""
_MOST_BLANK = 1.1
"""The same on a blank label, where there is nothing else to see."""
_LINE = 1.24
"""From one line to the next, in letter sizes."""
_LEAST_LETTERS = 1.5
"""No letters are smaller than this: capitals of 1.1 mm, read in the hand."""
_LEAST_BOX = 2.4
"""A box's name whose letters would be smaller than this beside the bag's number stands among the rows below."""
_SHARES = (0.48, 0.4, 0.34)
"""How much of the width a square may take; less only where print is read better then."""
_STRIP = 3.0
"""Where the room for print is so many times as wide as high, as on a tape, the rest stands beside the bag's number."""
_MOST_LINES = 40
"""No label has room for more sizes than that."""
_EASY = 0.7
"""Letters of this scale are read well enough to leave the square its room."""
_SMALLER = (0.28, 0.25)
"""Modules that a reader held near still reads, offered where nothing else fits."""
_FINER = (300, 600)
"""Dots to the inch that label printers have."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """The parts of a label of one size, before anything is known of what it says."""

    width: float
    height: float
    printer: PrinterProfile
    share: float
    """How much of the width the square may take."""

    @property
    def holds_a_code(self) -> bool:
        """Whether there is room for the smallest square."""
        return self.printer.max_version(self.side(code_under=False)) >= 1

    @property
    def margin(self) -> float:
        return min(2.2, max(0.8, 0.04 * self.height))

    @property
    def rule(self) -> float:
        """Height of the steel rule along the foot, 0 on a small label."""
        return 3.0 if self.height >= 30 and self.width >= 40 else 0.0

    @property
    def small(self) -> float:
        """Letter size of the code under the square."""
        return min(3.4, max(1.8, 0.075 * self.height))

    @property
    def foot(self) -> float:
        """Where the rule begins, or the margin."""
        return self.height - (self.rule + 0.4 if self.rule else self.margin)

    def side(self, code_under: bool) -> float:
        under = self.small * 1.1 if code_under else 0.0
        return min(self.foot - self.margin * 0.5 - under, self.share * self.width)


def bag_label(
    facts: LabelFacts, width: float, height: float, printer: PrinterProfile | None = None, *, full: bool = True
) -> Label:
    """A bag's label of `width` x `height`, or a blank one when only the code is known.

    `full` puts the summary into the square as far as it fits; otherwise the square holds the code
    alone. Print goes before the square: where it would be small or something only counted, the square
    gets less room. Raises BadInput when the label is too small for any code.
    """
    printer = printer or PrinterProfile()
    best, comfort = _set(facts, _Frame(width, height, printer, _SHARES[0]), full)
    for share in _SHARES[1:]:
        frame = _Frame(width, height, printer, share)
        if comfort >= _EASY or not frame.holds_a_code:
            break
        label, eased = _set(facts, frame, full)
        if eased > comfort:
            best, comfort = label, eased
    return best


def _set(facts: LabelFacts, frame: _Frame, full: bool) -> tuple[Label, float]:
    """A label with a square of one share of its width, and how well its print is read, 0 where some is counted."""
    width, height, printer = frame.width, frame.height, frame.printer
    code_under = printer.max_version(frame.side(code_under=True)) >= 1
    side = frame.side(code_under)
    version = printer.max_version(side)
    if version < 1:
        raise BadInput(_too_small(frame))
    wanted = payload.fit(facts, qr.capacity(version, printer.least_level)) if full else payload.Payload(facts.code, ())
    least = qr.Level.L if wanted.text == facts.code else printer.least_level
    square = qr.square(wanted.text, version, least)
    most = _MOST_BLANK if facts.is_blank else _MOST_MODULE if wanted.text == facts.code else 10.0
    module = printer.module(square, side, most)
    top = frame.margin * 0.5
    if facts.is_blank:
        top = max(top, (frame.foot - module * square.full_side - (frame.small if code_under else 0.0)) / 2)
    code = Code(printer.on_dot(frame.margin * 0.5), printer.on_dot(top), module, square)
    marks: list[Mark] = [code]
    left = code.x + code.side + 0.6
    if code_under:
        small = min(frame.small, frame.small * code.side / measure(facts.code, frame.small, True))
        baseline = code.y + code.side + small * CAP_HEIGHT
        marks.append(Words(code.x + code.side / 2, baseline, facts.code, small, bold=True, align="middle"))
    column = Column(left, width - frame.margin, frame.margin + 0.6, frame.foot - 0.6, height)
    if not code_under:
        marks.append(Words(column.left, column.bottom, facts.code, frame.small, bold=True))
        column = Column(column.left, column.right, column.top, column.bottom - frame.small, height)
    words, comfort = (_blank_lines(column), 1.0) if facts.is_blank else _print(facts, column)
    marks.extend(words)
    if frame.rule:
        marks.extend(steel_rule(width, height, frame.rule, printer.inches))
    return Label(facts, wanted, code, Drawing(width, height, tuple(marks))), comfort


def _too_small(frame: _Frame) -> str:
    """Why a label holds no code, and which option would let it."""
    printer = frame.printer

    def passes(other: PrinterProfile) -> bool:
        return replace(frame, printer=other).holds_a_code

    least = (qr.side_of(1) + 2 * qr.QUIET) * printer.least_dots * printer.dot
    said = (
        f"a label of {frame.width:g} x {frame.height:g} mm is too small for any code:"
        f" the QR code alone needs {least:.1f} mm at {printer.dpi} dots to the inch"
    )
    smaller = [module for module in _SMALLER if module < printer.least_module]
    if module := next((m for m in smaller if passes(replace(printer, least_module=m))), 0.0):
        return f"{said}; with --module {module:g} it fits, for a reader held near"
    if dpi := next((dpi for dpi in _FINER if dpi > printer.dpi and passes(replace(printer, dpi=dpi))), 0):
        return f"{said}; with --dpi {dpi} it fits, on a printer that has as many"
    return f"{said}; take a larger one"


@dataclass(frozen=True, slots=True)
class Column:
    """The room for print beside the square."""

    left: float
    """In millimetres from the label's left edge."""
    right: float
    """In millimetres from the label's left edge."""
    top: float
    """In millimetres from the label's upper edge."""
    bottom: float
    """In millimetres from the label's upper edge."""
    label_height: float
    """Of the whole label, in millimetres: letters grow with it."""

    @property
    def room(self) -> float:
        """How wide a line may be, in millimetres."""
        return self.right - self.left


def _print(facts: LabelFacts, column: Column) -> tuple[list[Mark], float]:
    """The bag's number, then the rest; and how well that is read, 0 where some of it is only counted."""
    if column.room > _STRIP * (column.bottom - column.top):
        ends = column.left + min(column.room * 0.3, 2 * column.label_height)
        head = Column(column.left, ends, column.top, column.bottom, column.label_height * 1.6)
        marks, _, box_shown, day_shown = _number(facts, head)
        rest = replace(column, left=ends + 1.2)
    else:
        marks, top, box_shown, day_shown = _number(facts, column)
        rest = replace(column, top=top)
    left = replace(facts, day=None if day_shown else facts.day, box="" if box_shown else facts.box)
    rows, comfort = _rows(left, rest)
    return [*marks, *rows], comfort


def _number(facts: LabelFacts, column: Column) -> tuple[list[Mark], float, bool, bool]:
    """Bag number, box and day on one line, where the line ends, and whether box and day found room."""
    if facts.bag is None:
        return [], column.top, False, False
    number, box = str(facts.bag), printable(facts.box)
    size = min(22.0, max(5.0, 0.29 * column.label_height))
    shown = box if 0 < measure(box, _LEAST_BOX, True) <= column.room * 0.25 else ""  # an accent alone has no width
    while True:
        gap, word = size * 0.12, min(size, max(1.4, size * 0.2))
        box_size = min(size * 0.5, column.room * 0.25 / measure(shown, 1.0, True)) if shown else 0.0
        beside = measure(shown, box_size, True) + measure("box", word) + 3 * gap if shown else 0.0
        bag = measure("bag", word) + gap
        if size <= 1 or bag + measure(number, size, True) + beside <= column.room:
            break
        size *= 0.94
    baseline = column.top + size * CAP_HEIGHT
    marks: list[Mark] = [Words(column.left, baseline, "bag", word)]
    marks.append(Words(column.left + bag, baseline, number, size, bold=True))
    if shown:
        marks.append(Words(column.right, baseline, shown, box_size, bold=True, align="right"))
        left = column.right - measure(shown, box_size, True) - gap
        marks.append(Words(left, baseline, "box", word, align="right"))
    day = written(facts.day) if facts.day else ""
    fits = bool(day) and bag + measure(number, size, True) + gap + measure(day, word) <= column.room
    if fits:
        marks.append(Words(column.right, column.top + word * CAP_HEIGHT, day, word, align="right"))
    return marks, baseline + size * 0.14, bool(shown), fits


@dataclass(frozen=True, slots=True)
class _Choice:
    """One way to spend the room: how large the letters are, and how few the words."""

    scale: float
    fewness: int
    """Of the contents' words, of `wording`."""
    machine: int
    """Of the machine's words, of `wording.MACHINE_FEWNESS`."""
    parts: int
    """Names of parts; the rest is counted."""
    contents: int
    """Lines of contents; the rest is counted."""


def _choices(parts: int, contents: int, least: float) -> Iterator[_Choice]:
    """Ways to say all of it, best first: smaller letters, then fewer words."""
    for fewness, machine, scales in (
        (wording.FULL, 0, (1.0,)),
        (wording.FULL, 1, (1.0,)),
        (wording.FULL, 0, (0.9,)),
        (wording.FULL, 1, (0.9,)),
        (wording.FULL, 0, (0.8,)),
        (wording.FULL, 1, (0.8,)),
        (wording.NO_KIND, 1, (0.9, 0.8)),
        (wording.NO_SERIES, 1, (0.9, 0.8)),
        (wording.NO_SERIES, 2, (0.9, 0.8, 0.7)),
        (wording.GROUPED, 2, (0.8, 0.7)),
        (wording.JOINED, 2, (0.8, 0.7)),
        (wording.JOINED, 3, (0.7, 0.6)),
        (wording.JOINED, 4, (0.7, 0.6, least)),
        (wording.JOINED, 5, (0.7, 0.6, least)),
    ):
        for scale in dict.fromkeys(max(scale, least) for scale in scales):
            yield _Choice(scale, fewness, machine, parts, contents)


def _rows(facts: LabelFacts, column: Column) -> tuple[list[Mark], float]:
    """All else in the best way that has room, and the scale of its letters, 0 where some part or size is not there."""
    base = min(4.2, max(2.0, 0.078 * column.label_height))
    marks: list[Mark] = []
    parts, contents = len(facts.parts), len(facts.contents)
    least = min(1.0, _LEAST_LETTERS / base)

    def fits(choice: _Choice) -> bool:
        nonlocal marks
        tried, end, easy = _try(facts, column, base * choice.scale, choice)
        if end > column.bottom + 0.05 or not (easy or choice.fewness > wording.NO_KIND):
            return False
        marks = tried
        return True

    for choice in _choices(parts, contents, least):
        if fits(choice):
            return marks, choice.scale
    for machine in (3, 5):
        most = range(min(contents, _MOST_LINES))
        counted = partial(_Choice, least, wording.JOINED, machine, parts)
        if fitting := bisect_left(most, True, key=lambda shown: not fits(counted(shown))):
            fits(counted(fitting - 1))
            return marks, 0.0
    for shown in range(parts - 1, -1, -1):
        if fits(_Choice(least, wording.JOINED, 5, shown, 0)):
            return marks, 0.0
    return [], 0.0


def _try(facts: LabelFacts, column: Column, size: float, choice: _Choice) -> tuple[list[Mark], float, bool]:
    """The rows at one letter size, where the last one ends, and whether each size stands on one line."""
    step = size * _LINE
    y = column.top + size * CAP_HEIGHT + 0.3
    marks: list[Mark] = []
    easy = True

    def line_above() -> None:
        nonlocal y
        if marks:
            y += size * 0.25
            marks.append(Rectangle(column.left, y - size * CAP_HEIGHT - size * 0.38, column.room, 0.15))

    def put(row: wording.Row, indent: float = 0.0) -> None:
        nonlocal y, easy
        room = 1 + int((column.bottom + 0.05 - y) / step) if y <= column.bottom + 0.05 else 0
        lines = wording.set_lines(row.text, column.room - indent, size, row.bold, room + 1)
        easy = easy and (len(lines) == 1 or not row.count)
        if row.count:
            at = column.left + indent - size * 0.4
            marks.append(Words(at, y, row.count, size, bold=True, align="right"))
        for line in lines:
            marks.append(Words(column.left + indent, y, line, size, row.bold))
            y += step

    parts, when = wording.part_row(facts, choice.parts), wording.when_row(facts)
    beside = parts and when and f", {when.text}"
    if parts:
        put(parts)
    if parts and beside and measure(parts.text, size, True) + measure(beside, size) <= column.room:
        marks.append(Words(column.left + measure(parts.text, size, True), y - step, beside, size))
    elif when:
        put(when)
    if facts.contents:
        line_above()
        rows = wording.content_rows(facts.contents, choice.fewness, choice.contents)
        figures = max((measure(row.count, size, True) for row in rows), default=0.0)
        for row in rows:
            put(row, figures + size * 0.4 if row.count else 0.0)
            if y - step > column.bottom + 0.05:
                break
    if whose := wording.machine_rows(facts, choice.machine):
        line_above()
        for row in whose:
            put(row)
    return marks, y - step, easy


def _blank_lines(column: Column) -> list[Mark]:
    """A blank label: words with a line behind each, for a marker pen."""
    words = ("bag", "machine", "part", "steps") if column.bottom - column.top > 22 else ("bag", "part")
    size = min(3.0, max(1.8, 0.065 * column.label_height))
    step = (column.bottom - column.top) / len(words)
    indent = max(measure(word, size) for word in words) + size * 0.4
    marks: list[Mark] = []
    for place, word in enumerate(words, start=1):
        y = column.top + step * place - 0.8
        marks.append(Words(column.left, y, word, size))
        marks.append(Rectangle(column.left + indent, y, column.room - indent, 0.15))
    return marks


def steel_rule(wide: float, high: float, rule: float, inches: bool) -> list[Mark]:
    """A graduated rule along the foot of a label: millimetres, or sixteenths of an inch."""
    step = INCH / 16 if inches else 1.0
    start = 3.0
    count = int((wide - 2 * start) / step + 1e-6)
    longest = rule * 0.95
    shares = ((16, 1.0), (8, 0.8), (4, 0.62), (2, 0.48)) if inches else ((10, 1.0), (5, 0.7))
    marks: list[Mark] = []
    for tick in range(count + 1):
        share = next((share for every, share in shares if tick % every == 0), 0.4)
        thick = 0.15 if share == 1.0 else 0.1
        x = start + tick * step
        marks.append(Rectangle(x - thick / 2, high - longest * share, thick, longest * share))
        if share == 1.0 and tick:
            figure = str(tick // 16 if inches else tick)
            marks.append(Words(x - 0.4, high - longest * 0.55, figure, 1.6, align="right"))
    unit = "in" if inches else "mm"
    marks.append(Words(start + 0.4, high - longest * 0.55, unit, 1.6))
    return marks
