"""Telling a scanned code from typed keys. A code scanner types like a keyboard, wherever the focus is.

A scan is known by what it is: prefix, length and check character. Speed is one vote more and decides
only what shape cannot: whether a lone P is a command, and whether an Enter belongs to the code before
it. So a slow radio scanner and a thumb on the keyboard are understood as well.

    watch = ScanWatch()
    event = watch.feed(key, at, where)     # at: seconds of any steady clock
    for key in event.keys:                 # hand these on, oldest first, as if nobody had looked
        ...
    # then look at event.what: CODE, AGAIN, BROKEN or none of the app's business
    # set a timer for watch.deadline and call watch.lapse(at) then

Nothing here reads a clock or a screen.
"""

from enum import Enum

from msgspec import Struct

from putback.scans import bag_code, command_code
from putback.scans.bag_code import END, SEPARATOR


class Where(Enum):
    """What a letter means at the place that has the focus."""

    FORM = "form"
    """Measures and keypad strokes; no command starts with P. P begins a code however slowly."""
    KEYS = "keys"
    """Any letter may be a command. P is held for a quarter of a second, to see whether B follows."""
    TEXT = "text"
    """Free text. Keys are handed on at once; once a code is complete it is taken out of the field."""


class What(Enum):
    """What became of the key that was fed."""

    PASSED = "passed"
    """Nothing to do with a code; `keys` has it, and any that were held before it."""
    HELD = "held"
    """Kept back: `text` may be the start of a code. Show it, so that the person sees where it went."""
    SWALLOWED = "swallowed"
    """Belonged to a code (its Enter, its summary) or ended one half typed. Forget it."""
    CODE = "code"
    """`code` is complete. In TEXT its first characters, `text`, stand before the cursor: take them out."""
    AGAIN = "again"
    """`code` came a second time within two seconds and counts once. In TEXT take `text` out too."""
    BROKEN = "broken"
    """`text` was meant as a code and is none; the keys are dropped. `bag_code.read_code` says why."""


class Event(Struct, frozen=True):
    """What the app is to do after a key or a lapse."""

    what: What
    """Which of these it is; the fields below belong to some of them."""
    keys: tuple[str, ...] = ()
    """Keys to hand on now, oldest first, named as they were fed."""
    code: str = ""
    """The complete code, in capitals (CODE and AGAIN)."""
    text: str = ""
    """What is held so far (HELD), what was typed (BROKEN), or what of the code the field has already got."""
    fast: bool = False
    """Whether it came at a scanner's pace (CODE and AGAIN)."""


COUNTS_ONCE = 2.0
"""Seconds in which the same code is a bouncing trigger (common practice, no source)."""
FAST = 0.06
"""Seconds between characters, in the mean, up to which only a machine types (common practice, no source)."""
_COMMAND_HOLD = 0.25
_SCAN_GAP = 1.0
_THUMB_GAP = 5.0
_SUFFIX_FAST = 0.15
_SUFFIX_SLOW = 0.5
_TAIL_GAP = 1.5
_MEANT = {Where.FORM: 3, Where.KEYS: 5}
"""From so many characters on a capture that breaks off was meant as a code and is not given back."""

_SECONDS = bag_code.PREFIX[1] + command_code.PREFIX[1]
_LINE_FEEDS = frozenset({"\n", "ctrl+j", "newline"})
_SUFFIXES = frozenset({"enter", "return", "tab", "\r", "\t"}) | _LINE_FEEDS
_BACKSPACES = frozenset({"backspace", "\b", "\x7f"})
_ESCAPES = frozenset({"escape", "\x1b"})
_NAMED = {
    "space": " ",
    "full_stop": ".",
    "decimal": ".",
    "minus": "-",
    "slash": "/",
    "plus": "+",
    "asterisk": "*",
    "colon": ":",
    "dollar_sign": "$",
    "percent_sign": "%",
}


