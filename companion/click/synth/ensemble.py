"""The other players, audible: a source of sound that reads straight from their notes.

Nothing is rendered ahead. A block asks which notes it meets, and every sample follows from
its own distance to the beginning of its note, so that a passage of any length takes no
memory, another tempo is there at once, and any two ways of cutting the sound into blocks
give the same bits. A note begins on the frame nearest to its exact position.

Loudness is bounded by plain addition: never more than BUDGET of full scale, however many
play, so that there is always room for the click.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial
from math import lcm

import numpy as np
from numpy.typing import NDArray

from companion.click.plan.timbres import ToneName
from companion.click.plan.timetable import COUNTING, Pace
from companion.click.synth.others_notes import OthersNote
from companion.click.synth.render import LiveClick
from companion.click.synth.silence_block import silence
from companion.click.synth.tones import sounded
from companion.click.synth.tuning import A_KEY, A, hertz

_LEVEL = 0.06
"""Peak of a plain note on the A above middle C, as a share of full scale. Three such parts
carry some 8 dB more energy as the ear weighs it (A curve, 125 ms) than a stroke of the
click, which still stands out by its edge."""
BUDGET = 0.30
"""What all notes together may reach."""
_TILT = 0.4
"""Low notes are made stronger by this power of their distance from that A, because small
loudspeakers and the ear favour high ones."""
SPREAD = 0.5
"""How far from the centre the outermost parts sit, as in `LayerSound.place`."""
PASSES_KEPT = 4

Voice = Callable[[int, int, int], NDArray[np.float64]]
"""(length of the note, first sample, count) to samples; peak at most 1, silence outside."""
Instruments = Callable[[OthersNote, float], Voice]
"""The voice for a note that lasts so many seconds."""

_FULL_SCALE = 32767
_TONE_LEVELS = {ToneName.PLUCKED: 1.7, ToneName.BOWED: 1.0, ToneName.PLAIN: 1.0}
"""Peaks that make the three about equally loud (A curve, over the first half second)."""


class Ensemble:
    """Chosen parts of a passage as stereo sound. Immutable; read it from any thread."""

    def __init__(
        self,
        notes: Sequence[OthersNote],
        click: LiveClick,
        *,
        tone: ToneName = ToneName.BOWED,
        a: float = A,
        places: Mapping[int, float] | None = None,
        instruments: Instruments | None = None,
    ) -> None:
        """They follow `click`, time after time and in every tempo.

        `a` is the tuning in hertz; `places` the seat of each part between the ears, −1 to 1;
        `instruments` play instead of the tones.
        """
        self.rate = click.rate
        self.length = click.length
        self._click = click
        self._notes = tuple(notes)
        self._tones = [note.tone or tone for note in self._notes]
        seated = {note.part: (places or {}).get(note.part, 0.0) for note in self._notes}
        self._ears = {
            part: np.array([min(1.0, 1 - seat), min(1.0, 1 + seat)])
            for part, seat in seated.items()
        }
        self._levels = note_levels(self._notes, self._tones if instruments is None else None)
        self._edges = [note.into for note in self._notes]
        self._edges += [note.into + note.length for note in self._notes]
        self._moments = lru_cache(maxsize=PASSES_KEPT)(self._fall)
        self._spans = lru_cache(maxsize=PASSES_KEPT)(self._frames)
        # What takes a while the first time is made here, not in a sound card's thread.
        begins, ends, _ = self._spans(click.plan.timetable.slowest())
        self._voices = [
            _tone_voice(tone, hertz(note.pitch, a), self.rate)
            if instruments is None
            else instruments(note, (end - begin) / self.rate)
            for note, tone, begin, end in zip(self._notes, self._tones, begins, ends, strict=True)
        ]

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from frame `first` on, shape (count, 2)."""
        mixed = silence(count)
        if self._notes and count:
            last = first + count - 1
            on = range(self._click.pass_at(first), self._click.pass_at(last) + 1)
            for number in (number for number in on if number > COUNTING):
                self._add(mixed, number, first)
        samples: NDArray[np.int16] = np.rint(mixed * _FULL_SCALE).astype(np.int16)
        if self.length is not None and first + count > self.length:
            samples[max(0, self.length - first) :] = 0
        return samples

    def _add(self, mixed: NDArray[np.float64], number: int, first: int) -> None:
        begins, ends, longest = self._spans(number)
        last = first + len(mixed)
        met = range(bisect_left(begins, first - longest), bisect_left(begins, last))
        for index in (index for index in met if ends[index] > first):
            begin, end = begins[index], ends[index]
            here = max(begin, first)
            wave = self._voices[index](end - begin, here - begin, min(end, last) - here)
            part = mixed[here - first : here - first + len(wave)]
            part += (wave * self._levels[index])[:, None] * self._ears[self._notes[index].part]

    def _fall(self, pace: Pace) -> Moments:
        return moments(pace, self.rate, self._edges)

    def _frames(self, number: int) -> tuple[list[int], list[int], int]:
        """Where every note begins and ends in one time through, and how long the longest is."""
        timetable = self._click.plan.timetable
        edges = self._moments(timetable.pace(number)).frames(timetable.begin(number) * self.rate)
        begins, ends = edges[: len(self._notes)], edges[len(self._notes) :]
        longest = max((end - begin for begin, end in zip(begins, ends, strict=True)), default=0)
        return begins, ends, longest


