"""Text and numbers as files write them, made harmless.

A title may hold line breaks, control characters that move a terminal's cursor,
or a million letters; a number may be a decimal, a word or nothing. Python's own
converters would accept an exponent of a thousand million and hang.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

_DECIMAL = re.compile(r"\s*([+-]?\d{1,12}(?:\.\d{0,12})?|[+-]?\.\d{1,12})\s*", re.ASCII)
_LONGEST = 1000
MOST_STAVES = 99


def tidy(text: str | None, longest: int = _LONGEST) -> str:
    """One line of printable text; empty if there is none."""
    if not text:
        return ""
    line = " ".join(text[: 4 * longest].split())
    if not line.isprintable():
        line = " ".join("".join(c if c.isprintable() else " " for c in line).split())
    return line[:longest]


def decimal(text: str | None) -> Fraction | None:
    """The exact value of a plain decimal number; None for anything else."""
    if text is None or not _DECIMAL.fullmatch(text):
        return None
    return Fraction(text.strip())


def whole(text: str | None, lowest: int, highest: int) -> int | None:
    """A whole number within bounds; None for anything else."""
    number = decimal(text)
    if number is None or number.denominator != 1 or not lowest <= number <= highest:
        return None
    return int(number)


@lru_cache(maxsize=512)
def staff_number(text: str | None) -> int:
    """The number of a staff from the top; 1 if the text is none."""
    return whole(text, 1, MOST_STAVES) or 1
