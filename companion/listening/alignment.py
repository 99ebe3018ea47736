"""Which moment of a take each due note is: the best way through all the evidence at once.

A performance keeps to the tempo of the page from note to note, drifts slowly, leaves notes
out and puts others in, begins when it likes, stops, and starts again from a bar. A way
through the notes gains what the take says for each note where the way puts it, and loses by
how much each step deviates from the tempo. It is looked for roughly over the whole take
first, then finely around that, against the tempo which the rough way has shown.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Line = NDArray[np.float32]
"""One number for each frame."""
Times = NDArray[np.float64]

_NEVER = np.float32(-1e9)
_IN_A_ROW = 4
"""Notes that may be left out one after another; more of them are a stop."""
_LEFT_OUT = 0.7
"""What a note that is left out costs. All costs are in units of one clear beginning."""
_STOP = 12.0
"""What it costs to stop, and to begin anew at a bar."""
_NOT_AT_A_BAR = 2.0
"""What it costs to begin anew elsewhere, on top."""
_SPREAD, _SHARE = 0.03, 0.1
"""Seconds, and share of its length, by which a step usually deviates."""
_BAND = 0.35
"""Share of a step (0.1 to 1 s) beyond which it is no step but a stop."""
_LOOSE = 0.05
"""Seconds by which a note is usually off the player's own tempo."""
_APART = 0.03
"""Seconds between two notes at least."""
_MOST_RUNS = 6
"""Runs of a take that are told apart."""
_TAIL = 1.0
"""Seconds for which the last note's sound counts."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a take says for each due note, on a grid of frames."""

    hop: float
    """Seconds from one frame to the next."""
    frames: int
    begins: Callable[[int, int | None], Line]
    """For note n beginning, after note m (None if it is the first that is played)."""
    sounds: Callable[[int], Line]
    """For note n sounding, added up from the first frame."""


@dataclass(frozen=True, slots=True)
class Run:
    """Notes that were played without a stop, some perhaps left out."""

    notes: tuple[int, ...]
    seconds: tuple[float, ...]


def rough_runs(due: Times, evidence: Evidence, starts: Collection[int]) -> list[Run]:
    """The runs of a take. `due` are seconds from the passage's start; a player who has stopped
    goes on at one of the notes `starts`, the beginnings of bars."""
    ways = _Ways(due, evidence, starts)
    ways.extend()
    runs = ways.runs()
    # Each sweep lets one more stop be found.
    for count in range(2, _MOST_RUNS + 1):
        if not ways.allow_stops():
            break
        ways.extend()
        runs = ways.runs()
        if len(runs) < count:
            break
    return runs


