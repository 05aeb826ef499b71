"""QR squares: the one door to the qrcode library, which is loaded on first use.

A square here holds capitals, digits and `space $ % * + - . / :` only, the alphanumeric mode of ISO/IEC
18004; a bag code alone fills version 1 at level H. Sizes count modules; the quiet zone of four modules
on each side is part of every picture made here.
"""

from dataclasses import dataclass
from enum import IntEnum
from functools import cache, lru_cache
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

from putback.errors import BadInput
from putback.labels.qr_masks import Lines, best_mask, lines_of

if TYPE_CHECKING:
    from PIL.Image import Image
    from qrcode import QRCode

QUIET = 4
"""Modules of white that ISO/IEC 18004 asks for on all four sides."""
ALPHANUMERIC = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
"""The characters of QR's alphanumeric mode."""
_ALPHANUMERIC_MODE: Final = 2
MAX_VERSION = 40
"""The largest QR square, 177 modules a side."""
_HAS_VERSION: Final = 7
"""The first version that carries its own number, twice."""


class Level(IntEnum):
    """How much of a square may be lost: about 7, 15, 25 and 30 per cent of its codewords."""

    L = 0
    M = 1
    Q = 2
    H = 3


@dataclass(frozen=True, slots=True)
class Square:
    """A QR square as modules, without its quiet zone."""

    text: str
    """What a reader will give back."""
    version: int
    """1 to 40."""
    level: Level
    """Its error correction."""
    drawn: tuple[tuple[bool, ...], ...] = ()
    """Its modules where they are others than those of its text; else they are worked out when they are asked for."""

    @property
    def modules(self) -> tuple[tuple[bool, ...], ...]:
        """Row by row from the top, True where it is dark."""
        return self.drawn or _modules(self.text, self.version, self.level)

    @property
    def side(self) -> int:
        """Modules a side, without the quiet zone."""
        return side_of(self.version)

    @property
    def full_side(self) -> int:
        """Modules a side with the quiet zone."""
        return self.side + 2 * QUIET

    def dark(self, column: int, row: int) -> bool:
        """Whether the module is dark; (0, 0) is the square's own corner, anything outside is light."""
        return 0 <= row < self.side and 0 <= column < self.side and self.modules[row][column]


def side_of(version: int) -> int:
    """Modules a side of a version, without the quiet zone (ISO/IEC 18004: 17 + 4 version)."""
    return 17 + 4 * version


