"""The rhythm of a reading exercise: my side of the ratio, varied, against theirs, steady.

Bar by bar some beats are cut into my number in full, so that the ratio is really there;
between them stand held beats and joined notes, so that it does not merely run.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from random import Random
from types import MappingProxyType
from typing import TypeVar

from companion.errors import RequestError
from companion.exercise.instruments import INSTRUMENTS
from companion.exercise.pattern.notation import (
    NotationEvent,
    quarters_of,
    read_pattern_note,
    usual_time,
)
from companion.exercise.pattern.tonality import Tonality, scale
from companion.rhythm.meter import Meter


@dataclass(frozen=True, slots=True)
class Value:
    """One note of a rhythm."""

    word: str
    """Its value in the short notation."""
    opens_beat: bool
    """Whether it begins a beat, or the bar where the ratio is one of the bar."""
    is_tied: bool = False


RhythmBar = list[Value]


def rhythm(
    meter: Meter, bars: int, count: int, level: str, chance: SeededChance
) -> list[RhythmBar]:
    """So many bars of my side, `count` notes in the beat or in the bar; the last one is held.

    Raises RequestError if that cannot be written.
    """
    made = [
        _in_beats(meter, count, chance) if level == "beat" else _in_bar(meter, count, number)
        for number in range(bars - 1)
    ]
    return [*made, held_bar(meter)]


def steady_line(meter: Meter, bars: int, count: int, level: str) -> list[RhythmBar]:
    """The other side: `count` equal notes all the time; the last bar is held."""
    spans = meter.beats if level == "beat" else (meter.length,)
    once = [value for span in spans for value in _in_full(equal_notes(span, count), count)]
    return [*([once] * (bars - 1)), held_bar(meter)]


def held_bar(meter: Meter) -> RhythmBar:
    """One note for a whole bar, tied where one value cannot say it."""
    words = held(meter.length)
    return [Value(word, not at, at < len(words) - 1) for at, word in enumerate(words)]


def _in_beats(meter: Meter, count: int, chance: SeededChance) -> RhythmBar:
    """Every beat in its own way, at least one of them in full."""
    kinds = [chance.one_of({"full": 5.0, "joined": 3.0, "held": 2.0}) for _ in meter.beats]
    if "full" not in kinds:
        kinds[int(chance.one_of({at: 1.0 for at in range(len(kinds))}))] = "full"
    return [
        value
        for kind, beat in zip(kinds, meter.beats, strict=True)
        for value in _beat(kind, beat, count, chance)
    ]


def _beat(kind: str, beat: Fraction, count: int, chance: SeededChance) -> Iterator[Value]:
    one = equal_notes(beat, count)
    if kind == "held":
        yield Value(held(beat)[0], True)
    elif kind == "joined" and count > 2 and one.joined:
        at = chance.one_of({place: 1.0 for place in range(count - 1)})
        words = [one.word] * at + [one.joined.word] + [one.word] * (count - at - 2)
        yield from (Value(word, not place) for place, word in enumerate(words))
    else:
        yield from _in_full(one, count)


def _in_full(one: EqualNotes, count: int) -> list[Value]:
    return [Value(one.word, not place) for place in range(count)]


def _in_bar(meter: Meter, count: int, number: int) -> RhythmBar:
    """Two bars in full, one in the meter's own beats, and so on."""
    if number % 3 == 2:
        return [Value(held(beat)[0], True) for beat in meter.beats]
    return _in_full(equal_notes(meter.length, count), count)


# So many equal notes in a span, in the words of the short notation.


_LETTERS = "whqest"


@dataclass(frozen=True, slots=True)
class EqualNotes:
    """One of several equal notes."""

    letter: str
    """Its note value."""
    dots: str
    """A dot, or nothing."""
    tuplet: str
    """What stands behind it where it is in a tuplet: `3`, `5:3`."""

    @property
    def word(self) -> str:
        """As it is written, without a pitch."""
        return f"{self.letter}{self.dots}{self.tuplet}"

    @property
    def joined(self) -> EqualNotes | None:
        """Two of them in one note; None if no single note value says it."""
        at = _LETTERS.index(self.letter)
        return EqualNotes(_LETTERS[at - 1], self.dots, self.tuplet) if at else None


