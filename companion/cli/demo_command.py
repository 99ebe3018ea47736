"""`companion demo`: the built-in quartet in the app."""

from __future__ import annotations

import argparse

from companion.cli.open_command import ask_no_color, run_app
from companion.cli.shared_options import ask_plain
from companion.files.folders import demo_score


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--tour] [--no-color] [--plain [--bell]]."""
    parser.add_argument(
        "--tour", action="store_true", help="two minutes through the app, to a first drill"
    )
    ask_no_color(parser)
    ask_plain(parser, argparse.SUPPRESS)


def run(args: argparse.Namespace) -> int:
    """Open the app with the built-in quartet on its map."""
    return run_app(args, demo_score())
