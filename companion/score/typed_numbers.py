"""Numbers that a person types to choose from a list."""

from __future__ import annotations

_LONGEST = 9
"""Digits: more are no place in a list, and Python refuses to read some thousands of them."""


def is_whole(text: str) -> bool:
    """Whether these are the digits of a number that can be meant."""
    return text.isdecimal() and len(text) <= _LONGEST


def index_typed(text: str, count: int) -> int | None:
    """Which of so many things a number from 1 names, from 0; None for anything else."""
    return int(text) - 1 if is_whole(text) and 1 <= int(text) <= count else None
