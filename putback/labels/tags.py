"""Hang-tags, box labels and the command sheet: the other things that leave the printer.

A tag's letter stands white on black and a bag's number black on white, so the two are told apart before
they are read. All measures in millimetres.
"""

from putback.dates import day as written
from putback.errors import BadInput
from putback.labels import qr
from putback.labels.drawing import Code, Drawing, Mark, Rectangle, Ring, Words
from putback.labels.facts import BoxFacts, StrokeFacts, TagFacts
from putback.labels.lettering import CAP_HEIGHT, clip, measure, printable, wrap
from putback.labels.printer import PrinterProfile
from putback.labels.wording import set_lines
from putback.scans.command_code import command_code

_PUNCH = 2.6
"""Radius of the ring that shows where to punch a tag."""
_LINE = 1.24
_MOST_LINES = 30
_MODULE = 0.7
"""A code alone gets no larger modules than this."""


def hang_tag(facts: TagFacts, width: float, height: float, printer: PrinterProfile | None = None) -> Drawing:
    """A tag with a ring to punch, its letter as large as it goes, and what is still open.

    Raises BadInput when it is too small to be a tag.
    """
    printer = printer or PrinterProfile()
    if width < 40 or height < 20:
        raise BadInput(f"a hang-tag of {width:g} x {height:g} mm is too small; 40 x 20 mm is the least")
    margin = 2.0
    marks: list[Mark] = [Ring(margin + _PUNCH + 1, height / 2, _PUNCH)]
    left = 2 * _PUNCH + margin + 3
    block = min(height - 2 * margin, width * 0.28)
    letter = printable(facts.letter)
    marks.append(Rectangle(left, margin, block, block))
    size = _largest(letter, block * 0.86, block * 0.95)
    baseline = margin + (block + size * CAP_HEIGHT) / 2
    marks.append(Words(left + block / 2, baseline, letter, size, True, "middle", white=True))
    base = min(4.0, max(2.2, height * 0.075))
    when = [f"step {facts.step}"] if facts.step is not None else []
    when += [written(facts.day)] if facts.day else []
    whose = (
        (facts.machine, base, True, 1),
        (f"SN {facts.serial}" if facts.serial else "", base, True, 1),
        (", ".join(when), base, False, 1),
    )
    beside, right = left + block + 2.5, width - margin
    foot = height - margin - sum(base * _LINE for text, *_ in whose if text)
    end = right
    if facts.code:
        code = _code(facts.code, printer, min(height * 0.42, width * 0.24))
        under = code.side + 2.4
        code = Code(printer.on_dot(width - code.side - 0.5), printer.on_dot(height - under), code.module, code.square)
        marks.extend(_with_caption(code, 2.2))
        end = code.x
        foot = min(foot, code.y)
    story = ((facts.what, base * 1.4, True, 2), (facts.note, base * 1.15, False, 4))
    marks.extend(_paragraphs(story, beside, right, margin, foot))
    # Beside the square, where it leaves room under the letter's block, the whole width is free.
    low = foot >= margin + block + 1
    marks.extend(_paragraphs(whose, left if low else beside, end, foot + 0.6, height - margin + 0.6))
    return Drawing(width, height, tuple(marks))


def box_label(facts: BoxFacts, width: float, height: float, printer: PrinterProfile | None = None) -> Drawing:
    """A box's letter, its machine, and the bags in it, in as many columns as they need.

    Bags that find no room are counted in the last line. Raises BadInput when the label is too small.
    """
    printer = printer or PrinterProfile()
    if width < 40 or height < 20:
        raise BadInput(f"a box label of {width:g} x {height:g} mm is too small; 40 x 20 mm is the least")
    margin = 2.2
    letter = clip(printable(facts.letter), width * 0.35, 4.0, True)
    letter_size = _largest(letter, width * 0.35, min(26.0, height * 0.36))
    baseline = margin + letter_size * CAP_HEIGHT
    word = max(1.8, letter_size * 0.18)
    marks: list[Mark] = [Words(margin, baseline, "box", word)]
    left = margin + measure("box", word) + letter_size * 0.12
    marks.append(Words(left, baseline, letter, letter_size, bold=True))
    left += measure(letter, letter_size, True) + 3
    right, top = width - margin, baseline + 1.6
    if facts.code:
        code = _code(facts.code, printer, min(height * 0.42, width * 0.25))
        code = Code(printer.on_dot(right - code.side + 1.5), printer.on_dot(0.8), code.module, code.square)
        marks.extend(_with_caption(code, 1.9))
        right, top = code.x, max(top, code.y + code.side + 2.4)
    base = min(3.8, max(2.2, height * 0.07))
    rows = (
        (facts.machine, base, True, 2),
        (f"SN {facts.serial}" if facts.serial else "", base, True, 1),
        (f"{len(facts.bags)} bags" if len(facts.bags) > 1 else "", base, False, 1),
    )
    marks.extend(_paragraphs(rows, left, right, margin, baseline))
    marks.append(Rectangle(margin, top, width - 2 * margin, 0.15))
    marks.extend(_bag_list(facts.bags, margin, width - margin, top + 0.8, height - margin))
    return Drawing(width, height, tuple(marks))


