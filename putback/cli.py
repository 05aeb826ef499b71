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
    from putback.trade.bag import Bag
    from putback.trade.machine import Machine
    from putback.trade.rehearsal import Rehearsal
    from putback.tui.keymap import Keymap
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
        ("gauge-by", "how the name was taken: plate or eye"),
        ("od-by", "how the diameter was: caliper, rule or eye"),
        ("pitch-by", "how the pitch was: leaf, ten, rule or eye"),
        ("length-by", "how the length was: caliper, rule or eye"),
        ("slot", "width of the slot, as measured: .050"),
        ("across", "diameter of the head, as measured"),
        ("have", "instruments at hand, with commas: caliper, pitch gauge, rule, nuts; or none"),
    ):
        size_.add_argument(f"--{option}", metavar=option[0].upper(), help=told)
    size_.add_argument("--batch", metavar="FILE", help="one JSON object of readings a line")

    replay_ = command("replay", replay, "play a session file into the workshop")
    replay_.add_argument("file", metavar="FILE")
    replay_.add_argument("--keys", action="store_true", help="as keystrokes through the screen; report the strokes")

    bag_ = command("bag", bag, "what is in a bag and which steps it belongs to")
    bag_.add_argument("code", metavar="CODE", nargs="?")
    bag_.add_argument("--image", metavar="FILE", help="a picture of its label, or a folder of pictures")
    bag_.add_argument("--label", action="store_true", help="show its label in the terminal")
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

    command("todo", todo, "to mend, make, order and clean; soaks; what has to be got")

    command("alike", alike, "which fasteners interchange and which only look alike")

    photos_ = command("photos", photos, "pair a folder of camera files with steps, and file them")
    photos_.add_argument("folder", metavar="DIR")
    photos_.add_argument("--clock", metavar="FILE", help="a photo of the clock code (Z at the bench)")
    photos_.add_argument("--codes", action="store_true", help="look for codes in every picture; takes its time")

    book_ = command("book", book, "the machine's book, as HTML, PDF or Markdown by the file's ending")
    book_.add_argument("--out", metavar="FILE", help="else an HTML file in the workshop's out/")
    book_.add_argument("--paper", metavar="NAME", default="A4", help="A4 or Letter, for PDF")

    labels_ = command("labels", labels, "labels of all bags, or blank ones, as PDF and PNG")
    sort_ = labels_.add_mutually_exclusive_group()
    sort_.add_argument("--pool", type=int, metavar="N", help="N blank labels")
    sort_.add_argument("--bag", type=int, metavar="N", action="append", help="only bag N; may be given again")
    sort_.add_argument("--tags", action="store_true", help="hang-tags for parts in no bag and for what is half done")
    sort_.add_argument("--boxes", action="store_true", help="labels for the boxes, with the bags that lie in them")
    sort_.add_argument("--commands", action="store_true", help="the command sheet: strokes of the bench to scan")
    for option, metavar, told in (
        ("paper", "NAME", "the sheet, as A4, Letter, “A4 3x7”"),
        ("label", "WxH", "on plain paper: one label's width and height, as 63.5x38.1 (mm) or 2x1in"),
        ("grid", "CxR", "with --label: columns and rows of a cut sheet, as 3x7"),
        ("edge", "LxT", "with --grid: from the paper's left and top edge to the first label"),
        ("step", "AxD", "with --grid: from one label to the next"),
    ):
        labels_.add_argument(f"--{option}", metavar=metavar, default="", help=told)
    labels_.add_argument("--start", type=int, default=1, metavar="N", help="the first free label of the sheet")
    labels_.add_argument("--dpi", type=int, metavar="N", help="the printer's dots to the inch, else 300")
    labels_.add_argument("--module", type=float, metavar="MM", help="the least module of a square, in mm, else 0.33")
    labels_.add_argument("--code-alone", action="store_true", help="no summary in the squares: larger modules")
    labels_.add_argument("--out", metavar="DIR", help="else the workshop's out/")

    command("keys", keys, "the commands of the screen, with their keys as the settings have them")

    log_ = command("log", log, "the logbook: who did what when, newest last")
    log_.add_argument("--last", type=int, metavar="N", help="only the last N changes")

    export_ = command("export", export, "the whole record as JSON, or as CSV for spreadsheets")
    export_.add_argument("--out", metavar="FILE", help="else standard output; in a folder: a file with the date")
    export_.add_argument("--csv", metavar="DIR", help="one CSV file a table into this folder")

    import_ = command("import", take_in, "take in machines that putback export wrote, all or nothing")
    import_.add_argument("file", metavar="FILE")

    check_ = command("check", check, "prove every line, every reference and the balance")
    check_.add_argument("--mend", metavar="DIR", help="write what can be saved into a new workshop")
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


