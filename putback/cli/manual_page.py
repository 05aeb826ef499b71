"""The manual page, written from the parser: one source for what may be typed."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from putback.cli.arguments import Parser, commands_of
from putback.cli.exit_codes import EXIT_CODES


def manual_page(top: Parser, version: str) -> str:
    """Return the page of section 1 in the `man` macros of roff."""
    lines = [f'.TH PUTBACK 1 "" "putback {_plain(version)}"', ".SH NAME", r"putback \- take old machines apart and put"]
    lines[-1] += " them back, complete and in the right order"
    lines += [".SH SYNOPSIS", r".B putback", "[\\fICOMMAND\\fR] [\\fIoptions\\fR]"]
    lines += [".SH DESCRIPTION", _plain(top.description or ""), ".SH COMMON OPTIONS", *_options(top, common=True)]
    commands = commands_of(top)
    for group, names in top.groups.items():
        lines.append(f".SH {_plain(group.upper())}")
        for name in names:
            sub = commands[name]
            lines += [f".SS putback {_plain(_synopsis(sub, name))}", _plain(_sentence(sub.description or ""))]
            lines += _options(sub, common=False)
            lines += [".PP", "Examples:"] if sub.examples else []
            for example in sub.examples:
                lines += [".PP", ".nf", f".RS\n{_plain(example)}", ".RE", ".fi"]
    lines.append(".SH EXIT STATUS")
    for code, words in EXIT_CODES.items():
        lines += [".TP", f".B {code}", _plain(words)]
    lines += [".SH ENVIRONMENT", ".TP", ".B PUTBACK_WORKSHOP", "the workshop folder, where --workshop names none"]
    lines += [".TP", ".B NO_COLOR", "no colours on the screen"]
    return "\n".join(lines)


def _synopsis(sub: Parser, name: str) -> str:
    words = [str(action.metavar or action.dest.upper()) for action in sub.own_actions() if not action.option_strings]
    return " ".join([name, *words])


def _options(parser: Parser, *, common: bool) -> Iterator[str]:
    for action in parser.common_actions() if common else parser.own_actions():
        if action.help == argparse.SUPPRESS or isinstance(action, argparse._SubParsersAction):
            continue
        takes = "" if action.nargs == 0 else f" \\fI{_plain(str(action.metavar or action.dest.upper()))}\\fR"
        names = ", ".join(f"\\fB{_plain(option)}\\fR" for option in action.option_strings) + takes
        yield ".TP"
        yield names.strip()
        yield _plain(_sentence((action.help or "").replace("%%", "%")))


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", ":")) or not text else ".")


def _plain(text: str) -> str:
    """Text with what roff takes for its own made harmless."""
    safe = text.replace("\\", "\\e").replace("-", "\\-")
    return "\n".join(f"\\&{line}" if line.startswith((".", "'")) else line for line in safe.splitlines())
