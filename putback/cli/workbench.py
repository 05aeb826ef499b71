"""The screens themselves, and their keys: `putback`, `putback demo`, `putback keys`.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from putback.cli.access import tell, wants_plain, workshop_folder
from putback.cli.streams import say_error, wants_json
from putback.errors import BadInput

if TYPE_CHECKING:
    from putback.tui.keyboard.keymap import Keymap


def bench(args: argparse.Namespace) -> int:
    """Open the workbench screen."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        if wants_plain(args):
            from putback.cli.cards import walk_back

            return walk_back(args)
        raise BadInput("The workbench screen needs a terminal; see putback --help for what works without.")
    from putback.tui.running import run_bench

    return run_bench(workshop_folder(args), getattr(args, "machine", ""), plain=getattr(args, "plain", False))


def demo(args: argparse.Namespace) -> int:
    """Open the demo on a throwaway copy, or play it where there is no terminal."""
    import tempfile

    from putback.demo import lay_out_demo, play_demo

    with tempfile.TemporaryDirectory(prefix="putback-demo-") as folder:
        if sys.stdin.isatty() and sys.stdout.isatty() and not wants_json(args):
            from putback.tui.running import run_bench

            lay_out_demo(Path(folder))
            return run_bench(Path(folder), "", plain=getattr(args, "plain", False))
        played = play_demo(Path(folder))
        tell(args, played.to_json, lambda: played.text)
    return 0


def keymap(args: argparse.Namespace) -> Keymap:
    """Return the keys as the settings of the workshop have them; what is odd there goes to standard error."""
    from putback.settings import settings_in
    from putback.tui.keyboard.keymap import keymap_of

    settings, odd = settings_in(workshop_folder(args))
    found_keys, odd_keys = keymap_of(settings)
    for found in (*odd, *odd_keys):
        say_error(found.text)
    return found_keys


def keys(args: argparse.Namespace) -> int:
    """Print every command of the screen with its keys, as the settings have them."""
    from putback.tui.keyboard.key_list import keys_json, keys_lines, keys_text

    layout = keymap(args)
    tell(args, lambda: keys_json(layout), lambda: keys_text(layout), lambda: "\n".join(keys_lines(layout)))
    return 0
