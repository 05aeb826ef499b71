"""Squares: capacities against ISO/IEC 18004's published table, pictures against an independent reader."""

from io import BytesIO
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from qrcode import QRCode, util

from putback.errors import BadInput
from putback.labels import qr
from putback.labels.qr import ALPHANUMERIC, Level
from putback.scans.bag_code import new_code
from tests.labels.qr_reading import from_cells, read_all, read_texts

CODE = "PB3K7M2Q4"
TEXT = "PB3K7M2Q4: BAG 4 - FARE STAMP SN 2041*7 - STEPS 5-7 - 8 OF NO8-32 X 3/8 - DRUM GUARD."

PUBLISHED_CAPACITY = {
    # Alphanumeric characters at L, M, Q, H. Versions 1 to 4: docs.real.com/access, "QR Code
    # Specification", table 3.2.1, after ISO/IEC 18004 table 7. 10-H and 40-L: ozekiqr.com/p_3468.
    1: (25, 20, 16, 10),
    2: (47, 38, 29, 20),
    3: (77, 61, 47, 35),
    4: (114, 90, 67, 50),
    10: (None, None, None, 174),
    40: (4296, None, None, None),
}


@pytest.mark.parametrize(
    ("version", "level", "characters"),
    [
        (version, level, characters)
        for version, row in PUBLISHED_CAPACITY.items()
        for level, characters in zip(Level, row, strict=True)
        if characters is not None
    ],
)
def test_capacities_are_the_published_ones(version: int, level: Level, characters: int) -> None:
    assert qr.capacity(version, level) == characters


def test_a_bag_code_alone_is_version_1_at_level_h() -> None:
    """Version 1 has 21 modules, and four of quiet zone on each side (ISO/IEC 18004, from memory)."""
    made = qr.square(CODE)
    assert (made.version, made.level, made.side, made.full_side) == (1, Level.H, 21, 29)


@pytest.mark.parametrize("scale", [1, 3, 8])
def test_the_png_reads_back_with_version_and_level(scale: int) -> None:
    for text in (CODE, TEXT):
        made = qr.square(text)
        picture = Image.open(BytesIO(qr.png(made, scale)))
        assert picture.size == (made.full_side * scale,) * 2
        [found] = read_all(picture)
        assert found.text == text
        assert found.ec_level == made.level.name
        assert str(found.content_type) == "ContentType.Text"


@given(st.integers(0, 2**32))
@settings(max_examples=25)
def test_every_bag_code_reads_back(seed: int) -> None:
    code = new_code(Random(seed), ())
    assert read_texts(qr.image(qr.square(code), 2)) == [code]


@given(st.text(alphabet=sorted(ALPHANUMERIC), min_size=1, max_size=300), st.integers(1, 20))
@settings(max_examples=40)
def test_any_text_that_fits_reads_back_and_the_level_is_the_highest_that_fits(text: str, most: int) -> None:
    try:
        made = qr.square(text, most)
    except BadInput:
        assert len(text) > qr.capacity(most, Level.L)
        return
    assert made.version <= most
    assert read_texts(qr.image(made, 2)) == [text]
    if made.level < Level.H:
        assert qr.capacity(most, Level(made.level + 1)) < len(text)
    if made.version > 1:
        assert qr.capacity(made.version - 1, made.level) < len(text)


@given(
    st.text(alphabet=sorted(ALPHANUMERIC - {"0"}), min_size=1, max_size=200), st.integers(1, 9), st.sampled_from(Level)
)
@settings(max_examples=12, deadline=None)
def test_the_mask_is_the_one_that_the_library_finds_by_drawing_all_eight(text: str, version: int, level: Level) -> None:
    if len(text) > qr.capacity(version, level):
        return
    maker = QRCode(version=version, error_correction=qr._library_level(level), border=0)
    maker.add_data(util.QRData(text, mode=2))
    maker.make(fit=False)
    assert qr.Square(text, version, level).modules == tuple(tuple(map(bool, row)) for row in maker.modules)


@pytest.mark.parametrize(("ink", "paper", "ink_is_light"), [(0, 255, False), (230, 20, True)])
def test_the_terminal_forms_read_back_on_light_and_dark_themes(ink: int, paper: int, ink_is_light: bool) -> None:
    for text in (CODE, TEXT):
        made = qr.square(text)
        blocks = qr.half_blocks(made, ink_is_light=ink_is_light)
        assert len(blocks) == (made.full_side + 1) // 2
        assert {len(line) for line in blocks} == {made.full_side}
        assert read_texts(from_cells(blocks, 8, 16, ink, paper)) == [text]
        plain = qr.plain_ascii(made, ink_is_light=ink_is_light)
        assert all(line.isascii() for line in plain)
        assert read_texts(from_cells(plain, 8, 16, ink, paper)) == [text]


def test_a_bag_code_fits_a_small_terminal() -> None:
    made = qr.square(CODE)
    assert len(qr.half_blocks(made)) <= 17
    assert len(qr.half_blocks(made)[0]) <= 60


def test_the_quiet_zone_is_four_modules_of_paper() -> None:
    made = qr.square(CODE)
    picture = qr.image(made, 1)
    assert picture.crop((0, 0, picture.width, 4)).getcolors() == [(29 * 4, 1)]
    assert picture.crop((25, 0, 29, 29)).getcolors() == [(29 * 4, 1)]
    assert qr.half_blocks(made)[:2] == [" " * 29] * 2


def test_what_does_not_fit_is_refused_in_a_sentence() -> None:
    with pytest.raises(BadInput, match="300 characters do not fit a QR code of 33 modules at level M"):
        qr.square("A" * 300, 4, Level.M)
    with pytest.raises(BadInput, match="no QR code fits there"):
        qr.square(CODE, 0)
    with pytest.raises(ValueError, match="'#'"):
        qr.square("#8-32")


@pytest.mark.parametrize(("modules", "version"), [(0, 0), (28, 0), (29, 1), (32, 1), (33, 2), (9999, 40)])
def test_version_within(modules: int, version: int) -> None:
    """Version v has 17 + 4 v modules, 8 more with its quiet zone (ISO/IEC 18004, from memory)."""
    assert qr.version_within(modules) == version
