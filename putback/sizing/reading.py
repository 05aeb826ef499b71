"""What was typed at the bench -> an exact measure, something unfinished, or a sentence why not.

Only this module reads what people type as a length; pint converts units and parses nothing.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import Unreadable
from putback.sizing.units import MM_PER_INCH, Unit, unit_begun, unit_size
from putback.sizing.wire_gauges import by_number, number_begun, of_a_gauge

LONGEST_TEXT = 40
"""Characters; nothing a person types for one reading is longer."""

LARGEST = Fraction(10_000)
"""Millimetres. A reading above ten metres is a slip of the finger, not a fastener."""

ODD_DIGITS = str.maketrans("０１２３４５６７８９．／，－＃＊　", "0123456789./,-#* ")  # noqa: RUF001 full-width on purpose
"""Full-width digits and signs, as some keyboards send them."""

VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3", "⅙": "1/6", "⅚": "5/6", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
}  # fmt: skip


Datum = Literal["", "over all", "under the head"]
"""Where a length was measured, as it can be said behind it."""

_DATUM_SAID = re.compile(
    r"(?P<text>.*[0-9a-z\"'.]) *,? *(?:(?P<all>over ?all|o\.?a\.?l?\.?)|(?P<under>under (?:the )?head|u\.?h\.?))", re.I
)
_DATUM_ENDS = frozenset("aldhALDH.")
_DATUM_WORDS = ("over all", "overall", "oal", "under head", "under the head", "uh")


def split_datum(text: str) -> tuple[str, Datum]:
    """The text of a length without the words for where it was measured, and those: `7/16 under head`, `.372 oa`."""
    bare = text.strip()
    found = _DATUM_SAID.fullmatch(bare) if bare[-1:] in _DATUM_ENDS else None  # asked at every key: most end otherwise
    if found is None:
        return text, ""
    return found["text"], "over all" if found["all"] else "under the head"


def _datum_begun(text: str) -> bool:
    """Whether a text is a measure with the beginning of such words behind it: `.372 o`, `7/16 under`."""
    found = re.fullmatch(r"[0-9.,/ -]*[0-9.](?: ?(?:mm|in|thou|\"))? ?(?P<words>[ou][a-z. ]*)", text.lower())
    return found is not None and any(word.startswith(found["words"].strip()) for word in _DATUM_WORDS)


class Measure(Struct, frozen=True):
    """One measured length or diameter, exact, in the unit it was meant in."""

    value: Fraction
    """In `unit`."""
    unit: Unit
    """Inches or millimetres."""
    text: str
    """As typed."""
    note: str = ""
    """How it was read where that is not plain: a decimal comma, thousandths of an inch."""
    span: tuple[Fraction, Fraction] | None = None
    """The smaller and the larger of two readings of it, mm; None where it was read once."""
    datum: Datum = ""
    """Where it was measured, where that was said behind it: over all, under the head."""

    @property
    def mm(self) -> Fraction:
        """The same in millimetres, exact."""
        return self.value * MM_PER_INCH if self.unit == "in" else self.value

    @property
    def inches(self) -> Fraction:
        """The same in inches, exact."""
        return self.value if self.unit == "in" else self.value / MM_PER_INCH


class Unfinished(Struct, frozen=True):
    """A reading that is on its way to one: `7/`, `1/4-`, `.`."""

    text: str
    """As typed."""
    hint: str
    """What is still to come, as a sentence."""


_NUMBER = re.compile(
    r"""(?:
        (?:(?P<whole>[0-9]+)(?:\ +|\ *-\ *))? (?P<top>[0-9]+)\ */\ *(?P<bottom>[0-9]+)
      | (?P<plain>[0-9]+(?:[.,][0-9]+)? | [.,][0-9]+)
    )""",
    re.X,
)
_UNIT = re.compile(r"""\ *(?P<unit>[A-Za-zµμ]{1,16}|"|''|\u201d|\u2033|\u2032\u2032)\.?""")
_OPEN = re.compile(
    r"(?:[0-9]+(?:\ +|\ *-\ *))?[0-9]*\ */?|[0-9]*[.,]?|[0-9]+\ */\ *[0-9]+\ *-|[0-9]+(?:[.,][0-9]+)?\ *-"
)


