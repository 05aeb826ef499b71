"""What may stand on a command line. A command names its module and function, which load when it runs."""

from __future__ import annotations

import argparse
from difflib import get_close_matches
from typing import Any, NoReturn

from putback import __version__
from putback.cli.command_table import COMMANDS
from putback.cli.exit_codes import EXIT_CODES
from putback.errors import BadInput

COMMON = "common options"
"""The group of what every command takes; told once, by `putback --help`."""


class Parser(argparse.ArgumentParser):
    """A parser whose errors are one sentence, like everybody else's, and whose help tells common options once."""

    groups: dict[str, list[str]]
    """The commands by groups, of the parser of the whole line; empty for a command's own."""
    examples: tuple[str, ...]
    """Lines that can be typed as they stand."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.groups, self.examples = {}, ()

    def error(self, message: str) -> NoReturn:
        wrong = next((word for word in message.split() if message.startswith("unrecognized") and word[:2] == "--"), "")
        near = get_close_matches(wrong.partition("=")[0], _options_of(self), 1) if wrong else []
        meant = f"; did you mean {near[0]}?" if near else ""
        raise BadInput(f"{message}{meant} (see {self.prog} --help)")

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        """Refuse a command that is not there with the nearest ones; other choices as usual."""
        known = list(action.choices or ())
        if isinstance(action, argparse._SubParsersAction) and value not in known:
            near = get_close_matches(str(value), known, 3, 0.5)
            meant = f"; did you mean {' or '.join(near)}?" if near else ""
            self.error(f"there is no command {value}{meant}")
        super()._check_value(action, value)

    def common_actions(self) -> list[argparse.Action]:
        """What every command takes."""
        return [action for group in self._action_groups if group.title == COMMON for action in group._group_actions]

    def own_actions(self) -> list[argparse.Action]:
        """What only this one takes."""
        common = self.common_actions()
        return [action for action in self._actions if action not in common]

    def format_help(self) -> str:
        """Return the help: usage, what it does, what it takes, examples; of the whole line commands in groups."""
        form = self._get_formatter()
        if self.groups:
            form.add_text(f"usage: {self.prog} [COMMAND] [options]")
        else:
            form.add_usage(self.usage, self.own_actions(), self._mutually_exclusive_groups)
        form.add_text(self.description)
        commands = commands_of(self)
        for title, names in self.groups.items():
            form.start_section(title)
            form.add_arguments([_Told(name, commands[name].description or "") for name in names])
            form.end_section()
        for group in self._action_groups:
            shown = [action for action in group._group_actions if not isinstance(action, argparse._SubParsersAction)]
            if shown and (self.groups or group.title != COMMON):
                form.start_section(group.title)
                form.add_arguments(shown)
                form.end_section()
        text = form.format_help()
        if self.examples:
            text += "\nexamples:\n" + "".join(f"  {line}\n" for line in self.examples)
        if self.groups:
            text += "\nexit status:\n" + "".join(f"  {code:<4} {words}\n" for code, words in EXIT_CODES.items())
            return text + "\nputback COMMAND --help has more of each, with examples; putback manual is all of it.\n"
        return text + "\nEvery command takes --workshop, --machine, --json and --plain: see putback --help.\n"


class _Told(argparse.Action):
    """A command as a line of the help."""

    def __init__(self, name: str, about: str) -> None:
        super().__init__([], name, metavar=name, help=about)

    def __call__(self, *_: object) -> None:
        """Nothing is typed for it."""


def commands_of(top: argparse.ArgumentParser) -> dict[str, Parser]:
    """Return the parsers of the commands, by name; none for a command's own parser."""
    found = [action for action in top._actions if isinstance(action, argparse._SubParsersAction)]
    return dict(found[0].choices) if found else {}


def _options_of(top: argparse.ArgumentParser) -> list[str]:
    parsers = [top, *commands_of(top).values()]
    return sorted({option for one in parsers for action in one._actions for option in action.option_strings})


