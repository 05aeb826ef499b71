"""The command `size`: a size named from readings, one or a file of them.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from typing import Any

from putback.cli.access import wants_plain
from putback.cli.exit_codes import BAD_INPUT
from putback.cli.streams import (
    path_from,
    print_json,
    print_plain,
    print_text,
    read_text,
    say_error,
    wants_json,
)
from putback.errors import BadInput


def size(args: argparse.Namespace) -> int:
    """Name a size from readings."""
    from putback.sizing.batch import OPTIONS, Batch, answer_options, size_json
    from putback.sizing.explaining import explain

    names = tuple(name.replace("-", "_") for name in OPTIONS)
    options = {name: getattr(args, name) for name in names if getattr(args, name, None) is not None}
    if args.batch is not None:
        if options:
            raise BadInput("--batch takes its readings from the file; give no others beside it.")
        return _batch(args.batch, Batch().answer)
    if wants_json(args):
        print_json(size_json(options))
        return 0
    readings, answer = answer_options(options)
    if wants_plain(args):
        from putback.reports.spoken import lines_of

        print_plain("\n".join(lines_of(explain(answer, readings, drawn=False))))
    else:
        print_text(explain(answer, readings))
    return 0


def _batch(name: str, answer: Callable[[dict[str, Any]], dict[str, Any]]) -> int:
    status = 0
    for line in read_text(path_from(name)).split("\n"):
        if not line.strip():
            continue
        try:
            result = answer(json.loads(line))
        except RecursionError:
            result = {"error": "This line is nested too deep."}
        except ValueError as fault:
            # A JSONDecodeError, or a number of so many digits that it cannot be read at all.
            result = {"error": f"This line is not JSON: {fault}."}
        if "error" in result:
            status = BAD_INPUT
        print_json(result, indent=None)
    if status:
        sys.stdout.flush()
        say_error(f"{name}: some lines could not be read; their answers say why.")
    return status
