"""Arguments that several commands share, and what they mean.

`companion --help` loads this module, so the rest of the program is imported inside.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from companion.wording.control_characters import CONTROL

if TYPE_CHECKING:
    from companion.exercise.instruments import Instrument
    from companion.files.folders import Folders
    from companion.score.readers.opening import Opening
    from companion.session.open_score import OpenScore

PLACES = ("--data-dir", "--player")
"""Options that are followed by a name, which may be that of a command."""


_LARGEST = 1_000_000_000


def ask_places(parser: argparse.ArgumentParser, default: str | None) -> None:
    """Taken before and after the command; the later one counts."""
    parser.add_argument(
        "--data-dir",
        metavar="FOLDER",
        default=default,
        help="folder for log, choices and cache (or set COMPANION_DATA)",
    )
    parser.add_argument(
        "--player",
        metavar="NAME",
        default=default,
        help="a separate log and choices for this player (or set COMPANION_PLAYER)",
    )


def ask_plain(parser: argparse.ArgumentParser, default: object) -> None:
    """Taken before and after the command, as the places are."""
    parser.add_argument(
        "--plain",
        action="store_true",
        default=default,
        help="the app as a dialogue in lines, as for a screen reader",
    )
    parser.add_argument(
        "--bell",
        action="store_true",
        default=default,
        help="with --plain: the terminal's bell on each beat of a drill",
    )


def ask_score(parser: argparse.ArgumentParser) -> None:
    """A score file."""
    parser.add_argument("score", metavar="SCORE", help="a score: MusicXML or another format")


def whole(text: str) -> int:
    """A number of an option, small enough for everything that counts with it."""
    try:
        value = int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text[:20]}” is not a whole number") from None
    if abs(value) > _LARGEST:
        raise argparse.ArgumentTypeError(f"{text[:20]} is too large")
    return value


def ask_instrument(parser: argparse.ArgumentParser) -> None:
    """The instrument an exercise is played on."""
    parser.add_argument(
        "--instrument",
        metavar="NAME",
        help="an exercise as it is played on violin, viola, cello or double bass",
    )


def instrument_asked(args: argparse.Namespace) -> Instrument | None:
    """The instrument this command line names. Raises RequestError if there is none such."""
    from companion.exercise.instruments import instrument_named

    return instrument_named(args.instrument) if args.instrument else None


def ask_json(parser: argparse.ArgumentParser) -> None:
    """Output for programs."""
    parser.add_argument("--json", action="store_true", help="print JSON only")


PART_HELP = "name, beginning of one, or number from 1; default: the one you chose (settle)"
"""How a part is named, as every command explains it that works on one."""


def ask_part(parser: argparse.ArgumentParser, if_none: str = "") -> None:
    """The player's part; `if_none` is what is meant if they never chose one."""
    told = f"{PART_HELP}, else {if_none}" if if_none else PART_HELP
    parser.add_argument("--part", metavar="P", help=told)


BARS_HELP = "97-100, II:225-230 (movement II), C-C+3 (rehearsal marks) or @97-@100 (places)"
"""How bars are named, as every `--bars` explains it."""


def ask_unfolded(parser: argparse.ArgumentParser) -> None:
    """Repeats written out."""
    parser.add_argument(
        "--unfolded",
        action="store_true",
        help="write out repeats, endings and jumps; bars played again are named by place (@97)",
    )


def folders_of(args: argparse.Namespace) -> Folders:
    """The folders this command line works with; says so if they are a new player's."""
    from companion.files.folders import folders, others_of_new_player
    from companion.files.score_paths import as_path

    data = as_path(args.data_dir) if args.data_dir else None
    found = folders(data, args.player)
    if not hasattr(args, "is_greeted") and (others := others_of_new_player(found, data)):
        who = f"{found.data.name} is new here. Players so far: {', '.join(others)}."
        print(f"companion: {who}", file=sys.stderr)
        args.is_greeted = True
    return found


def opening_of(args: argparse.Namespace) -> Opening:
    """The score this command line names, on its way in; a long read tells how far it is."""
    from companion.files.score_paths import as_path
    from companion.score.readers.opening import Opening

    return Opening(as_path(args.score), folders_of(args).cache, progress=_tell)


def open_score_of(args: argparse.Namespace, opening: Opening | None = None) -> OpenScore:
    """The score named, with the player's choices; `opening` has begun to read it."""
    opening = opening or opening_of(args)

    from companion.session.open_score import set_up  # while the score is on its way

    return set_up(opening, folders_of(args), is_unfolded=getattr(args, "unfolded", False))


def _tell(step: str) -> None:
    if sys.stderr.isatty():
        print(f"companion: {step} …", file=sys.stderr)


def print_json(value: object) -> None:
    """One JSON object on standard output."""
    import json

    told = json.dumps(value, ensure_ascii=False)
    sys.stdout.write(CONTROL.sub(lambda sign: f"\\u{ord(sign[0]):04x}", told) + "\n")


# Words that a command takes after its name, each doing one thing: `companion log export`.


class Subcommand:
    """One of them, with what it does for the help; `run` gives the exit status.

    A plain class: a named tuple takes a millisecond to make, and every command makes it.
    """

    def __init__(
        self,
        name: str,
        does: str,
        arguments: Callable[[argparse.ArgumentParser], None],
        run: Callable[[argparse.Namespace], int],
    ) -> None:
        self.name, self.does, self.arguments, self.run = name, does, arguments, run


def ask_words(
    parser: argparse.ArgumentParser, words: Sequence[Subcommand], *, needed: bool
) -> None:
    """Declare them; `needed` is whether the command says nothing without one."""
    choices = parser.add_subparsers(dest="word", metavar="WORD", title="words", required=needed)
    for word in words:
        sub = choices.add_parser(
            word.name, help=word.does, description=word.does[0].upper() + word.does[1:] + "."
        )
        ask_places(sub, argparse.SUPPRESS)
        word.arguments(sub)


def word_asked(args: argparse.Namespace, words: Sequence[Subcommand]) -> Subcommand | None:
    """The word on this command line; None for the bare command."""
    return next((word for word in words if word.name == args.word), None)
