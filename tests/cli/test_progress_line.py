"""The line that tells how far a command has come: on a terminal alone, gone before the answer, stopped with a key."""

from __future__ import annotations

import io
import shutil
import sys
from pathlib import Path

import pytest

from putback.cli import main, progress_line
from putback.cli.progress_line import ProgressLine
from putback.opening import open_at
from putback.store import check_folder
from putback.store.disk import Disk
from putback.store.folder import Folder
from putback.trade.files.session_file import read_session_file

FILE = """
[machine]
name = "Fare stamp"
origin = "us"
[[session]]
start = 2025-03-01T10:00:00+00:00
[[session.step]]
do = "take off"
part = "lid"
bag = 1
fasteners = [{ hole = "1", gauge = "832", length = ".372" }]
[[session.step]]
do = "take off"
part = "bell"
bag = 2
fasteners = [{ hole = "1", gauge = "832", length = ".372" }]
"""


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def workshop(tmp_path: Path) -> Path:
    with open_at(tmp_path / "bench") as workshop:
        workshop.play(read_session_file(FILE, "day", now=workshop.clock.now()), lambda done: None)
    return tmp_path / "bench"


def test_what_the_line_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    now, stream = [0.0], Terminal()
    line = ProgressLine(stream, clock=lambda: now[0])
    line.draw()
    line("steps", 0, 10_000)
    now[0] = 1.0
    line("steps", 1200, 10_000)
    line.draw()
    now[0] = 6.0
    line.draw()
    line("lines", 12_000, 0)
    line.draw()
    line.end()
    line.draw()
    drawn = stream.getvalue().split("\r\x1b[K")
    assert drawn == [
        "",
        "working, 0 s  Ctrl+C stops it",
        "steps: 1,200 of 10,000  ##..................  Ctrl+C stops it",
        "steps: 1,200 of 10,000  ##..................  about 44 s left  Ctrl+C stops it",
        "lines: 12,000  Ctrl+C stops it",
        "",
    ]


def test_read_aloud_it_is_a_line_of_its_own() -> None:
    stream = Terminal()
    line = ProgressLine(stream, plain=True)
    line("steps", 3, 10)
    line.draw()
    line.end()
    assert stream.getvalue() == "steps: 3 of 10; Ctrl+C stops it.\n"


def test_it_is_there_on_a_terminal_alone_and_gone_before_the_answer(
    workshop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both go to one terminal here, so that what comes after what can be seen."""
    monkeypatch.setattr(progress_line, "FIRST", 0.0)
    monkeypatch.setattr(progress_line, "AGAIN", 0.001)
    words = ["--workshop", str(workshop), "labels"]
    both, out, err = Terminal(), io.StringIO(), io.StringIO()
    monkeypatch.setattr(sys, "stdout", both)
    monkeypatch.setattr(sys, "stderr", both)
    assert main(words) == 0
    told, answer = both.getvalue().rsplit("\r\x1b[K", 1)
    assert "Ctrl+C stops it" in told and "labels.pdf" not in told
    assert len(answer.splitlines()) == 3
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", err)
    assert main(words) == 0 and (out.getvalue(), err.getvalue()) == (answer, "")


def test_one_key_stops_it_and_nothing_is_half_done(
    workshop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As Ctrl+C does it, while the second label is drawn and while a book is set."""
    before = {p: p.read_bytes() for p in workshop.rglob("*") if p.name != "workshop.lock" and p.is_file()}
    for words, where in (("labels", "putback.labels.drawing.to_image"), ("book", "putback.book.html._back")):
        with monkeypatch.context() as patch:

            def stop(*given: object) -> None:
                raise KeyboardInterrupt

            patch.setattr(where, stop)
            assert main(["--workshop", str(workshop), words]) == 130
        assert "Broken off" in capsys.readouterr().err
    assert {p: p.read_bytes() for p in workshop.rglob("*") if p.name != "workshop.lock" and p.is_file()} == before


@pytest.mark.parametrize("action", ["write", "flush", "rename"])
@pytest.mark.parametrize("after", [False, True])
def test_a_replay_that_is_stopped_keeps_all_it_told(
    action: str, after: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As Ctrl+C does it right before one of the disk's actions, and right after it."""
    day, folder = tmp_path / "day.toml", tmp_path / "new"
    day.write_text(FILE, "utf-8")
    real = getattr(Disk, action)
    for at in (0, 2, 5, 9):
        left = at

        def stopped(disk: Disk, *given: object) -> object:
            nonlocal left
            left -= 1
            if left == -1 and not after:
                raise KeyboardInterrupt
            done = real(disk, *given)
            if left == -1:
                raise KeyboardInterrupt
            return done

        with monkeypatch.context() as patch:
            patch.setattr(Disk, action, stopped)
            status = main(["--workshop", str(folder), "replay", str(day)])
        out = capsys.readouterr().out.split()
        told = int(out[-1]) if out else 0
        assert status == (130 if left < 0 else 0), at
        if folder.exists() and Folder(folder).holds_workshop():
            with open_at(folder) as workshop:
                assert told <= workshop.store.number <= told + 1 and workshop.store.writable
            assert check_folder(folder) == []
        shutil.rmtree(folder, ignore_errors=True)
