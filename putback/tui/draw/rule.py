"""The steel rule: a quantity is a graduated scale with a pointer.

Everything that can be more or less is drawn as a rule: a reading among its candidates, the
minutes of a segment, a face that fills up hole by hole. A person sees how near is near, and on
which side, before reading a number.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import floor

from rich.cells import cell_len
from textual.content import Content

from putback.tui.draw import scale as scales
from putback.tui.draw.canvas import Canvas
from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.palette import CURSOR, LOOK
from putback.tui.draw.rule_marks import RuleMark, beside, measured
from putback.tui.draw.scale import RuleScale
from putback.tui.draw.text import fitted, padded, plain
from putback.tui.draw.words import rule_in_words, time_in_words

_STEEL = "$pb-tick on $pb-steel"
_ENGRAVED = "bold $pb-ink on $pb-steel"
_NUMERAL = "$pb-muted"
_BEST_BAND = "bold $pb-on-brass on $pb-verdigris"
_OTHER_BAND = "$pb-ink on $pb-other-band"
_BEST_CAPS = "bold $pb-verdigris"
_BEST_NAME = "bold reverse $pb-verdigris"
_OTHER_NAME = "$pb-blue"
_POINTER = CURSOR
# Reversed, so that without colour the shaft is a bright cell and not one more tall tick.
_STEM = "bold reverse $pb-stem on $pb-brass"
_DONE = LOOK


def steel_rule(
    width: int,
    marks: Sequence[RuleMark],
    pointer: float | None,
    unit: str = "in",
    *,
    rows: int = 3,
    span: tuple[float, float] | None = None,
    in_fractions: bool = False,
    reading: str | None = None,
    glyphs: GlyphSet = UNICODE,
) -> list[Content]:
    """A reading on a rule among the sizes it may stand for.

    width   cells, 8 or more; best from 20 to 120
    marks   the candidates, in any order; those that do not fit are clipped
    pointer the reading in the rule's unit, or None before anything was measured
    unit    printed after the reading
    rows    3: names, graduations, numerals with the pointer; 2: without the names
    span    the values at the ends; by itself the rule shows the reading, the best mark and
            the neighbours on both sides
    in_fractions  graduated by 1/4, 3/8 (inch lengths), otherwise by decimals; below names, which are fractions
            already, the numerals are decimals all the same
    reading the reading as typed, shown at the pointer; by itself the number

    Takes plain numbers, gives `rows` rows of exactly `width` cells; where nothing is drawn, as many as its words take.
    """
    if glyphs.words:
        return rule_in_words(width, marks, pointer, unit)
    low, high = span if span is not None else view(marks, pointer)
    scale = scales.fit(low, high, width, in_fractions=in_fractions)
    sheet = Canvas(width, rows)
    ticks = rows - 2
    shown = marks
    first, last = _pointer(sheet, ticks + 1, scale, marks, pointer, unit, reading, glyphs)
    below = [not first - 1 <= x <= last for x in range(width)]
    if ticks:
        # What has no room for its name above the rule has it below; a band that nothing names would say nothing.
        over = _names(sheet, 0, scale, marks, pointer, [True] * width, glyphs)
        left = [mark for mark in marks if mark not in over]
        under = _names(sheet, ticks + 1, scale, left, pointer, below, glyphs)
        shown = [mark for mark in marks if mark in over or mark in under]
    _graduations(sheet, ticks, scale, shown, pointer, glyphs)
    _numerals(sheet, ticks + 1, scale, below, decimals=bool(ticks) and in_fractions)
    return sheet.rows()


def view(marks: Sequence[RuleMark], pointer: float | None) -> tuple[float, float]:
    """The values a rule should span to show the reading, the best mark and its neighbours.

    A neighbour further off than three bands and a half stays out of sight: it would only make the band that
    matters too narrow to see where in it the reading lies.
    """
    if not marks:
        at = pointer if pointer is not None else 0.5
        return (at * 0.9, at * 1.1) if at else (0.0, 1.0)
    best = _best(marks)
    home = pointer if pointer is not None else (best or marks[0]).at
    needed = [home]
    band = max(mark.high - mark.low for mark in ([best] if best is not None else marks))
    if best is not None:
        needed += [best.low - band / 2, best.high + band / 2]
    reach = 3.5 * band or float("inf")
    for mark in _beside(marks, home):
        if abs(mark.at - home) <= reach:
            needed += [mark.low, mark.high, mark.at]
    low, high = min(needed), max(needed)
    margin = (high - low) * 0.12 or abs(home) * 0.05 or 0.05
    return (max(0.0, low - margin) if low >= 0 else low - margin), high + margin


def _beside(marks: Sequence[RuleMark], home: float) -> list[RuleMark]:
    """The mark next under a value and the one next over it, without the best."""
    ordered = sorted((mark for mark in marks if not mark.best), key=lambda mark: abs(mark.at - home))
    under = [mark for mark in ordered if mark.at < home]
    over = [mark for mark in ordered if mark.at >= home]
    return under[:1] + over[:1]


def _between(marks: Sequence[RuleMark], pointer: float, unit: str) -> list[str]:
    """Where an odd reading lies: `.030 over 3/8, .033 under 7/16`, and shorter the nearer alone.

    Nothing for a reading that lies in some band.
    """
    if any(mark.low <= pointer <= mark.high for mark in marks):
        return []
    below = max((mark for mark in marks if mark.high < pointer), key=lambda mark: mark.high, default=None)
    above = min((mark for mark in marks if mark.low > pointer), key=lambda mark: mark.low, default=None)
    both = [mark for mark in (below, above) if mark is not None]
    texts = [f"{beside(mark, pointer, unit)} {fitted(mark.label, 12)}" for mark in both]
    nearer = sorted(zip(both, texts, strict=True), key=lambda pair: _distance(pair[0], pointer))
    return [", ".join(texts), *(words for _mark, words in nearer[:1])] if texts else []


def _lies(mark: RuleMark, pointer: float, unit: str) -> str:
    """As `beside`, and within what."""
    words = beside(mark, pointer, unit)
    return f"{words} {fitted(mark.label, 12)}" if words == "within" else words


def _distance(mark: RuleMark, pointer: float) -> float:
    return max(mark.low - pointer, pointer - mark.high, 0.0)


def _best(marks: Sequence[RuleMark]) -> RuleMark | None:
    return next((mark for mark in marks if mark.best), None)


def _is_inside(marks: Sequence[RuleMark], pointer: float) -> bool:
    best = _best(marks)
    return best is None or best.low <= pointer <= best.high


def _graduations(
    sheet: Canvas,
    y: int,
    scale: RuleScale,
    marks: Sequence[RuleMark],
    pointer: float | None,
    glyphs: GlyphSet,
) -> None:
    for x in range(scale.cells):
        height = scale.height(x)
        style = _STEEL if height in (None, scales.MINOR) else _ENGRAVED
        sheet.put(x, y, " " if height is None else glyphs.ticks[height], style)
    for mark in sorted(marks, key=lambda mark: mark.best):
        left, right = scale.cell(mark.low), scale.cell(mark.high)
        ticks = glyphs.band_ticks if mark.best else glyphs.other_ticks
        style = _BEST_BAND if mark.best else _OTHER_BAND
        for x in range(max(0, left), min(scale.cells - 1, right) + 1):
            sheet.put(x, y, ticks[scale.height(x) or scales.MINOR], style)
        at = scale.cell(mark.at)
        sheet.put(at, y, glyphs.best_at if mark.best else glyphs.at, style)
    if pointer is not None:
        sheet.put(scale.cell(pointer), y, glyphs.stem, _STEM)


def _names(
    sheet: Canvas,
    y: int,
    scale: RuleScale,
    marks: Sequence[RuleMark],
    pointer: float | None,
    free: list[bool],
    glyphs: GlyphSet,
) -> list[RuleMark]:
    """Write the names that have a place among the free cells, which they take; give the marks that have one."""
    named = []
    home = pointer if pointer is not None else scale.value(scale.cells // 2)
    for mark in sorted(marks, key=lambda mark: (not mark.best, abs(mark.at - float(home)))):
        if scale.cell(mark.high) < 0 or scale.cell(mark.low) >= scale.cells:
            continue
        room = scale.cells - 2 * mark.best
        name = fitted(mark.label, room, glyphs.ellipsis)
        if mark.best:
            name = f"{glyphs.best_caps[0]}{name}{glyphs.best_caps[1]}"
        cells = cell_len(name)
        x = _free_place(free, scale.cell(mark.at), cells)
        if x is None:
            continue
        free[max(0, x - 1) : x + cells + 1] = [False] * len(free[max(0, x - 1) : x + cells + 1])
        named.append(mark)
        if mark.best:
            sheet.put(x, y, glyphs.best_caps[0], _BEST_CAPS)
            sheet.put_words(x + 1, y, name[1:-1], _BEST_NAME)
            sheet.put(x + cells - 1, y, glyphs.best_caps[1], _BEST_CAPS)
        else:
            sheet.put_words(x, y, name, _OTHER_NAME)
    return named


def _free_place(free: list[bool], at: int, cells: int) -> int | None:
    """Where a name goes: over its value, or beside the name that already stands there.

    None when it would end up further from its value than it is long.
    """
    over = min(max(0, at - cells // 2), len(free) - cells)
    for shift in range(cells + cells // 2 + 1):
        for x in (over + shift, over - shift):
            if 0 <= x <= len(free) - cells and all(free[x : x + cells]):
                return x
    return None


def _pointer(
    sheet: Canvas,
    y: int,
    scale: RuleScale,
    marks: Sequence[RuleMark],
    pointer: float | None,
    unit: str,
    reading: str | None,
    glyphs: GlyphSet,
) -> tuple[int, int]:
    """Draw the pointer and its flag; gives the cells they take as (first, last + 1)."""
    if pointer is None:
        return (-2, -2)
    width = scale.cells
    best = _best(marks)
    style = _POINTER
    x = scale.cell(pointer)
    sign = glyphs.up
    if x < 0:
        x, sign = 0, glyphs.left
    elif x >= width:
        x, sign = width - 1, glyphs.right
    number = fitted(reading, 16, glyphs.ellipsis) if reading else measured(pointer, unit)
    says = f"{number} {unit}".rstrip()
    sides = [_lies(best, pointer, unit)] if best is not None else _between(marks, pointer, unit)
    flags = [f"{words}, {side}" for side in sides for words in (says, number)]
    if best is not None and not _is_inside(marks, pointer):
        flags += sides  # how far off it is tells more than the number, which stands in its field too
    # The longest flag that fits beside the pointer is written.
    for flag in [*flags, says]:
        cells = cell_len(flag)
        if x + 2 + cells <= width:
            sheet.put(x, y, sign, style)
            sheet.put_words(x + 2, y, flag, style)
            return (x, x + 2 + cells)
        if x - 1 - cells >= 0:
            sheet.put_words(x - 1 - cells, y, flag, style)
            sheet.put(x, y, sign, style)
            return (x - 1 - cells, x + 1)
    sheet.put(x, y, sign, style)
    return (x, x + 1)


def _numerals(sheet: Canvas, y: int, scale: RuleScale, free: Sequence[bool], *, decimals: bool) -> None:
    last = -1
    for x in range(scale.cells):
        if scale.height(x) != scales.MAJOR:
            continue
        numeral = scale.numeral(x)
        if decimals and numeral != "0":
            numeral = measured(float(sum(Fraction(piece) for piece in numeral.split())), "in")
        left = x - len(numeral) // 2
        right = left + len(numeral)
        if left <= last or left < 0 or right > scale.cells or not all(free[left:right]):
            continue
        sheet.put(left, y, numeral, _NUMERAL)
        last = right


def clock(minutes: float) -> str:
    """Minutes as `26:12`, and `1:04:30` from the hour on."""
    seconds = max(0, floor(minutes * 60 + 1e-6))
    hours, seconds = divmod(seconds, 3600)
    if hours:
        return f"{hours}:{seconds // 60:02d}:{seconds % 60:02d}"
    return f"{seconds // 60}:{seconds % 60:02d}"


def time_rule(
    width: int,
    elapsed_minutes: float,
    target_minutes: float,
    breaks: Sequence[float] = (),
    *,
    paused: bool = False,
    glyphs: GlyphSet = UNICODE,
) -> Content:
    """The minutes of a segment along a rule, in one row of exactly `width` cells, what is left of it blank.

    breaks  the minutes (of the time worked) after which there was a break; each is a gap
    Time spent is heavy ticks, time to come light ones, time over the target is hatched and
    said in words at the end: over is seen without colour.
    """
    if glyphs.words:
        return plain(padded(time_in_words(elapsed_minutes, target_minutes, paused=paused), width), width)
    sheet = Canvas(width, 1)
    over = elapsed_minutes > target_minutes
    spent, target = clock(elapsed_minutes), clock(target_minutes)
    right = f"+{clock(elapsed_minutes - target_minutes)}" if over else target
    if over and width >= 30:
        right += " over"
    if paused:
        spent = f"{glyphs.pause} {spent}"
    rule = width - len(spent) - len(right) - 2
    if rule < 6:
        sheet.put(0, 0, f"{spent}/{target}"[:width], _DONE)
        return sheet.rows()[0]
    left = len(spent) + 1
    whole = max(target_minutes, elapsed_minutes, 0.1)
    step, apart = _minutes_between(whole, rule)

    def place(minutes: float) -> int:
        return min(rule - 1, floor(minutes / step * apart + 0.5))

    here, end, length = place(elapsed_minutes), place(target_minutes), place(whole) + 1
    tall = range(0, length, apart)
    gaps = {place(at) for at in breaks if 0 < at < elapsed_minutes}
    for x in range(length):
        height = 2 if x in tall else 0
        if x > end:
            sign, style = glyphs.hatch, _DONE
        elif x < here:
            sign, style = glyphs.spent[height], _DONE
        else:
            sign, style = glyphs.ticks[height], _NUMERAL
        if x in gaps:
            sign, style = " ", ""
        sheet.put(left + x, 0, sign, style)
    if over:
        sheet.put(left + end, 0, glyphs.spent[2], "bold $pb-text")
    sheet.put(left + here, 0, glyphs.down, _DONE)
    sheet.put(0, 0, spent, _DONE)
    sheet.put(left + length + 1, 0, right, _DONE if over else _NUMERAL)
    return sheet.rows()[0]


def _minutes_between(whole: float, cells: int) -> tuple[float, int]:
    """A round number of minutes, and the cells it takes: tall ticks stand evenly, 3 cells or more apart."""
    for step in (1, 5, 10, 15, 30, 60, 120, 240, 480, 1440):
        apart = floor((cells - 1) * step / whole)
        if apart >= 3:
            return step, apart
    return whole, max(1, cells - 1)


def meter_rule(width: int, done: int, total: int, *, of_what: str = "", glyphs: GlyphSet = UNICODE) -> Content:
    """A count that fills up, in one row of exactly `width` cells: holes of a face, bags, steps.

    One sign a thing where they all fit, so that the holes still to come can be counted; a rule
    otherwise.
    """
    sheet = Canvas(width, 1)
    done = max(0, min(done, total))
    says = f"{done}/{total}" + (f" {of_what}" if of_what else "")
    says = fitted(says, max(0, width), glyphs.ellipsis)
    room = width - cell_len(says) - 1
    full, hollow = glyphs.beads
    if total > 0 and room >= 3:
        if total * 2 - 1 <= room:
            for n in range(total):
                sheet.put(2 * n, 0, full if n < done else hollow, _DONE if n < done else _NUMERAL)
            room = total * 2 - 1
        elif total <= room:
            sheet.put(0, 0, full * done, _DONE)
            sheet.put(done, 0, hollow * (total - done), _NUMERAL)
            room = total
        else:
            at = done * room // total
            sheet.put(0, 0, glyphs.fill[0] * at, _DONE)
            sheet.put(at, 0, glyphs.fill[1] * (room - at), _NUMERAL)
        room += 1
    else:
        room = 0
    sheet.put_words(room, 0, says, "bold $pb-text" if done == total else "$pb-text")
    return sheet.rows()[0]
