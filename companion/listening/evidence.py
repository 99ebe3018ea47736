"""What a take says for each due note: for its beginning at a moment, and for its sounding."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from companion.listening.alignment import Choice, Evidence, Line, Times
from companion.listening.due_notes import DueNote
from companion.listening.onset_strength import HOP, OnsetStrength

AROUND = 0.18
"""Seconds around the moment expected in which a note is looked for."""
_ROUGHER = 6
"""Frames of the onset strength in one frame of the rough way."""

# In units of one clear beginning; set on the takes of tests/listening/takes.py to develop on.
_RISE, _ATTACK, _SOUND = 0.15, 0.8, 30.0
"""What a rise of one e-fold, an attack e times the usual unrest and a second of the right
sound gain."""
_NOTHING = 0.3
"""What speaks for a beginning where nothing begins."""
_LEAST, _MOST = -1.0, 2.5
"""Bounds of an attack's logarithm."""
_NEAR = 4
"""Frames around a moment in which its attack is looked for."""
_CLEAR, _FAINT = 0.2, 0.14
"""From what gain on a beginning is certain, and the attack it needs: a fainter one is covered by
what still rings, and is seen 15 to 30 ms late."""
_LIKE, _FADED = 0.2, 1.5
"""Likeness of a pitch that sounds, and by how many e-folds it may be weaker than before."""
_ADDED, _AGAIN = 0.8, 1.1
"""What a note that is not on the page must gain, and how much more at the pitch that sounds."""
_HEARD = 0.4
"""What its own sound must gain: a rest of the click does not."""
_APART, _LISTENED = 0.09, 0.12
"""Seconds between an added note and any other, and for how long its sound is compared."""


