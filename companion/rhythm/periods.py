"""Where a row of things repeats itself: the arithmetic under every repeated figure.

A row that repeats after 3 also repeats after 6 and 9. Only the shortest period counts
here; otherwise every plain ostinato would be found again as a longer one that happens
not to fit the bar.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from operator import eq
from typing import NamedTuple


class Period(NamedTuple):
    """A stretch of a row that repeats itself, as far as it goes."""

    start: int
    """Index of its first element."""
    extent: int
    """How many elements it has, a broken last repeat included."""
    size: int
    """After how many elements it repeats."""

    @property
    def end(self) -> int:
        """Index after its last element."""
        return self.start + self.extent


def periods(
    row: Sequence[int], largest: int, times: int = 3, *, open_end: bool = False
) -> Iterator[Period]:
    """Maximal stretches of at least `times` whole repeats, shortest periods first.

    With `open_end` the elements are steps from one note to the next, so that the last
    repeat is whole without its last step: it may lead anywhere. Stretches of one period
    never share as much as a whole repeat; those of different periods may.
    """
    same: dict[int, bytes] = {}
    for size in range(1, min(largest, len(row)) + 1):
        same[size] = bytes(map(eq, row, row[size:]))
        least = (times - 1) * size - open_end
        if least < 1:
            continue
        for run in re.finditer(b"\x01{%d,}" % least, same[size]):
            found = Period(run.start(), run.end() - run.start() + size, size)
            if not _repeats_sooner(found, same):
                yield found


def _repeats_sooner(found: Period, same: dict[int, bytes]) -> bool:
    """Whether a shorter period, which must divide this one, goes through the whole stretch."""
    return any(
        found.size % size == 0 and same[size].find(0, found.start, found.end - size) < 0
        for size in range(1, found.size // 2 + 1)
    )