def command_cell(facts: StrokeFacts, width: float, height: float, printer: PrinterProfile | None = None) -> Drawing:
    """One stroke of a command sheet: its square, the key that does the same, and plain words."""
    printer = printer or PrinterProfile()
    side = min(height - 2.0, width * 0.45)
    code = _code(command_code(facts.name), printer, side)
    code = Code(printer.on_dot(1.0), printer.on_dot((height - code.side) / 2), code.module, code.square)
    left, right = code.x + code.side + 1.0, width - 2.0
    key = printable(facts.key)
    key_size = _largest(key, right - left, min(9.0, height * 0.36))
    base = min(4.2, height * 0.15)
    lines = wrap(printable(facts.words), right - left, base, False, 2)
    small = base * 0.68
    text = wrap(printable(facts.text), right - left, small, False, 3)
    tall = key_size * CAP_HEIGHT + 1.5 + len(lines) * base * _LINE + len(text) * small * _LINE
    y = (height - tall) / 2 + key_size * CAP_HEIGHT
    marks: list[Mark] = [code, Words(left, y, key, key_size, bold=True)]
    y += 1.5 + base * CAP_HEIGHT
    for line in lines:
        marks.append(Words(left, y, line, base))
        y += base * _LINE
    y -= (base - small) * CAP_HEIGHT
    for line in text:
        marks.append(Words(left, y, line, small))
        y += small * _LINE
    return Drawing(width, height, tuple(marks))


def _code(text: str, printer: PrinterProfile, side: float) -> Code:
    square = qr.square(text, max(1, printer.max_version(side)), qr.Level.H)
    return Code(0.0, 0.0, printer.module(square, side, _MODULE), square)


def _with_caption(code: Code, size: float) -> list[Mark]:
    """A square with its code in letters under it."""
    size = min(size, size * code.side / measure(code.square.text, size, True))
    middle = code.x + code.side / 2
    baseline = code.y + code.side + size * CAP_HEIGHT
    return [code, Words(middle, baseline, code.square.text, size, bold=True, align="middle")]


def _largest(text: str, room: float, most: float) -> float:
    """The largest bold letter size, up to `most`, at which `text` fits `room`."""
    wide = measure(text, 1.0, True)  # none of an accent alone
    return min(most, room / wide) if wide else most


def _paragraphs(
    rows: tuple[tuple[str, float, bool, int], ...], left: float, right: float, top: float, bottom: float
) -> list[Mark]:
    """Rows of (text, size, bold, most lines), made smaller together until all is there; cut only at the least."""
    for scale in (1.0, 0.9, 0.8, 0.7, 0.6, 0.5):
        y, marks = top, []
        for text, size, bold, most in rows:
            size *= scale
            lines = set_lines(printable(text), right - left, size, bold, _MOST_LINES)
            for line in lines if scale > 0.5 else wrap(printable(text), right - left, size, bold, most):
                y += size * CAP_HEIGHT
                marks.append(Words(left, y, line, size, bold))
                y += size * (_LINE - CAP_HEIGHT)
        if y - 0.2 <= bottom:
            break
    return [mark for mark in marks if mark.y <= bottom + 0.05]


def _bag_list(bags: tuple[tuple[int, str], ...], left: float, right: float, top: float, bottom: float) -> list[Mark]:
    """Number and words of each bag in columns, each whole, as large as they fit; bags without room are counted."""
    widest = max(1, int((right - left) / 20))
    for size in (4.5, 4.0, 3.6, 3.2, 2.9, 2.6, 2.3, 2.1, 1.9, 1.7, 1.5):
        for columns in range(1, widest + 1):
            marks, shown = _columns(bags, left, right, top, bottom, size, columns)
            if shown == len(bags):
                return marks
    step = size * _LINE
    marks, shown = _columns(bags, left, right, top, bottom - step, size, widest)
    rest = len(bags) - shown
    words = f"and {rest} more bags" if shown else f"{rest} bags"
    return [*marks, Words(left, bottom - size * (_LINE - CAP_HEIGHT), words, size)]


def _columns(
    bags: tuple[tuple[int, str], ...], left: float, right: float, top: float, bottom: float, size: float, columns: int
) -> tuple[list[Mark], int]:
    """The bags that find room at one letter size in so many columns, and how many those are."""
    across = (right - left) / columns
    figures = max((measure(str(number), size, True) for number, _ in bags), default=0.0)
    room = across - figures - size * 0.4 - (1.5 if columns > 1 else 0.0)
    rows = int((bottom - top) / (size * _LINE) + 1e-6)
    marks: list[Mark] = []
    column = row = 0
    for shown, (number, what) in enumerate(bags):
        lines = set_lines(printable(what), room, size, False, rows + 1) or [""]
        if row + len(lines) > rows:
            column, row = column + 1, 0
        if column >= columns or len(lines) > rows:
            return marks, shown
        x = left + column * across + figures
        for line in lines:
            y = top + size * CAP_HEIGHT + row * size * _LINE
            if line is lines[0]:
                marks.append(Words(x, y, str(number), size, bold=True, align="right"))
            marks.append(Words(x + size * 0.4, y, line, size))
            row += 1
    return marks, len(bags)
