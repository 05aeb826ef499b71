"""The drawing of the house: it is that of today, and its eyes see what they should."""

from __future__ import annotations

from pathlib import Path

from docs.making.house import DRAWING, TITLE, Drawing, figures
from docs.making.imports import ROOMS, ROOT, House, Import, look_at, rooms_in, widest_circle

TWO_FLOORS = """
```rooms
cli     what is typed
tui     what is seen
  book  what is read
store   what is kept
```
"""


def test_the_drawing_in_the_documents_is_that_of_today() -> None:
    fresh = Drawing(look_at(ROOT / "putback", rooms_in(ROOMS.read_text("utf-8"))), TITLE).svg()
    assert fresh == DRAWING.read_text("utf-8"), "out of date: python -m docs.making.house"


def test_rooms_are_read_from_the_ground_up() -> None:
    rooms = rooms_in(TWO_FLOORS)
    assert [(room.name, room.floor) for room in rooms] == [("store", 0), ("tui", 1), ("book", 1), ("cli", 2)]
    assert rooms[1].purpose == "what is seen"


def test_imports_are_seen_at_the_head_in_functions_and_upwards(tmp_path: Path) -> None:
    package = tmp_path / "putback"
    package.mkdir()
    files = {
        "__init__": "",
        "cli": "import putback.store\ndef run():\n    from putback import tui, book\n",
        "tui": "from putback.store import thing\nfrom putback.book import page\n",
        "book": "",
        "store": "class Store:\n    def show(self):\n        from putback.tui import bench\n",
    }
    for name, text in files.items():
        (package / f"{name}.py").write_text(text, encoding="utf-8")
    drawing = Drawing(look_at(package, rooms_in(TWO_FLOORS)), "two floors")
    assert drawing.early == {("cli", "store"): 1, ("tui", "store"): 1, ("tui", "book"): 1}
    assert drawing.late == {("cli", "tui"): 1, ("cli", "book"): 1, ("store", "tui"): 1}
    assert drawing.pairs(up=True) == [("store", "tui"), ("tui", "book")]
    assert "widest circle of imports: 2 files of store, tui" in figures(drawing)


def test_a_circle_is_seen_and_a_way_that_does_not_come_back_is_not() -> None:
    def circle(*arrows: str) -> str:
        return "".join(widest_circle([Import(arrow[0], arrow[1], late=False) for arrow in arrows]))

    assert circle("ab", "bc", "ac") == ""
    assert circle("ab", "bc", "ca", "cd", "de", "ed") == "abc"


def test_a_house_without_arrows_is_drawn() -> None:
    assert "none of them up" in Drawing(House(rooms_in(TWO_FLOORS)), "bare").svg()