def seats(parts: int) -> dict[int, float]:
    """A place between the ears for each of so many parts: the top of the page left."""
    if parts < 2:
        return dict.fromkeys(range(parts), 0.0)
    return {part: SPREAD * (2 * part / (parts - 1) - 1) for part in range(parts)}


@lru_cache(maxsize=512)
def _tone_voice(tone: ToneName, pitch: float, rate: int) -> Voice:
    """A note of a tone at a pitch in hertz; what it is made from is there afterwards."""
    sounded(tone, pitch, rate, rate, 0, 1)
    return partial(sounded, tone, pitch, rate)


def note_levels(notes: Sequence[OthersNote], tones: Sequence[ToneName] | None) -> list[float]:
    """The peak of each note, all of them together within BUDGET at every moment."""
    louder = [1.0] * len(notes) if tones is None else [_TONE_LEVELS[tone] for tone in tones]
    wanted = [
        _LEVEL * note.strength * factor * 2 ** (_TILT * (A_KEY - note.pitch) / 12)
        for note, factor in zip(notes, louder, strict=True)
    ]
    changes = [(note.into, level) for note, level in zip(notes, wanted, strict=True)]
    changes += [
        (note.into + note.length, -level) for note, level in zip(notes, wanted, strict=True)
    ]
    most = now = 0.0
    for _, change in sorted(changes):
        now += change
        most = max(most, now)
    return [level * min(1.0, BUDGET / most) for level in wanted] if most else wanted


# Moments of one time through, made into frames all at once.


@dataclass(frozen=True, slots=True)
class Moments:
    """Clock times after the beginning of a time through, ready to become frames."""

    numerators: tuple[int, ...]
    """Of their frames after it begins."""
    denominator: int
    """Common to all."""

    def frames(self, begin: Fraction) -> list[int]:
        """The nearest frames when it begins at the (exact) frame `begin`; halves to even."""
        whole = lcm(self.denominator, begin.denominator)
        first, factor = begin.numerator * (whole // begin.denominator), whole // self.denominator
        return [_nearest(first + one * factor, whole) for one in self.numerators]


def moments(pace: Pace, rate: int, intos: Sequence[Fraction]) -> Moments:
    """When so many clock times fall in a time through of that pace."""
    exact = [pace.seconds_at(into) * rate for into in intos]
    whole = lcm(*(one.denominator for one in exact))
    return Moments(tuple(one.numerator * (whole // one.denominator) for one in exact), whole)


def _nearest(numerator: int, denominator: int) -> int:
    whole, rest = divmod(2 * numerator + denominator, 2 * denominator)
    return whole - (not rest and whole & 1)
