"""A folder of camera files filed with steps: EXIF written by Pillow, squares printed by us and read by ZXing."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from os import utime
from pathlib import Path
from random import Random

import pytest
from PIL import ExifTags, Image

from putback.errors import BadInput, DiskTrouble
from putback.labels import qr
from putback.photos.camera_clock import error_by_bags
from putback.photos.filing import Filing, file_folder
from putback.photos.pairing import clock_text
from putback.photos.step_times import step_times
from putback.scans.bag_code import new_code
from putback.store.photos import keep_photo, photo_name
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine
from putback.trade.record.photo import Photo
from putback.workshop import Workshop

START = datetime(2025, 3, 1, 10, 0, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    """Two parts off in one segment, a break, and one in the next: lid 0-10, cam 10-20, drum 60-70."""
    now = [START]
    rng = Random(3)
    with Workshop.open(tmp_path / "bench", clock=lambda: now[0], codes=lambda taken: new_code(rng, taken)) as made:
        made.do(c.NewMachine(name="press"))
        for minute, command in (
            (0, c.StartSession()),
            (0, c.Begin(name="lid")),
            (4, c.Enter(hole="1", size="M4")),
            (8, c.Enter(hole="3", size="M4")),
            (10, c.Finish(put="shelf")),
            (10, c.CloseBag(number=1)),
            (10, c.Begin(name="cam")),
            (15, c.Enter(hole="1", size="M5")),
            (20, c.Finish(put="shelf")),
            (20, c.Pause()),
            (60, c.Resume()),
            (60, c.Begin(name="drum")),
            (65, c.Enter(hole="5", size="M6")),
            (70, c.Finish(put="shelf")),
            (70, c.EndSession()),
        ):
            now[0] = at(minute)
            made.do(command, 1)
        yield made


@pytest.fixture
def camera(tmp_path: Path) -> Path:
    folder = tmp_path / "camera"
    folder.mkdir()
    return folder


def photo(path: Path, taken: datetime | str | None, picture: Image.Image | None = None) -> Path:
    """A picture as a camera writes it: original date with offset, unlike any other."""
    exif = Image.Exif()
    if taken is not None:
        exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = (
            taken if isinstance(taken, str) else taken.strftime("%Y:%m:%d %H:%M:%S")
        )
        exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.OffsetTimeOriginal] = "+00:00"
    shade = int.from_bytes(sha256(path.name.encode()).digest()[:3], "big")
    image = picture or Image.new("RGB", (64, 48), (shade >> 16, shade >> 8 & 255, shade & 255))
    image.save(path, "JPEG", exif=exif, quality=95)
    return path


def square(text: str) -> Image.Image:
    return qr.image(qr.square(text), 8).convert("RGB")


def file(workshop: Workshop, camera: Path, **options: object) -> Filing:
    into = camera.parent / "bench" / "photos"
    machines = list(workshop.record.all(Machine))
    return file_folder(workshop, camera, machines, into, UTC, **options)  # type: ignore[arg-type]


def told(filing: Filing) -> dict[str, tuple[int | None, str, str]]:
    return {row.file: (row.step, row.when, row.state) for row in filing.rows}


def test_each_photo_goes_to_its_step_before_during_or_after(workshop: Workshop, camera: Path) -> None:
    for name, minute in (("a", 1), ("b", 6), ("c", 9), ("d", 12), ("e", 62), ("f", 70.5)):
        photo(camera / f"{name}.JPG", at(minute))
    assert told(file(workshop, camera)) == {
        "a.JPG": (1, "before", "filed"),
        "b.JPG": (1, "during", "filed"),
        "c.JPG": (1, "during", "filed"),  # its end, the part laid on the shelf, is an entry too
        "d.JPG": (2, "before", "filed"),
        "e.JPG": (3, "before", "filed"),
        "f.JPG": (3, "after", "filed"),
    }
    assert not list(check_balance(workshop.record))


def test_a_photo_taken_at_refit_goes_to_the_step_put_back_then(workshop: Workshop, camera: Path) -> None:
    """Drum back at 110, cam at 120, each before and after told apart; the taking-off ones stay with it."""
    for minute, command in (
        (100, c.StartSession()),
        (110, c.PutBack(step=3)),
        (120, c.PutBack(step=2)),
        (125, c.EndSession()),
    ):
        workshop.do(command, 1, at=at(minute).isoformat())
    for name, taken in (("a", 62), ("b", 105), ("c", 110.2), ("d", 115), ("e", 120.5), ("f", 124)):
        photo(camera / f"{name}.JPG", at(taken))
    filing = file(workshop, camera)
    assert {row.file: (row.step, row.when, row.back, row.doubt) for row in filing.rows} == {
        "a.JPG": (3, "before", False, False),
        "b.JPG": (3, "before", True, False),
        "c.JPG": (3, "after", True, True),
        "d.JPG": (2, "before", True, False),
        "e.JPG": (2, "after", True, False),
        "f.JPG": (2, "after", True, True),
    }
    assert [photo.falls for photo in workshop.record.all(Photo)][:2] == ["before", "before, at refit"]
    assert "after step 3, drum at refit, or step 2" in filing.text


def test_files_are_copied_by_content_and_left_as_they_are(workshop: Workshop, camera: Path) -> None:
    path = photo(camera / "a.JPG", at(5))
    content, before = path.read_bytes(), path.stat()
    file(workshop, camera)
    [filed] = workshop.record.all(Photo)
    kept = camera.parent / "bench" / "photos" / filed.file
    assert kept.read_bytes() == content == path.read_bytes() and kept.stem == sha256(content).hexdigest()[:32]
    assert (path.stat().st_mtime_ns, path.stat().st_ino) == (before.st_mtime_ns, before.st_ino)
    assert kept.stat().st_ino != before.st_ino
    assert (filed.name, filed.taken) == ("a.JPG", at(5).isoformat())


def test_running_it_again_adds_nothing_twice_and_new_ones_are_found(workshop: Workshop, camera: Path) -> None:
    photo(camera / "a.JPG", at(5))
    (camera / "again.JPG").write_bytes((camera / "a.JPG").read_bytes())
    first = file(workshop, camera)
    assert (len(first.of("filed")), len(first.of("known")), len(first.of("twin"))) == (1, 0, 1)
    assert first.text.startswith("1 filed, 1 file of a picture that is in the folder twice;"), "not: filed before"
    number = workshop.store.number
    again = file(workshop, camera)
    assert (len(again.of("filed")), len(again.of("known"))) == (0, 2) and workshop.store.number == number
    photo(camera / "b.JPG", at(12))
    assert told(file(workshop, camera))["b.JPG"] == (2, "before", "filed")
    assert len(list((camera.parent / "bench" / "photos").iterdir())) == 2


@pytest.mark.parametrize("kept", [0.3, 0.6, 0.98])
def test_a_picture_cut_short_is_said_and_not_filed(workshop: Workshop, camera: Path, kept: float) -> None:
    """Its header still tells the time: cut anywhere behind it, the picture would be filed for nothing."""
    whole = photo(camera / "b.JPG", at(5))
    rng = Random(4)
    noise = Image.frombytes("RGB", (160, 120), rng.randbytes(160 * 120 * 3))
    with Image.open(whole) as picture:
        noise.save(whole, "JPEG", exif=picture.getexif())
    data = whole.read_bytes()
    (camera / "cut.JPG").write_bytes(data[: int(len(data) * kept)])
    filing = file(workshop, camera)
    assert [row.file for row in filing.of("unread")] == ["cut.JPG"] and len(filing.of("filed")) == 1
    assert "cut.JPG: cut.JPG is damaged or cut short" in filing.text
    assert len(list((camera.parent / "bench" / "photos").iterdir())) == 1


def test_a_line_feed_in_a_name_stays_in_its_line(workshop: Workshop, camera: Path) -> None:
    (camera / "a\nputback: all is well.jpg").write_bytes(b"no picture")
    lines = file(workshop, camera).text.splitlines()
    assert len(lines) == 2 and lines[1].startswith("  a putback: all is well.jpg: ")


def test_filing_is_one_change_and_taken_back_with_one(workshop: Workshop, camera: Path) -> None:
    for minute in range(3):
        photo(camera / f"{minute}.JPG", at(minute))
    number = workshop.store.number
    file(workshop, camera)
    assert workshop.store.number == number + 1
    workshop.take_back(1)
    assert list(workshop.record.all(Photo)) == []
    assert len(file(workshop, camera).of("filed")) == 3


def test_a_photo_near_no_step_is_left_out_and_a_doubtful_one_listed(workshop: Workshop, camera: Path) -> None:
    photo(camera / "far.JPG", at(40))
    photo(camera / "between.JPG", at(10.2))
    photo(camera / "late.JPG", at(22))
    filing = file(workshop, camera)
    assert told(filing)["far.JPG"] == (None, "", "no step")
    assert {row.file for row in filing.rows if row.doubt} == {"between.JPG", "late.JPG"}
    assert "between.JPG" in filing.text and "far.JPG: near no step" in filing.text
    assert workshop.record.photo_of_file(1, photo_name(camera / "far.JPG")) is None


def test_without_exif_the_files_own_time_is_taken_and_doubted(workshop: Workshop, camera: Path) -> None:
    path = photo(camera / "a.JPG", None)
    utime(path, (at(5).timestamp(), at(5).timestamp()))
    [row] = file(workshop, camera).rows
    assert (row.step, row.doubt) == (1, True)


def test_the_clock_code_in_the_folder_sets_the_camera_right(workshop: Workshop, camera: Path) -> None:
    """The camera is 1 h 2 min ahead; the code is photographed at minute 55."""
    ahead = timedelta(hours=1, minutes=2)
    photo(camera / "a.JPG", at(5) + ahead)
    photo(camera / "clock.JPG", at(55) + ahead, square(clock_text(at(55))))
    filing = file(workshop, camera)
    assert filing.ahead == ahead.total_seconds() and "1 h 2 min fast" in filing.by
    assert told(filing) == {"a.JPG": (1, "during", "filed"), "clock.JPG": (None, "", "clock")}
    assert next(workshop.record.all(Photo)).taken == at(5).isoformat()


def test_a_photo_of_the_clock_code_can_be_named(workshop: Workshop, camera: Path, tmp_path: Path) -> None:
    clock = photo(tmp_path / "clock.JPG", at(55) - timedelta(minutes=30), square(clock_text(at(55))))
    photo(camera / "a.JPG", at(5) - timedelta(minutes=30))
    filing = file(workshop, camera, clock=clock)
    assert filing.ahead == -1800 and told(filing)["a.JPG"] == (1, "during", "filed") and "slow" in filing.by
    with pytest.raises(BadInput, match=r"a.JPG shows no clock code; Z at the bench"):
        file(workshop, camera, clock=camera / "a.JPG")


def test_a_bag_label_seen_tells_the_error_where_no_clock_code_does(workshop: Workshop, camera: Path) -> None:
    """Bag 1 was closed at minute 10; the camera says two hours later, as after a journey."""
    bag = next(workshop.record.all(Bag))
    ahead = timedelta(hours=2)
    for number in range(20):
        photo(camera / f"{number:02}.JPG", at(number) + ahead)
    photo(camera / "label.JPG", at(11) + ahead, square(bag.code))
    filing = file(workshop, camera, codes=True)
    assert filing.ahead == 7200 and "bag labels seen" in filing.by
    assert told(filing)["05.JPG"] == (1, "during", "filed") and told(filing)["label.JPG"][0] == 1


def test_the_error_by_bag_labels_is_the_least_that_fits() -> None:
    """Worked by hand: a photo at 12:00 of a label that lay there from 10:00 to 10:20."""

    def seen(taken: float, earliest: float, latest: float) -> tuple[datetime, datetime, datetime]:
        return at(taken), at(earliest), at(latest)

    assert error_by_bags([seen(120, 0, 20)]) == timedelta(hours=2)
    assert error_by_bags([seen(10, 0, 20)]) == timedelta(0)
    assert error_by_bags([seen(-65, 0, 20)]) == timedelta(minutes=-65)
    assert error_by_bags([seen(-75, 0, 20)]) == timedelta(minutes=-90)
    assert error_by_bags([seen(38, 0, 4)]) == timedelta(minutes=34)
    with pytest.raises(BadInput, match="disagree"):
        error_by_bags([seen(120, 0, 20), seen(0, 0, 20)])
    with pytest.raises(BadInput, match="no photo"):
        error_by_bags([])


@pytest.mark.parametrize(
    "stamp", ["0000:00:00 00:00:00", "    :  :     :  :  ", "9999:99:99 99:99:99", "0001:01:01 00:00:00", "soon"]
)
def test_nonsense_dates_fall_back_to_the_files_time(workshop: Workshop, camera: Path, stamp: str) -> None:
    path = photo(camera / "a.JPG", stamp)
    utime(path, (at(5).timestamp(), at(5).timestamp()))
    [row] = file(workshop, camera).rows
    assert (row.step, row.state, row.doubt) == (1, "filed", True)


def test_what_is_no_picture_is_told_and_the_rest_is_filed(workshop: Workshop, camera: Path) -> None:
    photo(camera / "good.JPG", at(5))
    (camera / "text.jpg").write_text("no picture")
    (camera / "empty.png").write_bytes(b"")
    (camera / "phone.HEIC").write_bytes(b"\0" * 100)
    (camera / "notes.txt").write_text("not looked at")
    (camera / ".hidden.jpg").write_text("not looked at")
    (camera / "short.JPG").write_bytes(photo(camera / "x.JPG", at(6)).read_bytes()[:200])
    (camera / "x.JPG").unlink()
    Image.new("1", (20_000, 15_000)).save(camera / "huge.png")
    filing = file(workshop, camera)
    assert {row.file for row in filing.of("unread")} == {"text.jpg", "empty.png", "phone.HEIC", "short.JPG", "huge.png"}
    assert [row.file for row in filing.of("filed")] == ["good.JPG"]
    why = {row.file: row.why for row in filing.of("unread")}
    assert "too large" in why["huge.png"] and "not a picture" in why["text.jpg"] and "HEIC" in why["phone.HEIC"]


def test_a_folder_that_cannot_be_used(workshop: Workshop, camera: Path) -> None:
    with pytest.raises(BadInput, match="holds no pictures"):
        file(workshop, camera)
    with pytest.raises(BadInput, match="there is no folder"):
        file(workshop, camera / "nowhere")


def test_folders_below_are_searched_and_the_workshops_own_photos_are_not(workshop: Workshop, camera: Path) -> None:
    (camera / "100SHOTS").mkdir()
    photo(camera / "100SHOTS" / "a.JPG", at(5))
    assert list(told(file(workshop, camera))) == ["100SHOTS/a.JPG"]
    into = camera.parent / "bench" / "photos"
    filing = file_folder(workshop, camera.parent, workshop.machines(), into, UTC)
    assert list(told(filing)) == ["camera/100SHOTS/a.JPG"]


def test_where_the_reader_is_absent_pairing_goes_on_and_codes_are_refused(
    workshop: Workshop, camera: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "zxingcpp", None)
    photo(camera / "a.JPG", at(5))
    assert told(file(workshop, camera))["a.JPG"] == (1, "during", "filed")
    with pytest.raises(BadInput, match=r"putback\[scan\]"):
        file(workshop, camera, codes=True)


def test_no_pixel_is_decoded_but_at_the_ends_of_the_folder(
    workshop: Workshop, camera: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from putback.photos import camera_clock

    opened: list[Path] = []

    def looked_at(path: Path) -> list[str]:
        opened.append(path)
        return []

    monkeypatch.setattr(camera_clock, "squares_in", looked_at)
    for number in range(40):
        photo(camera / f"{number:02}.JPG", at(number / 4))
    file(workshop, camera)
    assert [path.name for path in opened] == [f"{n:02}.JPG" for n in (*range(6), *range(34, 40))]


# -- when steps were worked on -----------------------------------------------------------------------


def test_a_step_has_a_stretch_in_each_segment_it_runs_through(workshop: Workshop) -> None:
    machine = workshop.record.get(Machine, 1)
    lid, cam, drum = step_times(workshop.record, [machine], at(80).isoformat())
    assert (lid.start, lid.first, lid.last, lid.end) == (at(0), at(4), at(10), at(10))
    assert (cam.start, cam.first) == (at(10), at(15)) and (drum.start, drum.first) == (at(60), at(65))
    assert lid.bags == (next(workshop.record.all(Bag)).code,)


def test_a_step_left_half_done_over_a_break_is_two_stretches(tmp_path: Path) -> None:
    now = [START]
    with Workshop.open(tmp_path / "two", clock=lambda: now[0], codes=lambda taken: "PB3K7M2Q4") as made:
        made.do(c.NewMachine(name="press"))
        for minute, command in (
            (0, c.StartSession()), (1, c.Begin(name="lid")), (5, c.Enter(hole="1")), (6, c.Pause()),
            (90, c.Resume()), (95, c.Enter(hole="3")),
        ):  # fmt: skip
            now[0] = at(minute)
            made.do(command, 1)
        found = step_times(made.record, made.machines(), at(97).isoformat())
    assert [(s.start, s.first, s.last, s.end) for s in found] == [
        (at(0), at(5), at(5), at(6)),
        (at(90), at(95), at(95), at(97)),
    ]


# -- the photos folder -------------------------------------------------------------------------------


def test_a_copy_is_there_once_and_a_full_disk_leaves_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source = photo(tmp_path / "a.JPG", None)
    photos = tmp_path / "photos"
    name = keep_photo(source, photos)
    assert name == keep_photo(source, photos) == photo_name(source) and [p.name for p in photos.iterdir()] == [name]
    (photos / name).unlink()

    def full(number: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(DiskTrouble, match=r"a.JPG could not be copied"):
        keep_photo(source, photos)
    assert list(photos.iterdir()) == []


def test_a_file_that_went_away_is_told(tmp_path: Path) -> None:
    gone = tmp_path / "gone.jpg"
    with pytest.raises(BadInput, match="cannot be read"):
        photo_name(gone)
    with pytest.raises(BadInput, match="cannot be read"):
        keep_photo(gone, tmp_path)
