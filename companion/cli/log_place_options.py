"""Whose log, and where: two options that stand before or after any command."""

from __future__ import annotations

import argparse

PLACES = ("--data-dir", "--player")
"""Options that are followed by a name, which may be that of a command."""


def ask_places(parser: argparse.ArgumentParser, default: str | None) -> None:
    """Taken before and after the command; the later one counts."""
    parser.add_argument(
        "--data-dir",
        metavar="FOLDER",
        default=default,
        help="keep log, choices and cache here (or set COMPANION_DATA)",
    )
    parser.add_argument(
        "--player",
        metavar="NAME",
        default=default,
        help="keep this player's log and choices apart (or set COMPANION_PLAYER)",
    )
