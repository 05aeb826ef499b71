"""Codes found in picture files, and pictures that are none."""

import struct
import sys
import zlib
from io import BytesIO
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from putback.errors import BadInput
from putback.labels import qr
from putback.photos.codes_in_pictures import FoundCode, code_in, squares_in, squares_in_folder
from tests.labels import damage

CODE, OTHER = "PB3K7M2Q4", "PB84G7ZWS"
SUMMARY = f"{OTHER}: BAG 4 - STEP 5 - 8 PIECES."


def photo(*texts: str) -> Image.Image:
    sheet = Image.new("L", (400 * max(1, len(texts)), 400), 255)
    for place, text in enumerate(texts):
        sheet.paste(qr.image(qr.square(text), 6).convert("L"), (400 * place + 40, 40))
    return sheet


@pytest.mark.parametrize("ending", ["png", "jpg", "webp", "tif", "bmp", "gif"])
def test_codes_are_found_in_every_kind_of_file(ending: str, tmp_path: Path) -> None:
    path = tmp_path / f"bench.{ending}"
    photo("HTTP", SUMMARY, CODE).save(path)
    found = squares_in(path)
    assert {(one.code, one.text) for one in found} == {(CODE, CODE), (OTHER, SUMMARY), (None, "HTTP")}
    assert found[-1] == FoundCode("HTTP", None)


def test_a_hand_held_photo_of_a_label_is_read(tmp_path: Path) -> None:
    path = tmp_path / "hand.jpg"
    damage.photographed(photo(SUMMARY), Random(4)).save(path, quality=60)
    assert code_in(path) == OTHER


def test_one_code_is_wanted(tmp_path: Path) -> None:
    photo(CODE, OTHER).save(tmp_path / "two.png")
    with pytest.raises(BadInput, match=r"two.png shows several bags: PB\w+, PB\w+; photograph one"):
        code_in(tmp_path / "two.png")
    photo(CODE, CODE).save(tmp_path / "twice.png")
    assert code_in(tmp_path / "twice.png") == CODE
    photo("HTTP").save(tmp_path / "none.png")
    with pytest.raises(BadInput, match=r"no bag code was found in none\.png"):
        code_in(tmp_path / "none.png")


def png_header(width: int, height: int) -> bytes:
    """A PNG that claims a size and has no pixels (PNG specification, chunks IHDR and IEND)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")


def test_pictures_that_are_none_are_told(tmp_path: Path) -> None:
    (tmp_path / "text.jpg").write_text("not a picture")
    (tmp_path / "empty.png").touch()
    (tmp_path / "huge.png").write_bytes(png_header(20_000, 15_000))
    Image.new("1", (70_000, 1)).save(tmp_path / "long.png")
    (tmp_path / "monster.png").write_bytes(png_header(2**31 - 1, 2**31 - 1))
    whole = BytesIO()
    photo(CODE).save(whole, "JPEG")
    (tmp_path / "cut.jpg").write_bytes(whole.getvalue()[: len(whole.getvalue()) // 2])
    for name, says in (
        ("text.jpg", "is not a picture"),
        ("empty.png", "is not a picture"),
        ("huge.png", "larger than 200 megapixels"),
        ("monster.png", "larger than 200 megapixels"),
        ("long.png", "65535 pixels a side"),
        ("cut.jpg", "damaged or cut short"),
        ("gone.jpg", "there is no file"),
        (".", "is a folder"),
    ):
        with pytest.raises(BadInput, match=says):
            squares_in(tmp_path / name)


@given(data=st.data())
@settings(max_examples=60, deadline=None)
def test_any_damage_to_a_file_is_a_sentence(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("damaged") / "photo"
    whole = BytesIO()
    photo(CODE).save(whole, data.draw(st.sampled_from(["PNG", "JPEG", "TIFF", "GIF", "WEBP", "BMP"])))
    raw = bytearray(whole.getvalue())
    for _ in range(data.draw(st.integers(0, 4))):
        raw[data.draw(st.integers(0, len(raw) - 1))] = data.draw(st.integers(0, 255))
    path.write_bytes(bytes(raw[: data.draw(st.integers(0, len(raw)))]))
    try:
        assert all(one.code in (CODE, None) for one in squares_in(path))
    except BadInput as refusal:
        assert "\n" not in str(refusal)


def test_a_folder_is_read_picture_by_picture(tmp_path: Path) -> None:
    photo(CODE).save(tmp_path / "b.png")
    photo(OTHER).save(tmp_path / "c.JPG", "JPEG")
    (tmp_path / "a.jpg").write_text("no picture")
    (tmp_path / "notes.txt").write_text(CODE)
    (tmp_path / "sub.png").mkdir()
    result = list(squares_in_folder(tmp_path))
    assert [path.name for path, _ in result] == ["a.jpg", "b.png", "c.JPG"]
    assert isinstance(result[0][1], BadInput)
    assert [found for _, found in result[1:]] == [[FoundCode(CODE, CODE)], [FoundCode(OTHER, OTHER)]]
    with pytest.raises(BadInput, match="is not a folder"):
        list(squares_in_folder(tmp_path / "b.png"))


def test_without_the_reader_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setitem(sys.modules, "zxingcpp", None)
    with pytest.raises(BadInput, match=r"one more library: pip install .putback.scan.."):
        squares_in(tmp_path / "any.png")
