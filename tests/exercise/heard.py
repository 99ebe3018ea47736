"""What a reference library finds in an exercise's score, for checking what the exercise says.

Source: music21, an independent reader of MusicXML. Nothing of the program's own counting
is used here; positions are shares of each part's own bar.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from music21 import converter, stream
from music21 import meter as meter_module

# J. Schillinger, The Schillinger System of Musical Composition, 1946, Book I: durations of
# the resultant of two periodicities over their common cycle.
RESULTANTS = {
    (3, 2): (2, 1, 1, 2),
    (4, 3): (3, 1, 2, 2, 1, 3),
    (5, 2): (2, 2, 1, 1, 2, 2),
    (5, 3): (3, 2, 1, 3, 1, 2, 3),
    (5, 4): (4, 1, 3, 2, 2, 3, 1, 4),
    (7, 2): (2, 2, 2, 1, 1, 2, 2, 2),
    (7, 3): (3, 3, 1, 2, 3, 2, 1, 3, 3),
    (7, 4): (4, 3, 1, 4, 2, 2, 4, 1, 3, 4),
}


@dataclass(frozen=True)
class HeardBar:
    """One bar of one part."""

    meter: str
    """In force, as the library names it."""
    quarters: Fraction
    """How long the meter is."""
    strikes: frozenset[Fraction]
    """Where notes begin, as shares of the bar; ties counted in."""
    rests: tuple[tuple[Fraction, Fraction], ...]
    """(where it begins, how long it is) of every rest, in quarters."""
    onsets: tuple[Fraction, ...]
    """Where notes begin, in quarters."""


@lru_cache(maxsize=4)
def _parsed(musicxml: bytes) -> stream.Score:
    return converter.parse(musicxml.decode(), format="musicxml", forceSource=True)


def heard(musicxml: bytes) -> list[list[HeardBar]]:
    """Every part's bars."""
    return [_part(part) for part in _parsed(musicxml).parts]


def pitches(musicxml: bytes) -> list[list[int]]:
    """Every part's sounding pitches, middle C = 60."""
    return [
        [pitch.midi for note in part.toSoundingPitch().flatten().notes for pitch in note.pitches]
        for part in _parsed(musicxml).parts
    ]


def _part(part: stream.Part) -> list[HeardBar]:
    bars: list[HeardBar] = []
    meter: meter_module.TimeSignature | None = None
    for measure in part.getElementsByClass("Measure"):
        meter = measure.timeSignature or meter
        assert meter is not None
        length = exact(meter.barDuration.quarterLength)
        onsets, rests = [], []
        for element in measure.notesAndRests:
            at = exact(element.offset)
            if element.isRest:
                rests.append((at, exact(element.quarterLength)))
            elif element.tie is None or element.tie.type == "start":
                onsets.append(at)
        bars.append(
            HeardBar(
                meter.ratioString,
                length,
                frozenset(at / length for at in onsets),
                tuple(rests),
                tuple(onsets),
            )
        )
    return bars


def exact(value: float | Fraction) -> Fraction:
    """The library's offsets as the fractions they stand for."""
    return Fraction(value).limit_denominator(10_000)


def beats(meter: str) -> int:
    """How many equal beats a meter is felt in (common practice: threes of a compound meter)."""
    top, bottom = (int(number) for number in meter.split("/"))
    return top // 3 if top % 3 == 0 and top > 3 and bottom >= 8 else top


def is_resultant(mine: frozenset[Fraction], theirs: frozenset[Fraction], m: int, n: int) -> bool:
    """Whether two sides strike m and n equal notes, together the published resultant."""
    if mine != {Fraction(k, m) for k in range(m)} or theirs != {Fraction(k, n) for k in range(n)}:
        return False
    at, expected = Fraction(0), set()
    for duration in RESULTANTS[max(m, n), min(m, n)]:
        expected.add(at)
        at += Fraction(duration, m * n)
    return at == 1 and mine | theirs == expected


def spans(mine: HeardBar, theirs: HeardBar, level: str) -> list[tuple[frozenset[Fraction], ...]]:
    """What both strike in the bar, or in each beat, as shares of it."""
    count = beats(mine.meter) if level == "beat" else 1
    return [
        tuple(
            frozenset(
                at * count - number
                for at in bar.strikes
                if Fraction(number, count) <= at < Fraction(number + 1, count)
            )
            for bar in (mine, theirs)
        )
        for number in range(count)
    ]


def has_ratio(mine: list[HeardBar], theirs: list[HeardBar], m: int, n: int, level: str) -> bool:
    """Whether the ratio is really there in some bar."""
    return any(
        is_resultant(a, b, m, n)
        for one, other in zip(mine, theirs, strict=True)
        for a, b in spans(one, other, level)
    )
