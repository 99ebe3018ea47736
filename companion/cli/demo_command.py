"""`companion demo`: the built-in quartet in the app."""

from __future__ import annotations

import argparse

from companion.cli.open_command import ask_no_color, run_app
from companion.files.folders import demo_score


def arguments(parser: argparse.ArgumentParser) -> None:
    """[--no-color]."""
    ask_no_color(parser)


def run(args: argparse.Namespace) -> int:
    """Open the app with the built-in quartet on its map."""
    return run_app(args, demo_score())
