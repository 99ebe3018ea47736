"""A form: what can be set, row by row, and one line in which the same can be typed.

A form is only described here; `screens/form_screen.py` shows any of them. What is set is one
value, T: a row makes another T of it, and so does the line, so the two cannot disagree.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, TypeVar

from companion.errors import RequestError
from companion.rhythm.tempo import FASTEST, SLOWEST, parse_bpm

T = TypeVar("T")
R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class Row(Generic[T]):
    """One thing that can be set."""

    label: str
    shown: str
    """What is set now."""
    step: Callable[[int], T]
    """What ← (−1) and → (+1) make of it, and Page Up and Page Down (± `far`). Raises
    CompanionError if that is impossible."""
    options: tuple[str, ...] = ()
    """Everything it can be, if that is a short list; `shown` is one of them."""
    note: str = ""
    """What it means."""
    typed: Callable[[str], T] | None = None
    """What a word typed over `shown` makes of it; raises CompanionError. None: what is typed
    goes into the line."""
    far: int = 5
    is_text: bool = False
    """Whether it is in the player's own words: typing goes on at its end, a space is a letter."""


@dataclass(frozen=True, slots=True)
class Form(Generic[T, R]):
    """What a form asks."""

    title: str
    rows: Callable[[T], Sequence[Row[T]]]
    """They may depend on what is set."""
    told: Callable[[T], str]
    """What will happen, in a sentence."""
    words: Callable[[T], str]
    """What stands in the line."""
    read: Callable[[str, T], T]
    """What the line makes of what is set. Raises CompanionError."""
    done: Callable[[T], R]
    """What Enter does and answers. Raises CompanionError, and then the form stays."""
    line: str = "In words"
    """What the line is called; empty for a form without one, whose rows are all typed over."""
    examples: Sequence[tuple[str, str]] = ()
    """(words, what they mean): shown while the line is typed."""
    known: Sequence[str] = ()
    """Words that complete what is typed."""
    enter: str = "Enter sets it"


def chosen_row(
    label: str,
    options: Sequence[tuple[str, T]],
    shown: str,
    *,
    note: str = "",
    is_typed: bool = False,
) -> Row[T]:
    """A list of (what is shown, what it makes): one after the other, and no further; of two it
    is always the other. The beginning of one is enough if it `is_typed`; otherwise letters go
    into the line."""
    names = [name for name, _ in options]
    at = names.index(shown)

    def step(by: int) -> T:
        to = 1 - at if len(options) == 2 else min(max(0, at + by), len(options) - 1)
        return options[to][1]

    def type_over(text: str) -> T:
        wanted = text.strip().casefold()
        for name, made in options if wanted else options[at : at + 1]:
            if name.casefold().startswith(wanted):
                return made
        raise RequestError(f"“{text}” is none of these", next=f"Type one of: {', '.join(names)}.")

    return Row(label, shown, step, tuple(names), note, type_over if is_typed else None)


OWN_WORDS = "in your own words"
"""Says what a text row is for."""


def text_row(label: str, text: str, make: Callable[[str], T], *, note: str = "") -> Row[T]:
    """The player's own words, which may be none."""
    return Row(label, text, lambda _: make(text), note=note, typed=make, is_text=True)


def without_line(
    title: str,
    rows: Callable[[T], Sequence[Row[T]]],
    told: Callable[[T], str],
    done: Callable[[T], R],
    enter: str,
) -> Form[T, R]:
    """A form of which no single line could say everything."""
    return Form(title, rows, told, lambda _: "", lambda _, now: now, done, line="", enter=enter)


def switch_row(label: str, make: Callable[[bool], T], note: str = "", *, is_on: bool) -> Row[T]:
    """On or off, whichever arrow is pressed."""
    return Row(label, "on" if is_on else "off", lambda _: make(not is_on), note=note)


def number_row(
    label: str,
    value: Fraction | int,
    make: Callable[[Fraction], T],
    bounds: tuple[int, int],
    *,
    note: str = "",
    by: int = 1,
    typed: Callable[[str], Fraction] | None = None,
) -> Row[T]:
    """A number that goes up and down between bounds, `by` so much at a time. `typed` reads what
    is typed over it, if that is not just a number."""
    least, most = bounds

    def step(way: int) -> T:
        return make(min(max(Fraction(least), value + Fraction(way * by)), Fraction(most)))

    def type_over(text: str) -> T:
        return make(typed(text) if typed is not None else _number(text, bounds))

    return Row(label, f"{float(value):g}", step, note=note, typed=type_over)


def tempo_row(label: str, bpm: Fraction, make: Callable[[Fraction], T]) -> Row[T]:
    """Beats a minute."""
    return number_row(label, bpm, make, (SLOWEST, FASTEST), typed=parse_bpm)


def _number(text: str, bounds: tuple[int, int]) -> Fraction:
    least, most = bounds
    if re.fullmatch(r"[0-9]{1,4}([.,][0-9]{1,3})?", text):
        number = Fraction(text.replace(",", "."))
        if least <= number <= most:
            return number
    raise RequestError(f"“{text}” is not possible here", next=f"Write {least} to {most}.")
