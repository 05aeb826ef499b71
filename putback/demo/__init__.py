"""The demo: invented machines, one of them half taken apart, kept as a ready workshop folder."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from importlib.resources import as_file, files
from pathlib import Path
from random import Random
from typing import Any

from msgspec import Struct

from putback.reports.blocks import as_text
from putback.reports.plan import plan_blocks
from putback.reports.planning import refit_plan
from putback.reports.summary import session_numbered, summarise
from putback.reports.summary_blocks import summary_blocks
from putback.scans.bag_code import new_code
from putback.trade.files.session_file import read_session_file
from putback.workshop import Workshop

STORE = "store"
"""The folder beside this file that holds the ready workshop."""

MACHINES = ("drum_recorder.toml", "skein_winder.toml", "half_way.toml")
"""The session files it was made of, in order; the last one is on the bench."""

CHANCE = 20410
"""What the demo's bag codes are drawn from, fixed so that the ready workshop can be made again."""


class Played(Struct, frozen=True):
    """The demo session, played without a screen."""

    text: str
    """Summary and refit plan."""
    summary: dict[str, Any]
    """The summary as plain JSON values."""
    refit: dict[str, Any]
    """The plan as plain JSON values."""

    def to_json(self) -> dict[str, Any]:
        """Return both as the command line prints them."""
        return {"summary": self.summary, "refit": self.refit}


def lay_out_demo(folder: Path) -> None:
    """Copy the ready workshop into `folder`, to be written there even where the original may not."""
    with as_file(files(__package__) / STORE) as ready:
        shutil.copytree(ready, folder, dirs_exist_ok=True, copy_function=shutil.copyfile)
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o700 if path.is_dir() else 0o600)


def build_demo(folder: Path, names: tuple[str, ...] = MACHINES) -> Workshop:
    """Play the demo's session files into `folder` and return the open workshop, for the caller to close."""
    rng = Random(CHANCE)
    now = datetime(2025, 6, 1, 18, 0, tzinfo=UTC)
    workshop = Workshop.open(folder, clock=lambda: now, codes=lambda taken: new_code(rng, taken), who="demo")
    try:
        for name in names:
            text = (files(__package__) / name).read_text(encoding="utf-8")
            workshop.play(read_session_file(text, name, now=now), lambda done: None)
    except BaseException:
        workshop.close()
        raise
    return workshop


def play_demo(folder: Path) -> Played:
    """Play the demo session of the machine on the bench into `folder`; return its summary and plan."""
    with build_demo(folder, MACHINES[-1:]) as workshop:
        record, machine = workshop.record, workshop.machine()
        summary = summarise(record, machine, session_numbered(record, machine), now=workshop.now())
        plan = refit_plan(record, machine.id)
        told = summary_blocks(summary), plan_blocks(record, machine.id, plan, caption=machine.caption)
        return Played("\n\n".join(map(as_text, told)), summary.to_json(), plan.to_json())
