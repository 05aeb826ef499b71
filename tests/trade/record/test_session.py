"""Minutes of a session."""

from __future__ import annotations

from putback.trade.record.session import Segment, Session, minutes_between


def test_minutes_are_stamps_and_a_clock_set_back_counts_nothing() -> None:
    assert minutes_between("2025-03-01T10:00:00+01:00", "2025-03-01T10:30:00+01:00") == 30
    assert minutes_between("2025-03-01T10:00:00+01:00", "2025-03-01T09:30:00+00:00") == 30
    assert minutes_between("2025-03-01T10:00:00+01:00", "2025-03-01T09:00:00+01:00") == 0
    session = Session(
        id=1,
        machine=1,
        number=1,
        segments=(
            Segment("2025-03-01T10:00:00+01:00", "2025-03-01T10:30:00+01:00"),
            Segment("2025-03-01T11:00:00+01:00"),
        ),
    )
    now = "2025-03-01T11:10:00+01:00"
    assert session.minutes(now) == 40 and session.segment_minutes(now) == 10 and not session.paused
