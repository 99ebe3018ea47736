"""When each note of the page began in a take, what was left out and what put in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.click.plan.plan import ClickPlan
from companion.errors import CompanionError
from companion.listening.alignment import (
    Choice,
    Evidence,
    Run,
    Times,
    fine_moments,
    own_tempo,
    rough_runs,
)
from companion.listening.attack_shapes import timed_by_shape
from companion.listening.click_removal import without_click
from companion.listening.due_notes import DueNote
from companion.listening.evidence import NoteEvidence
from companion.listening.onset_strength import Array, onset_strength, slower
from companion.listening.take import Take, click_in

_FIT = 0.08
"""Likeness of the due pitches under which a take is of something else; right ones reach 0.2."""
_ENOUGH = 4
"""Notes of a side from which its own lateness is believed."""
_ALIKE, _FAINTLY = 0.4, 0.2
"""Likeness from which the shape of an attack times a note, and from which a note that seemed left
out was played after all. In takes to develop on what was left out reached 0.14."""
_UNEVENLY = 0.01
"""Seconds by which four in five notes stand out as long after they begin to rise as the others, or
the instrument speaks so unevenly that a note without another like it is not told. In takes to
develop on: 2 to 8 ms plucked or slurred, and on violin and viola; 3 to 59 on a bowed cello."""
_APART = 0.06
"""Seconds between a note that is found so and any other."""
_ELSEWHERE = 0.1
"""Seconds by which the shape of an attack may be off what the take says of the note alone."""


class ListeningError(CompanionError):
    """A take cannot be heard."""


@dataclass(frozen=True, slots=True)
class HeardNote:
    """A due note and when it began."""

    note: DueNote
    begun_s: float | None
    """Seconds in the take; None if it was left out or cannot be told."""
    is_certain: bool
    """Whether the take says clearly that it began there, or that it was left out."""


@dataclass(frozen=True, slots=True)
class HeardTake:
    """A take as it was heard."""

    notes: tuple[HeardNote, ...]
    """All that were due. What was played again after a stop counts as it was last played."""
    added: tuple[float, ...]
    """Seconds in the take at which something began that is not on the page."""
    expected: tuple[float, ...]
    """For each note, the seconds in the take at which the player's own tempo has it."""
    stops: tuple[float, ...] = ()
    """Seconds in the take at which the last note before each stop began."""


def hear(take: Take, due: Sequence[DueNote], click: ClickPlan | None = None) -> HeardTake:
    """Hear a recorded take. `click` is what the player may have heard in headphones.

    Raises ListeningError if nothing is due, the take is silent or of other music.
    """
    if not due:
        raise ListeningError("no note begins in these bars", next="Choose other bars.")
    samples, rate = slower(take.samples, take.rate)
    if click is not None:
        samples = without_click(samples, click_in(click, take.rate), rate)
    keys = [key for note in due for key in note.pitches] or [60]
    # A few more to both sides, for notes that are not on the page.
    strength = onset_strength(samples, rate, range(min(keys) - 7, max(keys) + 8))
    evidence = NoteEvidence(strength, due)
    begun, expected, stops = _along(due, evidence.rough(), evidence.choice)
    if evidence.fit(begun) < _FIT:
        raise ListeningError(
            "this take does not sound like these bars", next="Check the part and the bars."
        )
    notes = [
        HeardNote(
            note,
            evidence.sharpened(at) if note.is_audible else None,
            note.is_audible and evidence.is_clear(n, at, expected[n]),
        )
        for n, (note, at) in enumerate(zip(due, begun, strict=True))
    ]
    notes = _by_shape(notes, expected, strength.attacks)
    return HeardTake(tuple(notes), evidence.added(begun), expected, stops)


