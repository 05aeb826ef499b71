"""The command line: everything that needs no screen. Each command loads only what it uses."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from importlib import import_module

from putback.cli.access import wants_plain
from putback.cli.arguments import parser
from putback.cli.exit_codes import BAD_INPUT, BROKEN_OFF, DONE
from putback.cli.progress_line import telling
from putback.cli.streams import LARGEST_FILE, drop, say_error, wants_json
from putback.errors import BadInput, PutbackError

__all__ = ["BAD_INPUT", "LARGEST_FILE", "main", "parser"]

OWN_SCREEN = ("workbench",)
"""Commands that have the whole terminal: nothing else draws on it."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line and return its exit status: 0, or 2 with a sentence on standard error."""
    try:
        args = parser().parse_args(argv)
        if wants_json(args) and getattr(args, "plain", False):
            raise BadInput("--json and --plain: use one of them, not both.")
        module, name = args.runs.split(".")
        run: Callable[[argparse.Namespace], int] = getattr(import_module(f"putback.cli.{module}"), name)
        with nullcontext() if module in OWN_SCREEN else telling(sys.stderr, lambda: wants_plain(args)):
            status = run(args)
        sys.stdout.flush()
        return status
    except PutbackError as fault:
        say_error(str(fault))
        return BAD_INPUT
    except BrokenPipeError:
        # The reader went away, as `putback bags | head` does.
        drop(sys.stdout)
        return DONE
    except OSError as fault:
        say_error(f"{fault.filename or 'Standard output'}: {fault.strerror or fault}.")
        drop(sys.stdout)
        return BAD_INPUT
    except KeyboardInterrupt:
        say_error("Broken off. What was recorded before stays recorded, and no file is left half written.")
        return BROKEN_OFF
