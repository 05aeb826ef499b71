"""Where things stand on a label, and how large the square's modules come out.

The bag's number is the largest, then machine and serial, then part, steps and what is in the bag.
Along the foot of a label that has the room runs a steel rule: it proves that the sheet was printed at
its true size, and measures a screw in passing. All measures in millimetres.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from putback.errors import BadInput
from putback.labels import payload, qr
from putback.labels.drawing import INCH, Code, Drawing, Mark, Rectangle, Words
from putback.labels.facts import Contents, LabelFacts
from putback.labels.lettering import CAP_HEIGHT, clip, measure, printable, wrap
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


@dataclass(frozen=True, slots=True)
class _Frame:
    """The parts of a label of one size, before anything is known of what it says."""

    width: float
    height: float
    printer: PrinterProfile

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
        return min(self.foot - self.margin * 0.5 - under, 0.48 * self.width)


def bag_label(
    facts: LabelFacts, width: float, height: float, printer: PrinterProfile | None = None, *, full: bool = True
) -> Label:
    """A bag's label of `width` x `height`, or a blank one when only the code is known.

    `full` puts the summary into the square as far as it fits; otherwise the square holds the code
    alone. Raises BadInput when the label is too small for any code.
    """
    printer = printer or PrinterProfile()
    frame = _Frame(width, height, printer)
    code_under = printer.max_version(frame.side(code_under=True)) >= 1
    side = frame.side(code_under)
    version = printer.max_version(side)
    if version < 1:
        least = (qr.side_of(1) + 2 * qr.QUIET) * printer.least_dots * printer.dot
        raise BadInput(
            f"a label of {width:g} x {height:g} mm is too small for any code:"
            f" the QR code alone needs {least:.1f} mm at {printer.dpi} dots to the inch"
        )
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
    marks.extend(_blank_lines(column) if facts.is_blank else _print(facts, column))
    if frame.rule:
        marks.extend(steel_rule(width, height, frame.rule, printer.inches))
    return Label(facts, wanted, code, Drawing(width, height, tuple(marks)))


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


def _print(facts: LabelFacts, column: Column) -> list[Mark]:
    """The bag's number, then as much of the rest as is legible."""
    marks, top, day_shown = _number(facts, column)
    rest = Column(column.left, column.right, top, column.bottom, column.label_height)
    return [*marks, *_rows(replace(facts, day=None) if day_shown else facts, rest)]


def _number(facts: LabelFacts, column: Column) -> tuple[list[Mark], float, bool]:
    """Bag number, box and day on one line, where the line ends, and whether the day found room."""
    if facts.bag is None:
        return [], column.top, False
    number, box = str(facts.bag), printable(facts.box)
    size = min(22.0, max(5.0, 0.29 * column.label_height))
    while True:
        gap, word, box_size = size * 0.12, min(size, max(1.4, size * 0.2)), size * 0.5
        shown = clip(box, column.room * 0.25, box_size, True)
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
    day = facts.day.isoformat() if facts.day else ""
    fits = bool(day) and bag + measure(number, size, True) + gap + measure(day, word) <= column.room
    if fits:
        marks.append(Words(column.right, column.top + word * CAP_HEIGHT, day, word, align="right"))
    return marks, baseline + size * 0.14, fits


@dataclass(frozen=True, slots=True)
class _Choice:
    """One way to spend the room: how large the letters are and what is shortened."""

    scale: float
    name_lines: int
    """Lines for the machine's name, and for the parts; 0 leaves both out."""
    contents: int
    """Most lines of contents; 0 for the total alone."""


def _choices(contents: int) -> Iterator[_Choice]:
    """Ways to spend the room, best first: first smaller letters, then fewer words."""
    for scale, name_lines in ((1.0, 2), (0.9, 2), (0.9, 1), (0.8, 2), (0.8, 1)):
        yield _Choice(scale, name_lines, contents)
    for shown in range(min(contents - 1, 12), 1, -1):
        yield _Choice(0.8, 1, shown)
    yield _Choice(0.7, 1, 1)
    yield _Choice(0.7, 1, 0)
    yield _Choice(0.7, 0, 0)


def _rows(facts: LabelFacts, column: Column) -> list[Mark]:
    base = min(4.2, max(2.0, 0.078 * column.label_height))
    marks: list[Mark] = []
    for choice in _choices(len(facts.contents)):
        marks, end = _try(facts, column, base * choice.scale, choice)
        if end <= column.bottom + 0.05:
            return marks
    return [mark for mark in marks if not isinstance(mark, Words) or mark.y <= column.bottom]


def _try(facts: LabelFacts, column: Column, size: float, choice: _Choice) -> tuple[list[Mark], float]:
    """The rows at one letter size, and where the last one ends."""
    step = size * _LINE
    y = column.top + size * CAP_HEIGHT + 0.3
    marks: list[Mark] = []
    for line, bold in _head(facts, column, size, choice.name_lines):
        marks.append(Words(column.left, y, line, size, bold))
        y += step
    if facts.contents:
        if marks:
            y += size * 0.25
            marks.append(Rectangle(column.left, y - size * CAP_HEIGHT - size * 0.38, column.room, 0.15))
        for row in _contents(facts.contents, column, y, size, choice.contents):
            marks.extend(row)
            y += step
    return marks, y - step


def _head(facts: LabelFacts, column: Column, size: float, lines: int) -> list[tuple[str, bool]]:
    """The lines above the contents, and whether each is bold."""
    head = [(line, True) for line in wrap(printable(facts.machine), column.room, size, True, lines)]
    if serial := printable(facts.serial):
        head.append((clip(f"SN {serial}", column.room, size, True), True))
    parts = ", ".join(filter(None, map(printable, facts.parts))) if lines else ""
    when = ", ".join(filter(None, (_steps(facts.steps), facts.day.isoformat() if facts.day else "")))
    together = ", ".join(filter(None, (parts, when)))
    if measure(together, size) <= column.room:
        return [*head, (together, False)] if together else head
    head.extend((line, False) for line in wrap(parts, column.room, size, False, lines))
    return [*head, (clip(when, column.room, size, False), False)] if when else head


def _contents(lines: tuple[Contents, ...], column: Column, y: float, size: float, most: int) -> list[list[Mark]]:
    """The counts, right-aligned, and the sizes beside them; what does not fit as one last line."""
    shown = lines if len(lines) <= most else lines[: max(0, most - 1)]
    rest = lines[len(shown) :]
    figures = max((measure(str(line.count), size, True) for line in shown), default=0.0)
    rows: list[list[Mark]] = []
    for line in shown:
        at = column.left + figures
        room = column.right - at - size * 0.4
        what = clip(printable(line.size), room, size, False)
        count = Words(at, y, str(line.count), size, bold=True, align="right")
        rows.append([count, Words(at + size * 0.4, y, what, size)])
        y += size * _LINE
    if rest:
        pieces = sum(line.count for line in rest)
        text = f"+ {pieces} more" if shown else f"{pieces} pieces"
        text += f" in {len(rest)} sizes" if len(rest) > 1 else ""
        rows.append([Words(column.left, y, clip(text, column.room, size, False), size)])
    return rows


def _steps(numbers: tuple[int, ...]) -> str:
    if not numbers:
        return ""
    return f"step{'s' if len(set(numbers)) > 1 else ''} {payload.runs(numbers)}"


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
