"""A plan's tempos as a MIDI file can hold them: steps, each of one tempo.

Where the tempo really changes from moment to moment (a ramp), a step lasts one felt beat of
the player's part and has the mean tempo of that beat, so that every beat lies exactly where
it should and only what is struck inside one is off, by at most an eighth of the change.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from companion.click.measures import Measure, quarters_at
from companion.click.plan import Plan, seconds_at
from companion.click.strokes import beat_starts
from companion.score.passage import Passage


def tempo_steps(
    plan: Plan, passage: Passage, rod: Sequence[Measure]
) -> Iterator[tuple[Fraction, Fraction]]:
    """(written quarters, seconds a quarter lasts from there on), in order, changes only."""
    beats = [at - passage.start for at in beat_starts(passage)]
    times = {measure.at for measure in rod} | set(_turns(plan, beats))
    known = [
        (quarters_at(rod, at), seconds_at(plan, at))
        for at in (*sorted(at for at in times if at < plan.length), plan.length)
    ]
    pace: Fraction | None = None
    for (quarters, seconds), (quarters_after, seconds_after) in pairwise(known):
        here = (seconds_after - seconds) / (quarters_after - quarters)
        if here != pace:
            pace = here
            yield quarters, pace


def _turns(plan: Plan, beats: Sequence[Fraction]) -> Iterator[Fraction]:
    """Clock times at which a new tempo begins; `beats` are those of one time through."""
    yield Fraction(0)
    for number in range(plan.repeat):
        pace = plan.timetable.pace(number)
        begin = plan.count_in + number * plan.pass_length
        yield from (begin + stretch.into for stretch in pace.stretches)
        if any(stretch.change for stretch in pace.stretches):
            yield from (begin + at for at in beats)