def tidy(text: str) -> str:
    """`text` with full-width signs, vulgar fractions and stray spaces made plain. Raises Unreadable if too long."""
    if len(text) > LONGEST_TEXT:
        raise Unreadable(f"'{text[:12]}…' is too long for one reading.")
    text = text.translate(ODD_DIGITS)
    for sign, plain in VULGAR.items():
        if sign in text:
            text = text.replace(sign, f" {plain}")
    return " ".join(text.replace("\u2044", "/").replace("\u2212", "-").split())


def read_measure(text: str, unit: Unit, *, what: str = "") -> Measure | Unfinished:
    """What `text` measures on a machine whose unit is `unit`; `what` names the field in a refusal.

    Bare numbers take the machine's unit. On an inch machine three digits without a point are thousandths.
    Raises Unreadable, with one sentence, for what can never become a length.
    """
    try:
        return _read(text, unit)
    except Unreadable as fault:
        if not what:
            raise
        raise Unreadable(f"{what}: {fault}") from None


@lru_cache(maxsize=4096)  # a machine's fasteners are compared with the one in the hand at every key
def _read(typed: str, unit: Unit) -> Measure | Unfinished:
    text = tidy(typed)
    if not text:
        return Unfinished(typed, "nothing typed yet")
    if text.startswith(("-", "+")):
        raise Unreadable(f"'{text}' has a sign; type the measure without it.")
    if text[-1:].isalpha() and (numbered := by_number(text)) is not None:
        return Measure(numbered.inch, "in", typed, f"{numbered.called} is {_decimal(numbered.inch)} in")
    number = _NUMBER.match(text)
    if number is None:
        return Unfinished(typed, _rest_of_number(text))
    named = _UNIT.fullmatch(text, number.end())
    if named is None and number.end() < len(text):
        return Unfinished(typed, _rest_of_number(text))
    given = named["unit"] if named else ""
    if given and (hint := _rest_of_unit(given, text)):
        return Unfinished(typed, hint)
    size, stays, why = _unit_named(given) if given else _unit_meant(number, text, unit)
    value, note = _value(number, text, metric=stays == "mm")
    mm = value * size
    if mm == 0:
        if given or "/" in text:
            raise Unreadable(f"'{text}' is nothing; a measure is more than 0.")
        return Unfinished(typed, "0 so far")
    if mm > LARGEST:
        message = f"{text} {unit}" if not given else text
        raise Unreadable(f"'{message}' is over ten metres; is a point missing?")
    return Measure(mm / MM_PER_INCH if stays == "in" else mm, stays, typed, note + why)


_WHICH_GAUGE = "the gauge, as 14 swg or 28 drill"


def _rest_of_number(text: str) -> str:
    """What is still to come before it is a number. Raises Unreadable where none can come of it."""
    if number_begun(text):
        return _WHICH_GAUGE
    if _OPEN.fullmatch(text) and not _NUMBER.fullmatch(text):
        return _what_is_missing(text)
    raise Unreadable(f"'{text}' is not a measure; type .372, 3/8, 11.2mm or 370 thou.")


def _rest_of_unit(given: str, text: str) -> str:
    """What is still to come of the letters behind a number; nothing where they may be a unit."""
    if unit_begun(given):
        return "mm, in or thou?"
    if of_a_gauge(text):
        raise Unreadable(f"'{text}': that gauge has no such number.")
    return _WHICH_GAUGE if number_begun(text) else ""


_INCH_MARKS = ("\u201d", "\u2033", "\u2032\u2032")
"""The typographer's."""


def _unit_named(given: str) -> tuple[Fraction, Unit, str]:
    """As `_unit_meant`, where the unit stands behind the number."""
    size = unit_size('"' if given in _INCH_MARKS else given)
    return size, "in" if size in (MM_PER_INCH, MM_PER_INCH / 1000) else "mm", ""


def _unit_meant(number: re.Match[str], text: str, unit: Unit) -> tuple[Fraction, Unit, str]:
    """What one of a bare number is in mm, inches or millimetres, and why where it is not one of the machine's unit."""
    if unit == "in" and re.fullmatch(r"[0-9]{3}", text):
        return unit_size("in") / 1000, "in", f"{text} thousandths of an inch"
    if unit == "in" and re.match(r"[1-9][0-9]*,", number["plain"] or ""):  # nobody writes inches with a comma
        return unit_size("mm"), "mm", "; taken as millimetres, since inches have no comma"
    if unit == "mm" and number["top"]:  # nor millimetres as a fraction
        return unit_size("in"), "in", "a fraction, taken as inches"
    return unit_size(unit), unit, ""


