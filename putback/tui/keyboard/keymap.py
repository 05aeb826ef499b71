"""The keys as they hold for one person: the table, a ready layout over it, and keys of one's own. Pure.

A layout is a block of nine letters that stand for the places 1 to 9 as they lie on the keyboard, and twins of
the other keypad keys around it. It holds wherever no text is typed; in a field digits are digits and letters
are letters. What was on a letter of the block is on the same letter with Shift.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import BadInput
from putback.settings import Settings, SettingsFinding
from putback.tui.keyboard.key import Key
from putback.tui.keyboard.keys import KEYS, pressed

FIGURES = tuple("123456789")
"""The places, and the lines of a list."""

TYPED = "field"
"""The place where what is pressed is text: no command there can be on a sign."""


class Layout(Struct, frozen=True):
    """A block of letters and what lies around it."""

    name: str
    """One of settings.LAYOUTS."""
    block: str
    """Nine letters, top row first: the places 7 8 9, 4 5 6, 1 2 3."""
    twins: Mapping[str, str]
    """Keypad keys, and the key near the block that does the same."""
    rows: tuple[tuple[str, str], ...]
    """The picture: what lies before and behind each row of the block."""
    help: str
    """One sentence for whom it is."""

    @property
    def all(self) -> dict[str, str]:
        """Every keypad key that has a twin, and the twin."""
        return dict(zip("789456123", self.block, strict=True)) | dict(self.twins)


READY = {
    "left": Layout(
        "left",
        "wersdfxcv",
        {"-": "q", "0": "a", ".": "z", "*": "t", "+": "g", "/": "b", "enter": "tab"},
        (("q", "t"), ("a", "g"), ("z", "b")),
        "The whole loop under the left hand, on the letters of any keyboard.",
    ),
    "laptop": Layout(
        "laptop",
        "yuihjkbnm",
        {"-": "t", "0": "g", "/": "v", "*": "o", "+": "l"},
        (("t", "o"), ("g", "l"), ("v", ",")),
        "The whole loop under the right hand, for a keyboard without number pad. The comma is the point's twin.",
    ),
}
"""The layouts that come with the program, beside the keypad itself. Both blocks stand straight enough for one
finger; where a keyboard has other letters there, `block` says which."""


class Keymap(Struct, frozen=True):
    """The table of keys as it holds."""

    keys: tuple[Key, ...]
    """Every command with its keys, the one that is shown first."""
    layout: Layout | None = None
    """The layout over the table; None for the keypad's own."""

    @property
    def named(self) -> Keymap:
        """The same with the keys that are signs by their names, for a voice: plus, minus, star."""
        return replace(self, keys=tuple(replace(key, shown=name_of(key.shown)) for key in self.keys))

    def keys_of(self, *places: str) -> list[Key]:
        """Return the commands of the given places, in order."""
        return [key for place in places for key in self.keys if key.where == place]

    def key(self, id: str) -> Key:
        """Return the command of that id. Raises KeyError where there is none."""
        return self.keys[_ORDER[id]]

    def has(self, id: str) -> bool:
        """Tell whether there is a command of that id."""
        return id in _ORDER

    def pair(self, id: str, label: str = "") -> tuple[str, str]:
        """Return what a footer shows of a command: its key, and its label or another."""
        key = self.key(id)
        return key.shown, label or key.label

    def shown(self, id: str) -> str:
        """Return how the key of a command is printed."""
        return self.key(id).shown

    @property
    def places(self) -> tuple[str, ...]:
        """One sign each for the places 1 to 9 on the hole map: the layout's letters, or the person's own keys."""
        keys = self.key("place").keys
        signs = map(spoken, keys[9:18] if len(keys) >= 18 else keys[:9])
        return tuple(sign if len(sign) == 1 else figure for sign, figure in zip(signs, FIGURES, strict=True))

    def words(self, text: str) -> str:
        """Return a sentence of ours with the person's keys where it names commands, as in `{off} when it is off`."""
        return re.sub(r"\{([a-z.]+)\}", lambda found: self.shown(found[1]), text)

    def plain(self, key: str, *places: str) -> str:
        """Return the key of the table that means at these places what `key` means to the person.

        Empty where the table's command on that key was given another. A capital that means nothing of
        its own is its small letter, as with the shift lock on.
        """
        for small in dict.fromkeys((key, key.lower() if len(key) == 1 else key)):
            for known in self.keys_of(*places):
                if small in known.keys:
                    return _as_in_table(small, known)
        keys = _BY_ID.values()
        if any(key in map(pressed, known.keys) for known in keys if known.where in places):
            return ""
        return key


