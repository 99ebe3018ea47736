"""`companion manual [PAGE]`: the manual, printed or as a man page."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator
from shutil import get_terminal_size

from companion.wording.manual_pages import ManualPage, manual_page, manual_pages


def arguments(parser: argparse.ArgumentParser) -> None:
    """[PAGE] [--man]."""
    parser.add_argument("page", metavar="PAGE", nargs="?", help="one page, such as drill")
    parser.add_argument("--man", action="store_true", help="print the manual as a man page (roff)")


def run(args: argparse.Namespace) -> int:
    """Print it; all of it goes through a pager if a person reads."""
    if args.man:
        print("\n".join(_man_page()))
        return 0
    pages = [manual_page(args.page)] if args.page else manual_pages()
    text = "\n\n".join("\n".join(_lines(page)) for page in pages)
    if len(pages) > 1 and sys.stdin.isatty() and sys.stdout.isatty():
        from pydoc import pager

        pager(text)
    else:
        print(text)
    return 0


def _lines(page: ManualPage) -> Iterator[str]:
    """A page in lines as wide as the terminal, its marks taken out."""
    from textwrap import wrap

    width = min(get_terminal_size().columns, 100)
    yield from (page.title, "")
    for line in page.text.replace("`", "").splitlines():
        begins = re.match(r"(- |\d+\. )?", line)
        indent = " " * len(begins[0]) if begins else ""
        options = {"subsequent_indent": indent, "break_on_hyphens": False}
        yield from wrap(line, width, **options) or [""]  # type: ignore[arg-type]


def _man_page() -> Iterator[str]:
    """Commands from the parser, then the pages (man(7): .TH, .SH, .TP, .PP, .IP)."""
    from importlib.metadata import version

    from companion.cli.main import COMMANDS, whole_parser

    yield f'.TH COMPANION 1 "" "companion {version("companion")}" "User Commands"'
    yield from (".SH NAME", r"companion \- a practice companion for chamber players")
    yield from (".SH SYNOPSIS", r".B companion", r"[\fIOPTIONS\fR] [\fICOMMAND\fR] \&...")
    yield from (".SH DESCRIPTION", _roff(whole_parser().description or ""))
    yield ".SH COMMANDS"
    for name, parser in _commands(whole_parser()):
        usage = " ".join(parser.format_usage().split()[1:])
        yield from (".TP", f".B {_roff(usage)}", _roff(f"{COMMANDS[name].capitalize()}."))
        for action in parser._actions:
            if action.help and action.option_strings and action.option_strings[0] != "-h":
                said = ", ".join(action.option_strings)
                yield from (".RS", ".TP", f".B {_roff(said)}", _roff(_help(action)), ".RE")
    for page in manual_pages():
        yield f'.SH "{_roff(page.title.upper())}"'
        for line in page.text.replace("`", "").splitlines():
            yield _in_roff(line)


def _commands(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from action.choices.items()


def _help(action: argparse.Action) -> str:
    return (action.help or "").replace("%%", "%")


def _in_roff(line: str) -> str:
    if not line:
        return ".PP"
    if begins := re.match(r"(-|\d+\.) ", line):
        return f'.IP "{_roff(begins[1])}" 3\n{_roff(line[begins.end() :])}'
    return _roff(line)


def _roff(text: str) -> str:
    """Text that says nothing to roff: no escape, no request at the start of a line, ASCII."""
    text = text.replace("\\", r"\e").replace("-", r"\-").replace('"', r"\(dq")
    text = "".join(sign if sign.isascii() else rf"\[u{ord(sign):04X}]" for sign in text)
    return rf"\&{text}" if text.startswith((".", "'")) else text
