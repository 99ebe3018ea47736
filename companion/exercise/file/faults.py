"""What is wrong with an exercise file, each fault with its line and column.

A teacher mends a file in a plain editor, so a fault without its place is half a fault,
and a reader that stops at the first one sends her back and forth. Faults are therefore
collected as data and become one error only at the end.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from companion.errors import CompanionError


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong at one place of a file."""

    line: int
    """From 1."""
    column: int
    """Letters from the beginning of the line, from 1."""
    what: str
    """What is wrong, without a full stop."""
    next: str = ""
    """What to do, as a sentence; empty where `what` says it."""

    def sentence(self) -> str:
        """`title is missing. Write title = "…".`"""
        return f"{self.what.rstrip('.')}.{f' {self.next}' if self.next else ''}"


class ExerciseError(CompanionError):
    """An exercise file cannot serve as it is."""

    def __init__(self, name: str, faults: Iterable[Fault]) -> None:
        """`name` is how the file is called, `faults` at least one."""
        self.name = name
        self.faults: Sequence[Fault] = sorted(set(faults))
        first, more = self.faults[0], len(self.faults) - 1
        advice = f"There is one more; {_ALL}" if more == 1 else f"There are {more} more; {_ALL}"
        super().__init__(
            first.what,
            where=f"{name}:{first.line}:{first.column}",
            next=" ".join(filter(None, (first.next, advice if more else ""))),
        )

    def lines(self) -> list[str]:
        """Every fault as `file:line:column: sentence`, from the top of the file."""
        return [f"{self.name}:{one.line}:{one.column}: {one.sentence()}" for one in self.faults]


_ALL = "companion exercise check tells them all."


def meant(word: str, words: Iterable[str], also: dict[str, str] | None = None) -> str:
    """`Did you mean “tempo”?`, or nothing where no word is near.

    `also` holds other words people use for one of them.
    """
    found = nearest(word, words, also)
    return f"Did you mean “{found}”?" if found else ""


def nearest(word: str, words: Iterable[str], also: dict[str, str] | None = None) -> str:
    """The valid word that is nearest to one that is not; empty where none is near."""
    by_sound = {known.casefold(): known for known in words}
    by_sound |= {other: known for other, known in (also or {}).items() if known in by_sound}
    near = get_close_matches(word.casefold()[:80], list(by_sound), n=1, cutoff=0.6)
    return by_sound[near[0]] if near else ""
