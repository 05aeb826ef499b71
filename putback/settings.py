"""A person's settings: one TOML file in the workshop folder, which the program reads and never writes.

Reading is pure: text in, `Settings` and findings out. What cannot be used is a finding in one sentence and
stands as if it had not been said; everything else of the file holds. `docs/guide/settings.md` tells it to
the person.
"""

from __future__ import annotations

import re
import stat
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct

from putback import setting_values as may_be
from putback.dates import FORMS
from putback.errors import BadInput

FILE = "settings.toml"
"""The file's name in the workshop folder."""

LARGEST = 64 * 1024
"""The largest settings file that is read, in bytes."""

LAYOUTS = ("keypad", "left", "laptop")
"""The ready layouts of keys; the first is the default."""

THEMES = ("dark", "light", "contrast")
"""The looks of the screen; the first is the default."""

PICTURES = ("auto", "blocks", "off")
"""How photos are shown: as well as the terminal can, in blocks of colour, or not at all."""

INSTRUMENTS = (
    "gauge plate", "plate unc/unf", "plate metric", "plate ba", "plate bsw/bsf", "pitch gauge", "leaves inch",
    "leaves metric", "caliper", "depth rod", "rule", "flank gauge", "nuts",
)  # fmt: skip
"""What a size can be measured with. `nuts` are nuts of known thread, to try; a gauge plate or a pitch gauge is one of
any kind."""

HANDS = ("right", "left")
"""The hand that is free for the keys."""


class BellSettings(Struct, frozen=True):
    """[bell]: what the bell rings for."""

    recorded: bool = True
    """Something was recorded."""
    refused: bool = True
    """A key did nothing, and why is said."""
    asks: bool = True
    """Something is asked, or wants to be looked at."""


class KeySettings(Struct, frozen=True):
    """[keys]: a ready layout, and keys of one's own by command."""

    layout: str = ""
    """One of LAYOUTS; empty where it is not said."""
    block: str = ""
    """Nine letters for the places, as they lie on the keyboard, top row first; empty for the layout's own."""
    own: Mapping[str, tuple[str, ...]] = {}
    """The keys of a command, by its id. Whether there is such a command, the key table knows."""
    lines: Mapping[str, int] = {}
    """The line on which each of these stands, and `block`; for what the key table has to say of them."""


class LookSettings(Struct, frozen=True):
    """[look]: how the screen looks."""

    theme: str = ""
    """One of THEMES; empty where it is not said."""
    pictures: str = "auto"
    """One of PICTURES."""
    plain: bool = False
    """Whether words alone are shown, nothing drawn: for a screen reader."""
    dates: str = FORMS[0]
    """How a day is written: one of the forms of `dates.py`."""

    @property
    def name(self) -> str:
        """The name of the theme, as the palette has it."""
        return f"bench-{self.theme or THEMES[0]}"


class InstrumentSettings(Struct, frozen=True):
    """[instruments]: what there is to measure with."""

    have: tuple[str, ...] | None = None
    """Some of INSTRUMENTS; None where it is not said, so that any may be asked for."""


class ToolSettings(Struct, frozen=True):
    """[tools]: what there is to turn screws with."""

    have: tuple[str, ...] | None = None
    """The person's own tools, as they are called; None where it is not said."""


class LabelSettings(Struct, frozen=True):
    """[labels]: what prints the labels. None where it is not said."""

    least_module: float | None = None
    """The least module of a square, in mm."""
    dots: int | None = None
    """The printer's dots to the inch."""
    paper: str | None = None
    """The sheet, as `putback labels --paper` takes it."""


class BenchSettings(Struct, frozen=True):
    """[bench]: how one works."""

    hands: str = "right"
    """One of HANDS."""
    target: float | None = None
    """Minutes of a segment; None where it is not said."""


