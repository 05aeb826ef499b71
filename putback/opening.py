"""How a real workshop is opened: the machine's clock, its user, and true chance for bag codes."""

from __future__ import annotations

import getpass
import random
from collections.abc import Callable, Container
from datetime import datetime
from pathlib import Path
from time import monotonic

from putback.codes.bag_code import new_code
from putback.workshop import Workshop


def local_now() -> datetime:
    """Return the time of now in the local zone, with its offset."""
    return datetime.now().astimezone()


def fresh_code(taken: Container[str]) -> str:
    """Return a bag code that nobody has, by the system's chance."""
    return new_code(random.SystemRandom(), taken)


def user() -> str:
    """Return who is at the keyboard, as the system knows; empty where it does not."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""


def open_at(folder: Path, *, read_only: bool = False, must_exist: bool = False) -> Workshop:
    """Open the workshop in `folder` for a person. Raises a StoreError with one sentence."""
    return Workshop.open(
        folder, clock=local_now, codes=fresh_code, who=user(), read_only=read_only, must_exist=must_exist
    )


def share_of(seconds: float) -> Callable[[], float]:
    """Return a budget for a plan: it tells what share of `seconds` from now is gone."""
    start = monotonic()
    return lambda: (monotonic() - start) / seconds