def equal_notes(span: Fraction, count: int) -> EqualNotes:
    """One of `count` equal notes in `span` quarters.

    Raises RequestError if they would be shorter than a 32nd, or no tuplet says it.
    """
    plain = plain_value(span / count)
    if plain:
        return EqualNotes(plain[0], plain[1:], "")
    for letter in _LETTERS:
        normal = span / quarters_of(letter)
        if normal.denominator == 1 and count / 2 < normal <= count and normal <= 16:
            usual = usual_time(count) == normal
            return EqualNotes(letter, "", f"{count}" if usual else f"{count}:{normal}")
    raise RequestError(
        f"{count} equal notes cannot be written there", next="Choose a smaller ratio."
    )


def events_of(word: str) -> list[NotationEvent]:
    """The notes of a word of the short notation; none if it is no word of it."""
    read = read_pattern_note(word)
    return [] if isinstance(read, str) else read


def plain_value(length: Fraction) -> str:
    """The note value of a length with or without a dot; empty if there is none."""
    for letter in _LETTERS:
        for value in (letter, f"{letter}."):
            if quarters_of(value) == length:
                return value
    return ""


def held(length: Fraction) -> list[str]:
    """Note values that together last so long, the longest first, to be tied.

    Raises RequestError if the length is no sum of plain values.
    """
    found: list[str] = []
    values = [value for letter in _LETTERS for value in (f"{letter}.", letter)]
    for value in values:
        while quarters_of(value) <= length:
            found.append(value)
            length -= quarters_of(value)
    if length:
        raise RequestError("this meter cannot be filled with one held note", next="Choose another.")
    return found


# Chance that falls alike on every machine and in every year.


Thing = TypeVar("Thing")


class SeededChance:
    """A source of choices."""

    def __init__(self, seed: int) -> None:
        self._random = Random(seed)

    def one_of(self, weights: Mapping[Thing, float]) -> Thing:
        """One of the keys, more often the more it weighs; at least one weighs something."""
        drawn = self._random.random() * sum(weights.values())
        for thing, weight in weights.items():
            drawn -= weight
            if drawn < 0:
                return thing
        return next(thing for thing in reversed(list(weights)) if weights[thing])


# A melody over a rhythm: mostly by step, a chord note on the beat, a cadence at the end.


_CHORDS = {"tonic": {0, 2, 4}, "subdominant": {3, 5, 0}, "dominant": {4, 6, 1}}
_AFTER = {
    "tonic": {"tonic": 2.0, "subdominant": 3.0, "dominant": 2.0},
    "subdominant": {"tonic": 1.0, "subdominant": 1.0, "dominant": 3.0},
    "dominant": {"tonic": 3.0, "subdominant": 0.5, "dominant": 1.0},
}
_MOVES = {-2: 1.0, -1: 4.0, 0: 0.4, 1: 4.0, 2: 1.0}
_STEPS = 7


def melody(
    bars: Sequence[RhythmBar], key: Tonality, within: Range, chance: SeededChance
) -> list[list[str]]:
    """A pitch for every note of the rhythm, bar by bar; the last is the tonic.

    Every bar has at least one note, the last only one, perhaps tied.
    """
    walk = _Walk(key, within, chance)
    chords = _progression(len(bars), chance)
    heights: list[list[int]] = []
    tied: int | None = None
    for bar, chord in zip(bars[:-1], chords, strict=False):
        heights.append([])
        for value in bar:
            at = tied if tied is not None else walk.next(chord, on_beat=value.opens_beat)
            heights[-1].append(at)
            tied = at if value.is_tied else None
    walk.close(heights)
    home = heights[-1][-1] + walk.way_home(heights[-1][-1])
    heights.append([home] * len(bars[-1]))
    return _tied_alike(bars, walk.named(heights))


def _tied_alike(bars: Sequence[RhythmBar], named: list[list[str]]) -> list[list[str]]:
    """A note that is tied on has the name of the note it is tied to."""
    values = [value for bar in bars for value in bar]
    names = [name for bar in named for name in bar]
    for place in reversed(range(len(values) - 1)):
        if values[place].is_tied:
            names[place] = names[place + 1]
    line = iter(names)
    return [[next(line) for _ in bar] for bar in bars]


