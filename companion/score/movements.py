"""Movements in one file, told by printed bar numbers that start again."""

from __future__ import annotations

import re
from collections.abc import Sequence

_NUMBER = re.compile(r"\d+")


def movements(labels: Sequence[str]) -> tuple[int, ...]:
    """For each bar the movement it belongs to, from 1.

    A movement begins where the printed number falls back to 1 after it had reached at
    least 2, or to 0 where 1 follows (a pickup). A lone 0 in the middle is the unnumbered
    second half of a split bar.
    """
    numbers = [
        int(digits.group()) if (digits := _NUMBER.match(label)) else None for label in labels
    ]
    found: list[int] = []
    current = 1
    highest = 0
    for number, following in zip(numbers, [*numbers[1:], None], strict=True):
        restarts = number == 1 or (number == 0 and following == 1)
        if restarts and highest > 1:
            current += 1
            highest = 0
        highest = max(highest, number or 0)
        found.append(current)
    return tuple(found)
