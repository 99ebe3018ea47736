"""The pitches of a cue, as *this* player writes them.

A clarinet in A cued from a violin must read what it would itself play; and a cello line
in the violin's clef needs an octave moved before anyone can read it at sight.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from statistics import median

from lxml.etree import _Element

from companion.score.readers.musicxml.text import decimal

LETTERS = "CDEFGAB"
_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_STEPS_OF = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Diatonic steps usual for an interval of 0 to 11 semitones (common practice, no source)."""
_SHARPS = "FCGDAEB"
_NAME = re.compile(r"([A-G])(#*|b*)([\^~]?)(-?\d+)")
_BENT = {"": Fraction(0), "^": Fraction(1, 2), "~": Fraction(-1, 2)}
_ACCIDENTALS = {
    Fraction(-2): "flat-flat",
    Fraction(-3, 2): "three-quarters-flat",
    Fraction(-1): "flat",
    Fraction(-1, 2): "quarter-flat",
    Fraction(0): "natural",
    Fraction(1, 2): "quarter-sharp",
    Fraction(1): "sharp",
    Fraction(3, 2): "three-quarters-sharp",
    Fraction(2): "double-sharp",
}
_TOO_FAR = 11
"""Diatonic steps from the middle line: more than three ledger lines."""
_TREBLE = 7 * 4 + 6
"""B4 on the middle line."""
_NEAR = 6
"""Diatonic steps from the middle line: one ledger line at most."""


@dataclass(frozen=True, slots=True)
class Pitch:
    """A written pitch."""

    step: int
    """Diatonic steps above C0."""
    alter: Fraction
    """Semitones up from the natural note."""

    @property
    def letter(self) -> str:
        """`C` to `B`."""
        return LETTERS[self.step % 7]

    @property
    def octave(self) -> int:
        """4 for the octave from middle C."""
        return self.step // 7

    @property
    def semitones(self) -> Fraction:
        """Above C0."""
        return 12 * self.octave + _SEMITONES[self.step % 7] + self.alter


@dataclass(frozen=True, slots=True)
class Interval:
    """From written to sounding pitch, or between two parts' written pitches."""

    steps: int = 0
    """Diatonic steps up."""
    semitones: int = 0
    """Semitones up."""

    def __sub__(self, other: Interval) -> Interval:
        return Interval(self.steps - other.steps, self.semitones - other.semitones)


def parse_pitch(name: str) -> Pitch:
    """A pitch of the model, such as `F#4`. Raises ValueError if it is none."""
    found = _NAME.fullmatch(name)
    if found is None:
        raise ValueError(f"{name} is not a pitch")
    letter, signs, bent, octave = found.groups()
    alter = signs.count("#") - signs.count("b") + _BENT[bent]
    return Pitch(7 * int(octave) + LETTERS.index(letter), alter)


def transposition(measures: Sequence[_Element | None], bar: int) -> Interval:
    """What is in force in a bar of a part, from written to sounding."""
    for measure in reversed(measures[: bar + 1]):
        for element in measure.iterfind("attributes/transpose") if measure is not None else ():
            octaves = int(decimal(element.findtext("octave-change")) or 0)
            chromatic = int(decimal(element.findtext("chromatic")) or 0)
            diatonic = decimal(element.findtext("diatonic"))
            steps = _usual_steps(chromatic) if diatonic is None else int(diatonic)
            return Interval(steps + 7 * octaves, chromatic + 12 * octaves)
    return Interval()


def _usual_steps(semitones: int) -> int:
    octaves, rest = divmod(abs(semitones), 12)
    steps = 7 * octaves + _STEPS_OF[rest]
    return steps if semitones >= 0 else -steps


def transposed(pitch: Pitch, by: Interval) -> Pitch:
    """The pitch an interval away, respelled where it would need more than a double sign."""
    wanted = pitch.semitones + by.semitones
    step = pitch.step + by.steps
    alter = wanted - Pitch(step, Fraction(0)).semitones
    while abs(alter) > 2:
        step += 1 if alter > 0 else -1
        alter = wanted - Pitch(step, Fraction(0)).semitones
    return Pitch(step, alter)


def middle_line(measures: Sequence[_Element], bar: int) -> int | None:
    """Diatonic step of the middle line of the top staff in a bar, in treble where no clef is
    written; None if the clef is for no pitches."""
    for measure in reversed(measures[: bar + 1]):
        clefs = [
            clef for clef in measure.iterfind("attributes/clef") if clef.get("number", "1") == "1"
        ]
        if clefs:
            return _middle(clefs[0])
    return _TREBLE


def _middle(clef: _Element) -> int | None:
    sign = clef.findtext("sign")
    known = {"G": (7 * 4 + 4, 2), "F": (7 * 3 + 3, 4), "C": (7 * 4, 3)}
    if sign not in known:
        return None
    step, usual = known[sign]
    line = int(decimal(clef.findtext("line")) or usual)
    octaves = int(decimal(clef.findtext("clef-octave-change")) or 0)
    return step + 2 * (3 - line) + 7 * octaves


def octaves_to_read(steps: Sequence[int], middle: int | None) -> int:
    """By how many octaves a line must be moved to be read at sight; 0 if it can be."""
    if middle is None or not steps:
        return 0
    away = median(steps) - middle
    if abs(away) < _TOO_FAR:
        return 0
    octaves = ceil((abs(away) - _NEAR) / 7)
    return octaves if away < 0 else -octaves


class Accidentals:
    """Which accidentals are needed within one bar."""

    def __init__(self, fifths: int) -> None:
        count = min(abs(fifths), 7)
        altered = _SHARPS[:count] if fifths > 0 else _SHARPS[::-1][:count]
        self._key = {letter: Fraction(1 if fifths > 0 else -1) for letter in altered}
        self._said: dict[int, Fraction] = {}

    def needed(self, pitch: Pitch) -> str | None:
        """The accidental a note needs here, by MusicXML's name."""
        now = self._said.get(pitch.step, self._key.get(pitch.letter, Fraction(0)))
        self._said[pitch.step] = pitch.alter
        return None if pitch.alter == now else _ACCIDENTALS.get(pitch.alter)
