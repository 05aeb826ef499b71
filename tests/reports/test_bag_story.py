"""A bag's age and photos in words."""

from __future__ import annotations

import pytest

from putback.reports.bag_story import ago, photos_text
from putback.trade.record.photo import Photo

NOW = "2025-03-29T10:00:00+00:00"


@pytest.mark.parametrize(
    ("stamp", "message"),
    [
        ("2025-03-29T09:00:00+00:00", "today"),
        ("2025-03-28T09:00:00+00:00", "1 day ago"),
        ("2025-03-16T09:00:00+00:00", "13 days ago"),
        ("2024-10-15T09:00:00+00:00", "on 2024-10-15"),
        ("2025-03-15T09:00:00+00:00", "2 weeks ago"),
        ("2025-03-15T11:00:00+02:00", "2 weeks ago"),
        ("2025-04-01T09:00:00+00:00", "later than now"),
    ],
)
def test_how_long_ago(stamp: str, message: str) -> None:
    assert ago(stamp, NOW) == message


def test_photos_are_told_by_where_they_fall() -> None:
    photos = [
        Photo(id=n, machine=1, file="x", when=when, doubt=n == 3)  # type: ignore[arg-type]
        for n, when in enumerate(("after", "before", "after", "during"))
    ]
    assert photos_text(photos) == "4 photos: 1 before, 1 during, 2 after, 1 in doubt"
    assert photos_text([]) == ""
