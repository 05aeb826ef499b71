"""How a day is written: each form as its example says, and everywhere that a day is told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from putback import cli
from putback.dates import FORMS, day, day_and_time, day_in_words, from_to, write_days_as

SAMPLE = Path(__file__).parents[1] / "sample_sessions" / "skein_winder.toml"


@pytest.fixture(autouse=True)
def as_usual() -> Iterator[None]:
    """Days are written as they are without settings again."""
    yield
    write_days_as("")


@pytest.mark.parametrize("form", FORMS)
def test_a_form_is_how_it_writes_the_seventh_of_march(form: str) -> None:
    write_days_as(form)
    assert day("2025-03-07T18:40:00+01:00") == day(date(2025, 3, 7)) == form
    assert day_and_time("2025-03-07T18:40:00+01:00") == f"{form} 18:40" and day_and_time("") == "now"
    assert day_in_words("2025-03-07") == ("Mar 7" if form.startswith(("Mar", "03")) else "7 Mar")
    assert from_to("2025-03-07T18:40:00+01:00", "2025-03-07T19:51:00+01:00") == f"{form} 18:40 to 19:51"
    assert from_to("2025-03-07T18:40:00+01:00", "") == f"{form} 18:40 to now"


def test_what_cannot_be_read_is_given_as_it_stands() -> None:
    assert (day("some time ago, they say"), day_in_words("soon")) == ("some time ", "soon")


def test_all_that_is_told_has_days_as_the_settings_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No day of ISO 8601 is left in words, book or summary where another form is set; stamps in JSON keep it."""
    where = ["--workshop", str(tmp_path)]
    assert cli.main([*where, "replay", str(SAMPLE)]) == 0
    (tmp_path / "settings.toml").write_text('[look]\ndates = "7.3.2025"\n', "utf-8")
    capsys.readouterr()
    iso = re.compile(r"\b\d{4}-\d\d-\d\d\b")
    for line in ("summary", "summary --plain", "card 3", "log --last 9", "refit", "book --last-page", "todo"):
        assert cli.main([*where, *line.split()]) == 0
        assert not iso.findall(capsys.readouterr().out), line
    assert cli.main([*where, "book", "--out", str(tmp_path / "book.md")]) == 0
    book = (tmp_path / "book.md").read_text("utf-8").replace("\\", "")  # marks before signs of Markdown
    assert not iso.findall(book) and "4.5.2025 09:30 to 10:34" in book
    capsys.readouterr()
    assert cli.main([*where, "summary", "--json"]) == 0
    assert '"start": "2025-05-2' in capsys.readouterr().out
