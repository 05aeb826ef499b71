"""Codes in pictures: a photo of a bag, or a folder of them. Needs zxing-cpp, which is optional."""

import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from putback.errors import BadInput
from putback.labels.payload import code_of

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_PIXELS = 200_000_000
"""Larger pictures are refused by their header, before they take the memory."""
MAX_SIDE = 65_535
"""The longest side the reader takes."""
ENDINGS = frozenset({".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".bmp", ".gif"})
"""File endings that a folder is searched for, in lower case."""


@dataclass(frozen=True, slots=True)
class FoundCode:
    """One QR square in a picture."""

    text: str
    """All that it holds."""
    code: str | None
    """The bag code in it, if it is one of ours."""


def squares_in(path: Path) -> list[FoundCode]:
    """Every QR square in a picture file, bag codes first, each text once.

    Raises BadInput when the file is missing, is not a picture, is cut short or too large, or when the
    reader is not installed.
    """
    require_reader()
    import zxingcpp  # an extra: it need not be there

    grey = opened(path)
    wanted = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
    texts = dict.fromkeys(found.text for found in zxingcpp.read_barcodes(grey, formats=wanted))
    found = [FoundCode(text, code_of(text)) for text in texts if text]
    return sorted(found, key=lambda one: one.code is None)


def require_reader() -> None:
    """Raise BadInput when the library that reads codes is not installed."""
    try:
        import zxingcpp  # noqa: F401 - only whether it is there
    except ImportError:
        raise BadInput('reading codes from pictures needs one more library: pip install "putback[scan]"') from None


def code_in(path: Path) -> str:
    """The one bag code in a picture. Raises BadInput when there is none or several, and as `squares_in`."""
    codes = [found.code for found in squares_in(path) if found.code]
    if not codes:
        raise BadInput(f"no bag code was found in {path.name}")
    if len(set(codes)) > 1:
        raise BadInput(f"{path.name} shows several bags: {', '.join(codes)}; photograph one, or type its code")
    return codes[0]


def squares_in_folder(folder: Path) -> Iterator[tuple[Path, list[FoundCode] | BadInput]]:
    """Each picture of a folder in the order of names, with its squares or the reason it was not read.

    Raises BadInput when `folder` is not a folder, or the reader is not installed.
    """
    require_reader()
    if not folder.is_dir():
        raise BadInput(f"{folder} is not a folder")
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() in ENDINGS and path.is_file():
            try:
                yield path, squares_in(path)
            except BadInput as refusal:
                yield path, refusal


def opened(path: Path, mode: str = "L", *, within: int | None = None) -> "Image":
    """The picture in a file, its header checked first, in a Pillow mode such as grey, `L`, or colour, `RGB`.

    With `within` it is turned upright as its camera lay, and made so small that its longer side is no more.
    Raises BadInput when the file is missing, may not be read, is not a picture, is cut short or too large.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError  # the picture library, only where there is a picture

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path) as picture:
                if picture.width * picture.height > MAX_PIXELS or max(picture.size) > MAX_SIDE:
                    raise Image.DecompressionBombError
                if within is None:
                    return picture.convert(mode)
                # A JPEG is decoded at a half, a quarter or an eighth of its size right away.
                picture.draft(mode, (within, within))
                picture.thumbnail((within, within))
                return ImageOps.exif_transpose(picture).convert(mode)
    except FileNotFoundError:
        raise BadInput(f"there is no file {path}") from None
    except IsADirectoryError:
        raise BadInput(f"{path} is a folder, not a picture") from None
    except PermissionError:
        raise BadInput(f"{path} may not be read") from None
    except UnidentifiedImageError:
        raise BadInput(f"{path.name} is not a picture") from None
    except Image.DecompressionBombError:
        raise BadInput(
            f"{path.name} is larger than {MAX_PIXELS // 1_000_000} megapixels or {MAX_SIDE} pixels a side"
        ) from None
    except (OSError, SyntaxError, ValueError, EOFError) as fault:
        # What Pillow's decoders raise for a file that ends early or contradicts itself.
        raise BadInput(f"{path.name} is damaged or cut short and could not be read: {fault}") from fault