_BY_ID = {key.id: key for key in KEYS}
_ORDER = {key.id: at for at, key in enumerate(KEYS)}


def _as_in_table(key: str, known: Key) -> str:
    own = tuple(map(pressed, _BY_ID[known.id].keys))
    if key in own:
        return key
    return FIGURES[known.keys.index(key) % 9] if _is_figures(_BY_ID[known.id]) else own[0]


def _is_figures(key: Key) -> bool:
    return set(key.keys) == set(FIGURES)


def keymap_of(settings: Settings) -> tuple[Keymap, tuple[SettingsFinding, ...]]:
    """Return the keys as the settings want them, and what of [keys] cannot be."""
    layout = READY.get(settings.layout)
    if layout is not None and settings.keys.block:
        layout = replace(layout, block=settings.keys.block)
    found: list[SettingsFinding] = []
    given = settings.keys
    if given.block and (layout is None or set(layout.block) & set(layout.twins.values())):
        why = "there is no block in the layout “keypad”"
        if layout is not None:
            shared = sorted(set(layout.block) & set(layout.twins.values()))
            why = f"{', '.join(map(spoken, shared))} beside the block of “{layout.name}” does something else"
            layout = READY[layout.name]
        found.append(SettingsFinding(f"[keys] block is not used: {why}.", given.lines.get("block", 0)))
    base = DEFAULT.keys
    if layout is not None:
        base = tuple(_laid(key, layout) for key in base)
    if not given.own:
        return Keymap(base, layout), tuple(found)
    own = {}
    for id, keys in given.own.items():
        try:
            own[id] = _keys_for(id, keys)
        except BadInput as fault:
            found.append(SettingsFinding(f"[keys] {fault}", given.lines.get(id, 0)))
    while True:
        table = tuple(_given(key, own[key.id]) if key.id in own else key for key in base)
        clash = _first_clash(table, own)
        if clash is None:
            return Keymap(table, layout), tuple(sorted(found, key=lambda odd: odd.line))
        loser, other, key = clash
        del own[loser]
        found.append(
            SettingsFinding(
                f"[keys] {loser} cannot be on {spoken(key)}: {other} ({_BY_ID[other].label}) is there.",
                given.lines.get(loser, 0),
            )
        )


DEFAULT = Keymap(tuple(replace(key, keys=tuple(map(pressed, key.keys))) for key in KEYS))
"""The table as it comes."""


def _laid(key: Key, layout: Layout) -> Key:
    """Return a command with its twins of the layout; a letter that the layout takes goes to Shift."""
    if not key.keys:
        return key
    twins, taken = layout.all, set(layout.all.values())
    if key.where == TYPED:  # only what is not a sign can be a key there
        twins = {pad: twin for pad, twin in twins.items() if len(twin) > 1}
        taken = set(twins.values())
    moved = tuple(_with_shift(k) if k in taken else k for k in key.keys)
    if _is_figures(key):
        near = tuple(twins[figure] for figure in FIGURES if figure in twins)
        # On the hole map stand the letters; in a list, the figures.
        on_map = key.where in ("place", "part") and len(near) == len(FIGURES)
        shown = f"{spoken(near[0])}-{spoken(near[-1])}" if on_map else key.shown
        return replace(key, keys=(*moved, *near), shown=shown)
    near = tuple(twins[k] for k in key.keys if k in twins)
    both = (*near, *moved)
    shown = key.shown if both[0] == key.keys[0] else spoken(both[0])
    return replace(key, keys=both, shown=shown)


def _with_shift(key: str) -> str:
    return key.upper() if len(key) == 1 else f"shift+{key}"


def _given(key: Key, keys: Sequence[str]) -> Key:
    """Return a command with the person's keys instead of its own; Escape stays where it was."""
    kept = tuple(k for k in key.keys if k == "escape" and k not in keys)
    shown = spoken(keys[0]) if not _is_figures(_BY_ID[key.id]) else f"{spoken(keys[0])}-{spoken(keys[8])}"
    return replace(key, keys=(*keys, *kept), shown=shown)


# -- what a person may write -------------------------------------------------------------------------

_NAMES = (
    "enter", "tab", "shift+tab", "escape", "backspace", "delete", "insert", "home", "end", "pageup", "pagedown",
    "up", "down", "left", "right", *(f"f{n}" for n in range(1, 13)),
)  # fmt: skip
SIGNS = {
    "plus": "+", "minus": "-", "star": "*", "stroke": "/", "point": ".", "comma": ",", "question mark": "?",
    "equals": "=", "semicolon": ";", "apostrophe": "'", "number sign": "#",
}  # fmt: skip
"""What a voice calls a key that is a sign."""
_NAMED = {sign: name for name, sign in SIGNS.items()}
_WORDS = {"space": " ", "esc": "escape", "return": "enter", "page+up": "pageup", "page+down": "pagedown"}
_TAKEN = {
    "ctrl+c": "it leaves the program",
    "ctrl+q": "it leaves the program",
    "ctrl+i": "a terminal sends it for Tab",
    "ctrl+m": "a terminal sends it for Enter",
    "ctrl+j": "a terminal sends it for Enter",
    "ctrl+h": "a terminal sends it for Backspace",
}


