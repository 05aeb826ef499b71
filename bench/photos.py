"""How long pairing and filing a folder of photos takes.

    python bench/photos.py [photos] [folder]

Makes so many JPEGs of 12 megapixels (2000; each some 4 MB, so have 16 GB free), stamped into the demo's steps,
files them, and files them again. Prints seconds, and the share of the second run in the first.
"""

import sys
import tempfile
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from time import perf_counter

from PIL import Image

from putback.demo import lay_out_demo
from putback.opening import open_at
from putback.photos.filing import file_folder
from putback.trade.record.step import Step


def make_photos(folder: Path, steps: list[Step], count: int) -> None:
    """Write `count` pictures, all alike but for their time and their last bytes."""
    picture = BytesIO()
    Image.effect_noise((1000, 750), 60).resize((4000, 3000)).convert("RGB").save(
        picture, "JPEG", quality=88, exif=stamp(datetime.now(UTC))
    )
    data = picture.getvalue()
    _, rest = app1(data)
    for number in range(count):
        step = steps[number % len(steps)]
        taken = datetime.fromisoformat(step.began) + timedelta(seconds=20 + number // len(steps))
        small = BytesIO()
        Image.new("RGB", (8, 8)).save(small, "JPEG", exif=stamp(taken))
        head = small.getvalue()
        _, end = app1(head)
        path = folder / f"DSC_{number:05}.JPG"
        path.write_bytes(head[:end] + data[rest:] + number.to_bytes(4, "big"))


def stamp(taken: datetime) -> Image.Exif:
    """EXIF with the original date and its offset."""
    exif = Image.Exif()
    exif.get_ifd(0x8769).update({0x9003: taken.strftime("%Y:%m:%d %H:%M:%S"), 0x9011: "+00:00"})
    return exif


def app1(data: bytes) -> tuple[int, int]:
    """Where the EXIF segment of a JPEG begins and ends."""
    start = data.index(b"\xff\xe1")
    return start, start + 2 + int.from_bytes(data[start + 2 : start + 4], "big")


def main(count: int, root: Path) -> None:
    """Make, file and file again."""
    workshop_folder, camera = root / "workshop", root / "camera"
    camera.mkdir()
    lay_out_demo(workshop_folder)
    with open_at(workshop_folder) as workshop:
        steps = [step for machine in workshop.machines() for step in workshop.record.all(Step, machine.id)]
        make_photos(camera, steps, count)
        seconds = []
        for _ in range(2):
            start = perf_counter()
            filing = file_folder(workshop, camera, workshop.machines(), workshop_folder / "photos", UTC)
            seconds.append(perf_counter() - start)
        assert len(filing.of("known")) == count
    size = sum(path.stat().st_size for path in camera.iterdir()) / 1e9
    first, again = seconds
    print(f"{count} photos, {size:.1f} GB: {first:.1f} s, again {again:.1f} s ({again / first:.2f} of it)")


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    with tempfile.TemporaryDirectory(dir=sys.argv[2] if len(sys.argv) > 2 else None) as made:
        main(wanted, Path(made))
