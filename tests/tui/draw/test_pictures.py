"""Photos on the cards: pictures written by Pillow, drawn in cells, and what stands in their place."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PIL import Image
from rich.segment import Segment
from textual.geometry import Region

from putback.store.photos import keep_photo
from putback.trade import commands as c
from putback.trade.record.photo import Photo
from putback.tui.cards.photo_card import PhotoScreen, guesses
from putback.tui.cards.step_card import StepScreen
from putback.tui.draw.half_blocks import cells_within, half_blocks
from putback.tui.draw.pixels import KITTY, SIXEL, pixel_kind, pixel_widget
from putback.tui.refit.refit_screen import RefitScreen
from putback.tui.widgets.picture import PictureView
from putback.tui.widgets.refit_panes import CardPane
from tests.tui.conftest import Bench, Opened

RED, BLUE = (200, 30, 30), (30, 30, 200)


def photos(demo: Path, count: int = 2, *, cut: bool = False) -> list[str]:
    """Photos of 12 megapixels in the workshop: red above, blue below, each a little unlike the last."""
    names = []
    for number in range(count):
        path = demo.parent / f"DSC_{number}.JPG"
        picture = Image.new("RGB", (4000, 3000), RED)
        picture.paste(BLUE, (0, 1500, 4000, 3000))
        picture.putpixel((number, 0), (255, 255, 255))
        picture.save(path, quality=95 - number)
        if cut:
            path.write_bytes(path.read_bytes()[:3000])
        names.append(keep_photo(path, demo / "photos"))
    return names


def filed(bench: Bench, names: list[str], **fields: object) -> None:
    shown = [
        c.FiledPhoto(**{"file": name, "name": f"DSC_{n}.JPG", "step": 5, "when": "after", **fields})  # type: ignore[arg-type]
        for n, name in enumerate(names)
    ]
    bench.app.workshop.do(c.FilePhotos(photos=tuple(shown)), bench.app.machine_id)


async def card(bench: Bench, screen: StepScreen | PhotoScreen) -> None:
    await bench.keys("escape")
    bench.app.push_screen(screen)
    await ready(bench)


async def ready(bench: Bench) -> None:
    await bench.settle()
    await bench.app.workers.wait_for_complete()
    await bench.settle()


def step(bench: Bench) -> int:
    found = bench.app.workshop.record.step(bench.app.machine_id, 5)
    assert found is not None
    return found.id


def seen(bench: Bench) -> list[list[Segment]]:
    view = bench.app.screen.query_one(PictureView)
    return [list(view.render_line(y)) for y in range(view.size.height)] if view.display else []


async def test_a_step_shows_its_photos_one_by_one_and_v_turns_them_off(demo: Path, opened: Opened) -> None:
    names = photos(demo)
    async with opened(demo) as bench:
        filed(bench, names)
        await card(bench, StepScreen(step(bench)))
        rows = [row for row in seen(bench) if row and row[0].text.startswith("▀")]
        assert len(rows) == 10, "26 columns of a picture 4 to 3"
        first, last = rows[0][0].style, rows[-1][0].style
        assert first is not None and last is not None and first.color is not None and last.bgcolor is not None
        assert first.color.get_truecolor() == pytest.approx(RED, abs=6)
        assert last.bgcolor.get_truecolor() == pytest.approx(BLUE, abs=6)
        assert "1 of 2, after" in bench.picture()
        await bench.keys("v")
        await ready(bench)
        assert "2 of 2, after" in bench.picture()
        kept = {path: path.stat().st_mtime_ns for path in (demo / "out" / "thumbnails").iterdir()}
        assert len(kept) == 2
        await bench.keys("v")
        assert seen(bench) == [] and "▀" not in bench.picture()
        await bench.keys("v")
        await ready(bench)
        assert "1 of 2, after" in bench.picture() and "▀" in bench.picture()
        assert {path: path.stat().st_mtime_ns for path in kept} == kept, "a small copy is made once"


async def test_a_damaged_photo_is_a_sentence_and_ascii_names_the_file(demo: Path, opened: Opened) -> None:
    names = photos(demo, 1, cut=True)
    async with opened(demo) as bench:
        filed(bench, names)
        await card(bench, StepScreen(step(bench)))
        assert "DSC_0.JPG is damaged or" in bench.picture() and "▀" not in bench.picture()
    async with opened(demo, ascii_only=True) as bench:
        await card(bench, StepScreen(step(bench)))
        assert "photo after: DSC_0.JPG, as" in bench.picture() and bench.picture().isascii()


async def test_on_a_wide_terminal_the_way_back_has_the_photo_beside_its_card(demo: Path, opened: Opened) -> None:
    names = photos(demo, 1, cut=True)
    async with opened(demo, (200, 60)) as bench:
        filed(bench, names)
        await bench.keys("escape", "r")
        screen = bench.app.screen
        assert isinstance(screen, RefitScreen)
        screen.way.chosen = step(bench)
        screen.redraw()
        await ready(bench)
        view, pane = screen.query_one(PictureView), screen.query_one(CardPane)
        assert view.display and pane.content_region.contains_region(view.region)
        assert "DSC_0.JPG is damaged" in bench.picture() and "after this" in bench.picture()
        await bench.pilot.resize_terminal(120, 36)
        await ready(bench)
        assert not view.display and "DSC_0.JPG" not in bench.picture()


async def test_a_photo_fills_its_card_and_is_given_another_step(demo: Path, opened: Opened) -> None:
    names = photos(demo, 1)
    async with opened(demo) as bench:
        filed(bench, names)
        record, machine = bench.app.workshop.record, bench.app.machine_id
        [photo] = record.all(Photo, machine)
        await card(bench, PhotoScreen([photo.id]))
        assert sum("▀" in "".join(s.text for s in row) for row in seen(bench)) == 15
        assert "after, step 5" in bench.picture()
        await bench.keys("*", "6", "enter", "4")
        [photo] = record.all(Photo, machine)
        six = record.step(machine, 6)
        assert six is not None and (photo.step, photo.when, photo.back) == (six.id, "before", True)
        await bench.keys("-")
        assert record.get(Photo, photo.id).step == step(bench)


async def test_the_choices_are_the_step_the_other_one_and_a_neighbour(demo: Path, opened: Opened) -> None:
    names = photos(demo, 1)
    async with opened(demo) as bench:
        filed(bench, names, doubt=True, instead=6)
        record = bench.app.workshop.record
        [photo] = record.all(Photo, bench.app.machine_id)
        assert [(g.step, g.when) for g in guesses(record, photo)] == [
            (5, "after"), (6, "before"), (4, "after"), (0, ""),
        ]  # fmt: skip


@pytest.mark.parametrize(
    ("environ", "kind"),
    [
        ({"TERM": "xterm-256color"}, ""),
        ({"TERM": "xterm-kitty"}, KITTY),
        ({"TERM": "xterm-ghostty", "TERM_PROGRAM": "ghostty"}, KITTY),
        ({"TERM": "foot"}, SIXEL),
        ({"TERM": "xterm-256color", "TERM_PROGRAM": "WezTerm"}, SIXEL),
        ({"TERM": "xterm-256color", "WT_SESSION": "1"}, SIXEL),
        ({"TERM": "xterm-256color", "KONSOLE_VERSION": "230804"}, SIXEL),
        ({"TERM": "xterm-256color", "KONSOLE_VERSION": "210400"}, ""),
        ({"TERM": "tmux-256color", "TMUX": "/tmp/tmux-0/default,1,0", "KITTY_WINDOW_ID": "1"}, ""),
        ({"TERM": "xterm-kitty", "PUTBACK_PIXELS": "none"}, ""),
        ({"TERM": "vt340", "PUTBACK_PIXELS": "sixel"}, SIXEL),
    ],
)
def test_a_terminal_that_shows_pixels_is_known_by_its_environment(environ: dict[str, str], kind: str) -> None:
    """The variables are those the terminals' own documents name (from memory)."""
    assert pixel_kind(environ) == kind


