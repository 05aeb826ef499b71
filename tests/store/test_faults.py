"""Small helpings of bench/faults: the whole of it runs with `python -m bench.faults`."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from bench import apart, faults, kills, power

pytestmark = pytest.mark.skipif(os.name == "nt", reason="forks and resource limits")


def test_kills(tmp_path: Path) -> None:
    counts = faults.kill_often(tmp_path / "w", 25, seed=5)
    assert counts["kills"] == 25 and counts["confirmed"] > 0


def test_power_cuts(tmp_path: Path) -> None:
    counts = power.cut_power(tmp_path, strokes=6, tears=4, shuffles=3, seed=5)
    assert counts["cuts"] > 500 and counts["dropped"] > 20


def test_flipped_bytes(tmp_path: Path) -> None:
    counts = faults.flip_bytes(tmp_path, every=131, seed=5)
    assert counts["flips"] == counts["mended whole"] > 80


@pytest.mark.parametrize("error", [errno.ENOSPC, errno.EIO])
def test_refused_writes(tmp_path: Path, error: int) -> None:
    counts = faults.fill_disk(tmp_path, strokes=5, error=error)
    assert counts["refusals"] > 40 and counts["reopened"] > 5


def test_kills_of_a_backup_and_of_a_join(tmp_path: Path) -> None:
    for kill in (kills.kill_backups, kills.kill_joins):
        counts = kill(tmp_path / kill.__name__, every=12, first=3)
        assert counts["kills"] >= 3 and counts["nothing there"] >= 3


def test_joins_at_two_moments(tmp_path: Path) -> None:
    assert apart.join_prefixes(tmp_path, every=14)["pairs"] >= 5


def test_a_file_size_limit(tmp_path: Path) -> None:
    assert faults.limit_file_size(tmp_path / "w")["written in all"] == 40
