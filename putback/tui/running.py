"""Opens a workshop on the screen, until the person leaves."""

from __future__ import annotations

import gc
import os
import sys
import traceback
from pathlib import Path

from putback.errors import PutbackError
from putback.opening import open_at
from putback.scans.caliper import CaliperWatch
from putback.settings import settings_in
from putback.store.loading import bulk
from putback.tui.app import PutbackApp

SWITCH = 0.0002
"""Seconds after which a thread gives way to one that waits: what is painted is written out by a thread of its own."""


def plain_terminal() -> bool:
    """Tell whether the terminal shows only ASCII, by its encoding or the variable PUTBACK_ASCII."""
    if os.environ.get("PUTBACK_ASCII"):
        return True
    encoding = (getattr(sys.__stdout__, "encoding", None) or "").lower().replace("-", "")
    return os.environ.get("TERM") in ("dumb", "vt100", "vt220") or not encoding.startswith("utf")


def run_bench(folder: Path, machine: str, *, plain: bool = False) -> int:
    """Open the workshop in `folder` on the screen, with `plain` in words alone; return the exit status."""
    app = opened_once(folder, machine, plain=plain)
    while app.again:
        app = opened_once(folder, machine, plain=plain)
    return app.return_code or 0


def opened_once(folder: Path, machine: str, *, plain: bool) -> PutbackApp:
    """Open the workshop in `folder` on the screen until the person leaves; return the app, closed."""
    with open_at(folder) as workshop:
        sys.setswitchinterval(SWITCH)
        chosen = workshop.machine(machine).id if machine else 0
        app = PutbackApp(workshop, chosen, ascii_only=plain_terminal(), plain=plain, settings=settings_in(folder))
        app.quiet_faults = True
        app.asks_which, app.arrival.tells_elsewhere = not machine, bool(machine)
        app.caliper = CaliperWatch()
        app.flashes = not (os.environ.get("NO_COLOR") or app.glyphs.words)
        with bulk():
            workshop.record.last_step(app.machine_id)  # all that is known of the machine is read here, unwatched
        gc.freeze()  # the record lives as long as the program: the collector need not walk it at every key
        app.run()
        if app.fault is not None:
            raise PutbackError(tell_fault(folder, app.fault))
        return app


def tell_fault(folder: Path, fault: Exception) -> str:
    """Write down an error of our own and return the sentence that tells of it."""
    kept = "Everything the screen confirmed is on disk."
    details = "".join(traceback.format_exception(fault))
    path = folder / "out" / "fault.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(details, encoding="utf-8")
    except OSError:
        return f"Putback stopped because of an error of its own ({type(fault).__name__}). {kept}"
    return f"Putback stopped because of an error of its own ({type(fault).__name__}). {kept} The details are in {path}."
