"""Arguments that several commands share, and what they mean."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from companion.desk.finding import as_path
from companion.desk.folders import Folders, folders, new_player
from companion.score.opening import Opening

if TYPE_CHECKING:
    from companion.desk.stand import Stand


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
    if not hasattr(args, "is_greeted") and (said := new_player(found, data)):
        print(f"companion: {said}", file=sys.stderr)
        args.is_greeted = True
    return found


def opening_of(args: argparse.Namespace) -> Opening:
    """The score this command line names, on its way in; a long read tells how far it is."""
    return Opening(as_path(args.score), folders_of(args).cache, progress=_tell)


def stand_of(args: argparse.Namespace, opening: Opening | None = None) -> Stand:
    """The score this command line names on the stand, whether or not it is on its way already."""
    opening = opening or opening_of(args)

    from companion.desk.stand import set_up  # while the score is on its way

    return set_up(opening, folders_of(args), is_unfolded=getattr(args, "unfolded", False))


def _tell(step: str) -> None:
    if sys.stderr.isatty():
        print(f"companion: {step} …", file=sys.stderr)


def print_json(value: object) -> None:
    """One JSON object on standard output."""
    import json

    sys.stdout.write(json.dumps(value, ensure_ascii=False) + "\n")
