"""The way through a page along beginnings that are known: what `hear` does, without sound."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from companion.listening.alignment import Choice, Evidence, Times
from companion.listening.due_notes import DueNote
from companion.listening.evidence import AROUND
from companion.listening.hearing import HeardNote, HeardTake, ListeningError, _along

_UNEVEN = 0.08
"""Seconds by which a note that is played unevenly is off, at most."""
_HOP = 0.02
"""Seconds of a frame of the rough way."""


def hear_beginnings(due: Sequence[DueNote], seconds: Sequence[float]) -> HeardTake:
    """The same from beginnings that are known, in seconds and in order: taps, MIDI notes.

    Raises ListeningError if nothing is due or nothing began.
    """
    if not due or not seconds:
        raise ListeningError("there is nothing to compare", next="Play the bars once.")
    known = np.array(sorted(seconds))
    begun, expected, stops = _along(due, _rough(known), lambda n, at: _choice(known, at))
    begun = _with_nearest(begun, expected, known)
    taken = {at for at in begun if at is not None}
    notes = tuple(HeardNote(*pair, True) for pair in zip(due, begun, strict=True))
    return HeardTake(notes, tuple(float(at) for at in known if at not in taken), expected, stops)


def _with_nearest(
    begun: Sequence[float | None], expected: Sequence[float], known: Times
) -> list[float | None]:
    """What began between the neighbours of a note that seems left out is that note, played
    unevenly."""
    made = list(begun)
    for n, at in enumerate(begun):
        if at is not None:
            continue
        before = max((at for at in made[:n] if at is not None), default=0.0)
        after = min((at for at in made[n + 1 :] if at is not None), default=np.inf)
        near = known[(before < known) & (known < after) & (np.abs(known - expected[n]) < _UNEVEN)]
        if len(near):
            made[n] = float(near[np.abs(near - expected[n]).argmin()])
    return made


def _rough(known: Times) -> Evidence:
    frames = int(known[-1] / _HOP) + round(2 / _HOP)
    line = np.full(frames, -9, np.float32)
    line[np.rint(known / _HOP).astype(int)] = 1
    nothing = np.zeros(frames, np.float32)
    return Evidence(_HOP, frames, lambda n, m: line, lambda n: nothing)


def _choice(known: Times, expected: float) -> Choice:
    near = known[np.abs(known - expected) < AROUND]
    return Choice(near, lambda m: np.ones(len(near)), lambda until: np.zeros(len(until)))
