"""The house rules that tools can check: ruff, and mypy strict."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


TOOLS = {
    "lint": ["ruff", "check", "."],
    "format": ["ruff", "format", "--check", "."],
    "types": ["mypy"],
}


@pytest.mark.parametrize("words", TOOLS.values(), ids=TOOLS.keys())
def test_the_tool_finds_nothing(words: list[str]) -> None:
    told = subprocess.run([sys.executable, "-m", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stdout + told.stderr