def _decimal(value: Fraction) -> str:
    return f"{float(value):.4f}".lstrip("0").rstrip("0")


_TWICE = re.compile(r"(?P<one>[0-9]*[.,][0-9]+|[0-9]{3}) +(?P<two>[0-9]*[.,][0-9]+|[0-9]{3})(?P<unit> ?[a-z\"]*)", re.I)

FAR_OFF = Fraction(1, 10)
"""Two readings of one length further apart than this part of it are of two things, or one is a slip."""


def read_length(text: str, unit: Unit, *, what: str = "length") -> Measure | Unfinished:
    """As `read_measure`, for one measure that may have been seen twice: `.415 .407`; on the pad `415*407`.

    Raises Unreadable where the two are too far apart to be one.
    """
    bare, datum = split_datum(text)
    if datum:
        read = read_length(bare, unit, what=what)
        return read if isinstance(read, Unfinished) else replace(read, datum=datum)
    if ("o" in text or "u" in text) and _datum_begun(tidy(text)):
        return Unfinished(text, "over all, or under head")
    twice = _TWICE.fullmatch(tidy(text.replace("*", " ")))
    if twice is None:
        return read_measure(text, unit, what=what)
    one, two = (read_measure(f"{twice[half]}{twice['unit']}", unit, what=what) for half in ("one", "two"))
    if isinstance(one, Unfinished) or isinstance(two, Unfinished):
        return Unfinished(text, "the second reading of the same length")
    low, high = sorted((one.mm, two.mm))
    if high - low > high * FAR_OFF:
        raise Unreadable(f"{what}: '{tidy(text)}' are two readings of one length, and too far apart; measure again.")
    return Measure((one.value + two.value) / 2, one.unit, text, one.note, (low, high))


def _value(number: re.Match[str], text: str, *, metric: bool) -> tuple[Fraction, str]:
    """The bare number in its own unit, and how it was read if that is worth saying."""
    if number["top"]:
        if int(number["bottom"]) == 0:
            raise Unreadable(f"'{text}' divides by nothing.")
        part = Fraction(int(number["top"]), int(number["bottom"]))
        if number["whole"] and part >= 1:
            raise Unreadable(f"'{text}' is not a whole number and a fraction of one.")
        return (int(number["whole"] or 0) + part), ""
    plain = number["plain"]
    if "," not in plain:
        return Fraction(plain), ""
    if not metric:
        raise Unreadable(f"'{text}' has a comma; in inches the point is a full stop.")
    point = plain.replace(",", ".")
    return Fraction(point), f"comma read as the decimal point: {point}"


def _what_is_missing(text: str) -> str:
    if text.endswith("/"):
        return "the lower number of the fraction"
    if text.endswith("-"):
        return "something after the dash"
    if text.endswith((".", ",")):
        return "a figure after the point"
    return "the rest of the fraction, as 1 1/4"


def read_count(text: str, *, what: str = "threads to the inch") -> Fraction | Unfinished:
    """A pitch count in threads to the inch, 3 to 200: `32`, `11 1/2`, `11.5`. Raises Unreadable for others."""
    plain = re.sub(r" *(tpi|t\.p\.i\.?)$", "", tidy(text), flags=re.I)
    number = _NUMBER.fullmatch(plain)
    if number is None or (number["plain"] and "," in number["plain"]):
        if _OPEN.fullmatch(plain):
            return Unfinished(text, _what_is_missing(plain) if plain else "nothing typed yet")
        raise Unreadable(f"{what}: '{plain}' is not a count; type 32.")
    count, _ = _value(number, plain, metric=False)
    if count < 3 and not number["top"] and len(plain) == 1 and count > 0:
        return Unfinished(text, "threads to the inch, as 32")
    if not 3 <= count <= 200:
        raise Unreadable(f"{what}: {plain} is outside 3 to 200 threads to the inch.")
    return count
