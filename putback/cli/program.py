"""The program itself: where it is and what holds, a settings file to begin with, completion and a manual page.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import msgspec

from putback import __version__
from putback.cli.access import tell, workshop_folder
from putback.cli.streams import print_text, say_error
from putback.errors import BadInput

TEMPLATE = Path(__file__).parent.parent / "settings.template.toml"
"""Every setting with what holds where nothing is said."""

_NOT_TYPED = ("own", "lines")
"""Fields of the settings that are not one line of the file."""

LIBRARIES = ("textual", "tinydb", "pint", "msgspec", "fpdf2", "qrcode", "platformdirs", "zxing-cpp", "textual-image")
"""Whose versions are told: those it needs, and those it uses where they are there."""


def about(args: argparse.Namespace) -> int:
    """Print folder, settings in force and versions."""
    import platform
    from importlib.metadata import PackageNotFoundError, version

    folder = workshop_folder(args)
    versions: dict[str, str | None] = {"putback": __version__, "python": platform.python_version()}
    for name in LIBRARIES:
        try:
            versions[name] = version(name)
        except PackageNotFoundError:
            versions[name] = None
    held = {
        "folder": str(folder),
        "is_there": (folder / "workshop.json").exists(),
        "settings": _in_force(args),
        "versions": versions,
        "system": platform.platform(terse=True),
    }
    lines = [
        f"Putback {__version__}, Python {versions['python']}, {held['system']}",
        f"workshop: {folder}{'' if held['is_there'] else ' (not made yet)'}",
        f"settings: {folder / 'settings.toml'}{'' if (folder / 'settings.toml').exists() else ' (there is none)'}",
        "libraries: " + ", ".join(f"{name} {there or 'is not there'}" for name, there in list(versions.items())[2:]),
    ]
    tell(args, lambda: held, lambda: "\n".join(lines))
    return 0


def settings(args: argparse.Namespace) -> int:
    """Print the settings in force, or a settings file to begin with."""
    if args.template:
        print_text(TEMPLATE.read_text(encoding="utf-8").rstrip())
        return 0
    held = _in_force(args)
    tell(args, lambda: held, lambda: "\n".join(_settings_lines(held)))
    return 0


def _in_force(args: argparse.Namespace) -> dict[str, Any]:
    from putback.settings import settings_in

    found, odd = settings_in(workshop_folder(args))
    for finding in odd:
        say_error(finding.text)
    value: dict[str, Any] = msgspec.to_builtins(found)
    return value


def _settings_lines(held: dict[str, Any]) -> list[str]:
    lines: list[str] = []
    for table, fields in held.items():
        if isinstance(fields, dict):
            lines += ["", f"[{table}]"] if lines else [f"[{table}]"]
            for name, value in fields.items():
                if name in _NOT_TYPED:
                    continue
                said = "not said" if value in (None, "", [], {}) else value
                lines.append(f"{name} = {'yes' if value is True else 'no' if value is False else said}")
    return lines


def completion(args: argparse.Namespace) -> int:
    """Print a completion script for a shell."""
    import shtab  # made from the parser, only where it is asked for

    from putback.cli.arguments import commands_of, parser

    top = parser()
    paths = {"FILE": shtab.FILE, "DIR": shtab.DIRECTORY, "OTHER": shtab.DIRECTORY}
    for one in (top, *commands_of(top).values()):
        for action in one.own_actions() + one.common_actions():
            if isinstance(action.metavar, str) and action.metavar in paths:
                action.complete = paths[action.metavar]  # type: ignore[attr-defined]  # shtab reads it there
    print_text(shtab.complete(top, args.shell).rstrip())
    return 0


def manual(args: argparse.Namespace) -> int:
    """Print the manual page, for `man -l` or a folder man1."""
    from putback.cli.arguments import parser
    from putback.cli.manual_page import manual_page

    print_text(manual_page(parser(), __version__))
    return 0


def where(args: argparse.Namespace) -> int:
    """Print where everything is that the words name."""
    from putback.cli.access import chosen, open_workshop, show
    from putback.reports.whereabouts import where_blocks, whereabouts

    words = " ".join(" ".join(args.words).split())
    with open_workshop(args) as workshop:
        only = chosen(args, workshop).id if getattr(args, "machine", "") else None
        rows = whereabouts(workshop.record, words, only)
    if not rows:
        raise BadInput(f"Nothing matches all of “{words}”.")
    show(args, lambda: [row.to_json() for row in rows], lambda: where_blocks(rows))
    return 0
