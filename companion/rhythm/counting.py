"""Counting aloud: in my own division, in theirs, and both at once.

A count that leaves out where the other side falls is no help; one that names every cell of
the common grid (72 for 9 against 8) cannot be spoken. So each side counts its own numbers and
knows the exact places of the other between them. & is half the way to the next number, and
nothing else. All syllables: common practice, no source.
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


def count_aloud(mine: int, theirs: int) -> str:
    """My own count of the span: `1 2 3`, with & after the numbers that the other side halves:
    `1 2& 3` for 3 against 2."""
    halved = {int(at * mine) for at in even(theirs) if (at * mine).denominator == 2}
    return " ".join(f"{k + 1}&" if k in halved else str(k + 1) for k in range(mine))


def where_it_falls(mine: int, theirs: int) -> str:
    """Where the other side strikes in my count: `1 and the & of 2`, `1, a third after 2 and two
    thirds after 3`."""
    words = [_word(at * mine) for at in even(theirs)]
    if len(words) == 1:
        return words[0]
    return f"{', '.join(words[:-1])} and {words[-1]}"


def is_spoken_by_halves(more: int, fewer: int) -> bool:
    """Whether numbers and & name every stroke of both sides, so that both can say one count."""
    return all((at * more).denominator <= 2 for at in even(fewer))


def common_grid(more: int, fewer: int) -> str:
    """Both sides in a count of their common grid: `12: 1 4 7 10 and 1 5 9` for 4 against 3."""
    cells = lcm(more, fewer)
    strokes = (range(1, cells + 1, cells // side) for side in (more, fewer))
    return f"{cells}: " + " and ".join(" ".join(map(str, side)) for side in strokes)


_PARTS = {
    3: ("third", "thirds"),
    4: ("quarter", "quarters"),
    5: ("fifth", "fifths"),
    6: ("sixth", "sixths"),
    7: ("seventh", "sevenths"),
    8: ("eighth", "eighths"),
}
_NUMBERS = ("", "one", "two", "three", "four", "five", "six", "seven")


def _word(place: Fraction) -> str:
    """A place in a count, from 0, by its number and the exact part of the way to the next."""
    number, part = int(place) + 1, place - int(place)
    if not part:
        return str(number)
    if part.denominator == 2:
        return f"the & of {number}"
    if part.denominator not in _PARTS:
        return f"{part} after {number}"
    one, several = _PARTS[part.denominator]
    if part.numerator == 1:
        return f"{'an' if one[0] in 'aeiou' else 'a'} {one} after {number}"
    return f"{_NUMBERS[part.numerator]} {several} after {number}"


def count_bar(meter: Meter, onsets: Iterable[Fraction] = ()) -> str:
    """One bar as a line to say, counted as finely as the notes in it ask for.

    `onsets` are written quarters after the barline. A simple meter is counted `1 & 2 &`,
    `1 e & a`, triplets `1 la li`; a compound one in its pulses, `1 2 3 4 5 6`; unequal beats
    each from 1 (3+4/8: `1 2 3 1 2 3 4`). BETWEEN stands for a note without a syllable.
    """
    return " ".join(syllable for _, syllable in count_places(meter, onsets))


def count_places(meter: Meter, onsets: Iterable[Fraction] = ()) -> list[tuple[Fraction, str]]:
    """The same with the place of each syllable, in written quarters after the barline."""
    struck = set(onsets)
    spoken: list[tuple[Fraction, str]] = []
    start = Fraction(0)
    for number, (length, division) in enumerate(zip(meter.beats, meter.divisions, strict=True)):
        offsets = sorted(onset - start for onset in struck if start <= onset < start + length)
        if meter.is_compound or not meter.is_even:
            before = number * division if meter.is_compound else 0
            syllables = _in_pulses(length, division, before, offsets)
        else:
            syllables = _in_parts(length, number + 1, offsets)
        spoken += [(start + at, syllables[at]) for at in sorted(syllables)]
        start += length
    return spoken


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
