"""Coming in after a long rest: what is heard before, from whom, and how long the rest is.

Counting twelve empty bars is where a player gets lost; hearing the line that leads in is
what finds them again. A rest is long from two of the part's own bars on, wherever in the bar
it begins; one at the end of a movement ends there. The cue is the part that strikes last
before the entrance; if several do, the one with most strikes in the last two beats.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.rhythm.meter import Meter
from companion.score.texture import (
    PartStream,
    Sound,
    Texture,
    bars_between,
    beats_between,
    place_in_bar,
)

_LONG = 2
"""Bars of the shortest rest."""
HEARD = 4
"""Most notes of the cue."""


@dataclass(frozen=True, slots=True)
class HeardCue:
    """What is heard just before an entrance."""

    part: str
    notes: tuple[Sound, ...]
    """Its last notes struck within the rest, at most four."""
    meter: Meter | None
    """Its meter in the bar of the entrance; None if unmeasured."""
    before: Fraction
    """Beats of the entering part from the last of these notes to the entrance."""


@dataclass(frozen=True, slots=True)
class RestCount:
    """The length of the rest as others count it."""

    parts: tuple[str, ...]
    beats: Fraction


@dataclass(frozen=True, slots=True)
class Entrance:
    """A part coming in after a long rest."""

    part: str
    bar: int
    at: int
    beat: Fraction
    """The beat of its own bar it enters on, 1 on the barline; 0 if unmeasured."""
    since: int
    """Grain at which it fell silent; the beginning of the score for a first entrance."""
    bars: int
    """How many of its own bars are empty from barline to barline."""
    beats: Fraction
    theirs: tuple[RestCount, ...]
    """The same rest in beats of the parts that count another number."""
    cue: HeardCue | None
    """What leads in; None if nobody plays during the rest."""
    along: tuple[str, ...]


def entrances(texture: Texture, part: str) -> tuple[Entrance, ...]:
    """Every entrance of a part after a long rest. Raises KeyError if there is no such part."""
    mine = texture.of(part)
    openings = {bars[0].movement: bars[0].start for bars in texture.movements}
    opened = [openings[texture.bars[sound.bar - 1].movement] for sound in mine.sounds]
    rests = _long_rests(mine, opened)
    return tuple(_entrance(texture, mine, since, first) for since, first in rests)


def _long_rests(mine: PartStream, opened: Sequence[int]) -> Iterator[tuple[int, Sound]]:
    """Where each begins, and the note that ends it; `opened` is where each note's movement
    begins."""
    silent_since = mine.own_bars[0].start if mine.own_bars else 0
    shortest = min((bar.length for bar in mine.own_bars), default=0)
    for sound, opening in zip(mine.sounds, opened, strict=True):
        silent_since = max(silent_since, opening)
        if (
            sound.at - silent_since >= _LONG * shortest
            and _bars(mine, silent_since, sound.at) >= _LONG
        ):
            yield silent_since, sound
        silent_since = max(silent_since, sound.end)


def _bars(mine: PartStream, first: int, last: int) -> Fraction:
    """How many of its bars a silence fills, parts of bars added up."""
    return sum(
        (
            Fraction(min(last, bar.end) - max(first, bar.start), bar.length + bar.lead)
            for bar, _ in bars_between(mine, first, last)
            if bar.length
        ),
        Fraction(0),
    )


def _entrance(texture: Texture, mine: PartStream, since: int, first: Sound) -> Entrance:
    others = [stream for stream in texture.streams if stream.part != mine.part]
    beats = beats_between(mine, since, first.at)
    counts: dict[Fraction, list[str]] = {}
    for other in others:
        theirs = beats_between(other, since, first.at)
        if theirs != beats:
            counts.setdefault(theirs, []).append(other.part)
    place = place_in_bar(mine, first.at)
    whole = [
        bar
        for bar, _ in bars_between(mine, since, first.at)
        if since <= bar.start and bar.end <= first.at
    ]
    return Entrance(
        part=mine.part,
        bar=first.bar,
        at=first.at,
        beat=place[1] if place else Fraction(0),
        since=since,
        bars=len(whole),
        beats=beats,
        theirs=tuple(RestCount(tuple(parts), count) for count, parts in counts.items()),
        cue=_cue(mine, others, since, first),
        along=tuple(
            other.part for other in others if other.strikes_between(first.at, first.at + 1)
        ),
    )


def _cue(mine: PartStream, others: list[PartStream], since: int, first: Sound) -> HeardCue | None:
    recent = first.at - 2 * _beat(mine, first)
    heard = [
        (struck[-1], sum(1 for at in struck if at >= recent), -number, other)
        for number, other in enumerate(others)
        if (struck := other.strikes_between(since, first.at))
    ]
    if not heard:
        return None
    *_, other = max(heard)
    last = bisect_left(other.strikes, first.at)
    begin = max(last - HEARD, bisect_left(other.strikes, since))
    notes = other.melody[begin:last]
    before = beats_between(mine, notes[-1].at, first.at)
    return HeardCue(other.part, notes, other.meters[first.bar - 1], before)


def _beat(mine: PartStream, first: Sound) -> Fraction:
    """Grains of the part's beat where it enters; nothing if it is unmeasured."""
    for bar, meter in bars_between(mine, first.at, first.at + 1):
        if meter and bar.start <= first.at < bar.end:
            return meter.beat * bar.full / meter.length
    return Fraction(0)