def _by_shape(
    notes: Sequence[HeardNote], expected: Sequence[float], attacks: Array
) -> list[HeardNote]:
    """The same notes, timed by the shape of their attack if another of the same pitch has it."""
    made = list(notes)
    audible = [n for n, one in enumerate(notes) if one.note.is_audible and one.note.pitches]
    if not audible:
        return made
    begun = np.array([np.nan if (at := notes[n].begun_s) is None else at for n in audible])
    places = np.array([expected[n] for n in audible])
    there = np.flatnonzero(~np.isnan(begun))
    sides = [notes[n].note.side for n in audible]
    places = places + _lateness(sides, there, begun[there] - places[there])
    pitches = [notes[n].note.pitches for n in audible]
    before = np.array([expected[n - 1] if n else -np.inf for n in audible])
    shaped = timed_by_shape(attacks, pitches, places, before, ~np.isnan(begun))
    off = begun - shaped.seconds
    alike = (shaped.likeness > _ALIKE) & ~np.isnan(shaped.seconds)
    clear = np.array([notes[n].is_certain for n in audible])
    both = alike & clear & ~np.isnan(off)
    if both.sum() < _ENOUGH:
        return made
    # From where an attack begins to rise to where it stands out, as a rule.
    rise = float(np.median(off[both]))
    apart = np.abs(off[alike & ~np.isnan(off)] - rise)
    speaks_late = float(np.percentile(apart, 80)) > _UNEVENLY
    faintly = (shaped.likeness > _FAINTLY) & ~np.isnan(shaped.seconds)
    found = alike | (faintly & np.isnan(begun))
    for k, n in enumerate(audible):
        at = float(shaped.seconds[k]) + rise
        if found[k] and _is_there(at, begun, k):
            made[n] = HeardNote(notes[n].note, at, bool(alike[k]))
        elif notes[n].begun_s is not None and speaks_late:
            made[n] = replace(notes[n], is_certain=False)
    return made


def _is_there(at: float, begun: Times, k: int) -> bool:
    """Whether the shape that was found at a moment is note k's, if the notes began so."""
    if np.isnan(begun[k]):
        return float(np.nanmin(np.abs(np.delete(begun, k) - at))) > _APART
    return bool(abs(begun[k] - at) < _ELSEWHERE)


def _along(
    due: Sequence[DueNote], rough: Evidence, choice: Callable[[int, float], Choice]
) -> tuple[list[float | None], tuple[float, ...], tuple[float, ...]]:
    """When each note began, when the player's own tempo has it, and where they stopped."""
    times = np.array([float(note.seconds) for note in due])
    bars = {n for n in range(len(due)) if not n or due[n - 1].position != due[n].position}
    runs = rough_runs(times, rough, bars)
    begun: list[float | None] = [None] * len(due)
    expected = times + runs[0].seconds[0] - times[runs[0].notes[0]]
    for run in runs:
        found, places = _fine(due, times, run, choice)
        for n, at in enumerate(found, run.notes[0]):
            begun[n] = at
        expected[run.notes[0] :] = places
    stops = tuple(run.seconds[-1] for run in runs[:-1])
    return begun, tuple(expected.tolist()), stops


def _fine(
    due: Sequence[DueNote],
    times: Times,
    run: Run,
    choice: Callable[[int, float], Choice],
) -> tuple[list[float | None], Times]:
    """The moments of one run, and the own tempo from its first note to the end of the page."""
    first, last = run.notes[0], run.notes[-1]
    numbers = range(first, last + 1)
    line = own_tempo(times[list(run.notes)], np.array(run.seconds))
    sides = [note.side for note in due[first : last + 1]]
    late = np.zeros(len(numbers))
    found: list[float | None] = []
    for _ in range(3):
        before = found
        places = line(times[first : last + 1])
        choices = [
            _after(choice(n, float(place)), first)
            for n, place in zip(numbers, places + late, strict=True)
        ]
        found = fine_moments(places + late, choices)
        if found == before:
            break
        there = np.array([k for k, at in enumerate(found) if at is not None], np.intp)
        moments = np.array([at for at in found if at is not None])
        line = own_tempo(times[first + there], moments)
        late = _lateness(sides, there, moments - line(times[first + there]))
    return found, line(times[first:])


def _after(choice: Choice, first: int) -> Choice:
    """The same with the notes before it numbered from the run's first."""
    return Choice(
        choice.seconds,
        lambda m: choice.begins(None if m is None else m + first),
        choice.sounds,
    )


def _lateness(sides: Sequence[str], there: NDArray[np.intp], off: Times) -> Times:
    """By how much the side of each note is late as a whole: a habit is no deviation, and must
    not be ironed out."""
    late = np.zeros(len(sides))
    for side in set(sides):
        own = np.array([sides[int(k)] == side for k in there], bool)
        if own.sum() >= _ENOUGH:
            late[[name == side for name in sides]] = float(np.median(off[own]))
    return late