def read_key(text: str) -> str:
    """Return a key as a person writes it, as the screens are given it. Raises BadInput for what is none.

    `N` or `n`, `Shift+N`, `+`, `Space`, `Enter`, `F5`, `Ctrl+F`; a blank does for the plus.
    """
    if len(text) == 1 and text.isprintable():
        return text.lower() if len(text.lower()) == 1 else text
    if text in SIGNS:
        return SIGNS[text]
    word = re.sub(r"\s*\+\s*|\s+", "+", text.strip().casefold())
    if word in _WORDS:
        return _WORDS[word]
    if len(word) == 7 and word.startswith("shift+") and word[6].isalpha():
        return word[6].upper()
    if word in _NAMES or re.fullmatch(r"ctrl\+[a-z]", word):
        return word
    raise BadInput(f"“{text}” is not a key.")


def name_of(shown: str) -> str:
    """Return a key as it is printed, or run of keys, as a voice says it: `plus`, `1 to 9`."""
    return " ".join(_NAMED.get(word) or re.sub(r"(?<=.)-(?=.)", " to ", word) for word in shown.split(" "))


def spoken(key: str) -> str:
    """Return how a key is printed: N, Shift N, Space, Ctrl F."""
    if len(key) == 1 and key.isalpha():
        return key.upper() if key.islower() else f"Shift {key}"
    if key == " ":
        return "Space"
    words = {"pageup": "Page Up", "pagedown": "Page Down", "escape": "Esc"}
    return key if len(key) == 1 else words.get(key) or " ".join(word.capitalize() for word in key.split("+"))


def _keys_for(id: str, texts: Sequence[str]) -> tuple[str, ...]:
    """Return the keys for a command. Raises BadInput with a sentence that begins with its id."""
    known = _BY_ID.get(id)
    if known is None:
        raise BadInput(f"{id} is not a command; putback keys lists them all.")
    if not known.keys and id != "look":  # that one had a key once, and may be on one again
        raise BadInput(f"{id} has no key: it is chosen from the list of everything else.")
    if id == "type":
        raise BadInput("type cannot be changed: it is the figures themselves.")
    keys: list[str] = []
    for text in texts:
        try:
            key = read_key(text)
        except BadInput as fault:
            raise BadInput(f"{id}: {fault}") from fault
        if key in ("p", "P"):
            raise BadInput(f"{id} cannot be on P: every bag's code begins with it.")
        if key in _TAKEN and key not in known.keys:
            raise BadInput(f"{id} cannot be on {spoken(key)}: {_TAKEN[key]}.")
        if known.where == TYPED and len(key) == 1 and key not in known.keys:
            raise BadInput(f"{id} cannot be on {spoken(key)}: in a field that is typed.")
        keys.append(key)
    if not keys:
        raise BadInput(f"{id} has no key; leave the line out to have it as it comes.")
    if _is_figures(known) and len(keys) != 9:
        raise BadInput(f"{id} takes nine keys, for 1 to 9.")
    if len(set(keys)) != len(keys):
        raise BadInput(f"{id} has the same key twice.")
    return tuple(keys)


def groups() -> list[tuple[str, ...]]:
    """Return the places whose keys work at the same time."""
    alone = dict.fromkeys(key.where for key in KEYS if key.where not in ("part", "place", "bench"))
    return [("part", "bench"), ("place", "bench"), *((place,) for place in alone)]


def _first_clash(keys: Iterable[Key], own: Mapping[str, Sequence[str]]) -> tuple[str, str, str] | None:
    """Return the line to ignore, the command it clashes with, and the key; the later of two lines loses."""
    order = list(own)
    found: list[tuple[int, str, str, str]] = []
    for places in groups():
        at: dict[str, str] = {}
        for key in keys:
            if key.where not in places:
                continue
            for k in key.keys:
                other = at.setdefault(k, key.id)
                if other != key.id:
                    loser = max((key.id, other), key=lambda id: order.index(id) if id in own else -1)
                    if loser in own:
                        found.append((order.index(loser), loser, other if loser == key.id else key.id, k))
    return max(found)[1:] if found else None
