"""The rhythm of a reading exercise: my side of the ratio, varied, against theirs, steady.

Bar by bar some beats are cut into my number in full, so that the ratio is really there;
between them stand held beats and joined notes, so that it does not merely run.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from random import Random
from typing import TypeVar

from companion.errors import RequestError
from companion.exercise.pattern.notation import quarters_of, usual_time
from companion.rhythm.meter import Meter


@dataclass(frozen=True, slots=True)
class Value:
    """One note of a rhythm."""

    word: str
    """Its value in the short notation."""
    opens_beat: bool
    """Whether it begins a beat, or the bar where the ratio is one of the bar."""
    is_tied: bool = False
    """Whether it is tied to the next."""


RhythmBar = list[Value]


def rhythm(
    meter: Meter, bars: int, count: int, level: str, chance: SeededChance
) -> list[RhythmBar]:
    """So many bars of my side, `count` notes in the beat or in the bar; the last one is held.

    Raises RequestError where that cannot be written.
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
        """Two of them in one note; None where no single note value says it."""
        at = _LETTERS.index(self.letter)
        return EqualNotes(_LETTERS[at - 1], self.dots, self.tuplet) if at else None


def equal_notes(span: Fraction, count: int) -> EqualNotes:
    """One of `count` equal notes in `span` quarters.

    Raises RequestError where they would be shorter than a 32nd, or no tuplet says it.
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


def plain_value(length: Fraction) -> str:
    """The note value of a length with or without a dot; empty where there is none."""
    for letter in _LETTERS:
        for value in (letter, f"{letter}."):
            if quarters_of(value) == length:
                return value
    return ""


def held(length: Fraction) -> list[str]:
    """Note values that together last so long, the longest first, to be tied.

    Raises RequestError where the length is no sum of plain values.
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
