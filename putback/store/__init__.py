"""The store: a workshop's documents in TinyDB, its journal, its lock. The cost of a commit stays flat."""

from typing import TYPE_CHECKING, Any

from putback.store.line import Entry
from putback.store.loading import StoreFinding
from putback.store.store import Store

if TYPE_CHECKING:
    from putback.store.check import check_folder
    from putback.store.mending import MendReport, mend

__all__ = ["Entry", "MendReport", "Store", "StoreFinding", "check_folder", "mend"]


def __getattr__(name: str) -> Any:
    """Load proof and mending on first use: the bench never needs them."""
    if name == "check_folder":
        from putback.store.check import check_folder  # only where a folder is proved

        return check_folder
    if name in ("MendReport", "mend"):
        from putback.store import mending  # only where one is mended

        return getattr(mending, name)
    raise AttributeError(name)
