"""Words that a command takes after its name, each doing one thing: `companion log export`."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from companion.cli.places import ask_places


@dataclass(frozen=True, slots=True)
class Word:
    """One of them."""

    name: str
    """The word."""
    does: str
    """What it does, for the help."""
    arguments: Callable[[argparse.ArgumentParser], None]
    """Declares its own arguments."""
    run: Callable[[argparse.Namespace], int]
    """Does it; the exit status."""


def ask_words(parser: argparse.ArgumentParser, words: Sequence[Word], *, needed: bool) -> None:
    """Declare them; `needed` is whether the command says nothing without one."""
    choices = parser.add_subparsers(dest="word", metavar="WORD", title="words", required=needed)
    for word in words:
        sub = choices.add_parser(
            word.name, help=word.does, description=word.does[0].upper() + word.does[1:] + "."
        )
        ask_places(sub, argparse.SUPPRESS)
        word.arguments(sub)


def word_asked(args: argparse.Namespace, words: Sequence[Word]) -> Word | None:
    """The word on this command line; None for the bare command."""
    return next((word for word in words if word.name == args.word), None)
