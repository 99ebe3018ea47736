"""Runs of bars that are like earlier ones, found without comparing every bar with every other.

What four bars of a part look like is kept in a table; where the same is met again, the two
places are compared bar by bar in both directions as far as the likeness goes. The work
grows with the bars: of a passage met often only the first and last few places are tried,
of one met all the time (`OFTEN`) only the last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from companion.rhythm.bar_content import SILENT, Content

SHORTEST = 4
"""Bars of the shortest run."""
TRIED = 4
"""How many first and how many last places of a passage are tried."""

OFTEN = 16
"""How many places make a passage one that turns round and round, like an accompaniment."""

Column = Sequence[tuple[int, int | None]]
"""A shape and a height for every bar."""


class Measure(NamedTuple):
    """What makes a bar like its model."""

    keeps: Callable[[list[int | None], int], bool]
    """Given the rise of each sounding part, whether the bar counts at this rise of the whole."""
    slack: int
    """How many bars in a row may fail inside a run."""
    is_strict: bool
    """Whether parts may not be octaves off."""


def _all_rise(rises: list[int | None], rise: int) -> bool:
    return all(found == rise for found in rises)


def _half_rise(rises: list[int | None], rise: int) -> bool:
    agreeing = sum(1 for found in rises if found is not None and (found - rise) % 12 == 0)
    return 2 * agreeing >= len(rises)


SAME = Measure(_all_rise, 0, True)
"""Every part plays the same, all shifted alike or not at all."""
KEPT = Measure(_half_rise, 1, False)
"""At least half of the sounding parts play the same, octaves apart allowed; one bar may not."""


class Run(NamedTuple):
    """Bars `first` to `last` (from 0, both included) beside those `back` bars earlier."""

    first: int
    """Index of the first bar."""
    last: int
    """Index of the last bar."""
    back: int
    """How many bars earlier the model stands."""
    rise: int
    """Semitones up from the model; within half an octave where octaves do not count."""
    kept: int
    """How many of its sounding bars are like their model."""


def runs(bars: Content, measure: Measure) -> list[Run]:
    """Every maximal run; of one that runs into its own model, the last time round only."""
    found: list[Run] = []
    reached: dict[tuple[int, int], int] = {}
    for at, back, rise in _meetings(bars, measure):
        rise = rise if measure.is_strict else (rise + 6) % 12 - 6
        if reached.get((back, rise), -1) >= at:
            continue
        here = [bar for bar in range(at, at + SHORTEST) if is_like(bars, measure, bar, back, rise)]
        if not here:
            continue
        first = _reach(bars, measure, here[0], -1, (back, rise))
        last = _reach(bars, measure, here[0], 1, (back, rise))
        reached[back, rise] = last
        run = trimmed(bars, measure, Run(max(first, last - back + 1), last, back, rise, 0))
        if run and run.kept >= SHORTEST:
            found.append(run)
    return found


def is_like(bars: Content, measure: Measure, bar: int, back: int, rise: int) -> bool:
    """Whether a bar is like the one so many bars earlier; bars before the first are not."""
    return back <= bar < bars.count and measure.keeps(bars.rises(bar - back, bar), rise)


def trimmed(bars: Content, measure: Measure, run: Run) -> Run | None:
    """The run without bars at its ends that are silent or unlike, its kept bars counted."""
    kept = [
        bar
        for bar in range(run.first, run.last + 1)
        if not bars.is_silent(bar) and is_like(bars, measure, bar, run.back, run.rise)
    ]
    return run._replace(first=kept[0], last=kept[-1], kept=len(kept)) if kept else None


def _reach(bars: Content, measure: Measure, at: int, step: int, on: tuple[int, int]) -> int:
    """The last bar of a run from `at` in one direction."""
    while True:
        for ahead in range(1, measure.slack + 2):
            if is_like(bars, measure, at + ahead * step, *on):
                at += ahead * step
                break
        else:
            return at


def _meetings(bars: Content, measure: Measure) -> list[tuple[int, int, int]]:
    """(bar, bars back, rise) wherever four bars look as before in the whole or in one part."""
    whole: dict[tuple[int, ...], int] = {}
    columns: list[Column] = [
        [
            (whole.setdefault(shapes, len(whole) + 1) if any(shapes) else SILENT, _first(heights))
            for shapes, heights in zip(
                zip(*bars.shapes, strict=True), zip(*bars.heights, strict=True), strict=True
            )
        ]
    ]
    if not measure.is_strict:
        columns += [
            list(zip(shapes, heights, strict=True))
            for shapes, heights in zip(bars.shapes, bars.heights, strict=True)
        ]
    return sorted({meeting for column in columns for meeting in _met_in(column)})


def _first(heights: Sequence[int | None]) -> int | None:
    return next((height for height in heights if height is not None), None)


def _met_in(column: Column) -> Iterator[tuple[int, int, int]]:
    """Only where at least three of the four bars differ: a turning accompaniment says nothing."""
    places: dict[tuple[tuple[int, int], ...], list[tuple[int, int]]] = {}
    for at in range(len(column) - SHORTEST + 1):
        window = column[at : at + SHORTEST]
        if len({bar for bar in window if bar[0] != SILENT}) < SHORTEST - 1:
            continue
        ground = _first([height for _, height in window]) or 0
        key = tuple([(shape, (height or ground) - ground) for shape, height in window])
        met = places.setdefault(key, [])
        first = met[:TRIED] if len(met) < OFTEN else []
        for place, low in first + met[max(len(first), len(met) - TRIED) :]:
            if at - place >= SHORTEST:
                yield at, at - place, ground - low
        met.append((at, ground))
