"""A melody over a rhythm: mostly by step, a chord note on the beat, a cadence at the end.

The rule of thumb of every sight-reading primer (common practice, no source): a player who
need not think about the notes can think about the rhythm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

from companion.errors import RequestError
from companion.exercise.generator.rhythm_line import RhythmBar, SeededChance
from companion.exercise.pattern.tonality import Tonality, scale

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
    heights = [
        [walk.next(chord, on_beat=value.opens_beat) for value in bar]
        for bar, chord in zip(bars[:-1], chords, strict=False)
    ]
    walk.close(heights)
    home = heights[-1][-1] + walk.way_home(heights[-1][-1])
    heights.append([home] * len(bars[-1]))
    return walk.named(heights)


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


# How high and how low the instruments read: from the lowest open string to the end of first.


@dataclass(frozen=True, slots=True)
class Range:
    """What a player can be asked to read at sight."""

    low: int
    """Lowest sounding pitch; middle C is 60."""
    high: int
    """Highest sounding pitch."""


RANGES: Mapping[str, Range] = MappingProxyType(
    {
        "violin": Range(55, 83),  # G3, the open string, to B5, the fourth finger on E
        "viola": Range(48, 76),  # C3 to E5
        "cello": Range(36, 64),  # C2 to E4, a stretch above the fourth finger on A
    }
)
"""By the name of the instrument."""


def range_of(instrument: str) -> Range:
    """The range of an instrument. Raises RequestError naming those there are."""
    found = RANGES.get(instrument.strip().casefold())
    if found is None:
        known = ", ".join(RANGES)
        raise RequestError(f"“{instrument}” has no range here", next=f"Choose from {known}.")
    return found
