"""Where a drill is, in the terms of the music, and which bar that is."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from companion.desk.beat_count import CountedBeat, beat_at
from companion.desk.track import Place, Track, place_of
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class Position:
    """What is heard now."""

    place: Place
    """Where in the drill."""
    time: Fraction | None
    """Clock time in the score; None in the count-in."""
    beat: CountedBeat | None
    """The beat that is on; None where a passage begins between beats."""
    bar: int
    """Ordinal position of the bar that sounds; in a count-in of the one that is entered."""


def position_of(track: Track, frame: int, passage: Passage) -> Position:
    """What a frame of a track is in the music."""
    place = place_of(track, frame)
    beat = beat_at(track.counted, place.into)
    if place.into < 0:
        return Position(place, None, beat, track.setting.first or passage.first)
    time = passage.start + place.into
    return Position(place, time, beat, bar_number_at(passage, time))


def bar_number_at(passage: Passage, time: Fraction) -> int:
    """Ordinal position of the bar of a passage that sounds at a clock time."""
    found = bisect_right(passage.bars, time, key=lambda bar: bar.start)
    return passage.bars[max(0, found - 1)].number


def bars_away(position: Position, passage: Passage, by: int) -> Place:
    """The beginning of a bar, so many after the one that sounds, or before if negative.

    Going back leads to the beginning of the present bar first, where more than a beat of it
    has gone by. After the last bar comes the first one again; before the first there is none.
    """
    bars = passage.bars
    index = position.bar - passage.first
    into = bars[index].start - passage.start
    if by < 0 and position.place.into - into > passage.beat_on_clock:
        by += 1
    around, index = divmod(index + by, len(bars))
    passes = position.place.passes + around
    if passes < 0:
        passes, index = 0, 0
    return Place(passes, bars[index].start - passage.start)