class ScanWatch:
    """Follows every key and picks the codes out. One watch for the whole screen."""

    def __init__(self) -> None:
        self._capture: _Capture | None = None
        self._in_field = _InField()
        self._after: _After | None = None
        self._counted: tuple[str, float] | None = None

    @property
    def deadline(self) -> float | None:
        """When `lapse` should be called if no further key comes; None when nothing is held."""
        return self._capture.deadline if self._capture else None

    def feed(self, key: str, at: float, where: Where = Where.FORM) -> Event:
        """Look at one key pressed at `at` seconds with the focus at `where`.

        `key` is the typed character or the key's name ("enter", "tab", "space", "full_stop", "f5").
        """
        overdue = self.lapse(at)
        event = self._feed(key, at, where)
        if overdue.what is What.BROKEN and not event.code:
            return Event(What.BROKEN, event.keys, text=overdue.text)
        return Event(event.what, overdue.keys + event.keys, event.code, event.text, event.fast)

    def lapse(self, at: float) -> Event:
        """What becomes of held keys when time passes: given back, or broken off if they were meant."""
        if self._capture and at >= self._capture.deadline:
            return self._break_off(self._capture)
        return Event(What.PASSED)

    def _feed(self, key: str, at: float, where: Where) -> Event:
        character = _NAMED.get(key, key)
        if self._after:
            if self._after.takes(key, character, at):
                return Event(What.SWALLOWED)
            self._after = None
        if self._capture:
            return self._go_on(self._capture, key, character, at)
        if where is Where.TEXT:
            return self._follow_text(key, character, at)
        self._in_field = _InField()
        if character.upper() == "P":
            self._capture = _Capture(where)
            return self._capture.hold(key, character, at)
        return Event(What.PASSED, (key,))

    def _go_on(self, capture: "_Capture", key: str, character: str, at: float) -> Event:
        """The next key of a capture."""
        if capture.wants(character):
            held = capture.hold(key, character, at)
            return self._complete(capture, at) if len(capture.text) == bag_code.LENGTH else held
        if key in _BACKSPACES and len(capture.text) > 1:
            return capture.take_back()
        if key in _BACKSPACES or key in _ESCAPES:
            self._capture = None
            return Event(What.SWALLOWED)
        ended = self._break_off(capture)
        if ended.what is What.BROKEN and key in _SUFFIXES:
            return ended
        return Event(ended.what, (*ended.keys, key), text=ended.text)

    def _break_off(self, capture: "_Capture") -> Event:
        self._capture = None
        if len(capture.text) >= _MEANT[capture.where]:
            return Event(What.BROKEN, text=capture.text)
        return Event(What.PASSED, tuple(capture.keys))

    def _complete(self, capture: "_Capture", at: float) -> Event:
        self._capture = None
        self._after = _After(at, capture.pace)
        code = bag_code.normalise(capture.text)
        if not is_scannable(code):
            return Event(What.BROKEN, text=capture.text)
        return self._report(code, at, capture.pace, "")

    def _follow_text(self, key: str, character: str, at: float) -> Event:
        typed = self._in_field
        if key in _BACKSPACES:
            typed.take_back()
        elif len(character) == 1 and character.isprintable():
            typed.add(character, at)
        else:
            self._in_field = _InField()
        found = extract_code(typed.text)
        if found is None:
            return Event(What.PASSED, (key,))
        self._in_field = _InField()
        self._after = _After(at, typed.pace)
        return self._report(found[1], at, typed.pace, typed.text[:-1])

    def _report(self, code: str, at: float, pace: float, in_field: str) -> Event:
        what = What.CODE
        if self._counted and self._counted[0] == code and at - self._counted[1] < COUNTS_ONCE:
            what = What.AGAIN
        else:
            self._counted = (code, at)
        return Event(what, code=code, text=in_field, fast=pace <= FAST)


class _Capture(Struct):
    """A code being typed, its keys held back."""

    where: Where
    text: str = ""
    keys: list[str] = []
    stamps: list[float] = []
    deadline: float = 0.0

    @property
    def pace(self) -> float:
        return (self.stamps[-1] - self.stamps[0]) / (len(self.stamps) - 1)

    def wants(self, character: str) -> bool:
        """Whether the character may go on the code; blanks and dashes of a code in groups may."""
        if len(self.text) == 1:
            return character.upper() in _SECONDS
        return len(character) == 1 and character.isascii() and (character.isalnum() or character in " -")

    def hold(self, key: str, character: str, at: float) -> Event:
        self.keys.append(key)
        if character not in " -":
            self.text += character.upper()
            self.stamps.append(at)
        if self.where is Where.FORM:
            self.deadline = at + _THUMB_GAP
        else:
            self.deadline = at + (_COMMAND_HOLD if len(self.text) == 1 else _SCAN_GAP)
        return Event(What.HELD, text=self.text)

    def take_back(self) -> Event:
        while self.keys.pop() in ("space", " ", "minus", "-"):
            pass
        self.text = self.text[:-1]
        self.stamps.pop()
        return Event(What.HELD, text=self.text)


class _InField(Struct):
    """The last characters handed on to a text field."""

    text: str = ""
    stamps: list[float] = []

    @property
    def pace(self) -> float:
        return (self.stamps[-1] - self.stamps[0]) / (len(self.stamps) - 1)

    def add(self, character: str, at: float) -> None:
        self.text = (self.text + character)[-bag_code.LENGTH :]
        self.stamps = [*self.stamps, at][-bag_code.LENGTH :]

    def take_back(self) -> None:
        self.text, self.stamps = self.text[:-1], self.stamps[:-1]


class _After(Struct):
    """The moment after a code: its Enter or Tab, and on a full label its summary, belong to it."""

    last: float
    pace: float
    in_summary: bool = False
    at_end: bool = False
    """The last character closes the summary, unless a digit follows: then it was a decimal point."""
    suffixed: bool = False

    def takes(self, key: str, character: str, at: float) -> bool:
        """Whether this key still belongs to the code; once one does not, the moment is over."""
        gap, self.last = at - self.last, at
        fast = self.pace <= FAST
        at_once = gap <= (_SUFFIX_FAST if fast else min(2 * self.pace, _SUFFIX_SLOW))
        if self.suffixed:
            return key in _LINE_FEEDS and at_once
        if key in _SUFFIXES:
            self.suffixed = True
            return at_once or (self.in_summary and not self.at_end and gap <= _TAIL_GAP)
        if len(character) != 1:
            return False
        if self.in_summary:
            over = gap > _TAIL_GAP or (self.at_end and not (at_once and character.isdigit()))
            self.at_end = character == END
            return not over
        # A scanner set to another country's keyboard types the colon as a letter such as Ö.
        self.in_summary = at_once and (character == SEPARATOR or (fast and not character.isascii()))
        return self.in_summary


def is_scannable(code: str) -> bool:
    """Whether `code` is a bag's or a command's code, exactly as it stands."""
    return bag_code.is_code(code) or command_code.is_command_code(code)


def extract_code(text: str) -> tuple[str, str] | None:
    """Split off a code at the end of `text` (a field's text up to its cursor): the rest, and the code.

    Lower case is read as capitals, and the code may follow a word without a blank: a scan can come in
    the middle of one. None when `text` does not end in a code. The rest is exactly as it was.
    """
    rest, tail = text[: -bag_code.LENGTH], text[-bag_code.LENGTH :]
    if not tail.isascii() or not is_scannable(tail.upper()):
        return None
    return rest, tail.upper()
