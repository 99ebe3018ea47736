"""Arguments that several commands share, and what they mean."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from companion.files.folders import Folders, folders, new_player_notice
from companion.files.score_paths import as_path
from companion.score.readers.opening import Opening

if TYPE_CHECKING:
    from companion.session.open_score import OpenScore


from collections.abc import Callable, Sequence
from dataclasses import dataclass

from companion.cli.log_place_options import ask_places


def ask_score(parser: argparse.ArgumentParser) -> None:
    """A score file."""
    parser.add_argument("score", metavar="SCORE", help="MusicXML, or another format a score has")


def ask_json(parser: argparse.ArgumentParser) -> None:
    """Output for programs."""
    parser.add_argument("--json", action="store_true", help="print JSON for programs, nothing else")


def ask_unfolded(parser: argparse.ArgumentParser) -> None:
    """Repeats written out."""
    parser.add_argument(
        "--unfolded",
        action="store_true",
        help="with repeats, endings and jumps written out; bars are then counted as played",
    )


def folders_of(args: argparse.Namespace) -> Folders:
    """The folders this command line works with; says so where they are a new player's."""
    data = as_path(args.data_dir) if args.data_dir else None
    found = folders(data, args.player)
    if not hasattr(args, "is_greeted") and (said := new_player_notice(found, data)):
        print(f"companion: {said}", file=sys.stderr)
        args.is_greeted = True
    return found


def opening_of(args: argparse.Namespace) -> Opening:
    """The score this command line names, on its way in; a long read tells how far it is."""
    return Opening(as_path(args.score), folders_of(args).cache, progress=_tell)


def stand_of(args: argparse.Namespace, opening: Opening | None = None) -> OpenScore:
    """The score this command line names on the stand, whether or not it is on its way already."""
    opening = opening or opening_of(args)

    from companion.session.open_score import set_up  # while the score is on its way

    return set_up(opening, folders_of(args), is_unfolded=getattr(args, "unfolded", False))


def _tell(step: str) -> None:
    if sys.stderr.isatty():
        print(f"companion: {step} …", file=sys.stderr)


def print_json(value: object) -> None:
    """One JSON object on standard output."""
    import json

    sys.stdout.write(json.dumps(value, ensure_ascii=False) + "\n")


# Words that a command takes after its name, each doing one thing: `companion log export`.


@dataclass(frozen=True, slots=True)
class Subcommand:
    """One of them."""

    name: str
    """The word."""
    does: str
    """What it does, for the help."""
    arguments: Callable[[argparse.ArgumentParser], None]
    """Declares its own arguments."""
    run: Callable[[argparse.Namespace], int]
    """Does it; the exit status."""


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
