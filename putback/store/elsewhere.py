"""A record that lives in memory alone, since its folder went while it was open: written into a new folder."""

from __future__ import annotations

from pathlib import Path

from putback.errors import DiskTrouble, Refused
from putback.store.check import check_folder
from putback.store.folder import Folder
from putback.store.store import Store
from putback.trade.commands.rules import TAKE_IN
from putback.trade.record.change import Change, Edit
from putback.trade.record.phrases import counted


def write_elsewhere(store: Store, into: Path, *, at: str, who: str) -> str:
    """Write every document of an open store into the new folder `into`, as one change, and prove it.

    Returns the sentence that tells of it. The logbook and the photos lay in the old folder and do not come along.
    Raises Refused where `into` holds a workshop, DiskTrouble or NotAWorkshop where none can be made there.
    """
    new = Folder(Path(into).absolute())
    if new.holds_workshop():
        raise Refused(f"{new.path} holds a workshop already; name a new folder.")
    tables = store.tables()
    edits = tuple(
        Edit(table, number, None, document)
        for table in tables
        for number, document in sorted(store.documents(table).items())
    )
    text = f"taken over from {store.folder}, whose folder was gone: {counted(len(edits), 'document')}"
    with Store.open(new.path, at=at, who=who) as other:
        if edits:
            other.commit(Change(did=TAKE_IN, said=text, edits=edits), at=at, who=who)
        for table in tables:
            other.reserve(table, store.last_id(table))
        other.fold()
    found = check_folder(new.path)
    if found:
        raise DiskTrouble(f"{new.path} was written, but {found[0].where} {found[0].what}; name another folder.")
    documents = counted(len(edits), "document")
    return f"{documents} written to {new.path}; the logbook and the photos' files lay in the folder that is gone."
