"""The command `replay`: a session file played into the workshop, as commands or as keystrokes.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import sys
from contextlib import nullcontext
from typing import TYPE_CHECKING, TextIO

from putback.cli.access import open_workshop
from putback.cli.progress_line import beside_line
from putback.cli.streams import drop, path_from, print_json, print_text, read_text, wants_json

if TYPE_CHECKING:
    from putback.trade.files.rehearsal import Rehearsal
    from putback.workshop import Done, Workshop


def replay(args: argparse.Namespace) -> int:
    """Play a session file into the workshop."""
    from putback.opening import local_now
    from putback.store.loading import bulk
    from putback.trade.files.rehearsal import rehearse
    from putback.trade.files.session_file import read_session_file
    from putback.trade.record.machine import Machine

    path = path_from(args.file)
    with bulk():
        rehearsal = rehearse(read_session_file(read_text(path), path.name, now=local_now()))
    with open_workshop(args, write=True) as workshop:
        first = workshop.store.number
        teller = _Teller(sys.stderr if wants_json(args) else sys.stdout)
        if args.keys:
            return _replay_keys(args, workshop, rehearsal, teller)
        with bulk():
            machine = workshop.play(rehearsal, teller)
        last, caption = workshop.store.number, workshop.record.get(Machine, machine).caption
    if wants_json(args):
        print_json({"machine": caption, "changes": last - first, "last": last})
    return 0


def _replay_keys(args: argparse.Namespace, workshop: Workshop, rehearsal: Rehearsal, teller: _Teller) -> int:
    from putback.playing.key_player import play_keys

    report = play_keys(workshop, rehearsal, teller)
    if wants_json(args):
        print_json(report.to_json())
    else:
        print_text(report.text)
    return 0


class _Teller:
    """Tells each change once it is on disk. Where nobody listens any more, the playing goes on."""

    def __init__(self, stream: TextIO) -> None:
        self._stream: TextIO | None = stream

    def __call__(self, done: Done) -> None:
        if self._stream is not None:
            try:
                with beside_line() if self._stream.isatty() else nullcontext():
                    print(f"ok {done.number}", file=self._stream, flush=True)
            except BrokenPipeError:
                drop(self._stream)
                self._stream = None
