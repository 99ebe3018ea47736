"""Which bars a player means who points at one and says: this, please."""

from __future__ import annotations

from dataclasses import dataclass

from companion.desk.chart import Chart
from companion.desk.stand import Stand
from companion.rhythm.conflicts import Conflict

BARS_FROM_HERE = 4
"""Bars of a passage where neither a selection nor a conflict says how many."""


@dataclass(frozen=True, slots=True)
class Span:
    """Bars to practise, and why these."""

    first: int
    """Ordinal position of the first bar."""
    last: int
    """Ordinal position of the last bar."""
    why: str
    """`your selection`, `this conflict`, `from here`."""


def span_meant(stand: Stand, chart: Chart, bar: int, selection: range) -> Span:
    """The selection; without one the conflict at a bar; without either four bars from it."""
    if selection:
        return Span(selection[0], selection[-1], "your selection")
    conflict = conflict_meant(stand, chart, bar)
    if conflict is not None:
        return Span(conflict.first, conflict.last, "this conflict")
    last = min(bar + BARS_FROM_HERE - 1, len(stand.clock.bars))
    return Span(bar, last, "from here")


def conflict_meant(stand: Stand, chart: Chart, bar: int) -> Conflict | None:
    """The conflict at a bar that my part is in, or else the first one."""
    here = chart.at.get(bar, ())
    for conflict in here:
        if any(stand.choices.part in side.parts for side in conflict.sides):
            return conflict
    return here[0] if here else None


def next_conflict(stand: Stand, bar: int) -> Conflict | None:
    """The first conflict that begins after a bar."""
    return next((conflict for conflict in stand.conflicts if conflict.first > bar), None)


def previous_conflict(stand: Stand, bar: int) -> Conflict | None:
    """The last conflict that begins before a bar."""
    return next((found for found in reversed(stand.conflicts) if found.first < bar), None)
