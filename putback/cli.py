"""The command line: everything that needs no screen. Each command loads only what it uses."""

from __future__ import annotations

import argparse
import json
import os
import shutil
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TextIO

from putback import __version__
from putback.errors import BadInput, PutbackError

if TYPE_CHECKING:
    from putback.trade.machine import Machine
    from putback.workshop import Done, Workshop

BAD_INPUT = 2
"""What a command exits with when it could not do what was asked."""

PLAN_SECONDS = 2.0
"""How long a plan may be searched for."""

LARGEST_FILE = 32 * 1024 * 1024
"""The largest session or batch file that is read, in bytes."""


class _Parser(argparse.ArgumentParser):
    """A parser whose faults are one sentence, like everybody else's."""

    def error(self, message: str) -> NoReturn:
        raise BadInput(f"{message} (see {self.prog} --help)")


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command line."""
    common = _Parser(add_help=False, argument_default=argparse.SUPPRESS)
    common.add_argument("--workshop", metavar="DIR", help="the workshop folder (else PUTBACK_WORKSHOP)")
    common.add_argument("--machine", metavar="NAME", help="the machine, by name or serial")
    common.add_argument("--json", action="store_true", help="print one JSON value")

    top = _Parser(
        prog="putback",
        parents=[common],
        allow_abbrev=False,
        description="What is taken apart here goes back together, complete and in the right order. "
        "Without a command: the workbench screen.",
    )
    top.add_argument("--version", action="version", version=f"putback {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)

    def command(name: str, run: Callable[[argparse.Namespace], int], told: str) -> argparse.ArgumentParser:
        sub = commands.add_parser(name, parents=[common], help=told, description=told, allow_abbrev=False)
        sub.set_defaults(run=run)
        return sub

    command("demo", demo, "the workbench screen on a throwaway copy of the demo workshop")

    size_ = command("size", size, "name a size from readings")
    for option, told in (
        ("gauge", "text off a gauge plate: 832, 2ba, m5"),
        ("od", "diameter over the crests: .164, 3.42mm"),
        ("pitch", "pitch: 0.7"),
        ("tpi", "threads to the inch: 32"),
        ("length", "length: .372, 3/8"),
        ("head", "head: fillister, countersunk, headless"),
        ("origin", "us, uk, metric or unknown"),
        ("unit", "unit of bare numbers: in or mm"),
        ("pitch-by", "how the pitch was read: leaf or ten"),
    ):
        size_.add_argument(f"--{option}", metavar=option[0].upper(), help=told)
    size_.add_argument("--batch", metavar="FILE", help="one JSON object of readings a line")

    replay_ = command("replay", replay, "play a session file into the workshop")
    replay_.add_argument("file", metavar="FILE")

    bag_ = command("bag", bag, "what is in a bag and which steps it belongs to")
    bag_.add_argument("code", metavar="CODE")
    command("bags", bags, "the bag ledger")

    summary_ = command("summary", summary, "the end-of-session summary")
    summary_.add_argument("--session", type=int, default=0, metavar="N", help="else the last one")

    refit_ = command("refit", refit, "the refit plan, step by step")
    orders = "reverse, fewest-bags, fewest-tools or fewest-turns"
    refit_.add_argument("--order", default="reverse", metavar="O", help=orders)
    refit_.add_argument("--sessions", type=float, metavar="MINUTES", help="cut into the fewest sessions of that length")

    reach_ = command("reach", reach, "the least that must come off to reach a part")
    reach_.add_argument("part", metavar="PART")
    reach_.add_argument("--now", action="store_true", help="leave out what is off already")

    labels_ = command("labels", labels, "labels of all bags, or blank ones, as PDF and PNG")
    labels_.add_argument("--pool", type=int, metavar="N", help="N blank labels")
    labels_.add_argument("--out", metavar="DIR", help="else the workshop's out/")

    export_ = command("export", export, "everything as JSON")
    export_.add_argument("--out", metavar="FILE", help="else standard output")

    command("check", check, "prove the store and the balance")
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line and return its exit status: 0, or 2 with a sentence on standard error."""
    try:
        args = parser().parse_args(argv)
        run: Callable[[argparse.Namespace], int] = getattr(args, "run", bench)
        status = run(args)
        sys.stdout.flush()
        return status
    except PutbackError as fault:
        say_error(str(fault))
        return BAD_INPUT
    except BrokenPipeError:
        # The reader went away, as `putback bags | head` does.
        drop(sys.stdout)
        return 0
    except OSError as fault:
        say_error(f"{fault.filename or 'Standard output'}: {fault.strerror or fault}.")
        drop(sys.stdout)
        return BAD_INPUT
    except KeyboardInterrupt:
        return 130


