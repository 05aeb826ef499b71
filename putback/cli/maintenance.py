"""Commands that keep a workshop safe: the logbook, records in and out, proof and mending.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from putback.cli.access import chosen, open_workshop, show, tell, workshop_folder
from putback.cli.streams import json_text, path_from, print_json, print_text, read_text, say_error, wants_json
from putback.errors import BadInput
from putback.trade.record.phrases import quoted

LARGEST_RECORD = 128 * 1024 * 1024
"""The largest exported record that is read, in bytes. One change holds at most half of that."""


def log(args: argparse.Namespace) -> int:
    """Print who did what when, newest last."""
    from putback.reports.log import log_blocks, log_rows

    if args.last is not None and args.last < 1:
        raise BadInput("--last takes a number from 1 up.")
    with open_workshop(args) as workshop:
        only = chosen(args, workshop).id if hasattr(args, "machine") else 0
        rows = log_rows(workshop.store.entries_back(), workshop.record, machine=only, last=args.last)
    show(args, lambda: [row.to_json() for row in rows], lambda: log_blocks(rows))
    return 0


def export(args: argparse.Namespace) -> int:
    """Print the record as JSON, or write it as JSON or as CSV."""
    from putback.reports.export import export_json, export_value
    from putback.reports.fastener_sheet import FILE, fasteners_csv
    from putback.reports.spreadsheet import spreadsheets

    if args.schema is not None:
        return _schema(args.schema)
    if args.session_file is not None:
        return _session_file(args)
    from putback.trade.record.phrases import counted
    from putback.trade.record.spare import Spare

    with open_workshop(args) as workshop:
        only = chosen(args, workshop).id if hasattr(args, "machine") else None
        form = export_value if args.csv is None else export_json  # a spreadsheet is made of plain values
        value = form(workshop.record, changes=workshop.store.number, machine=only)
        stamp = workshop.clock.now()
        if only is not None and (spares := sum(spare.left for spare in workshop.record.all(Spare))):
            say_error(f"The workshop's {counted(spares, 'spare')} belong to no machine and are not in it.")
        joined = fasteners_csv(workshop.record, only) if args.csv is not None else ""
    values: dict[str, Any] = {}
    if args.out is not None:
        path = path_from(args.out)
        if path.is_dir():
            path /= f"putback-{stamp:%Y-%m-%d-%H%M%S}.json"
        put_file(path, json_text(value, indent=1) + "\n")
        values["file"] = str(path)
    if args.csv is not None:
        folder = path_from(args.csv)
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        except OSError as fault:
            raise BadInput(f"{folder} cannot be made a folder: {fault.strerror or fault}.") from fault
        sheets = {**spreadsheets(value), FILE: joined}
        for name, text in sheets.items():
            # Spreadsheets take a file without this mark for one in the encoding of old.
            put_file(folder / name, "\N{BYTE ORDER MARK}" + text)
        values["files"] = [str(folder / name) for name in sheets]
    if not values:
        print_json(value)
    elif wants_json(args):
        print_json(values)
    else:
        print_text("\n".join(filter(None, (values.get("file"), *values.get("files", ())))))
    return 0


def _schema(of: str) -> int:
    """Print the form of the export, of a session file, or of what another command answers, as JSON Schema."""
    from putback.reports.answer_schemas import ANSWERS, answer_schema
    from putback.reports.export_schema import export_schema
    from putback.trade.files.session_schema import session_schema

    files = {"export": export_schema, "session-file": session_schema}
    if of not in (*files, *ANSWERS):
        raise BadInput(f"There is no schema of {quoted(of)}; say {', '.join((*files, *ANSWERS))}.")
    print_json(files[of]() if of in files else answer_schema(of))
    return 0


def _session_file(args: argparse.Namespace) -> int:
    """Write one machine back as a session file; what such a file cannot say is named on standard error."""
    from putback.trade.files.written_back import written_back

    if args.out is not None or args.csv is not None:
        raise BadInput("--session-file goes alone: it takes the file's name itself.")
    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        back = written_back(workshop.record, machine.id)
    if back.unsaid:
        say_error(f"A session file cannot say all of {machine.caption}; not in it: {', '.join(back.unsaid)}.")
    if args.session_file:
        path = path_from(args.session_file)
        put_file(path, back.text)
    value = {"file": str(path)} if args.session_file else {"text": back.text}
    tell(args, lambda: value | {"unsaid": list(back.unsaid)}, lambda: value.get("file", back.text.rstrip("\n")))
    return 0


def put_file(path: Path, text: str) -> None:
    """Write a file for its owner only; an old one stays whole until the new one is. Raises BadInput."""
    from putback.store.disk import Disk

    data = text.encode()
    try:
        if path.exists() and not path.is_file():
            # A pipe or a device is written to, not replaced.
            with path.open("wb") as file:
                file.write(data)
        else:
            Disk().put(Path(os.path.realpath(path)), data)
    except OSError as fault:
        raise BadInput(f"{path} cannot be written: {fault.strerror or fault}.") from fault


def take_in(args: argparse.Namespace) -> int:
    """Take machines of an exported record into the workshop, all or nothing."""
    from putback.reports.check import PHOTOS
    from putback.scans.bag_code import is_code
    from putback.trade.files.importing import read_export
    from putback.trade.record.machine import Machine
    from putback.trade.record.named import machine_named
    from putback.trade.record.phrases import counted

    path = path_from(args.file)
    found = read_export(read_text(path, LARGEST_RECORD), path.name, is_code)
    only = None
    if hasattr(args, "machine"):
        only = [machine_named(list(found.all(Machine)), args.machine, f"in {path.name}").id]
    with open_workshop(args, write=True) as workshop:
        taken = workshop.take_in(found, only)
        last = workshop.store.number
    photos = workshop_folder(args) / PHOTOS
    missing = [name for name in taken.photos if not (photos / name).is_file()]
    if wants_json(args):
        codes = [
            {"machine": code.machine, "bag": code.bag, "was": code.was, "now": code.now, "held_by": code.held}
            for code in taken.codes
        ]
        result = {"machines": list(taken.machines), "changes": 1, "last": last, "codes": codes, "photos": missing}
        print_json(result)
    else:
        lines = [f"Taken in: {caption}." for caption in taken.machines]
        lines += [code.text for code in taken.codes]
        if taken.codes:
            lines.append("Print a new label for each of them: putback labels.")
        if missing:
            lines.append(f"{counted(len(missing), 'photo')} to copy from the other workshop's photos into {photos}.")
        print_text("\n".join(lines))
    return 0


def backup(args: argparse.Namespace) -> int:
    """Copy the workshop, whole and proved; exit 1 when something in it does not add up."""
    from putback.reports.backed_up import backed_up
    from putback.scans.bag_code import is_code
    from putback.store.backup import back_up

    if not args.into.strip():
        raise BadInput("DIR names no folder.")
    _say_beside(workshop_folder(args))
    result = backed_up(back_up(workshop_folder(args), path_from(args.into)), is_code)
    tell(args, result.to_json, lambda: result.text)
    return 0 if result.ok else 1


def _say_beside(folder: Path) -> None:
    """Name on standard error what a synced drive left in the folder, for a command that does not open it as others."""
    from putback.store.beside import beside_text
    from putback.store.folder import Folder

    note = beside_text(Folder(folder.absolute()))
    if note:
        say_error(note)


def check(args: argparse.Namespace) -> int:
    """Prove the store and the record, or save what can be saved; exit 1 when something is wrong."""
    from putback.reports.check import check_workshop
    from putback.scans.bag_code import is_code
    from putback.settings import settings_in
    from putback.trade.checks.ledger import Finding
    from putback.tui.keyboard.keymap import keymap_of

    folder = workshop_folder(args)
    if args.join is not None:
        return _join(args, folder)
    if args.mend is None:
        proof = check_workshop(folder, is_code)
        settings, odd = settings_in(folder)
        odd = (*odd, *keymap_of(settings)[1])
        proof = replace(proof, findings=(*proof.findings, *(Finding(f.what, f.where) for f in odd)))
        tell(args, proof.to_json, lambda: proof.text)
        return 0 if proof.ok else 1

    from putback.opening import local_now, user
    from putback.reports.mended import mended
    from putback.store import mend

    if not args.mend.strip():
        raise BadInput("--mend must name a folder.")
    report = mend(folder, path_from(args.mend), at=local_now().isoformat(timespec="seconds"), who=user())
    result = mended(report, check_workshop(report.into, is_code))
    tell(args, result.to_json, lambda: result.text)
    return 0 if result.ok else 1


def _join(args: argparse.Namespace, folder: Path) -> int:
    """Make one workshop of two that grew apart; exit 1 where something is to be looked at."""
    from putback.opening import fresh_code, local_now, user
    from putback.reports.check import check_workshop
    from putback.reports.joined import JoinedReport
    from putback.scans.bag_code import is_code
    from putback.store.apart import join_folders

    if not (args.mend or "").strip() or not args.join.strip():
        raise BadInput("--join OTHER goes with --mend NEW, the folder for what the two come to.")

    def wrong(new: Path) -> str:
        return "; ".join(f"{found.where}: {found.what}" for found in check_workshop(new, is_code).findings[:1])

    at = local_now().isoformat(timespec="seconds")
    other, into = path_from(args.join), path_from(args.mend)
    result = JoinedReport(join_folders(folder, other, into, codes=fresh_code, prove=wrong, at=at, who=user()))
    tell(args, result.to_json, lambda: result.text)
    return 0 if result.ok else 1
