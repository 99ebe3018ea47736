"""From the laid score to plain sounds on one grid, ties counted in and pitches as heard."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from functools import lru_cache
from math import lcm

from companion.rhythm.stream import Sound, Span, Stream, Texture
from companion.score.clock import Clock
from companion.score.model import TIE_STARTS, TIE_STOPS, Note

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCENTS = {"accent", "strong-accent", "stress"}
_STRESSES = {"sf", "sfz", "sffz", "fz", "rf", "rfz", "sfp", "sfpp"}
"""Dynamics that stress one note, as MusicXML names them."""


def texture_of(clock: Clock) -> Texture:
    """Every sound of a score on the common grid."""
    grains = _grains_per_beat(clock)
    bars = tuple(
        Span(
            bar.number,
            _on_grid(bar.start, grains),
            _on_grid(bar.length, grains),
            _on_grid(_lead(clock, index), grains),
        )
        for index, bar in enumerate(clock.bars)
    )
    streams = tuple(_stream(clock, part, grains, bars) for part in range(len(clock.places)))
    return Texture(streams, bars, Fraction(1, grains))


def _grains_per_beat(clock: Clock) -> int:
    """The fewest grains a beat on which every barline and every tick of every part falls."""
    ticks = clock.score.ticks
    denominators = {bar.start.denominator for bar in clock.bars}
    denominators |= {bar.length.denominator for bar in clock.bars}
    for column in clock.places:
        denominators |= {place.start.denominator for place in column}
        denominators |= {place.lead.denominator for place in column}
        denominators |= {(pace / ticks).denominator for pace in {place.pace for place in column}}
    return lcm(*denominators)


def _on_grid(time: Fraction, grains: int) -> int:
    """A clock time in grains; all of them lie on the grid, so whole numbers are enough."""
    return time.numerator * grains // time.denominator


def _lead(clock: Clock, index: int) -> Fraction:
    if not clock.barlines_coincide:
        return Fraction(0)
    return max((c[index].lead for c in clock.places if index < len(c)), default=Fraction(0))


def _stream(clock: Clock, part: int, grains: int, bars: tuple[Span, ...]) -> Stream:
    written = clock.score.parts[part]
    starts = [bar.start for bar in bars]
    sounds: list[list[int]] = []
    facts: list[tuple[int | None, int, bool]] = []
    held: dict[tuple[int | None, int], int] = {}
    for bar, place in zip(written.bars, clock.places[part], strict=True):
        stressed = {m.onset for m in bar.marks if m.kind == "dynamic" and m.text in _STRESSES}
        start = _on_grid(place.start, grains)
        grain = _on_grid(place.pace, grains) // clock.score.ticks
        for note in bar.notes:
            if note.is_rest or note.is_grace or note.is_cue:
                continue
            pitch = sounding(note.pitch, written.semitones)
            at, length = start + note.onset * grain, note.length * grain
            before = held.pop((pitch, at), None) if note.tie & TIE_STOPS else None
            if before is None:
                before = len(sounds)
                sounds.append([at, length])
                accent = note.onset in stressed or _is_accented(note)
                facts.append((pitch, bisect_right(starts, at), accent))
            else:
                sounds[before][1] += length
            if note.tie & TIE_STARTS:
                held[(pitch, at + length)] = before
    made = [Sound(at, length, *fact) for (at, length), fact in zip(sounds, facts, strict=True)]
    made.sort(key=lambda sound: (sound.at, sound.pitch or 0))
    places = clock.places[part]
    return Stream(
        written.id,
        tuple(made),
        tuple(clock.meter_at(part, bar) for bar in clock.bars),
        tuple(
            Span(number, *(_on_grid(at, grains) for at in (p.start, p.length, p.lead)))
            for number, p in enumerate(places, 1)
        ),
        tuple(place.meter for place in places),
    )


@lru_cache(maxsize=4096)
def sounding(pitch: str, semitones: int) -> int | None:
    """The sounding pitch of a written one such as `F#4`, given its part's transposition.

    Middle C is 60; quarter tones count as the semitone below; None where unpitched.
    """
    if pitch == "x":
        return None
    step, rest = pitch[0], pitch[1:]
    alter = rest.count("#") - rest.count("b") - rest.count("~")
    octave = int(rest.lstrip("#b~^"))
    return 12 * (octave + 1) + _STEPS[step] + alter + semitones


def _is_accented(note: Note) -> bool:
    return any(mark in _ACCENTS for mark in note.marks)