@dataclass(slots=True)
class _Ways:
    """The best way that ends with note n in frame t, for every n and t, and where it came from."""

    due: Times
    evidence: Evidence
    starts: Collection[int]
    gain: NDArray[np.float32] = field(init=False)
    from_note: NDArray[np.int32] = field(init=False)
    """-1: the way begins here; from -2 down: it stopped at note -2 - n before."""
    from_frame: NDArray[np.int32] = field(init=False)
    """After a stop: the frame of that note."""
    stopped: Line = field(init=False)
    """What the best way has gained that stopped before a frame; 0 without one."""
    stopped_note: NDArray[np.int32] = field(init=False)
    stopped_frame: NDArray[np.int32] = field(init=False)

    def __post_init__(self) -> None:
        shape = (len(self.due), self.evidence.frames)
        self.gain = np.full(shape, _NEVER, np.float32)
        self.from_note = np.full(shape, -1, np.int32)
        self.from_frame = np.zeros(shape, np.int32)
        self.stopped = np.zeros(shape[1], np.float32)
        self.stopped_note = np.full(shape[1], -1, np.int32)
        self.stopped_frame = np.zeros(shape[1], np.int32)

    def extend(self) -> None:
        """Find the best ways, note after note."""
        for n in range(len(self.due)):
            cost = _STOP if n in self.starts or not n else _STOP + _NOT_AT_A_BAR
            self.gain[n] = self.stopped + self.evidence.begins(n, None) - np.float32(cost)
            self.from_note[n], self.from_frame[n] = self.stopped_note, self.stopped_frame
            for m in range(max(0, n - _IN_A_ROW - 1), n):
                self._step(m, n)

    def _step(self, m: int, n: int) -> None:
        """Ways that go on from note m to note n at about the tempo."""
        frames = self.evidence.frames
        sounds = self.evidence.sounds(m)
        before = self.gain[m] - sounds
        after = self.evidence.begins(n, m) + sounds - np.float32(_LEFT_OUT * (n - m - 1))
        best, made = np.full(frames, _NEVER, np.float32), np.empty(frames, np.float32)
        for shift, cost in zip(*self._shifts(m, n), strict=True):
            np.subtract(before[: frames - shift], cost, out=made[shift:])
            np.maximum(best[shift:], made[shift:], out=best[shift:])
        best += after
        better = best > self.gain[n]
        np.copyto(self.gain[n], best, where=better)
        np.copyto(self.from_note[n], m, where=better)

    def _shifts(self, m: int, n: int) -> tuple[list[int], Line]:
        """The frames that a step from note m to note n may take, and what each costs."""
        hop = self.evidence.hop
        step = float(self.due[n] - self.due[m])
        reach = max(0.1, min(_BAND * step, 1.0))
        last = min(int((step + reach) / hop) + 2, self.evidence.frames)
        shifts = np.arange(max(1, int((step - reach) / hop)), last)
        deviation: Times = shifts.astype(float) * hop - step
        return shifts.tolist(), _step_cost(deviation, step).astype(np.float32)

    def _before(self, m: int, n: int, frame: int) -> int:
        """The frame of note m in the best way that goes from it to note n in this frame."""
        before = self.gain[m] - self.evidence.sounds(m)
        shifts, costs = self._shifts(m, n)
        made = [
            before[frame - s] - c if s <= frame else _NEVER
            for s, c in zip(shifts, costs, strict=True)
        ]
        return frame - shifts[int(np.argmax(made))]

    def allow_stops(self) -> bool:
        """Let ways stop, a quarter of a second or more after their last note began, and begin
        anew; whether that opens anything."""
        rest = max(1, round(0.25 / self.evidence.hop))
        reached = np.maximum.accumulate(np.append(np.float32(0), self.gain.max(axis=0)))[:-rest]
        best = np.concatenate([np.zeros(rest - 1, np.float32), reached])
        if not (best > self.stopped + 1e-3).any():
            return False
        peaks = np.append(np.float32(0), self.gain.max(axis=0))[:-rest]
        newest = np.maximum.accumulate(np.where(peaks >= reached, np.arange(len(peaks)), 0)) - 1
        frames = np.concatenate([np.full(rest - 1, -1), newest]).astype(np.int32)
        notes = self.gain.argmax(axis=0).astype(np.int32)[np.maximum(frames, 0)]
        self.stopped = best
        self.stopped_frame = np.maximum(frames, 0).astype(np.int32)
        self.stopped_note = np.where((frames >= 0) & (best > 0), -2 - notes, -1).astype(np.int32)
        return True

    def runs(self) -> list[Run]:
        """The best way, cut where it stops."""
        tail = round(_TAIL / self.evidence.hop)
        until = np.minimum(np.arange(self.evidence.frames) + tail, self.evidence.frames - 1)
        best, n, frame = -np.inf, 0, 0
        for last in range(len(self.due)):
            sounds = self.evidence.sounds(last)
            ended = self.gain[last] + sounds[until] - sounds
            ended = ended - _LEFT_OUT * min(len(self.due) - 1 - last, 2 * _IN_A_ROW)
            if ended.max() > best:
                best, n, frame = float(ended.max()), last, int(ended.argmax())
        found: list[list[tuple[int, float]]] = [[]]
        while True:
            found[-1].append((n, frame * self.evidence.hop))
            source = int(self.from_note[n, frame])
            if source == -1 or sum(map(len, found)) > self.evidence.frames:
                break
            if source < -1:
                found.append([])
                n, frame = -2 - source, int(self.from_frame[n, frame])
            else:
                n, frame = source, self._before(source, n, frame)
        ordered = [run[::-1] for run in reversed(found)]
        return [Run(tuple(n for n, _ in run), tuple(at for _, at in run)) for run in ordered]


def _step_cost(deviation: Times, step: float) -> Times:
    cost: Times = deviation * (0.5**0.5 / (_SPREAD + _SHARE * step))
    cost *= cost
    return np.minimum(cost, 6.0, out=cost)