def open_workshop(args: argparse.Namespace, *, write: bool = False, make: bool = True) -> Workshop:
    """Open the workshop of a command; what the store has to tell goes to standard error.

    Raises a StoreError, or BadInput where it is to be written and can only be read.
    """
    from putback.opening import open_at

    workshop = open_at(workshop_folder(args), read_only=not write, must_exist=not (write and make))
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
    from putback.sizing.batch import OPTIONS, answer_batch_line, answer_options, size_json
    from putback.sizing.explaining import explain

    names = tuple(name.replace("-", "_") for name in OPTIONS)
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
        teller = _Teller(sys.stderr if wants_json(args) else sys.stdout)
        if args.keys:
            return _replay_keys(args, workshop, rehearsal, teller)
        machine = workshop.play(rehearsal, teller)
        last, caption = workshop.store.number, workshop.record.get(Machine, machine).caption
    if wants_json(args):
        print_json({"machine": caption, "changes": last - first, "last": last})
    return 0


def _replay_keys(args: argparse.Namespace, workshop: Workshop, rehearsal: Rehearsal, teller: _Teller) -> int:
    from putback.tui.key_player import play_keys

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
                print(f"ok {done.number}", file=self._stream, flush=True)
            except BrokenPipeError:
                drop(self._stream)
                self._stream = None


def bag(args: argparse.Namespace) -> int:
    """Say what is in a bag."""
    from putback.codes.bag_code import read_code
    from putback.reports.bags import bag_card, card_text
    from putback.trade.bag import Bag

    if (args.code is None) == (args.image is None):
        raise BadInput("the following arguments are required: CODE or --image FILE (see putback bag --help)")
    picture = path_from(args.image) if args.image is not None else None
    if picture is not None and picture.is_dir():
        return _bags_in(picture, args)
    with open_workshop(args) as workshop:
        if picture is not None:
            from putback.codes.pictures import code_in

            code = code_in(picture)
        else:
            code = read_code(args.code, [b.code for b in workshop.record.all(Bag)])
        found = workshop.bag(code, getattr(args, "machine", ""))
        card = bag_card(workshop.record, found)
        if args.label and not wants_json(args):
            _show_label(workshop, found)
            return 0
        if wants_json(args):
            print_json(card.to_json())
        else:
            print_text(card_text(card))
    return 0


def _show_label(workshop: Workshop, found: Bag) -> None:
    """Print a bag's label: in colour where the terminal may have it, in ASCII where it has no blocks."""
    from putback.codes.bag_labels import label_facts
    from putback.codes.terminal import terminal_label

    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
    ascii_only = shown("█", sys.stdout) != "█"
    width = shutil.get_terminal_size().columns
    for line in terminal_label(label_facts(workshop.record, found), width, colour=colour, ascii_only=ascii_only):
        # Our own colours are the only controls that may pass; the words are cleaned of any.
        pieces = line.split("\x1b")
        print(*(shown(piece, sys.stdout) for piece in pieces), sep="\x1b")


def _bags_in(folder: Path, args: argparse.Namespace) -> int:
    """Say which bags the pictures of a folder show."""
    from putback.codes.bag_pictures import bags_in_folder, told_text

    with open_workshop(args) as workshop:
        rows = bags_in_folder(workshop.record, folder)
    if wants_json(args):
        print_json([row.to_json() for row in rows])
    else:
        print_text(told_text(rows, folder))
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


def todo(args: argparse.Namespace) -> int:
    """Print what is left to do."""
    from putback.reports.todo import to_do, todo_text

    with open_workshop(args) as workshop:
        found = to_do(workshop.record, chosen(args, workshop), now=workshop.now())
        if wants_json(args):
            print_json(found.to_json())
        else:
            print_text(todo_text(found))
    return 0


def alike(args: argparse.Namespace) -> int:
    """Print which fasteners interchange and which only look alike."""
    from putback.reports.alike import alike as compare
    from putback.reports.alike import alike_text

    with open_workshop(args) as workshop:
        found = compare(workshop.record, chosen(args, workshop))
        if wants_json(args):
            print_json(found.to_json())
        else:
            print_text(alike_text(found))
    return 0