async def test_pixels_are_drawn_by_the_library_and_no_terminal_is_asked(
    demo: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PUTBACK_PIXELS", "sixel")
    names = photos(demo, 1)
    async with opened(demo) as bench:
        filed(bench, names)
        await card(bench, StepScreen(step(bench)))
        view = bench.app.screen.query_one(PictureView)
        image = view.children[0].children[0]
        drawn = "".join(s.text for strip in image.render_lines(Region(0, 0, *image.size)) for s in strip)
        assert "\x1bP" in drawn and drawn.rindex("\x1b\\") > drawn.index("\x1bP"), "DEC STD 070: DCS ... q ... ST"
        assert view.children[0].size == (26, 10)
        await bench.keys("v")
        assert not view.children
    assert "\x1b[c" not in capfd.readouterr().out
    assert "TEXTUAL_CELL_WIDTH" not in os.environ


def test_the_other_protocol_has_its_widget_too() -> None:
    assert type(pixel_widget(KITTY, Image.new("RGB", (8, 8)))).__name__ == "TGPImage"


@pytest.mark.parametrize(
    ("size", "box", "cells"),
    [((4000, 3000), (26, 20), (26, 10)), ((3000, 4000), (26, 10), (15, 10)), ((9000, 10), (26, 10), (26, 1))],
)
def test_a_picture_keeps_its_shape_in_cells(
    size: tuple[int, int], box: tuple[int, int], cells: tuple[int, int]
) -> None:
    assert cells_within(*size, *box) == cells
    strips = half_blocks(Image.new("RGB", (64, 48), RED), *cells)
    assert len(strips) == cells[1] and {strip.cell_length for strip in strips} == {cells[0]}