# The player's own tempo, drawn through moments that were found.


def own_tempo(due: Times, seconds: Times, width: float = 3.0) -> Callable[[Times], Times]:
    """From due seconds to seconds in the take, along a slowly changing tempo.

    Straight lines through what lies within `width` seconds, each moment weighed by how near
    it is and by how well it agrees with the others.
    """
    off = seconds - due
    weight = np.ones(len(due))
    # Over a long stretch first: near the end, where notes are few, one that is wrong would draw
    # a narrow line to itself.
    for wider in (4, 2, 1, 1):
        left = np.abs(off - _drawn(due, off, weight, due, wider * width))
        weight = 1 / (1 + (left / max(0.01, 2.0 * float(np.median(left)))) ** 2)
    return lambda where: where + _drawn(due, off, weight, where, width)


def _drawn(at: Times, off: Times, weight: Times, where: Times, width: float) -> Times:
    where = np.clip(where, at.min(), at.max())
    near = weight * np.exp(-0.5 * ((where[:, None] - at) / width) ** 2) + 1e-12
    total = near.sum(axis=1)
    centre, mean = (near @ at) / total, (near @ off) / total
    apart = at - centre[:, None]
    slope = (near * apart * (off - mean[:, None])).sum(axis=1)
    # Stiffened a little, so that two or three notes alone make no tempo of their own.
    slope /= (near * apart**2).sum(axis=1) + 0.05 * width**2
    drawn: Times = mean + slope * (where - centre)
    return drawn


# Which of the moments near it each note is.


@dataclass(frozen=True, slots=True)
class Choice:
    """The moments at which one note may have begun; perhaps none."""

    seconds: Times
    begins: Callable[[int | None], Times]
    """For beginning at each of them, after note m (None if it is the first that is played)."""
    sounds: Callable[[Times], Times]
    """For this note sounding up to such moments, added up."""


def fine_moments(expected: Times, choices: Sequence[Choice]) -> list[float | None]:
    """When each note began, None if it was left out.

    A note gains where the take speaks for it. It loses by how far it is off the moment
    expected, and by how much farther than the note before.
    """
    gains: list[Times] = []
    came: list[tuple[NDArray[np.int64], NDArray[np.int64]]] = []
    for n, choice in enumerate(choices):
        off = choice.seconds - expected[n]
        best = choice.begins(None) - _LEFT_OUT * n
        notes, rows = np.full(len(off), -1), np.zeros(len(off), np.int64)
        for m in range(n - 1, max(-1, n - _IN_A_ROW - 2), -1):
            before = choices[m]
            if not (len(off) and len(before.seconds)):
                continue
            total = gains[m] - before.sounds(before.seconds)
            after = before.sounds(choice.seconds) + choice.begins(m) - _LEFT_OUT * (n - m - 1)
            if (total.max() + after <= best).all():
                continue
            step = float(expected[n] - expected[m])
            change = off[:, None] - (before.seconds - expected[m])
            made = total - _step_cost(change, step)
            if choice.seconds[0] < before.seconds[-1] + _APART:
                made[choice.seconds[:, None] < before.seconds + _APART] = _NEVER
            row = made.argmax(axis=1)
            made = made[np.arange(len(off)), row] + after
            better = made > best
            best = np.where(better, made, best)
            notes, rows = np.where(better, m, notes), np.where(better, row, rows)
        gains.append(best - 0.5 * np.minimum((off / _LOOSE) ** 2, 9.0))
        came.append((notes, rows))
    return _back(gains, came, choices)


def _back(
    gains: Sequence[Times],
    came: Sequence[tuple[NDArray[np.int64], NDArray[np.int64]]],
    choices: Sequence[Choice],
) -> list[float | None]:
    count = len(choices)
    best, n, k = -np.inf, -1, 0
    for last, choice in enumerate(choices):
        if len(choice.seconds):
            tail = choice.sounds(choice.seconds + _TAIL) - choice.sounds(choice.seconds)
            ended = gains[last] + tail - _LEFT_OUT * (count - 1 - last)
            if ended.max() > best:
                best, n, k = float(ended.max()), last, int(ended.argmax())
    found: list[float | None] = [None] * count
    while n >= 0:
        found[n] = float(choices[n].seconds[k])
        n, k = int(came[n][0][k]), int(came[n][1][k])
    return found