class Settings(Struct, frozen=True):
    """Everything that a person can set. As it stands here where there is no file."""

    bell: BellSettings = BellSettings()
    """What the bell rings for."""
    keys: KeySettings = KeySettings()
    """Layout and keys of one's own."""
    look: LookSettings = LookSettings()
    """How the screen looks."""
    instruments: InstrumentSettings = InstrumentSettings()
    """What there is to measure with."""
    tools: ToolSettings = ToolSettings()
    """What there is to turn screws with."""
    labels: LabelSettings = LabelSettings()
    """What prints the labels."""
    bench: BenchSettings = BenchSettings()
    """How one works."""

    @property
    def layout(self) -> str:
        """The layout of keys: the one that was said, else the one for the hand that is free."""
        return self.keys.layout or ("left" if self.bench.hands == "left" else LAYOUTS[0])


class SettingsFinding(Struct, frozen=True):
    """Something in the file that cannot be used."""

    what: str
    """What, in one sentence."""
    line: int = 0
    """The line it stands on, or 0 where that is not known."""

    @property
    def where(self) -> str:
        """The file and the line."""
        return f"{FILE}, line {self.line}" if self.line else FILE

    @property
    def text(self) -> str:
        """The sentence with its place before it."""
        return f"{self.where}: {self.what}"


Read = tuple[Settings, tuple[SettingsFinding, ...]]
"""Settings, and what of the file could not be used."""

UNSET: Read = (Settings(), ())
"""Where there is no file."""


def settings_in(folder: Path) -> Read:
    """Read the settings of the workshop in `folder`: as they come where it has no file of them.

    Never raises: a file that cannot be read is a finding, and the settings are as they come.
    """
    path = folder / FILE
    try:
        found = path.lstat()
        if not stat.S_ISREG(found.st_mode):
            return Settings(), (SettingsFinding("It is not a plain file, and is not read."),)
        if found.st_size > LARGEST:
            return Settings(), (SettingsFinding(f"It is larger than {LARGEST // 1024} KB, and is not read."),)
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        return UNSET
    except OSError as fault:
        return Settings(), (SettingsFinding(f"It cannot be read: {fault.strerror or fault}."),)
    except UnicodeDecodeError as fault:
        line = fault.object.count(b"\n", 0, fault.start) + 1
        return Settings(), (SettingsFinding("It is not UTF-8 text, and is not read.", line),)
    return read_settings(text)


def read_settings(text: str) -> Read:
    """Read settings from the text of their file; what cannot be used is a finding, and the rest holds."""
    import tomllib  # the parser, only where there are settings

    from putback.toml_text import TooDeep, read_toml  # the same parser

    try:
        tables = read_toml(text)
    except tomllib.TOMLDecodeError as fault:
        located = re.fullmatch(r"(.*) \(at (?:line (\d+), column \d+|end of document)\)", str(fault), re.DOTALL)
        what, line = (located[1], int(located[2] or 0)) if located else (str(fault), 0)
        return Settings(), (SettingsFinding(f"None of it is read, for it is not TOML: {what}.", line),)
    except (RecursionError, TooDeep):
        return Settings(), (SettingsFinding("None of it is read, for it is nested too deep."),)
    except ValueError:  # a number of so many digits that it cannot be read at all
        return Settings(), (SettingsFinding("None of it is read, for a number in it has too many digits."),)
    reader = _SettingsReader(text)
    return reader.settings(tables), tuple(reader.found)


