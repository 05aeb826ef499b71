"""The store on real file systems: on one of its own in a file, on one that knows no second names, full, read only.

They are mounted where the machine allows it; else each is left out, and says why.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from bench.proving import expected_states, state_of
from bench.strokes import AT, WHO, Bench
from putback.errors import DiskTrouble, StoreError
from putback.store import Store, check_folder
from putback.store.backup import back_up

MADE_BY = {"ext4": ("mkfs.ext4", "-q", "-F"), "vfat": ("mkfs.vfat",), "tmpfs": ()}
"""What makes each of them, in a file; the last lies in memory."""

SIZE = 2 * 1024 * 1024
"""Bytes of a disk."""


def told(*words: str) -> str:
    """Run a program of the system; return what it said, empty where it did as it was told."""
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    return "" if done.returncode == 0 else " ".join(done.stderr.split()) or f"{words[0]}: {done.returncode}"


@contextmanager
def disk(kind: str, work: Path) -> Iterator[Path]:
    """Give a folder that is a disk of its own."""
    image, at = work / f"{kind}.image", work / kind
    at.mkdir()
    how = ["-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs"]
    if MADE_BY[kind]:
        program, *options = MADE_BY[kind]
        if shutil.which(program) is None:
            pytest.skip(f"{program} is not on this machine")
        with image.open("wb") as file:
            file.truncate(SIZE)
        if trouble := told(program, *options, str(image)):
            pytest.skip(trouble)
        how = ["-o", "loop", str(image)]
    if trouble := told("mount", *how, str(at)):
        pytest.skip(f"no disk may be mounted here ({trouble})")
    try:
        yield at
    finally:
        assert told("umount", str(at)) == ""


@pytest.mark.parametrize("kind", MADE_BY)
def test_it_is_kept_on_a_disk_that_fills_up_and_on_one_that_may_only_be_read(kind: str, tmp_path: Path) -> None:
    changes = [change for change, _, _ in Bench(3, per_step=3).strokes(40)]
    states = expected_states(changes)
    with disk(kind, tmp_path) as at:
        folder, filler = at / "bench", at / "filler"
        with Store.open(folder, at=AT, who=WHO) as store:
            for change in changes[:12]:
                store.commit(change, at=AT, who=WHO)
                if store.number % 5 == 0:
                    store.fold()
            with pytest.raises(OSError), filler.open("wb", buffering=0) as file:
                while True:
                    file.write(bytes(512))
            with pytest.raises(DiskTrouble, match="the disk is full"):
                for change in changes[12:]:  # the last block still takes some
                    store.commit(change, at=AT, who=WHO)
            number = store.number
            assert state_of(store) == states[number], "what was refused left no trace"
            with pytest.raises(StoreError):
                store.fold()
            with pytest.raises(DiskTrouble, match="full"):
                back_up(folder, at / "copy")
            assert not (at / "copy").exists()
            filler.unlink()
        with Store.open(folder, at=AT, who=WHO) as store:
            assert store.writable and store.number == number and state_of(store) == states[number]
            for change in changes[number:]:
                store.commit(change, at=AT, who=WHO)
            store.fold()
        assert check_folder(folder) == []
        assert told("mount", "-o", "remount,ro", str(at)) == ""
        with Store.open(folder, at=AT, who=WHO) as store:
            assert not store.writable and "open to read only" in store.notes[-1], store.notes
            assert state_of(store) == states[-1]
        assert check_folder(folder) == []
        assert back_up(folder, tmp_path / "copy").changes == len(changes)
