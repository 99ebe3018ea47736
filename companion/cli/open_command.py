"""`companion open [SCORE]`: the app on the whole terminal, with a score on its map."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from companion.cli.shared_options import ask_plain, folders_of
from companion.errors import CompanionError
from companion.files.file_kind import plain_file
from companion.files.score_paths import as_path

if TYPE_CHECKING:
    from companion.session.plain_beat import BeatAsked


def arguments(parser: argparse.ArgumentParser) -> None:
    """[SCORE] [--no-color] [--plain [--bell]]."""
    parser.add_argument(
        "score",
        metavar="SCORE",
        nargs="?",
        help="a score: MusicXML or another format; if left out, choose in the app",
    )
    ask_no_color(parser)
    ask_plain(parser, argparse.SUPPRESS)


def ask_no_color(parser: argparse.ArgumentParser) -> None:
    """Text alone."""
    parser.add_argument(
        "--no-color", action="store_true", help="use no colour (as with NO_COLOR set)"
    )


def run(args: argparse.Namespace) -> int:
    """Open the app."""
    return run_app(args, as_path(args.score) if args.score else None)


def run_app(args: argparse.Namespace, path: Path | None, beat: BeatAsked | None = None) -> int:
    """Check what can be checked while there is still a line to say it on, then take the screen."""
    if path is not None:
        plain_file(path)
    if getattr(args, "plain", False):
        from companion.cli.plain_places import converse

        return converse(args, path)
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise CompanionError(
            "the app needs a terminal",
            next="Use companion --plain for a dialogue in lines, or companion map SCORE.",
        )
    if args.no_color:
        os.environ["NO_COLOR"] = "1"

    from companion.tui.app import CompanionApp

    app = CompanionApp(folders_of(args), path, with_tour=getattr(args, "tour", False))
    app.beat = beat
    app.run()
    return app.return_code or 0
