"""Figures for docs/labels.md: what fits on which label, and how much damage a square stands.

    python bench/labels.py [times]
    python bench/labels.py --pictures docs/labels

Prints Markdown. `times` is how many squares each kind of damage is tried on (200). With `--pictures` it
draws one label of each kind instead.
"""

import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from random import Random

from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1]))

from putback.errors import BadInput
from putback.labels import qr
from putback.labels.drawing import to_image
from putback.labels.facts import BoxFacts, Contents, LabelFacts, StrokeFacts, TagFacts
from putback.labels.layout import bag_label
from putback.labels.printer import PrinterProfile
from putback.labels.qr import Level, Square
from putback.labels.tags import box_label, command_cell, hang_tag
from putback.scans.bag_code import new_code
from tests.labels import damage
from tests.labels.qr_reading import read_texts

FACTS = LabelFacts(
    code="PB3K7M2Q4",
    machine="Ticket-dating press",
    serial="2041?7",
    bag=4,
    box="A",
    parts=("left panel", "ticket tray"),
    steps=(5, 6, 7, 9),
    contents=(
        Contents(7, "#8-32 UNC x 3/8"),
        Contents(1, "#8-32 UNC x 1/2"),
        Contents(2, "washer #8"),
        Contents(1, "M4x0.7 x 10 mm"),
    ),
    day=date(2024, 10, 6),
)
SIZES = (
    (25.4, 12.7),
    (30.0, 15.0),
    (38.1, 21.2),
    (40.0, 30.0),
    (50.0, 25.0),
    (57.0, 32.0),
    (63.5, 38.1),
    (66.7, 25.4),
    (99.1, 67.7),
)
DOTS = (180, 203, 300, 600)
PIXELS = 5
QUIET, FINDER = 4 * PIXELS, 8 * PIXELS


def sizes_table() -> None:
    """Label sizes by printer dots."""
    print("| label, mm | dots to the inch | version | level | module, mm | code alone, module | left out |")
    print("|---|---|---|---|---|---|---|")
    for width, height in SIZES:
        for dpi in DOTS:
            printer = PrinterProfile(dpi=dpi)
            try:
                full = bag_label(FACTS, width, height, printer)
                alone = bag_label(FACTS, width, height, printer, full=False)
            except BadInput:
                print(f"| {width:g} x {height:g} | {dpi} | too small for any code | | | | |")
                continue
            square = full.code.square
            gone = full.payload.left_out
            what = "nothing" if not gone else "everything" if full.code_alone else f"{len(gone)}: to {gone[-1]}"
            print(
                f"| {width:g} x {height:g} | {dpi} | {square.version} | {square.level.name}"
                f" | {full.code.module:.3f} | {alone.code.module:.3f} | {what} |"
            )


def code_alone(rng: Random) -> Square:
    return qr.square(new_code(rng, ()))


def full_high(rng: Random) -> Square:
    return bag_label(FACTS, 63.5, 38.1).code.square


def full_medium(rng: Random) -> Square:
    return qr.square(bag_label(FACTS, 63.5, 38.1).payload.text, 8, Level.M)


Spoil = Callable[[Image.Image, Random], Image.Image]
DAMAGE: tuple[tuple[str, Spoil], ...] = (
    ("turned by any angle", lambda p, rng: damage.turned(p, rng.uniform(0, 360))),
    ("blurred, 0.4 module", lambda p, rng: damage.blurred(p, 0.4 * PIXELS)),
    ("blurred, 0.5 module", lambda p, rng: damage.blurred(p, 0.5 * PIXELS)),
    ("blurred, 0.6 module", lambda p, rng: damage.blurred(p, 0.6 * PIXELS)),
    ("askew, to 30 degrees", lambda p, rng: damage.askew(p, rng.uniform(0, 30), rng)),
    ("askew, to 60 degrees", lambda p, rng: damage.askew(p, rng.uniform(30, 60), rng)),
    ("light falls to 0.4", lambda p, rng: damage.badly_lit(p, 0.4, rng)),
    ("light falls to 0.2", lambda p, rng: damage.badly_lit(p, 0.2, rng)),
    ("a white fold across", lambda p, rng: damage.creased(p, rng, QUIET)),
    *(
        (
            f"small spots over {share} %",
            lambda p, rng, s=share: damage.spattered(p, s / 100, rng, QUIET, FINDER),
        )
        for share in (2, 4, 6, 8, 12)
    ),
    *(
        (f"one blot over {share} %", lambda p, rng, s=share: damage.blotted(p, s / 100, rng, QUIET, FINDER))
        for share in (4, 6, 8, 10, 12)
    ),
    ("a hand-held photo", damage.photographed),
    (
        "the same, with spots over 3 %",
        lambda p, rng: damage.photographed(damage.spattered(p, 0.03, rng, QUIET, FINDER), rng),
    ),
)


def damage_table(times: int) -> None:
    """Share of damaged squares read, in the hundred; a wrong text read is an error and stops the run."""
    kinds = (code_alone, full_high, full_medium)
    heads = [f"{kind(Random(0)).version}-{kind(Random(0)).level.name}" for kind in kinds]
    print(f"| damage | code alone, {heads[0]} | summary, {heads[1]} | summary, {heads[2]} |")
    print("|---|---|---|---|")
    for name, spoil in DAMAGE:
        shares = []
        for kind in kinds:
            read = 0
            for seed in range(times):
                rng = Random(seed)
                square = kind(rng)
                try:
                    picture = spoil(qr.image(square, PIXELS).convert("L"), rng)
                except AssertionError:
                    break
                found = read_texts(picture, patient=True)
                if found not in ([], [square.text]):
                    raise SystemExit(f"{name}: read {found} for {square.text}")
                read += bool(found)
            else:
                shares.append(f"{100 * read / times:.0f}")
                continue
            shares.append("no room")
        print(f"| {name} | {' | '.join(shares)} |")


def draw_pictures(into: Path) -> None:
    """One label of each kind, at the dots of a common label printer."""
    tag = TagFacts(
        letter="A",
        what="tray lock",
        note="cam stays on, 3 turns loose",
        machine=FACTS.machine,
        serial=FACTS.serial,
        step=57,
        day=date(2025, 2, 9),
        code="PB355QAKK",
    )
    bags = ((1, "hand lever"), (2, "lid, ticket tray"), (3, "left panel"), (4, "right panel"), (5, "back plate"))
    box = BoxFacts("A", FACTS.machine, FACTS.serial, bags, "PBRT2GZSM")
    stroke = StrokeFacts("same_again", "+", "same again", "Another just like the last, from the hole marked as next.")
    drawings = {
        "bag": bag_label(FACTS, 63.5, 38.1).drawing,
        "bag-small": bag_label(FACTS, 38.1, 21.2).drawing,
        "bag-inch": bag_label(FACTS, 101.6, 50.8, PrinterProfile(inches=True)).drawing,
        "blank": bag_label(LabelFacts("PB84G7ZWS"), 63.5, 38.1).drawing,
        "tag": hang_tag(tag, 63.5, 38.1),
        "box": box_label(box, 63.5, 38.1),
        "stroke": command_cell(stroke, 90, 28),
    }
    into.mkdir(parents=True, exist_ok=True)
    for name, drawing in drawings.items():
        to_image(drawing, 300).save(into / f"{name}.png", optimize=True, dpi=(300, 300))


if __name__ == "__main__":
    if sys.argv[1:2] == ["--pictures"]:
        draw_pictures(Path(sys.argv[2]))
    else:
        sizes_table()
        print()
        damage_table(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