def photos(args: argparse.Namespace) -> int:
    """Pair a folder of camera files with steps, and file them."""
    from putback.codes.photo_filing import file_folder
    from putback.opening import LocalZone

    with open_workshop(args, write=True, make=False) as workshop:
        machines = [chosen(args, workshop)] if getattr(args, "machine", "") else workshop.machines()
        if not machines:
            raise BadInput("There is no machine in this workshop yet.")
        clock = path_from(args.clock) if args.clock is not None else None
        into = workshop_folder(args) / "photos"
        filing = file_folder(
            workshop, path_from(args.folder), machines, into, LocalZone(), clock=clock, codes=args.codes
        )
    if wants_json(args):
        print_json(filing.to_json())
    else:
        print_text(filing.text)
    return 0


def labels(args: argparse.Namespace) -> int:
    """Write labels as PDF and PNG."""
    from putback.codes.bag_labels import Printed, bag_labels, blank_labels
    from putback.codes.press import DOTS, LEAST_MODULE, Press
    from putback.codes.sheets import read_sheet
    from putback.opening import fresh_code
    from putback.settings import settings_in

    pool = args.pool
    if pool is not None and not 1 <= pool <= 10_000:
        raise BadInput("--pool takes a number from 1 to 10000.")
    said = settings_in(workshop_folder(args))[0].labels
    on = read_sheet(args.paper or said.paper or "A4", label=args.label, rows=args.grid, edge=args.edge, step=args.step)
    press = Press(
        dpi=args.dpi if args.dpi is not None else said.dots or DOTS,
        least_module=args.module if args.module is not None else said.least_module or LEAST_MODULE,
        inches=on.paper == "Letter",
    )  # fmt: skip
    with open_workshop(args) as workshop:
        out = path_from(args.out) if args.out else workshop_folder(args) / "out"
        if pool is not None:
            printed = blank_labels(workshop.record, pool, out, fresh_code, on, press, start=args.start)
        elif args.tags or args.boxes:
            from putback.codes.labels import write_box_labels, write_tags
            from putback.codes.tag_facts import box_facts, tag_facts

            record, machine = workshop.record, chosen(args, workshop)
            if args.tags:
                paths = write_tags(tag_facts(record, machine), out, paper=on, press=press, start=args.start)
            else:
                paths = write_box_labels(box_facts(record, machine), out, paper=on, press=press, start=args.start)
            printed = Printed(tuple(paths))
        elif args.commands:
            from putback.codes.labels import write_command_sheet
            from putback.tui.strokes import STROKES

            strokes = [stroke.facts(_keymap(args)) for stroke in STROKES]
            printed = Printed((write_command_sheet(strokes, out, paper=on.paper, press=press),))
        else:
            printed = bag_labels(
                workshop.record, chosen(args, workshop), out, on, press,
                only=args.bag or (), start=args.start, full=not args.code_alone,
            )  # fmt: skip
    for note in printed.notes:
        say_error(note)
    if wants_json(args):
        print_json([str(path) for path in printed.paths])
    else:
        print_text("\n".join(str(path) for path in printed.paths))
    return 0


def book(args: argparse.Namespace) -> int:
    """Write the machine's book."""
    from putback import binding

    return binding.book(args)


def _keymap(args: argparse.Namespace) -> Keymap:
    from putback.settings import settings_in
    from putback.tui.keymap import keymap_of

    settings, odd = settings_in(workshop_folder(args))
    keymap, odd_keys = keymap_of(settings)
    for found in (*odd, *odd_keys):
        say_error(found.told)
    return keymap


def keys(args: argparse.Namespace) -> int:
    """Print every command of the screen with its keys, as the settings have them."""
    from putback.tui.keys_told import keys_json, keys_text

    keymap = _keymap(args)
    if wants_json(args):
        print_json(keys_json(keymap))
    else:
        print_text(keys_text(keymap))
    return 0


def log(args: argparse.Namespace) -> int:
    """Print the logbook."""
    from putback import keeping

    return keeping.log(args)


def export(args: argparse.Namespace) -> int:
    """Print or write the record as JSON or CSV."""
    from putback import keeping

    return keeping.export(args)


def take_in(args: argparse.Namespace) -> int:
    """Take machines of an exported record in."""
    from putback import keeping

    return keeping.take_in(args)


def check(args: argparse.Namespace) -> int:
    """Prove the workshop, or mend it into a new folder."""
    from putback import keeping

    return keeping.check(args)


if __name__ == "__main__":
    sys.exit(main())
