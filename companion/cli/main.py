"""`companion`: finds the command and hands over.

Only the command that was asked for is imported, so that `companion --help` answers at
once. Whatever a person can meet ends as one sentence on standard error and an exit
status: 0 done, 1 the input cannot serve, 2 the command line is wrong.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING, NoReturn, Protocol, cast

from companion.cli.output import OutputNotTaken, print_nothing_more
from companion.cli.shared_options import PLACES, ask_places, ask_plain
from companion.errors import CompanionError, RequestError, in_brief

if TYPE_CHECKING:
    from companion.files.folders import Folders

COMMANDS = {
    "demo": "open the built-in quartet in the app",
    "open": "open a score in the app",
    "map": "show bars, meters and conflicts of a score",
    "study": "explain a score to one player: conflicts, with whom, and why",
    "settle": "choose your part, and what stays at a change of meter",
    "part": "write out one player's part as MusicXML, MIDI, PDF or SVG",
    "handout": "write a web page with notes, counts and click",
    "click": "write a click for a passage as WAV, FLAC or MIDI",
    "beat": "play a click without a score: a meter, groups or a ratio",
    "listen": "judge a recording of a passage against the page",
    "sound": "choose the sound device and its latency, and test it",
    "today": "plan today's practice for the minutes you have",
    "goal": "set a goal tempo and a date for a passage; alone, list the goals",
    "habits": "show and set session length, tempo steps and rests",
    "progress": "show what holds, why, and the minutes practised",
    "carry": "move your passages to a corrected edition of a score",
    "log": "show what you practised; add, correct, export, import",
    "timer": "time practice without a score: start, stop, status",
    "exercise": "write, check, send, open and make exercises",
    "report": "write a report for your teacher",
    "manual": "read the manual, a page or all of it",
    "completions": "complete commands in bash, zsh or fish",
    "collect": "make a class table from students' reports",
    "library": "index a folder of scores and search it",
    "doctor": "check sound, MIDI, folders and the log, and say what to do",
}
"""Every command with what it does; the module of the same name in this folder does it."""


_FREE_WORDS = ("part", "note", "name", "what")
"""Options that can be any text."""


class Command(Protocol):
    """What a command's module offers."""

    def arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare the command's own arguments."""

    def run(self, args: argparse.Namespace) -> int:
        """Do it; the exit status."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line. Returns the exit status."""
    try:
        status = _done(list(sys.argv[1:] if argv is None else argv))
        sys.stdout.flush()
        return status
    except CompanionError as problem:
        if isinstance(problem, OutputNotTaken):
            print_nothing_more()
        with suppress(CompanionError, OSError):
            print(f"companion: {problem.sentence()}", file=sys.stderr)
        return problem.exit_status
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        print_nothing_more()
        return 0


def _done(words: list[str]) -> int:
    """The exit status of a command line."""
    try:
        parser, args = _understood(words)
    except SystemExit:  # the help or the version was asked for; whether they arrived counts too
        sys.stdout.flush()
        raise
    if args.command is None:
        parser.print_help()
        return 0
    _refuse_nameless(args)
    _refuse_bytes(args)
    return _load(args.command).run(args)


def folders_of_words(words: Sequence[str]) -> Folders:
    """The folders a command line names, whatever else is wrong with it. Raises CompanionError."""
    from companion.files.folders import folders
    from companion.files.score_paths import as_path

    places = argparse.ArgumentParser(add_help=False, allow_abbrev=False, exit_on_error=False)
    ask_places(places, None)
    try:
        named, _ = places.parse_known_args(words)
    except argparse.ArgumentError:
        named = argparse.Namespace(data_dir=None, player=None)
    return folders(as_path(named.data_dir) if named.data_dir else None, named.player)


def _understood(words: list[str]) -> tuple[argparse.ArgumentParser, argparse.Namespace]:
    """The parser and what it makes of the words; without a command they mean `open`."""
    chosen = _chosen(words)
    is_terminal = sys.stdin.isatty() and sys.stdout.isatty()
    if chosen is None and ("--plain" in words or (is_terminal and _say_only_where(words))):
        words, chosen = [*words, "open"], "open"
    parser = _parser(chosen)
    return parser, parser.parse_args(words)


def _refuse_nameless(args: argparse.Namespace) -> None:
    """An empty `--part` is a slip, as of a script's variable, and never means every part."""
    part = getattr(args, "part", None)
    if isinstance(part, str) and not part.strip():
        raise RequestError(
            "no part is named", next="Write its name, a beginning of it, or its number from 1."
        )


def _refuse_bytes(args: argparse.Namespace) -> None:
    """Bytes that are no text can be the name of a file, and nothing else."""
    for word in (getattr(args, name, None) for name in _FREE_WORDS):
        if isinstance(word, str):
            try:
                word.encode()
            except UnicodeEncodeError:
                told = word.encode("ascii", "backslashreplace").decode()
                raise RequestError(f"“{told}” is no text", next="Type it anew.") from None


def _chosen(words: list[str]) -> str | None:
    """The command among the words, not to be confused with a folder or player of that name."""
    for before, word in zip(["", *words], words, strict=False):
        if word in COMMANDS and before not in PLACES:
            return word
    return None


def _say_only_where(words: list[str]) -> bool:
    """Whether they are no more than a folder or a player, or nothing."""
    if words and words[-1] in PLACES:
        return False  # its value is missing, as will be told
    return all(
        word.partition("=")[0] in PLACES or before in PLACES
        for before, word in zip(["", *words], words, strict=False)
    )


def _load(name: str) -> Command:
    return cast(Command, import_module(f"companion.cli.{name}_command"))


def whole_parser() -> argparse.ArgumentParser:
    """Every command with its options, as completions and the man page need them."""
    return _parser(*COMMANDS)


def _parser(*chosen: str | None) -> argparse.ArgumentParser:
    """With the options of the chosen commands; their names alone where none is."""
    parser = _Parser(
        prog="companion",
        description="A practice companion for chamber players: every part of a score on one "
        "shared clock, the bars where parts conflict, and a click to practise them.",
        epilog="Without a command, the app opens. For help on a command: companion map --help",
    )
    parser.add_argument("--version", action=_Version)
    ask_places(parser, None)
    ask_plain(parser, False)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    # Twenty parsers take longer to build than a small score to read: only the one that counts.
    named = [one for one in chosen if one is not None]
    for name in named or COMMANDS:
        does = COMMANDS[name]
        sub = commands.add_parser(name, help=does, description=does[0].upper() + does[1:] + ".")
        if name in named:
            ask_places(sub, argparse.SUPPRESS)
            _load(name).arguments(sub)
    return parser


class _Parser(argparse.ArgumentParser):
    """Quotes in brief."""

    def _get_values(self, action: argparse.Action, arg_strings: list[str]) -> object:
        # The library takes the value of `--note=--` for its own sign and gives an empty list.
        if action.option_strings and action.nargs is None and arg_strings == ["--"]:
            raise argparse.ArgumentError(action, "expected one argument")
        return super()._get_values(action, arg_strings)

    def error(self, message: str) -> NoReturn:
        """What is wrong with the words, and exit status 2."""
        super().error(in_brief(message))


class _Version(argparse.Action):
    """Says the version without looking it up before it is asked for."""

    def __init__(self, option_strings: Sequence[str], dest: str) -> None:
        super().__init__(option_strings, dest, nargs=0, help="say the version and stop")

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib.metadata import version

        print(f"companion {version('companion')}")
        parser.exit()


if __name__ == "__main__":
    sys.exit(main())
