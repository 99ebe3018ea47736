"""A dialogue in lines: numbered choices, a prompt, an answer by word or number.

Made to be read aloud by a screen reader: nothing is written over, no colour, and the choices
are said once and again for `?`, not after each answer.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from companion.errors import CompanionError, RequestError
from companion.score.typed_numbers import index_typed


class Quit(Exception):
    """The player wants to end."""


class InputEnded(Exception):
    """Nobody answers any more."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One line that can be chosen; what is typed after its word goes to `do`."""

    word: str
    told: str
    do: Callable[[str], object]


class Dialogue:
    """Lines out, lines in."""

    def __init__(self) -> None:
        self.silence: Callable[[], bool] = lambda: False
        """Stops what sounds; whether anything did. Ctrl+C asks this before it ends the program."""

    def ask(self, prompt: str) -> str:
        """A line of the player's. Raises InputEnded at the end of input."""
        while True:
            try:
                print(f"{prompt}:", end=" " if sys.stdin.isatty() else "\n", flush=True)
                line = sys.stdin.readline()
            except KeyboardInterrupt:
                print()
                if not self.silence():
                    raise
                print("Stopped. Ctrl+C again ends.")
                continue
            if not line:
                raise InputEnded
            return line.strip()

    def menu(self, name: str, choices: Sequence[Choice], last: str = "back") -> None:
        """Offer the choices until the player goes back. Raises Quit for `quit`."""
        _list(name, choices, last)
        while True:
            typed = self.ask(f"{name}, ? for the choices")
            word, _, rest = typed.partition(" ")
            if word in ("", "?", "help"):
                _list(name, choices, last)
            elif word == "quit":
                raise Quit
            elif word in ("back", last, "0"):
                return
            else:
                self._do(choices, word, rest.strip())

    def _do(self, choices: Sequence[Choice], word: str, rest: str) -> None:
        try:
            _meant(choices, word).do(rest)
        except CompanionError as problem:
            print(problem.sentence())


def _list(name: str, choices: Sequence[Choice], last: str) -> None:
    print(f"{name}. Type a number or a word:")
    for number, choice in enumerate(choices, 1):
        print(f"{number} {choice.word}: {choice.told}")
    print("0 back" if last == "back" else f"0 {last}")


def _meant(choices: Sequence[Choice], word: str) -> Choice:
    """By number, word, or a beginning that only one of them has."""
    if (place := index_typed(word, len(choices))) is not None:
        return choices[place]
    exact = [one for one in choices if one.word == word.casefold()]
    found = exact or [one for one in choices if one.word.startswith(word.casefold())]
    if len(found) != 1:
        many = f"could be {' or '.join(one.word for one in found)}" if found else "is no choice"
        raise RequestError(f"“{word}” {many} here", next="? says the choices.")
    return found[0]