class _SettingsReader:
    """One file being read."""

    def __init__(self, text: str) -> None:
        self.found: list[SettingsFinding] = []
        self._lines = _lines(text)

    def settings(self, tables: Mapping[str, Any]) -> Settings:
        parts: dict[str, Any] = {}
        for name, table in tables.items():
            known = _TABLES.get(name)
            if known is None:
                self._report(f"There is no setting [{name}]; there are {may_be.listed(_TABLES)}.", name, "")
            elif not isinstance(table, dict):
                self._report(f"{name} is a table: [{name}] on a line of its own, its settings under it.", name, "")
            elif name == "keys":
                parts[name] = self._keys(table)
            else:
                made, checks = known
                parts[name] = made(**self._values(name, table, checks))
        return Settings(**parts)

    def _values(self, name: str, table: Mapping[str, Any], checks: Mapping[str, _Check]) -> dict[str, Any]:
        values = {}
        for word, value in table.items():
            check = checks.get(word)
            if check is None:
                self._report(f"[{name}] has no setting {word}; it has {may_be.listed(checks)}.", name, word)
                continue
            try:
                values[word] = check(value)
            except BadInput as fault:
                self._report(f"[{name}] {word} {fault}.", name, word)
        return values

    def _keys(self, table: Mapping[str, Any]) -> KeySettings:
        _, checks = _TABLES["keys"]
        given = self._values("keys", {word: table[word] for word in checks if word in table}, checks)
        own = {}
        for id, value in _flat({word: value for word, value in table.items() if word not in checks}):
            if isinstance(value, str):
                value = [value]
            if not isinstance(value, list) or not all(isinstance(key, str) and key for key in value):
                self._report(f"[keys] {id} {may_be.wants('a key, or a list of keys', value)}.", "keys", id)
            else:
                own[id] = tuple(value)
        lines = {name: line for (head, name), line in self._lines.items() if head == "keys" and name}
        return KeySettings(**given, own=own, lines=lines)

    def _report(self, what: str, table: str, name: str) -> None:
        self.found.append(SettingsFinding(what, self._lines.get((table, name), 0)))


_NAME = r"""[^\s=\[\]#"']+|"[^"]*"|'[^']*'"""
_HEAD = re.compile(rf"\s*\[\s*({_NAME})\s*\]")
_LINE = re.compile(rf"\s*({_NAME})\s*=")


def _lines(text: str) -> dict[tuple[str, str], int]:
    """The line of each table and of each name in it; TOML's own reader tells none."""
    found: dict[tuple[str, str], int] = {}
    table = ""
    for number, line in enumerate(text.split("\n"), 1):
        if head := _HEAD.match(line):
            table = head[1].strip("\"'")
            found.setdefault((table, ""), number)
        elif matched := _LINE.match(line):
            name = matched[1].strip("\"'")
            found.setdefault((table, name) if table else (name, ""), number)
    return found


def _flat(table: Mapping[str, Any], lead: str = "") -> list[tuple[str, Any]]:
    """The entries of a table and of the tables in it: `refit.other = "s"` is a table of a table in TOML."""
    found = []
    for word, value in table.items():
        found += _flat(value, f"{lead}{word}.") if isinstance(value, dict) else [(lead + word, value)]
    return found


_Check = Callable[[Any], Any]

_TABLES: dict[str, tuple[Callable[..., object], dict[str, _Check]]] = {
    "bell": (BellSettings, {"recorded": may_be.yes_or_no, "refused": may_be.yes_or_no, "asks": may_be.yes_or_no}),
    "keys": (KeySettings, {"layout": may_be.one_of(LAYOUTS), "block": may_be.block}),
    "look": (
        LookSettings,
        {
            "theme": may_be.one_of(THEMES),
            "pictures": may_be.one_of(PICTURES),
            "plain": may_be.yes_or_no,
            "dates": may_be.one_of(FORMS),
        },
    ),
    "instruments": (InstrumentSettings, {"have": may_be.some_of(INSTRUMENTS)}),
    "tools": (ToolSettings, {"have": may_be.texts}),
    "labels": (
        LabelSettings,
        {
            "least_module": may_be.number(0.05, 10, "mm"),
            "dots": may_be.whole(72, 4800, "dots to the inch"),
            "paper": may_be.words,
        },
    ),
    "bench": (BenchSettings, {"hands": may_be.one_of(HANDS), "target": may_be.number(1, 600, "minutes")}),
}
