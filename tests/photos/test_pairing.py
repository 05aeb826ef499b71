"""Photos to steps: EXIF times as Pillow writes them, clock codes, and simulated sessions."""

from datetime import UTC, datetime, timedelta, timezone
from io import BytesIO
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image

from putback.errors import BadInput
from putback.labels import qr
from putback.photos.pairing import (
    Paired,
    Shot,
    StepTime,
    When,
    clock_error,
    clock_of,
    clock_text,
    exif_time,
    pair,
    read_shot,
)
from putback.scans.bag_code import is_code
from tests.labels.qr_reading import read_texts

ZONE = timezone(timedelta(hours=2))
START = datetime(2024, 10, 6, 19, 10, tzinfo=ZONE)


@pytest.mark.parametrize(
    ("stamp", "offset", "fraction", "time"),
    [
        ("2024:10:06 19:10:00", "+02:00", "", datetime(2024, 10, 6, 19, 10, tzinfo=ZONE)),
        ("2024:10:06 19:10:00", "", "", datetime(2024, 10, 6, 19, 10)),
        ("2024:10:06 19:10:00", "-09:30", "25", datetime(2024, 10, 7, 4, 40, 0, 250000, tzinfo=UTC)),
        ("2024:10:06 19:10:00\0", "   :  ", "", datetime(2024, 10, 6, 19, 10)),
        ("2024-10-06T19:10:00", "", "", datetime(2024, 10, 6, 19, 10)),
        ("2024:10:06 19:10:00", "+99:00", "", datetime(2024, 10, 6, 19, 10)),
        ("0000:00:00 00:00:00", "", "", None),
        ("    :  :     :  :  ", "", "", None),
        ("2024:13:45 25:61:61", "", "", None),
        ("2024:02:30 10:00:00", "", "", None),
        ("yesterday", "", "", None),
        ("", "", "", None),
    ],
)
def test_exif_times(stamp: str, offset: str, fraction: str, time: datetime | None) -> None:
    assert exif_time(stamp, offset, fraction) == time


@given(st.text(max_size=30), st.text(max_size=8), st.text(max_size=8))
def test_any_exif_is_a_time_or_none(stamp: str, offset: str, fraction: str) -> None:
    assert exif_time(stamp, offset, fraction) is None or isinstance(exif_time(stamp), datetime)


def save(path: Path, stamp: str | None, offset: str = "") -> None:
    exif = Image.Exif()
    if stamp is not None:
        shot = exif.get_ifd(ExifTags.IFD.Exif)
        shot[ExifTags.Base.DateTimeOriginal] = stamp
        if offset:
            shot[ExifTags.Base.OffsetTimeOriginal] = offset
    Image.new("L", (40, 30), 200).save(path, "JPEG", exif=exif)


def test_a_files_time_is_read_with_its_offset_then_without_then_from_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    save(path, "2024:10:06 17:10:00", "+00:00")
    assert read_shot(path, ZONE) == Shot(path, START)
    save(path, "2024:10:06 19:10:00")
    assert read_shot(path, ZONE) == Shot(path, START)
    for nonsense in ("0000:00:00 00:00:00", None):
        save(path, nonsense)
        shot = read_shot(path, ZONE)
        assert not shot.from_exif
        assert shot.taken.timestamp() == pytest.approx(path.stat().st_mtime)


def test_files_that_are_no_photos_are_told(tmp_path: Path) -> None:
    (tmp_path / "text.jpg").write_text("no picture")
    with pytest.raises(BadInput, match="is not a picture"):
        read_shot(tmp_path / "text.jpg", ZONE)
    with pytest.raises(BadInput, match="there is no file"):
        read_shot(tmp_path / "gone.jpg", ZONE)


