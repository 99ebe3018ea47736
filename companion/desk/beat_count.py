"""The beat a player sees: which number it has, in the count-in and in every bar.

Counted from the same beats the click strikes, so that the number on the screen can never
be another one than the stroke in the ear.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.click.beats import Beat, beats
from companion.click.count_in import count_in_for
from companion.click.own_bars import own_bars
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class CountedBeat:
    """One felt beat with its number."""

    into: Fraction
    """Clock time after the passage begins; negative in the count-in."""
    number: int
    """Its number in its bar, from 1."""
    bar: int
    """Ordinal position of the score's bar it falls in; 0 in the count-in."""


def counted_beats(passage: Passage, count_in: int) -> tuple[CountedBeat, ...]:
    """Every beat of the count-in (in bars) and of one time through, in order."""
    lead_in = count_in_for(passage, count_in)
    found = [
        CountedBeat(beat.at - lead_in.length, number, 0)
        for beat, number in _numbered(lead_in.beats)
        if beat.at < lead_in.length
    ]
    starts = [bar.start for bar in passage.bars]
    for place in own_bars(passage):
        for beat, number in _numbered(tuple(beats(place))):
            if passage.start <= beat.at < min(place.end, passage.end):
                bar = passage.bars[bisect_right(starts, beat.at) - 1].number
                found.append(CountedBeat(beat.at - passage.start, number, bar))
    return tuple(found)


def beat_at(counted: Sequence[CountedBeat], into: Fraction) -> CountedBeat | None:
    """The beat that is on at a clock time after the passage begins; None before the first."""
    found = bisect_right(counted, into, key=lambda beat: beat.into)
    return counted[found - 1] if found else None


def _numbered(counted: Sequence[Beat]) -> list[tuple[Beat, int]]:
    numbered: list[tuple[Beat, int]] = []
    for beat in counted:
        number = 1 if beat.is_first or not numbered else numbered[-1][1] + 1
        numbered.append((beat, number))
    return numbered