def _progression(bars: int, chance: SeededChance) -> list[str]:
    """From the tonic by way of the dominant to the tonic."""
    chords = ["tonic"]
    while len(chords) < bars - 2:
        chords.append(chance.one_of(_AFTER[chords[-1]]))
    return [*chords[: bars - 2], "dominant", "tonic"]


class _Walk:
    """Goes up and down a scale."""

    def __init__(self, key: Tonality, within: Range, chance: SeededChance) -> None:
        self.key = key
        self.chance = chance
        top = within.high - 1 if key.is_minor else within.high  # a raised note stays inside
        self.names = scale(key, within.low, top)
        tonics = [at for at, name in enumerate(self.names) if name[:-1] == key.tonic]
        self.home = min(tonics, key=lambda at: abs(2 * at - len(self.names)))
        self.at: int | None = None

    def degree(self, at: int) -> int:
        """Steps above the tonic, 0–6."""
        return (at - self.home) % _STEPS

    def next(self, chord: str, *, on_beat: bool) -> int:
        """The place in the scale of the next note."""
        if self.at is None:
            self.at = self.home
            return self.at
        fitting = {
            move: weight * (1 if not on_beat or self._fits(self.at + move, chord) else 0.1)
            for move, weight in _MOVES.items()
            if 0 <= self.at + move < len(self.names)
        }
        self.at += self.chance.one_of(fitting)
        return self.at

    def _fits(self, at: int, chord: str) -> bool:
        return self.degree(at) in _CHORDS[chord]

    def close(self, heights: list[list[int]]) -> None:
        """Lead the last note before the end to a step from the tonic, near the one before it."""
        before = [at for bar in heights for at in bar][-2]
        beside = [
            at
            for at in range(len(self.names))
            if self.degree(at) in (1, 6) and 0 <= at + self.way_home(at) < len(self.names)
        ]
        heights[-1][-1] = min(beside, key=lambda at: (abs(at - before), at))

    def way_home(self, at: int) -> int:
        """The step from there to the tonic."""
        return -1 if self.degree(at) == 1 else 1

    def named(self, bars: Sequence[Sequence[int]]) -> list[list[str]]:
        """The notes by name; in minor the steps that rise to the tonic are raised."""
        line = [at for bar in bars for at in bar]
        rising = {
            place
            for place, (at, after) in enumerate(pairwise(line))
            if self.key.is_minor and after == at + 1 and self.degree(at) in (5, 6)
        }
        leading = {place for place in rising if self.degree(line[place]) == 6}
        raised = leading | {place for place in rising if place + 1 in leading}
        named: list[list[str]] = []
        place = 0
        for bar in bars:
            places = range(place, place + len(bar))
            leads = any(one in leading for one in places)
            named.append([self._name(line[one], one in raised, leads) for one in places])
            place += len(bar)
        return named

    def _name(self, at: int, is_raised: bool, in_bar: bool) -> str:
        """One note; where its bar has the leading note, every seventh step in it is that."""
        name = self.names[at]
        return _raised(name) if is_raised or (in_bar and self.degree(at) == 6) else name


def _raised(name: str) -> str:
    step, sign, octave = name[0], name[1:-1], name[-1]
    return f"{step}{sign[:-1] if sign.endswith('b') else sign + '#'}{octave}"


@dataclass(frozen=True, slots=True)
class Range:
    """What a player can be asked to read at sight."""

    low: int
    """Lowest written pitch; middle C is 60."""
    high: int


RANGES: Mapping[str, Range] = MappingProxyType(
    {one.name: Range(one.low, one.high) for one in INSTRUMENTS}
)
"""By the name of the instrument."""


def range_of(instrument: str) -> Range:
    """The range of an instrument. Raises RequestError naming those there are."""
    found = RANGES.get(instrument.strip().casefold())
    if found is None:
        known = ", ".join(RANGES)
        raise RequestError(f"“{instrument}” has no range here", next=f"Choose from {known}.")
    return found
