"""What comes in and goes out as text: files named and read, lines and JSON printed, one sentence of error.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import sys
from pathlib import Path
from typing import TextIO

import msgspec

from putback.cli.progress_line import beside_line, end_line
from putback.errors import BadInput
from putback.trade.record.phrases import TURNING, cut

LARGEST_FILE = 32 * 1024 * 1024
"""The largest session or batch file that is read, in bytes."""

LONGEST_ERROR = 1_000
"""Characters of an error that are shown: what a file was made of is not read back in full."""

_CONTROLS = {code: "\ufffd" for code in (*range(0x20), *range(0x7F, 0xA0), *TURNING) if code not in (0x09, 0x0A)}


def drop(stream: TextIO) -> None:
    """Let nothing be left that the interpreter would flush to a stream that takes no more."""
    if stream in (sys.__stdout__, sys.__stderr__):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def shown(text: str, stream: TextIO) -> str:
    """Return `text` as a terminal may have it: no control characters, none that turn the line round, and none that
    `stream` cannot write."""
    encoding = stream.encoding or "utf-8"
    return text.translate(_CONTROLS).encode(encoding, "backslashreplace").decode(encoding)


def say_error(sentence: str) -> None:
    """Print one line on standard error."""
    with beside_line():
        print(shown("putback: " + cut(sentence, LONGEST_ERROR), sys.stderr), file=sys.stderr)


def print_text(text: str) -> None:
    """Print lines for a person; on a terminal, lines longer than it is wide are folded."""
    from putback.reports.fold_text import folded

    if sys.stdout.isatty():
        text = folded(text, shutil.get_terminal_size().columns)
    print_plain(text)


def print_plain(text: str) -> None:
    """Print lines for a screen reader: each as one line, however long."""
    end_line()
    print(shown(text, sys.stdout))


def json_text(value: object, *, indent: int | None = 2) -> str:
    """Return a value as JSON, in one line without `indent`; the quick encoder knows only what UTF-8 can hold."""
    try:
        if indent is not None:
            return msgspec.json.format(msgspec.json.encode(value), indent=indent).decode()
    except UnicodeEncodeError:
        pass
    return json.dumps(value, ensure_ascii=False, indent=indent)


def print_json(value: object, *, indent: int | None = 2) -> None:
    """Print one JSON value on standard output."""
    text = json_text(value, indent=indent)
    try:
        text.encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        text = json.dumps(value, indent=indent)
    end_line()
    print(text)


def wants_json(args: argparse.Namespace) -> bool:
    """Tell whether --json was given."""
    return bool(getattr(args, "json", False))


def path_from(named: str) -> Path:
    """Return the path that a person named, `~` and all. Raises BadInput for a home that nobody has."""
    try:
        return Path(named).expanduser()
    except RuntimeError as fault:
        raise BadInput(f"{named}: there is no such home folder.") from fault


def read_text(path: Path, largest: int = LARGEST_FILE) -> str:
    """Return a file's text. Raises BadInput where it is not there, too large, or no text."""
    try:
        if path.is_dir():
            raise BadInput(f"{path} is a folder, not a file.")
        with path.open("rb") as file:
            data = file.read(largest + 1)
    except OSError as fault:
        raise BadInput(f"{path} cannot be read: {fault.strerror or fault}.") from fault
    if len(data) > largest:
        raise BadInput(f"{path} is larger than {largest // 1024 // 1024} MB.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise BadInput(f"{path} is not UTF-8 text (byte {fault.start}).") from fault