class NoteEvidence:
    """The onset strength of a take, read note by note."""

    def __init__(self, strength: OnsetStrength, due: Sequence[DueNote]) -> None:
        self._strength, self._due = strength, due
        # The unrest of bow and room, over which an attack must stand out, differs by take.
        unrest = float(np.clip(1.5 * np.percentile(strength.attack, 85), 0.02, 0.1))
        attack = np.log(strength.attack / unrest + 1e-6)
        self._levels_off = unrest * float(np.exp(_MOST))
        self._attack = (_ATTACK * np.clip(attack, _LEAST, _MOST) - _NOTHING).astype(np.float32)
        self._sums = np.cumsum(strength.likeness * np.float32(_SOUND * HOP), axis=1, dtype=float)
        self._begins: dict[tuple[object, ...], Line] = {}
        self._rougher: dict[int, Line] = {}

    def begins(self, n: int, m: int | None) -> Line:
        """(frames): for note n beginning, after note m."""
        note = self._due[n]
        before = self._due[m].pitches if m is not None else ()
        case = (note.pitches, before, note.is_audible)
        if case not in self._begins:
            line = self._attack + np.float32(_RISE) * self._strength.rise_of(note.pitches, before)
            self._begins[case] = line if note.is_audible else np.zeros_like(line)
        return self._begins[case]

    def sounds(self, n: int) -> Times:
        """(frames): for note n sounding, added up."""
        rows = [self._strength.pitches[key] for key in self._due[n].pitches]
        if not rows:
            return np.zeros(self._strength.frames)
        total: Times = self._sums[rows].mean(axis=0)
        return total

    def rough(self) -> Evidence:
        """The same on fewer frames."""
        frames = self._strength.frames // _ROUGHER
        whole = frames * _ROUGHER

        def begins(n: int, m: int | None) -> Line:
            line = self.begins(n, m)
            if id(line) not in self._rougher:
                self._rougher[id(line)] = line[:whole].reshape(-1, _ROUGHER).max(axis=1)
            return self._rougher[id(line)]

        sums = [self.sounds(n)[:whole:_ROUGHER].astype(np.float32) for n in range(len(self._due))]
        return Evidence(HOP * _ROUGHER, frames, begins, lambda n: sums[n])

    def choice(self, n: int, expected: float) -> Choice:
        """The moments near the one expected."""
        last = self._strength.frames - 1
        low = min(last, max(0, int((expected - AROUND) / HOP)))
        frames = np.arange(low, max(low, min(last, int((expected + AROUND) / HOP) + 1)) + 1)
        sums = self.sounds(n)
        return Choice(
            frames.astype(float) * HOP,
            lambda m: self.begins(n, m)[frames].astype(float),
            lambda until: sums[np.rint(until / HOP).astype(int).clip(0, last)],
        )

    def sharpened(self, begun: float | None) -> float | None:
        """The same moment, moved to the peak of a clear attack close by.

        What speaks for a beginning levels off where an attack is strong, so that there the
        tempo alone would decide between neighbouring frames, and iron out who is late.
        """
        if begun is None:
            return None
        attack, frame = self._strength.attack, round(begun / HOP)
        low = max(1, frame - _NEAR)
        near = attack[low : frame + _NEAR + 1]
        if not len(near) or near.max() < self._levels_off:
            return begun
        peak = low + int(near.argmax())
        if not 0 < peak < len(attack) - 1 or attack[peak] < max(attack[peak - 1], attack[peak + 1]):
            return begun
        before, top, after = (float(one) for one in attack[peak - 1 : peak + 2])
        return (peak + (after - before) / (2 * (2 * top - before - after) + 1e-9)) * HOP

    def is_clear(self, n: int, begun: float | None, expected: float) -> bool:
        """Whether the take clearly says that note n began there; or, without a beginning, that it
        was left out. What sounds at its place may have begun unseen, as repeated notes do."""
        if begun is None:
            return not self._sounds_on(n, expected)
        frame = round(begun / HOP)
        here = slice(max(0, frame - 2), frame + 3)
        line = self.begins(n, n - 1 if n else None)[here]
        attack = self._strength.attack[max(0, frame - _NEAR) : frame + _NEAR + 1]
        return bool(line.max(initial=-9) > _CLEAR and attack.max(initial=0) > _FAINT)

    def _sounds_on(self, n: int, expected: float) -> bool:
        """Whether note n sounds where it was expected, no weaker than what was there before."""
        keys, frame = self._due[n].pitches, round(expected / HOP)
        if not keys or not 0 <= frame < self._strength.frames - 30:
            return False
        if self._strength.likeness_of(keys)[frame + 6 : frame + 26].mean() < _LIKE:
            return False
        return self._strength.gained(keys, frame - 12, frame + 30) > -_FADED

    def fit(self, begun: Sequence[float | None]) -> float:
        """How much like the due pitches the take sounds after the notes that were found."""
        found = [0.0]
        for n, at in enumerate(begun):
            if at is not None and self._due[n].pitches:
                first = min(round(at / HOP) + 6, self._strength.frames - 1)
                likeness = self._strength.likeness_of(self._due[n].pitches)
                found.append(float(likeness[first : first + 24].mean()))
        return float(np.median(found))

    def added(self, begun: Sequence[float | None]) -> tuple[float, ...]:
        """Seconds at which something began between the due notes."""
        there = sorted((at, n) for n, at in enumerate(begun) if at is not None)
        found: list[float] = []
        for (at, n), (until, _) in zip(there, [*there[1:], (there[-1][0] + 2, 0)], strict=True):
            found += self._between(n, at, until)
        return tuple(found)

    def _between(self, n: int, since: float, until: float) -> list[float]:
        """Between note n and the next: where another pitch explains the sound much better."""
        strength = self._strength
        frames = np.arange(
            int((since + _APART) / HOP),
            min(strength.frames - round(_LISTENED / HOP) - 1, int((until - _APART) / HOP)),
        )
        if len(frames) < 3:
            return []
        after = np.minimum(frames + round(_LISTENED / HOP), int(until / HOP) - 3)
        before = np.maximum(frames - round(_LISTENED / HOP), int(since / HOP) + 3)
        keys = self._due[n].pitches
        # How much better each key explains the sound than before: some always fits a little.
        sums, own_sums = self._sums[:, [after, frames, before]], self.sounds(n)
        ahead = sums - own_sums[[after, frames, before]]
        begins = _RISE * strength.rises(keys, frames) + self._attack[frames]
        gain = begins + ahead[:, 0] - 2 * ahead[:, 1] + ahead[:, 2]
        gained = sums[:, 0] - sums[:, 1]
        heard = np.minimum(gained, ahead[:, 0] - ahead[:, 1] + _HEARD)
        if len(keys) == 1:
            again = strength.pitches[keys[0]]
            heard[again] = gained[again]
            gain[again] -= _AGAIN
        gain = np.where(heard > _HEARD, gain, -9.0)
        best, columns = gain.argmax(axis=0), np.arange(len(frames))
        return _peaks(gain[best, columns], begins[best, columns], frames)


def _peaks(gain: Times, sudden: Times, frames: NDArray[np.int_]) -> list[float]:
    """Seconds of the most sudden beginnings near the clearest gains, none near another."""
    found: list[float] = []
    apart, spread = round(_APART / HOP), round(_LISTENED / HOP)
    while gain.max() > _ADDED:
        top = int(gain.argmax())
        low = max(0, top - apart // 2)
        k = low + int(sudden[low : low + apart].argmax())
        found.append(float(frames[k] * HOP))
        # One note gains wherever the window that is listened to reaches it.
        gain[max(0, min(top, k) - spread) : max(top, k) + spread] = -9
    return sorted(found)
