"""Movements in one file, told by printed bar numbers that start again."""

from __future__ import annotations

import re
from collections.abc import Sequence

_NUMBER = re.compile(r"\d+")


def movements(labels: Sequence[str]) -> tuple[int, ...]:
    """For each bar the movement it belongs to, from 1.

    A movement begins where the printed number falls back to 0 or 1 after it had reached
    at least 2. A pickup numbered 0 or left unnumbered belongs to what follows it.
    """
    found: list[int] = []
    current = 1
    highest = 0
    for label in labels:
        digits = _NUMBER.match(label)
        number = int(digits.group()) if digits else None
        if number is not None:
            if number <= 1 < highest:
                current += 1
                highest = number
            highest = max(highest, number)
        found.append(current)
    return tuple(found)