def version_within(modules: int) -> int:
    """The largest version whose square and quiet zone fit into `modules` a side; 0 when none does."""
    return max(0, min(MAX_VERSION, (modules - 2 * QUIET - 17) // 4))


@cache
def capacity(version: int, level: Level) -> int:
    """How many alphanumeric characters a square of this version and level holds."""
    from qrcode import util  # the code library, only where a code is drawn

    bits = util.BIT_LIMIT_TABLE[_library_level(level)][version]
    room = bits - 4 - util.length_in_bits(_ALPHANUMERIC_MODE, version)
    return room // 11 * 2 + (room % 11 >= 6)


def best(length: int, max_version: int = MAX_VERSION, least: Level = Level.L) -> tuple[int, Level] | None:
    """The version and level for `length` characters: the highest level that fits into `max_version`,
    not under `least`, then the smallest version at that level. None when none fits."""
    for level in sorted((level for level in Level if level >= least), reverse=True):
        for version in range(1, max_version + 1):
            if capacity(version, level) >= length:
                return version, level
    return None


def square(text: str, max_version: int = MAX_VERSION, least: Level = Level.L) -> Square:
    """The square of `text` with the highest level that fits into `max_version`.

    Raises BadInput when it does not fit, ValueError for a character outside `ALPHANUMERIC`.
    """
    if strange := set(text) - ALPHANUMERIC:
        raise ValueError(f"not in QR's alphanumeric mode: {''.join(sorted(strange))!r}")
    fitting = best(len(text), max_version, least)
    if fitting is None:
        raise BadInput(
            f"{len(text)} characters do not fit a QR code of {side_of(max_version)} modules at level {least.name}"
            if max_version > 0
            else "no QR code fits there"
        )
    version, level = fitting
    return Square(text, version, level)


def _library_level(level: Level) -> int:
    from qrcode import constants  # the code library, only where a code is drawn

    return {
        Level.L: constants.ERROR_CORRECT_L,
        Level.M: constants.ERROR_CORRECT_M,
        Level.Q: constants.ERROR_CORRECT_Q,
        Level.H: constants.ERROR_CORRECT_H,
    }[level]


def _modules(text: str, version: int, level: Level) -> tuple[tuple[bool, ...], ...]:
    return tuple(
        tuple(line >> column & 1 == 1 for column in range(side_of(version))) for line in _lines(text, version, level)
    )


@lru_cache(maxsize=16_384)
def _lines(text: str, version: int, level: Level) -> Lines:
    """The modules as lines, in which all labels of a large pool are kept from the sheet to their pictures.

    The library fills the square once; which mask it gets is found here, and not by filling it eight times."""
    from qrcode import QRCode, util  # the code library, only where a code is drawn

    maker = QRCode(version=version, error_correction=_library_level(level), border=0)
    maker.add_data(util.QRData(text, mode=_ALPHANUMERIC_MODE))
    maker.makeImpl(True, 0)
    mask, rows = best_mask(maker.modules, _data_area(version))
    maker.modules = [[row >> column & 1 == 1 for column in range(side_of(version))] for row in rows]
    _set_format(maker, mask, test=False)
    return lines_of(maker.modules)


@cache
def _data_area(version: int) -> tuple[tuple[bool, ...], ...]:
    """Which modules of a version carry data, and are turned over by a mask."""
    from qrcode import QRCode  # the code library, only where a code is drawn

    maker = QRCode(version=version, border=0)
    side = maker.modules_count = side_of(version)
    maker.modules = [[None] * side for _ in range(side)]
    for row, column in ((0, 0), (side - 7, 0), (0, side - 7)):
        maker.setup_position_probe_pattern(row, column)
    maker.setup_position_adjust_pattern()
    maker.setup_timing_pattern()
    _set_format(maker, 0, test=True)
    return tuple(tuple(module is None for module in row) for row in maker.modules)


def _set_format(maker: "QRCode[Any]", mask: int, *, test: bool) -> None:
    """Write level, mask and version into a square, or keep their place with `test`."""
    maker.setup_type_info(test, mask)
    if maker.version >= _HAS_VERSION:
        maker.setup_type_number(test)


def image(of: Square, scale: int) -> "Image":
    """A black and white picture, `scale` pixels a module, quiet zone included."""
    from PIL import Image as pictures  # the picture library, only where there is a picture

    full = of.full_side
    small = pictures.new("1", (full, full), 1)
    for row, modules in enumerate(of.modules):
        for column, dark in enumerate(modules):
            if dark:
                small.putpixel((column + QUIET, row + QUIET), 0)
    return small.resize((full * scale, full * scale), pictures.Resampling.NEAREST)


def png(of: Square, scale: int = 8) -> bytes:
    """The bytes of a PNG file, `scale` pixels a module, quiet zone included."""
    into = BytesIO()
    image(of, scale).save(into, "PNG", optimize=True)
    return into.getvalue()


def half_blocks(of: Square, *, ink_is_light: bool = False) -> list[str]:
    """The square for a terminal: one character a column, two modules a row, quiet zone included.

    Drawn in ink for a dark module. Where text is light on dark, either set the colours to black on
    white, or pass `ink_is_light`: then the light modules are drawn, and the square looks the same.
    """
    rows = range(-QUIET, of.side + QUIET, 2)
    columns = range(-QUIET, of.side + QUIET)
    pictures = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}
    return [
        "".join(
            pictures[of.dark(column, row) != ink_is_light, of.dark(column, row + 1) != ink_is_light]
            for column in columns
        )
        for row in rows
    ]


def plain_ascii(of: Square, *, ink_is_light: bool = False) -> list[str]:
    """The square where there is no Unicode: two characters a module, `##` for ink."""
    span = range(-QUIET, of.side + QUIET)
    return ["".join("##" if of.dark(column, row) != ink_is_light else "  " for column in span) for row in span]
