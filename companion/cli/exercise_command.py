"""`companion exercise WORD`: write, check, show, send and open exercises, and see how far."""

from __future__ import annotations

import argparse

from companion.cli import exercise_files_command, exercise_list_command, exercise_new_command
from companion.cli.shared_options import ask_words, word_asked

WORDS = (*exercise_new_command.WORDS, *exercise_files_command.WORDS, *exercise_list_command.WORDS)
"""What the command does."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """One of its words."""
    parser.epilog = (
        "An exercise is a short text file (TOML): companion exercise new writes one, and "
        "companion exercise format explains every key."
    )
    ask_words(parser, WORDS, needed=True)


def run(args: argparse.Namespace) -> int:
    """Do what the word says."""
    word = word_asked(args, WORDS)
    return word.run(args) if word else 2
