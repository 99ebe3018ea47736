"""What is due: the notes of a passage, when each should begin and whether that can be heard."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from companion.click.plan.beats import Beat, beats, own_bars
from companion.click.plan.timetable import Pace
from companion.score.passage import Passage
from companion.score.texture import Sound, sounding_notes, texture_of

ON_THE_BEAT, OFF_THE_BEAT = "on the beat", "off the beat"
_DETACHED = {"staccato", "staccatissimo", "spiccato", "tenuto", "detached-legato", "accent"}
"""Marks with which a note under a slur begins anew (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class DueNote:
    """One note, or the notes of a double stop, as the page asks for it."""

    position: int
    """Ordinal bar of the score, from 1."""
    quarters: Fraction
    """Written place in the part's own bar, in quarters after its barline."""
    seconds: Fraction
    """From the beginning of the passage, at the tempo of the click."""
    beat: Fraction
    """Seconds that the felt beat lasts in which it begins."""
    length: Fraction
    """Seconds it is held, ties counted in."""
    pitches: tuple[int, ...]
    """Sounding MIDI keys from the top; empty if unpitched."""
    side: str
    """Which of the groups that are compared it belongs to: `on the beat`, `off the beat`."""
    is_audible: bool = True
    """Whether its beginning can be heard: a repeated pitch under one slur has none."""


def due_notes(passage: Passage, pace: Pace) -> tuple[DueNote, ...]:
    """The notes of the player's part that begin in the passage, in order.

    `pace` is how one time through goes: `plan.timetable.pace(number)`. Grace notes are left
    out: the page gives them no time. What is held from before the passage is left out too.
    """
    texture = texture_of(passage.clock)
    stream = texture.streams[passage.part]
    slurred = _slurred_onto(passage)
    found: list[DueNote] = []
    sounded = ((at * texture.grain, list(chord)) for at, chord in groupby(stream.sounds, _at))
    held_until: tuple[Fraction, tuple[int, ...]] = (Fraction(-1), ())
    every = [beat for place in own_bars(passage) for beat in beats(place)]
    for at, chord in sounded:
        until = at + max(sound.length for sound in chord) * texture.grain
        pitches = tuple(sorted({s.pitch for s in chord if s.pitch is not None}, reverse=True))
        if passage.start <= at < passage.end:
            goes_on = held_until == (at, pitches) and at in slurred
            found.append(_due(passage, pace, every, at, until, pitches, not goes_on))
        held_until = (until, pitches)
    return tuple(found)


def _at(sound: Sound) -> int:
    return sound.at


def _due(
    passage: Passage,
    pace: Pace,
    every: list[Beat],
    at: Fraction,
    until: Fraction,
    pitches: tuple[int, ...],
    is_audible: bool,
) -> DueNote:
    def seconds(time: Fraction) -> Fraction:
        return pace.seconds_at(time - passage.start)

    beat = every[max(0, bisect_right(every, at, key=_begin) - 1)]
    own = passage.clock.own_bar_at(passage.part, at)
    place = passage.clock.places[passage.part][own]
    bar = passage.bars[bisect_right(passage.bars, at, key=lambda bar: bar.start) - 1]
    return DueNote(
        bar.number,
        (at - place.start) / place.pace,
        seconds(at),
        seconds(beat.at + beat.length) - seconds(beat.at),
        seconds(until) - seconds(at),
        pitches,
        ON_THE_BEAT if at == beat.at else OFF_THE_BEAT,
        is_audible,
    )


def _begin(beat: Beat) -> Fraction:
    return beat.at


def _slurred_onto(passage: Passage) -> frozenset[Fraction]:
    """Clock times of notes to which a slur leads from the note before, without a new attack."""
    return frozenset(_led_to(passage))


def _led_to(passage: Passage) -> Iterator[Fraction]:
    clock, part = passage.clock, passage.part
    written = clock.score.parts[part]
    open_slurs = 0
    for number, bar in enumerate(written.bars):
        for note in bar.notes:
            if note.is_rest or note.is_cue or note.in_chord or not sounding_notes(note.pitch, 0):
                continue
            if open_slurs > 0 and not _DETACHED & {*note.marks}:
                yield clock.onset(part, number, note)
            begun, ended = note.marks.count("slur-start"), note.marks.count("slur-stop")
            open_slurs = max(0, open_slurs + begun - ended)
