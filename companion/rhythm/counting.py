"""Counting aloud: in my own division, in theirs, and both at once.

A count that leaves out where the other side falls is no help; one that names every cell of
the common grid (six for 3 against 2, 72 for 9 against 8) cannot be spoken. The common count
here numbers the side with more notes and says & where the other one falls between two
numbers, wherever between that is. All syllables: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import accumulate
from math import lcm

from companion.rhythm.meter import Meter

_IN_A_BEAT = {
    2: ("", "&"),
    3: ("", "la", "li"),
    4: ("", "e", "&", "a"),
    6: ("", "ta", "la", "ta", "li", "ta"),
}
"""What is said in a simple beat after its number, by its division."""
BETWEEN = "·"
"""Stands where a note falls that the count has no syllable for."""


def even(division: int) -> tuple[Fraction, ...]:
    """The strokes of one side: `division` of them, evenly from 0, as shares of the span."""
    return tuple(Fraction(k, division) for k in range(division))


def count_aloud(more: int, fewer: int) -> str:
    """The common count in one breath: `1 2& 3`, `1 2& 3& 4`."""
    return " ".join(
        f"{number}&" if number in between(more, fewer) else str(number)
        for number in range(1, more + 1)
    )


def between(more: int, fewer: int) -> tuple[int, ...]:
    """The counts of `more` that are followed by a stroke of `fewer` before the next count."""
    return tuple(int(at * more) + 1 for at in even(fewer) if (at * more).denominator > 1)


def where_it_falls(more: int, fewer: int) -> str:
    """Where the side with fewer notes plays, in the counts of the other: `1 and the & of 2`."""
    words = [_word(at * more) for at in even(fewer)]
    if len(words) == 1:
        return words[0]
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _word(place: Fraction) -> str:
    number = int(place) + 1
    return str(number) if place.denominator == 1 else f"the & of {number}"


def count_bar(meter: Meter, onsets: Iterable[Fraction] = ()) -> str:
    """One bar as a line to say, counted as finely as the notes in it ask for.

    `onsets` are written quarters after the barline. A simple meter is counted `1 & 2 &`,
    `1 e & a`, triplets `1 la li`; a compound one in its pulses, `1 2 3 4 5 6`; unequal beats
    each from 1 (3+4/8: `1 2 3 1 2 3 4`). BETWEEN stands for a note without a syllable.
    """
    struck = set(onsets)
    spoken: list[str] = []
    start = Fraction(0)
    for number, (length, division) in enumerate(zip(meter.beats, meter.divisions, strict=True)):
        offsets = sorted(onset - start for onset in struck if start <= onset < start + length)
        if meter.is_compound or not meter.is_even:
            before = number * division if meter.is_compound else 0
            syllables = _in_pulses(length, division, before, offsets)
        else:
            syllables = _in_parts(length, number + 1, offsets)
        spoken += [syllables[at] for at in sorted(syllables)]
        start += length
    return " ".join(spoken)


def _in_parts(length: Fraction, number: int, offsets: Sequence[Fraction]) -> dict[Fraction, str]:
    """A simple beat by its number and the syllables of its division."""
    division = lcm(*((offset / length).denominator for offset in offsets))
    syllables = _IN_A_BEAT.get(division)
    if syllables is None:
        return {Fraction(0): str(number)} | {offset: BETWEEN for offset in offsets if offset}
    spoken = {length * k / division: text for k, text in enumerate(syllables)}
    return spoken | {Fraction(0): str(number)}


def _in_pulses(
    length: Fraction, division: int, before: int, offsets: Sequence[Fraction]
) -> dict[Fraction, str]:
    """A beat by the numbers of its pulses, & between two of them."""
    pulse = length / division
    spoken = {pulse * k: str(before + k + 1) for k in range(division)}
    for offset in offsets:
        place = offset / pulse
        if place.denominator > 1:
            spoken[offset] = "&" if place.denominator == 2 else BETWEEN
    return spoken


# Where beats are unequal, an even count (`1 2& 3`) has no place for them. Players then count
# the pulse that both sides share, from 1 in the bar (common practice, no source).


def count_pulses(groups: Sequence[int]) -> str:
    """All pulses of a bar whose beats last so many pulses each: `1 2 3 4 5 6 7 8`."""
    return " ".join(str(number) for number in range(1, sum(groups) + 1))


def pulses_of_beats(groups: Sequence[int]) -> str:
    """The pulses its beats fall on: `1, 4 and 6` for (3, 2, 3)."""
    *firsts, last = (str(1 + at) for at in accumulate((0, *groups[:-1])))
    return f"{', '.join(firsts)} and {last}" if firsts else last
