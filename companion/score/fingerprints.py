"""What a part plays in every bar of the score, as values that can be compared across files.

Two editions are two files: their own numbers of ticks, part ids and bar numbers differ
where the music does not. A fingerprint holds only what is played: where in the bar, how
long, which pitch as it sounds, and whether it is tied over. A bar in which the part rests
takes the fingerprint of what the others play there, so that bars of rest are told apart.
"""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction

from companion.score.clock import Clock
from companion.score.model import TIE_STOPS
from companion.score.texture import sounding

Played = tuple[tuple[Fraction, Fraction, int | None, bool], ...]
"""Onset and length in quarters, sounding pitch, and whether it is held over from before."""


def fingerprints(clock: Clock, part: int) -> tuple[Hashable, ...]:
    """One for each bar of the score, in order."""
    own = _played(clock, part)
    if all(own):
        return own
    others = [_played(clock, other) for other in range(len(clock.places)) if other != part]
    return tuple(
        played or ("rest", tuple(column[index] for column in others))
        for index, played in enumerate(own)
    )


def _played(clock: Clock, part: int) -> tuple[Played, ...]:
    return tuple(_bar(clock, part, number) for number in range(len(clock.bars)))


def _bar(clock: Clock, part: int, index: int) -> Played:
    """What the part plays in its own bar at the start of a bar of the score."""
    written, places = clock.score.parts[part], clock.places[part]
    if not places or (clock.barlines_coincide and index >= len(places)):
        return ()
    own = index if clock.barlines_coincide else clock.own_bar_at(part, clock.bars[index].start)
    ticks = clock.score.ticks
    found = [
        (
            Fraction(note.onset, ticks),
            Fraction(note.length, ticks),
            sounding(note.pitch, written.semitones),
            bool(note.tie & TIE_STOPS),
        )
        for note in written.bars[own].notes
        if note.pitch and not note.is_cue
    ]
    return tuple(sorted(found, key=lambda note: (note[0], note[2] or 0, note[1], note[3])))