def drop(stream: TextIO) -> None:
    """Let nothing be left that the interpreter would flush to a stream that takes no more."""
    if stream in (sys.__stdout__, sys.__stderr__):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


_CONTROLS = {code: "\ufffd" for code in (*range(0x20), *range(0x7F, 0xA0)) if code not in (0x09, 0x0A)}


def shown(text: str, stream: TextIO) -> str:
    """Return `text` as a terminal may have it: no control characters, and none that `stream` cannot write."""
    encoding = stream.encoding or "utf-8"
    return text.translate(_CONTROLS).encode(encoding, "backslashreplace").decode(encoding)


def say_error(sentence: str) -> None:
    """Print one line on standard error."""
    print(shown("putback: " + " ".join(sentence.split()), sys.stderr), file=sys.stderr)


def print_text(text: str) -> None:
    """Print lines for a person; on a terminal, lines longer than it is wide are folded."""
    from putback.reports.lines import folded

    if sys.stdout.isatty():
        text = folded(text, shutil.get_terminal_size().columns)
    print(shown(text, sys.stdout))


def print_json(value: object, *, indent: int | None = 2) -> None:
    """Print one JSON value on standard output."""
    text = json.dumps(value, ensure_ascii=False, indent=indent)
    try:
        text.encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        text = json.dumps(value, indent=indent)
    print(text)


def wants_json(args: argparse.Namespace) -> bool:
    """Tell whether --json was given."""
    return bool(getattr(args, "json", False))


# -- the workshop ------------------------------------------------------------------------------------


def workshop_folder(args: argparse.Namespace) -> Path:
    """Return the folder that --workshop, PUTBACK_WORKSHOP or the user's data folder names."""
    named: str | None = getattr(args, "workshop", None)
    if named is not None and not named.strip():
        raise BadInput("--workshop names no folder.")
    named = named or os.environ.get("PUTBACK_WORKSHOP")
    if named:
        return path_from(named)
    from platformdirs import user_data_path

    return user_data_path("putback", appauthor=False) / "workshop"


def path_from(named: str) -> Path:
    """Return the path that a person named, `~` and all. Raises BadInput for a home that nobody has."""
    try:
        return Path(named).expanduser()
    except RuntimeError as fault:
        raise BadInput(f"{named}: there is no such home folder.") from fault


def open_workshop(args: argparse.Namespace, *, write: bool = False) -> Workshop:
    """Open the workshop of a command; what the store has to tell goes to standard error.

    Raises a StoreError, or BadInput where it is to be written and can only be read.
    """
    from putback.opening import open_at

    workshop = open_at(workshop_folder(args), read_only=not write, must_exist=not write)
    notes = workshop.store.notes
    if write and not workshop.store.writable:
        workshop.close()
        raise BadInput(f"{notes[-1]} Nothing was written.")
    for note in notes:
        say_error(note)
    return workshop


def chosen(args: argparse.Namespace, workshop: Workshop) -> Machine:
    """Return the machine that --machine names, or that of the last change."""
    return workshop.machine(getattr(args, "machine", ""))


# -- commands ----------------------------------------------------------------------------------------