@given(data=st.data())
def test_damaged_headers_never_escape(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("exif") / "a.jpg"
    save(path, "2024:10:06 19:10:00", "+02:00")
    raw = bytearray(path.read_bytes())
    for _ in range(data.draw(st.integers(1, 5))):
        raw[data.draw(st.integers(0, min(250, len(raw) - 1)))] = data.draw(st.integers(0, 255))
    path.write_bytes(bytes(raw[: data.draw(st.integers(1, len(raw)))]))
    try:
        assert read_shot(path, ZONE).taken.tzinfo is not None
    except BadInput as refusal:
        assert path.name in str(refusal)


@given(st.datetimes(datetime(2000, 1, 1), datetime(2200, 1, 1)))
def test_the_clock_code_reads_back_to_the_second(at: datetime) -> None:
    text = clock_text(at.replace(tzinfo=ZONE))
    assert clock_of(text) == at.replace(microsecond=0, tzinfo=ZONE)
    assert not is_code(text)


def test_the_clock_code_is_a_square_any_reader_reads() -> None:
    text = clock_text(START)
    assert text.startswith("PC20241006171000")
    assert read_texts(qr.image(qr.square(text), 4)) == [text]
    assert qr.square(text).version <= 2
    for other in (text[:-1] + ("0" if text[-1] != "0" else "1"), "PC20241399171000A", "", "PB3K7M2Q4"):
        assert clock_of(other) is None
    with pytest.raises(ValueError, match="zone"):
        clock_text(datetime(2024, 10, 6))


def test_the_clock_error_is_the_median_of_what_was_seen() -> None:
    seen = [(START + timedelta(seconds=s), START) for s in (3600, 3602, 3601)]
    assert clock_error(seen) == timedelta(seconds=3601)
    with pytest.raises(BadInput, match="not known"):
        clock_error([])
    with pytest.raises(BadInput, match="disagree"):
        clock_error([*seen, (START, START)])


def step(number: int, start: float, first: float, last: float, end: float, *bags: str) -> StepTime:
    began, opened, stopped, ended = (START + timedelta(minutes=m) for m in (start, first, last, end))
    return StepTime(number, began, opened, stopped, ended, bags)


STEPS = [step(1, 0, 2, 5, 6), step(2, 6, 8, 10, 10.5, "PB3K7M2Q4"), step(3, 40, 42, 50, 52)]


@pytest.mark.parametrize(
    ("minute", "number", "when", "sure", "instead"),
    [
        (1, 1, When.BEFORE, True, None),
        (3, 1, When.DURING, True, None),
        (5.5, 1, When.AFTER, True, None),
        (6.2, 1, When.AFTER, False, 2),
        (7.5, 2, When.BEFORE, True, None),
        (10.2, 2, When.AFTER, True, None),
        (11, 2, When.AFTER, True, None),
        (14, 2, When.AFTER, False, None),
        (25, None, None, False, None),
        (38, 3, When.BEFORE, False, None),
        (39.5, 3, When.BEFORE, True, None),
        (53, 3, When.AFTER, False, None),
        (99, None, None, False, None),
        (-0.5, 1, When.BEFORE, True, None),
        (-60, None, None, False, None),
    ],
)
def test_a_photo_falls_where_its_time_says(
    minute: float, number: int | None, when: When | None, sure: bool, instead: int | None
) -> None:
    shot = Shot(Path("a.jpg"), START + timedelta(minutes=minute) + timedelta(hours=1))
    assert pair([shot], STEPS, timedelta(hours=1)) == [Paired(shot, number, when, sure, instead)]


def test_a_bag_seen_in_a_photo_outweighs_the_boundary() -> None:
    shot = Shot(Path("a.jpg"), START + timedelta(minutes=13), bags=("PB3K7M2Q4",))
    assert pair([shot], STEPS) == [Paired(shot, 2, When.AFTER, True)]
    far = Shot(Path("a.jpg"), START + timedelta(minutes=45), bags=("PB3K7M2Q4",))
    assert pair([far], STEPS)[0].step == 3


def test_a_files_own_time_is_never_sure() -> None:
    shot = Shot(Path("a.jpg"), START + timedelta(minutes=3), from_exif=False)
    assert pair([shot], STEPS) == [Paired(shot, 1, When.DURING, False)]


def test_no_steps_no_pairs() -> None:
    shot = Shot(Path("a.jpg"), START)
    assert pair([shot], []) == [Paired(shot, None, None, False)]


def test_in_simulated_sessions_what_is_sure_is_right() -> None:
    """Photos before the first and after the last stroke of each step, by a camera 47 minutes fast."""
    rng = Random(11)
    right = sure = wrong = total = 0
    ahead = timedelta(minutes=47, seconds=13)
    for _ in range(30):
        at, steps, shots, truth = START, [], [], []
        for number in range(1, 25):
            if rng.random() < 0.1:
                at += timedelta(minutes=rng.uniform(8, 60))
            start = at
            looked = start + timedelta(seconds=rng.uniform(20, 90))
            first = looked + timedelta(seconds=rng.uniform(5, 60))
            last = first + timedelta(seconds=rng.uniform(30, 400))
            done = last + timedelta(seconds=rng.uniform(3, 30))
            at = done + timedelta(seconds=rng.uniform(2, 40))
            steps.append(StepTime(number, start, first, last, at))
            for moment, when in ((looked, When.BEFORE), (done, When.AFTER)):
                jitter = timedelta(seconds=rng.uniform(-1, 1))
                shots.append(Shot(Path(f"{number}{when.value}.jpg"), moment + ahead + jitter))
                truth.append((number, when))
        for made, (number, when) in zip(pair(shots, steps, ahead), truth, strict=True):
            total += 1
            hit = made.step == number and made.when is when
            right += hit
            sure += made.sure
            wrong += made.sure and not hit
    assert wrong / total < 0.005
    assert right / total > 0.9
    assert sure / total > 0.7


def test_reading_a_header_does_not_read_the_pixels(tmp_path: Path) -> None:
    """A file cut off behind its header still gives its time."""
    whole = BytesIO()
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "2024:10:06 19:10:00"
    Image.effect_noise((800, 600), 50).save(whole, "JPEG", exif=exif)
    path = tmp_path / "cut.jpg"
    path.write_bytes(whole.getvalue()[:2000])
    assert read_shot(path, ZONE).taken == START
