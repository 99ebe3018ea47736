"""Which passages of a score are likely to need practice first.

A rule of thumb to put passages in an order, no measurement: no source, and no claim that
these are the passages a given player will find hard. It sees ratios and bars, not tempo,
fingering or tessitura.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import gcd

from companion.desk.library.entry import Hard, shown
from companion.desk.stand import Stand
from companion.desk.telling import conflict_told, span_told
from companion.rhythm.conflicts import Conflict

MOST = 3
"""Passages named for each score."""


def points(conflict: Conflict) -> int:
    """How hard a conflict is by rule of thumb; more is harder.

    - 3 for every stroke of the slower side that falls between strokes of the faster one:
      m + n − gcd(m, n) strokes are heard in all, max(m, n) of them the faster side's own.
      That makes 3 for 3:2, 6 for 4:3, 9 for 5:4.
    - 3 at bar level, where the sides meet only at barlines and share no beat to hold on to.
    - 1 to 5 for how long it has to be held: 1 bar, 2–3, 4–7, 8–15, 16 or more.
    - 1 for each part beyond two that has to agree, up to 3.
    """
    m, n = conflict.ratio
    between = m + n - gcd(m, n) - max(m, n)
    if conflict.sides[0].groups:
        more, fewer = conflict.sides
        between = len({*fewer.cuts} - {*more.cuts})
    bars = conflict.last - conflict.first + 1
    parts = {part for side in conflict.sides for part in side.parts}
    apart = 3 if conflict.level == "bar" else 0
    return 3 * between + apart + min(bars.bit_length(), 5) + max(0, min(len(parts) - 2, 3))


def hardest(stand: Stand) -> tuple[Hard, ...]:
    """At most three passages that do not overlap, the hardest first, of equals the earlier."""
    return tuple(
        Hard(
            conflict.first,
            conflict.last,
            points(conflict),
            span_told(stand, conflict.first, conflict.last),
            shown(conflict_told(stand, conflict)),
        )
        for conflict in _apart(sorted(stand.conflicts, key=lambda c: (-points(c), c.first)))
    )


def _apart(ordered: list[Conflict]) -> Iterator[Conflict]:
    taken: list[Conflict] = []
    for conflict in ordered:
        if all(conflict.last < other.first or other.last < conflict.first for other in taken):
            taken.append(conflict)
            yield conflict
        if len(taken) == MOST:
            return
