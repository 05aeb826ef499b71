"""What a bench does to a label, done to pixels: turned, blurred, stained, creased, photographed askew.

Every function takes a grey picture and gives a grey picture; chance comes in as a Random.
"""

from math import pi, radians, tan
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter


def turned(picture: Image.Image, degrees: float) -> Image.Image:
    """Rotated on white paper."""
    return picture.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=255)


def blurred(picture: Image.Image, radius: float) -> Image.Image:
    """Out of focus; radius in pixels."""
    return picture.filter(ImageFilter.GaussianBlur(radius))


def _blots(
    picture: Image.Image, share: float, rng: Random, quiet: int, finder: int, least: float, most: float
) -> Image.Image:
    """Round blots of a size between two shares of the square's side until `share` of it is covered."""
    spoiled = picture.copy()
    mask = Image.new("L", picture.size, 0)
    pen, on_mask = ImageDraw.Draw(spoiled), ImageDraw.Draw(mask)
    side = picture.width - 2 * quiet
    corners = [
        (quiet + x, quiet + y, quiet + x + finder, quiet + y + finder)
        for x, y in ((0, 0), (side - finder, 0), (0, side - finder))
    ]
    for _ in range(3000):
        reach = rng.uniform(least, most) * side / 2
        x, y = (rng.uniform(quiet, quiet + side) for _ in range(2))
        box = (x - reach, y - reach, x + reach, y + reach)
        if any(box[0] < c[2] and box[2] > c[0] and box[1] < c[3] and box[3] > c[1] for c in corners):
            continue
        pen.ellipse(box, fill=rng.choice((0, 0, 255)))
        on_mask.ellipse(box, fill=255)
        if mask.crop((quiet, quiet, quiet + side, quiet + side)).histogram()[-1] >= share * side * side:
            return spoiled
    raise AssertionError(f"no room for blots over {share:.0%}")


def spattered(picture: Image.Image, share: float, rng: Random, quiet: int, finder: int) -> Image.Image:
    """Small spots of oil and bare paper over `share` of a square, none on the three corner marks.

    `quiet` and `finder` are the widths of quiet zone and corner mark in pixels.
    """
    return _blots(picture, share, rng, quiet, finder, 0.04, 0.12)


def blotted(picture: Image.Image, share: float, rng: Random, quiet: int, finder: int) -> Image.Image:
    """One blot over about `share` of a square, clear of the three corner marks (see `spattered`)."""
    across = 2 * (share / pi) ** 0.5
    return _blots(picture, share * 0.6, rng, quiet, finder, across, across)


def askew(picture: Image.Image, degrees: float, rng: Random) -> Image.Image:
    """Seen from the side: the far edge is shorter by what a camera `degrees` off the normal sees."""
    wide, high = picture.size
    sheet = Image.new("L", (wide * 2, high * 2), 255)
    sheet.paste(picture, (wide // 2, high // 2))
    squeeze = 0.35 * tan(radians(degrees)) / 2
    corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
    far = rng.randrange(4)
    moved = []
    for place, (x, y) in enumerate(corners):
        if place in (far, (far + 1) % 4):
            along_x = far % 2 == 0
            other = corners[(far + 1) % 4] if place == far else corners[far]
            x += (other[0] - x) * squeeze if along_x else (0.5 - x) * squeeze
            y += (other[1] - y) * squeeze if not along_x else (0.5 - y) * squeeze
        moved.append((x * sheet.width, y * sheet.height))
    straight = [(x * sheet.width, y * sheet.height) for x, y in corners]
    return sheet.transform(
        sheet.size,
        Image.Transform.PERSPECTIVE,
        _perspective(moved, straight),
        Image.Resampling.BICUBIC,
        fillcolor=255,
    )


def _perspective(seen: list[tuple[float, float]], true: list[tuple[float, float]]) -> list[float]:
    """The eight coefficients that take seen corners back to true ones (two equations a corner)."""
    rows = []
    for (x, y), (u, v) in zip(seen, true, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, v])
    for pivot in range(8):
        best = max(range(pivot, 8), key=lambda row: abs(rows[row][pivot]))
        rows[pivot], rows[best] = rows[best], rows[pivot]
        rows[pivot] = [value / rows[pivot][pivot] for value in rows[pivot]]
        for row in range(8):
            if row != pivot:
                factor = rows[row][pivot]
                rows[row] = [a - factor * b for a, b in zip(rows[row], rows[pivot], strict=True)]
    return [row[8] for row in rows]


def badly_lit(picture: Image.Image, darkest: float, rng: Random) -> Image.Image:
    """Light that falls off across the picture to `darkest` (0 to 1), with some grain."""
    fall = Image.linear_gradient("L").resize(picture.size).rotate(rng.choice((0, 90, 180, 270)))
    fall = fall.resize(picture.size).point(lambda value: int(255 * darkest + value * (1 - darkest)))
    lit = ImageChops.multiply(picture, fall)
    grain = Image.frombytes("L", picture.size, rng.randbytes(picture.width * picture.height))
    return ImageChops.add(lit, grain.point(lambda value: 104 + value * 48 // 255), 1, -128)


def creased(picture: Image.Image, rng: Random, quiet: int) -> Image.Image:
    """A white fold right across, about a module wide."""
    spoiled = picture.copy()
    pen = ImageDraw.Draw(spoiled)
    y = rng.uniform(0.4, 0.7) * picture.height
    slope = rng.uniform(-0.1, 0.1) * picture.height
    pen.line((0, y, picture.width, y + slope), fill=255, width=max(2, quiet // 4))
    return spoiled


def photographed(picture: Image.Image, rng: Random) -> Image.Image:
    """A hand-held photo: turned, askew, badly lit and a little out of focus."""
    picture = turned(picture, rng.uniform(-40, 40))
    picture = askew(picture, rng.uniform(5, 30), rng)
    picture = badly_lit(picture, rng.uniform(0.25, 0.6), rng)
    return blurred(picture, rng.uniform(0.5, 1.2))