def parser() -> Parser:
    """Return the parser of the whole command line. What it reads has the command's function as text in `runs`."""
    shared = Parser(add_help=False, argument_default=argparse.SUPPRESS)
    common = shared.add_argument_group(COMMON)
    common.add_argument(
        "--workshop", metavar="DIR", help="the workshop folder; without it the one that PUTBACK_WORKSHOP names"
    )
    common.add_argument("--machine", metavar="NAME", help="the machine, by name or serial")
    common.add_argument("--json", action="store_true", help="print one JSON value")
    common.add_argument("--plain", action="store_true", help="words alone, a fact a line, for a screen reader")

    top = Parser(
        prog="putback",
        parents=[shared],
        allow_abbrev=False,
        description="What is taken apart here goes back together, complete and in the right order. "
        "Without a command: the workbench screen.",
    )
    top.set_defaults(runs="workbench.bench")
    top.add_argument("--version", action="version", version=f"putback {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", parser_class=Parser)

    of: dict[str, Parser] = {}
    for name, row in COMMANDS.items():
        of[name] = commands.add_parser(
            name, parents=[shared], help=row.about, description=row.about, allow_abbrev=False
        )
        of[name].set_defaults(runs=row.runs)
        of[name].examples = row.examples

    size_ = of["size"]
    for option, about in (
        ("gauge", "text off a gauge plate: 832, 2ba, m5"),
        ("od", "diameter over the crests: .164, 3.42mm"),
        ("pitch", "pitch: 0.7"),
        ("tpi", "threads to the inch: 32"),
        ("length", "length: .372, 3/8"),
        ("head", "head: fillister, countersunk, headless"),
        ("origin", "us, uk, metric or unknown"),
        ("unit", "unit of bare numbers: in or mm"),
        ("gauge-by", "how that was read: plate or eye"),
        ("od-by", "how the diameter was read: caliper, rule or eye"),
        ("pitch-by", "how the pitch was read: leaf, ten, rule or eye"),
        ("length-by", "how the length was read: caliper, rule or eye"),
        ("flank", "angle of the flanks against the light: 60, 55, 47.5"),
        ("nut", "a nut of known size that runs on it: 1/4 bsw; one that does not: not 1/4 20"),
        ("slot", "width of the slot, as measured: .050"),
        ("across", "diameter of the head, as measured"),
        (
            "kind",
            "screw (without it), nut, washer, taper pin, wood screw, key, spring, ...",
        ),
        ("drive", "slot, cross, hex socket, ..."),
        ("hand", "left, for a left-hand thread"),
        ("thick", "thickness of a washer, shim or ring; height of a nut"),
        ("bore", "inner diameter of a washer, spacer or ring"),
        ("groove", "diameter at the bottom of a retaining ring's groove"),
        ("wire", "wire of a spring, spring clip or split pin: .031, 14 swg"),
        ("coils", "coils of a spring, counted: 9 1/2"),
        ("width", "width of a key; across the flats of a nut or hexagon head"),
        ("shoulder", "a shoulder screw's shoulder: .312 x .375"),
        ("small-end", "the side a taper pin's small end is on"),
        ("country", "country it was made in: Germany, Japan, UK, US"),
        ("decade", "when it was made: 1920s, 1923, before 1925"),
        ("trade", "its trade: typewriter, clock, sewing machine, camera, radio, cycle, electrical"),
        (
            "have",
            "instruments at hand, with commas: gauge plate (any), or plate unc/unf, plate metric, plate ba,"
            " plate bsw/bsf; pitch gauge (any leaves), or leaves inch, leaves metric; caliper, depth rod, rule,"
            " flank gauge, nuts; or none",
        ),
    ):
        size_.add_argument(f"--{option}", metavar=option[0].upper(), help=about)
    size_.add_argument("--batch", metavar="FILE", help="one JSON object of readings a line")

    replay_ = of["replay"]
    replay_.add_argument("file", metavar="FILE")
    replay_.add_argument("--keys", action="store_true", help="as keystrokes through the screen; report the strokes")

    bag_ = of["bag"]
    bag_.add_argument("code", metavar="BAG", nargs="*", help="3, its code, or the line that its label scans as")
    bag_.add_argument("--image", metavar="FILE", help="a picture of its label, or a folder of pictures")
    bag_.add_argument("--label", action="store_true", help="show its label in the terminal")
    bags_ = of["bags"]
    bags_.add_argument("--sheet", action="store_true", help="boxes and bags of all machines as PDF, for the cupboard")

    card_ = of["card"]
    words = "step 12; step 12 hole 3 (or 3 right); a name; a size; bag 4"
    card_.add_argument("words", metavar="WORDS", nargs="+", help=words)
    where_ = of["where"]
    where_.add_argument("words", metavar="THING", nargs="+", help="a name, a size, a step, a bag")

    summary_ = of["summary"]
    summary_.add_argument(
        "--session", type=int, default=0, metavar="N", help="the session's number; without it the last one"
    )

    refit_ = of["refit"]
    orders = "reverse, fewest-bags, fewest-tools or fewest-turns"
    refit_.add_argument("--order", default="reverse", metavar="O", help=orders)
    refit_.add_argument("--sessions", type=float, metavar="MINUTES", help="cut into the fewest sessions of that length")
    refit_.add_argument(
        "--graph", metavar="FORM", choices=("dot", "mermaid"), help="what needs what, as a graph: dot or mermaid"
    )
    refit_.add_argument("--next", action="store_true", help="only the step to go on with, as its card")

    reach_ = of["reach"]
    reach_.add_argument("part", metavar="PART", nargs="+")
    reach_.add_argument("--now", action="store_true", help="leave out what is off already")

    todo_ = of["todo"]
    todo_.add_argument("--get", action="store_true", help="only the list of what to get, as a shop reads it")
    todo_.add_argument("--csv", action="store_true", help="that list as CSV")
    todo_.add_argument("--sheet", action="store_true", help="that list as PDF, with boxes to tick")
    todo_.add_argument("--make-sheet", action="store_true", help="a page for each thing to be made, as PDF")
    todo_.add_argument("--out", metavar="DIR", help="the folder for the PDF; without it the workshop's out/")
    sent_ = of["sent"]
    sent_.add_argument("--list", action="store_true", help="as lists to go in the parcels")
    sent_.add_argument("--sheet", action="store_true", help="those lists as PDF, with photos and boxes to tick")
    sent_.add_argument("--out", metavar="DIR", help="the folder for the PDF; without it the workshop's out/")

    photos_ = of["photos"]
    photos_.add_argument("folder", metavar="DIR")
    photos_.add_argument("--clock", metavar="FILE", help="a photo of the clock code (Z at the bench)")
    photos_.add_argument("--codes", action="store_true", help="look for codes in every picture; this is slow")

    book_ = of["book"]
    book_.add_argument(
        "--out", metavar="FILE", help="the file to write; without it an HTML file in the workshop's out/"
    )
    book_.add_argument("--last-page", action="store_true", help="only the last page: every hole, jobs, first checks")
    book_.add_argument("--order", default="reverse", metavar="O", help=f"of the way back: {orders}")
    book_.add_argument(
        "--sessions", type=float, metavar="MINUTES", help="the way back cut into sessions of that length"
    )
    book_.add_argument("--paper", metavar="NAME", default="A4", help="A4 or Letter, for PDF")
    book_.add_argument(
        "--photos",
        default="small",
        choices=("small", "large", "none"),
        help="small, large or none",
    )

    labels_ = of["labels"]
    sort_ = labels_.add_mutually_exclusive_group()
    sort_.add_argument("--pool", type=int, metavar="N", help="N blank labels")
    sort_.add_argument("--bag", type=int, metavar="N", action="append", help="only bag N; may be given again")
    sort_.add_argument(
        "--changed",
        action="store_true",
        help="only bags whose label is not printed yet, or would say something else by now",
    )
    sort_.add_argument("--tags", action="store_true", help="hang-tags for parts in no bag and for what is half done")
    sort_.add_argument("--boxes", action="store_true", help="labels for the boxes, with the bags that lie in them")
    sort_.add_argument("--commands", action="store_true", help="the command sheet: strokes of the bench to scan")
    for option, metavar, about in (
        ("paper", "NAME", "the sheet, as A4, Letter, “A4 3x7”, “roll 62x29”, “tape 12”"),
        ("label", "WxH", "on plain paper: one label's width and height, as 63.5x38.1 (mm) or 2x1in; “40 round”"),
        ("grid", "CxR", "with --label: columns and rows of a cut sheet, as 3x7"),
        ("edge", "LxT", "with --grid: from the paper's left and top edge to the first label"),
        ("step", "AxD", "with --grid: from one label to the next"),
    ):
        labels_.add_argument(f"--{option}", metavar=metavar, default="", help=about)
    labels_.add_argument("--start", type=int, default=1, metavar="N", help="the first free label of the sheet")
    labels_.add_argument("--dpi", type=int, metavar="N", help="the printer's dots to the inch; without it 300")
    labels_.add_argument(
        "--module", type=float, metavar="MM", help="the smallest module of a QR code, in mm; without it 0.33"
    )
    labels_.add_argument(
        "--code-alone",
        action="store_true",
        help="only the code in the QR code and no summary, so that its modules are larger",
    )
    labels_.add_argument("--out", metavar="DIR", help="the folder to write to; without it the workshop's out/")

    log_ = of["log"]
    log_.add_argument("--last", type=int, metavar="N", help="only the last N changes")

    export_ = of["export"]
    export_.add_argument(
        "--out",
        metavar="FILE",
        help="the file to write, or a folder for a file named after the date; without it standard output",
    )
    export_.add_argument("--csv", metavar="DIR", help="a CSV file for each table, and fasteners.csv, into this folder")
    export_.add_argument(
        "--session-file", nargs="?", const="", metavar="FILE", help="one machine as a session file, to be played again"
    )
    export_.add_argument(
        "--schema",
        nargs="?",
        const="export",
        metavar="COMMAND",
        help="the form as JSON Schema, and no record: of the export, of session-file, or of what COMMAND answers",
    )

    import_ = of["import"]
    import_.add_argument("file", metavar="FILE")

    backup_ = of["backup"]
    backup_.add_argument("into", metavar="DIR", help="a new or an empty folder")

    check_ = of["check"]
    check_.add_argument("--mend", metavar="DIR", help="write what can be saved into a new workshop")
    check_.add_argument(
        "--join",
        metavar="OTHER",
        help="with --mend: make one workshop of this one and another copy of it that went its own way",
    )
    settings_ = of["settings"]
    settings_.add_argument(
        "--template", action="store_true", help="a settings file to begin with, every setting at its default"
    )
    completion_ = of["completion"]
    completion_.add_argument("shell", metavar="SHELL", choices=("bash", "zsh", "fish"), help="bash, zsh or fish")
    for name, row in COMMANDS.items():
        top.groups.setdefault(row.group, []).append(name)
    return top