def bench(args: argparse.Namespace) -> int:
    """Open the workbench screen."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInput("The workbench screen needs a terminal; see putback --help for what works without.")
    from putback.tui.app import run_bench

    return run_bench(workshop_folder(args), getattr(args, "machine", ""))


def demo(args: argparse.Namespace) -> int:
    """Open the demo on a throwaway copy, or play it where there is no terminal."""
    import tempfile

    from putback.demo import lay_out_demo, play_demo

    with tempfile.TemporaryDirectory(prefix="putback-demo-") as folder:
        if sys.stdin.isatty() and sys.stdout.isatty() and not wants_json(args):
            from putback.tui.app import run_bench

            lay_out_demo(Path(folder))
            return run_bench(Path(folder), "")
        played = play_demo(Path(folder))
        if wants_json(args):
            print_json(played.to_json())
        else:
            print_text(played.text)
    return 0


def size(args: argparse.Namespace) -> int:
    """Name a size from readings."""
    from putback.sizing.batch import answer_batch_line, answer_options, size_json
    from putback.sizing.explaining import explain

    names = ("gauge", "od", "pitch", "tpi", "length", "head", "origin", "unit", "pitch_by")
    options = {name: getattr(args, name) for name in names if getattr(args, name, None) is not None}
    if args.batch is not None:
        if options:
            raise BadInput("--batch takes its readings from the file; give no others beside it.")
        return _batch(args.batch, answer_batch_line)
    if wants_json(args):
        print_json(size_json(options))
    else:
        readings, answer = answer_options(options)
        print_text(explain(answer, readings))
    return 0


def _batch(name: str, answer: Callable[[dict[str, Any]], dict[str, Any]]) -> int:
    status = 0
    for line in read_text(path_from(name)).split("\n"):
        if not line.strip():
            continue
        try:
            told = answer(json.loads(line))
        except RecursionError:
            told = {"error": "This line is nested too deep."}
        except ValueError as fault:
            # A JSONDecodeError, or a number of so many digits that it cannot be read at all.
            told = {"error": f"This line is not JSON: {fault}."}
        if "error" in told:
            status = BAD_INPUT
        print_json(told, indent=None)
    if status:
        sys.stdout.flush()
        say_error(f"{name}: some lines could not be read; their answers say why.")
    return status


def read_text(path: Path) -> str:
    """Return a file's text. Raises BadInput where it is not there, too large, or no text."""
    try:
        if path.is_dir():
            raise BadInput(f"{path} is a folder, not a file.")
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as fault:
        raise BadInput(f"{path} cannot be read: {fault.strerror or fault}.") from fault
    if len(data) > LARGEST_FILE:
        raise BadInput(f"{path} is larger than {LARGEST_FILE // 1024 // 1024} MB.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise BadInput(f"{path} is not UTF-8 text (byte {fault.start}).") from fault


def replay(args: argparse.Namespace) -> int:
    """Play a session file into the workshop."""
    from putback.opening import local_now
    from putback.trade.machine import Machine
    from putback.trade.rehearsal import rehearse
    from putback.trade.session_file import read_session_file

    path = path_from(args.file)
    rehearsal = rehearse(read_session_file(read_text(path), path.name, now=local_now()))
    with open_workshop(args, write=True) as workshop:
        first = workshop.store.number
        machine = workshop.play(rehearsal, _Teller(sys.stderr if wants_json(args) else sys.stdout))
        last, caption = workshop.store.number, workshop.record.get(Machine, machine).caption
    if wants_json(args):
        print_json({"machine": caption, "changes": last - first, "last": last})
    return 0


class _Teller:
    """Tells each change once it is on disk. Where nobody listens any more, the playing goes on."""

    def __init__(self, stream: TextIO) -> None:
        self._stream: TextIO | None = stream

    def __call__(self, done: Done) -> None:
        if self._stream is not None:
            try:
                print(f"ok {done.number}", file=self._stream, flush=True)
            except BrokenPipeError:
                drop(self._stream)
                self._stream = None


def bag(args: argparse.Namespace) -> int:
    """Say what is in a bag."""
    from putback.codes.bag_code import read_code
    from putback.reports.bags import bag_card, card_text
    from putback.trade.bag import Bag

    with open_workshop(args) as workshop:
        code = read_code(args.code, [b.code for b in workshop.record.all(Bag)])
        card = bag_card(workshop.record, workshop.bag(code))
        if wants_json(args):
            print_json(card.to_json())
        else:
            print_text(card_text(card))
    return 0


def bags(args: argparse.Namespace) -> int:
    """Print the bag ledger."""
    from putback.reports.bags import bag_rows, ledger_text

    with open_workshop(args) as workshop:
        rows = bag_rows(workshop.record, chosen(args, workshop).id)
        if wants_json(args):
            print_json([{"code": r.code, "number": r.number, "state": r.state, "count": r.count} for r in rows])
        else:
            print_text(ledger_text(rows))
    return 0


def summary(args: argparse.Namespace) -> int:
    """Print the end-of-session summary."""
    from putback.reports.summary import session_numbered, summarise, summary_text

    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        session = session_numbered(workshop.record, machine, args.session)
        told = summarise(workshop.record, machine, session, now=workshop.now())
        if wants_json(args):
            print_json(told.to_json())
        else:
            print_text(summary_text(told))
    return 0


def refit(args: argparse.Namespace) -> int:
    """Print the refit plan."""
    from putback.opening import share_of
    from putback.reports.plan import plan_text
    from putback.reports.planning import refit_plan

    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        plan = refit_plan(
            workshop.record, machine.id, args.order, session_minutes=args.sessions, budget=share_of(PLAN_SECONDS)
        )
        if wants_json(args):
            print_json(plan.to_json())
        else:
            print_text(plan_text(workshop.record, machine.id, plan, caption=machine.caption))
    return 0


def reach(args: argparse.Namespace) -> int:
    """Print the least that must come off to reach a part."""
    from putback.reports.plan import reach_json, reach_text
    from putback.trade.refit import reach as least

    with open_workshop(args) as workshop:
        machine = chosen(args, workshop)
        found = least(workshop.record, machine.id, args.part, now=args.now)
        if wants_json(args):
            print_json(reach_json(found))
        else:
            print_text(reach_text(workshop.record, machine.id, found, part=args.part))
    return 0


def labels(args: argparse.Namespace) -> int:
    """Write labels as PDF and PNG."""
    from putback.codes.bag_labels import bag_labels, blank_labels
    from putback.opening import fresh_code

    pool = args.pool
    if pool is not None and not 1 <= pool <= 10_000:
        raise BadInput("--pool takes a number from 1 to 10000.")
    with open_workshop(args) as workshop:
        out = path_from(args.out) if args.out else workshop_folder(args) / "out"
        if pool is not None:
            paths = blank_labels(workshop.record, pool, out, fresh_code)
        else:
            paths = bag_labels(workshop.record, chosen(args, workshop), out)
    if wants_json(args):
        print_json([str(path) for path in paths])
    else:
        print_text("\n".join(str(path) for path in paths))
    return 0


def export(args: argparse.Namespace) -> int:
    """Print or write everything as JSON."""
    from putback.reports.export import export_json

    with open_workshop(args) as workshop:
        only = chosen(args, workshop).id if hasattr(args, "machine") else None
        value = export_json(workshop.record, changes=workshop.store.number, machine=only)
    if args.out is None:
        print_json(value)
        return 0
    path = path_from(args.out)
    try:
        path.write_text(json.dumps(value, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
    except OSError as fault:
        raise BadInput(f"{path} cannot be written: {fault.strerror or fault}.") from fault
    if wants_json(args):
        print_json({"file": str(path)})
    else:
        print_text(str(path))
    return 0


def check(args: argparse.Namespace) -> int:
    """Prove the store and the balance; exit 1 when something is wrong."""
    from putback.codes.bag_code import is_code
    from putback.reports.check import check_workshop

    proof = check_workshop(workshop_folder(args), is_code)
    if wants_json(args):
        print_json(proof.to_json())
    else:
        print_text(proof.text)
    return 0 if proof.ok else 1


if __name__ == "__main__":
    sys.exit(main())
