"""The taking-off form as a pure machine: keys in, what the person means out. Knows no screen.

Every stroke of the loop is on a bare numeric keypad: `0-9 . / * - + Enter`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from putback.sizing.kinds import KIND_ROWS
from putback.trade.record.fastener import READINGS, Drive, Hand, Head
from putback.trade.sizes.reading_words import FIELD_WORDS as FIELD_WORDS
from putback.trade.sizes.reading_words import ways_text as ways_text

FIELDS: dict[str, tuple[str, ...]] = {kind.name: kind.asks for kind in KIND_ROWS}
"""What the form asks for each kind of fastener, in order; all but the first may stay empty."""

BY = frozenset({"shoulder"})
"""Fields of two measures, the one by the other: `.187 x .125`."""

SAID = ("head", "drive", "hand")
"""What the form itself says of a fastener beside its kind and its readings; all else is in `extra`."""

TIMES = " x "
"""What stands between the two."""

PLACES = "123456789"
LONGEST_FIELD = 40


class Form(Struct, frozen=True, kw_only=True):
    """What is being entered now."""

    hole: str = ""
    """The hole chosen; empty while a place is wanted."""
    kind: str = "screw"
    """The kind of fastener."""
    head: Head = ""
    """The head, carried over from the one before."""
    drive: Drive = ""
    """The drive, carried over from the one before."""
    hand: Hand = ""
    """`left` for a left-hand thread."""
    extra: Mapping[str, str] = {}
    """What was said of this one beside the fields: small_end, should_be, note, a further reading; and kind, head,
    drive and hand where they were said since the last one was recorded."""
    worn: Mapping[str, tuple[str, str]] = {}
    """Head and drive of the last one of each other kind."""
    turned_by: Mapping[str, str] = {}
    """The drive that each other head had last."""
    typed: tuple[str, ...] = ()
    """What was typed, field by field; the last one is being typed."""
    erasing: bool = False
    """Whether a dash erases: two in a row were typed, and nothing since."""
    stands: Mapping[str, str] = {}
    """What stands in fields, by name, until something is typed there and takes its place."""
    offers: Mapping[str, str] = {}
    """What the one before has in its fields, by name: Enter in the first, while that is empty, takes it over."""
    like: bool = False
    """Whether its first field was taken over as offered: with nothing else typed it is as the one before."""
    mends: bool = False
    """Whether it says right what is recorded."""
    only: tuple[str, ...] = ()
    """The fields, where they are not just those of the kind."""

    @property
    def fields(self) -> tuple[str, ...]:
        """The fields of this kind."""
        return self.only or FIELDS[self.kind]

    @property
    def field(self) -> str:
        """The field being typed; empty while a place is wanted."""
        return self.fields[len(self.typed) - 1] if self.hole else ""

    @property
    def text(self) -> str:
        """What stands in the field being typed."""
        return self.typed[-1] if self.typed else ""

    @property
    def readings(self) -> dict[str, str]:
        """The readings so far, by name, empty ones left out."""
        typed = {name: text for name, text in zip(self.fields, self.typed, strict=False) if text.strip()}
        stands = {name: text for name, text in self.stands.items() if text.strip()}
        found = stands | typed
        found = {name: found[name] for name in self.fields if name in found}
        return found | {name: text for name, text in self.extra.items() if name in READINGS}

    @property
    def standing(self) -> str:
        """What stands in the field being typed while nothing is typed there."""
        return "" if self.text else self.stands.get(self.field, "")

    @property
    def offers_shown(self) -> Mapping[str, str]:
        """What is offered, as long as nothing else was typed."""
        first = {self.fields[0]} if self.like else set()
        return {} if self.readings.keys() - first else self.offers

    @property
    def offered(self) -> str:
        """What is offered for the field being typed while nothing is typed there."""
        return "" if self.text else self.offers_shown.get(self.field, "")

    def choose(self, hole: str) -> Form:
        """The form with a hole chosen and its first field open."""
        return replace(self, hole=hole, typed=("",), erasing=False, offers={}, like=False)

    def cleared(self) -> Form:
        """The form ready for the next place; kind, head and drive stay."""
        return replace(
            self,
            hole="",
            typed=(),
            hand="",
            extra={},
            erasing=False,
            stands={},
            offers={},
            like=False,
            mends=False,
            only=(),
        )

    def with_head(self, head: str) -> Form:
        """The form with another head, and the drive that head had last."""
        drives = {**self.turned_by, self.head: self.drive}
        return replace(self, head=head, drive=drives.get(head, self.drive), turned_by=drives)

    def saying(self, **given: str) -> Form:
        """The form with something said of the next fastener."""
        return replace(self, extra={**self.extra, **given})

    def with_kind(self, kind: str) -> Form:
        """The form for another kind, with the head and drive that the last of that kind had."""
        if kind == self.kind:
            return self
        head, drive = self.worn.get(kind, ("", ""))
        worn = {**self.worn, self.kind: (self.head, self.drive)}
        return replace(self, kind=kind, head=head, drive=drive, worn=worn)


class FormAct(Struct, frozen=True):
    """What the person means by the key; the screen turns it into a command."""

    do: str
    """record, same, off, take back, bag, face, more, refused, or nothing (empty)."""
    hole: str = ""
    """The hole, for record and same."""
    why: str = ""
    """Why, for refused; commands of the key table stand in it as `{off}`."""


NOTHING = FormAct("")


def press(form: Form, key: str, *, taken: Sequence[str], suggested: str) -> tuple[Form, FormAct]:
    """Return the form after `key`, and what the key means.

    `key` is one character of the keypad, a letter typed into a field, `enter`, or `backspace`. `taken`
    are the holes of this part that hold something already; `suggested` is the hole the next fastener
    like the last is likely to come from.
    """
    if not form.hole:
        return _at_place(form, key, taken, suggested)
    return _in_field(form, key, taken)


def _at_place(form: Form, key: str, taken: Sequence[str], suggested: str) -> tuple[Form, FormAct]:
    if key in PLACES:
        return form.choose(key), NOTHING
    acts = {"0": "off", "-": "take back", "backspace": "take back", "*": "bag", "/": "face", ".": "more"}
    if key in acts:
        return form, FormAct(acts[key])
    if key == "+":
        if not suggested:
            return form, FormAct(
                "refused", why="Every place has one: a place, {blank} and {same.field} take another beside it."
            )
        return form, FormAct("same", suggested)
    if key == "enter":
        if suggested:
            return form.choose(suggested), NOTHING
        return form, FormAct("refused", why="Press a place from 1 to 9, or {off} when nothing more holds it.")
    return form, NOTHING


def _in_field(form: Form, key: str, taken: Sequence[str]) -> tuple[Form, FormAct]:
    first = len(form.typed) == 1
    if key == "escape":
        return form.cleared(), NOTHING
    if key == "enter":
        return _entered(form, first)
    if key in ("-", "backspace"):
        return _dash_or_back(form, key), NOTHING
    if key == "+" and not form.text:
        if first:
            return _same(form)
        return form, FormAct("refused", why="Type figures first; {same.field} behind them says that they are rough.")
    if key == "*":
        return _blank(form, taken)
    return _and(form, key), NOTHING


def _dash_or_back(form: Form, key: str) -> Form:
    """The form one character shorter, one field back, or with a dash."""
    if key == "backspace" and form.standing:
        return _with(form, form.standing[:-1])
    if not form.text:
        return replace(form, typed=form.typed[:-1]) if form.typed[1:] else form.cleared()
    if key == "backspace":
        shorter = form.text.removesuffix(TIMES) if form.text.endswith(TIMES) else form.text[:-1]
        return replace(_with(form, shorter), erasing=form.erasing)
    text, erasing = dashed(form.text, form.erasing)
    return replace(_with(form, text[:LONGEST_FIELD]), erasing=erasing)


def _blank(form: Form, taken: Sequence[str]) -> tuple[Form, FormAct]:
    """The blank key: before all figures the next hole at the place, between two measures an x."""
    if len(form.typed) == 1 and not form.text:
        return form.choose(next_letter(form.hole, taken)), NOTHING
    if form.field not in BY:
        return _and(form, " "), NOTHING
    if not form.text.strip() or TIMES.strip() in form.text.casefold():
        return form, FormAct("refused", why=f"The {form.field} is diameter {{blank}} length, each once.")
    return _with(form, f"{form.text.rstrip()}{TIMES}"[:LONGEST_FIELD]), NOTHING


def _and(form: Form, key: str) -> Form:
    """The form with one more character, where the key is one and there is room."""
    if len(key) == 1 and key.isprintable() and len(form.text) < LONGEST_FIELD:
        return _with(form, form.text + key)
    return form


def _entered(form: Form, first: bool) -> tuple[Form, FormAct]:
    """Enter: the next field, or the end; what cannot be one yet is refused at once.

    In the empty first field it takes over what the one before had there; where nothing is typed after that, the
    fastener is as the one before, and not measured.
    """
    if first and form.offered:
        form = replace(form, typed=(form.offered,), like=True)
        return _same(form) if len(form.fields) == 1 else (replace(form, typed=(*form.typed, "")), NOTHING)
    if first and not form.text.strip() and not form.readings:
        name = FIELD_WORDS.get(form.field, form.field)
        return form, FormAct("refused", why=f"Type the {name} first.")
    if ends_in_dash(form.text):
        return form, FormAct("refused", why=OPEN_DASH)
    if len(form.typed) < len(form.fields):
        return replace(form, typed=(*form.typed, ""), erasing=False), NOTHING
    if form.like and not form.readings.keys() - {form.fields[0]}:  # nothing was typed behind what was taken over
        return _same(form)
    return form, FormAct("record", form.hole)


def _same(form: Form) -> tuple[Form, FormAct]:
    """Another just like the last in the hole chosen; what was said of it beside the fields stays said."""
    return replace(form.cleared(), extra=form.extra), FormAct("same", form.hole)


OPEN_DASH = "Nothing follows the dash: type the rest, or erase it with {dash} once more."
"""What is said of a size that ends in a dash."""


def dashed(text: str, erasing: bool) -> tuple[str, bool]:
    """Return a size after a dash was pressed behind it, and whether the next dash erases.

    A dash is a character, since sizes are written with it: `8-32`, `1-1/4`. Two in a row erase the dash and the
    figure before it, and each further one erases one more, until something else is typed.
    """
    if erasing:
        return text[:-1], True
    if text.endswith("-"):
        return text[:-2], True
    return f"{text}-", False


def labels(form: Form) -> dict[str, str]:
    """Return what keys of a field do as it stands, by command, where that is not what they are called for."""
    erases = form.erasing or form.text.endswith("-")
    found = {"dash": "back" if not form.text else "erase one more" if erases else "dash, twice erases"}
    if form.field in BY and form.text:
        found["blank"] = "x"
    if form.text or form.typed[1:]:
        found["same.field"] = "rough"
    if form.offered:
        found["enter"] = "same again" if form.like else "this size"
    return found


def ends_in_dash(text: str) -> bool:
    """Tell whether a size ends in a dash, so that it cannot be one yet."""
    return text.rstrip(" *+").endswith("-")


def _with(form: Form, text: str) -> Form:
    """The form with this text in the field being typed, where nothing stands any more."""
    stands = {name: value for name, value in form.stands.items() if name != form.field}
    like = form.like and len(form.typed) > 1  # another first field is not that of the one before
    return replace(form, typed=(*form.typed[:-1], text), erasing=False, stands=stands, like=like)


def next_letter(hole: str, taken: Sequence[str]) -> str:
    """Return the next hole at the same place: 5, 5a, 5b, after all that are taken."""
    place = hole[0]
    names = [place, *(place + letter for letter in "abcdefghijklmnopqrstuvwxyz")]
    after = names.index(hole) if hole in names else 0
    for name in names[after + 1 :]:
        if name not in taken:
            return name
    return hole
