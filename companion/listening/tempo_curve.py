"""The player's own tempo through a take, and by how much each side is off it.

Tempo and sides are found together: if the tempo were drawn through all notes first, a side
that is always late would bend it where that side alone plays, and be called less late.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

_KNOT = 3.0
"""Seconds from one place to the next at which the tempo may turn."""
_STIFFNESS = (1e6, 100.0, 10.0, 1.0)
"""How much the turns of a tempo may cost against the scatter of notes; the take decides."""
_SMALL = 0.04
"""The same for all that a tempo wanders."""
_CAUTION = 1.4
"""How much more each freedom of the curve must explain than by chance (Kim & Gu, J. R. Statist.
Soc. B 66, 2004: generalized cross-validation with this factor does not follow the noise)."""
_FAR = 3.5
"""Standard deviations beyond which a note says less about the tempo."""
_LEAST = 0.004
"""Seconds of scatter that any take is granted."""


@dataclass(frozen=True, slots=True)
class TempoCurve:
    """A tempo that was played."""

    expected: Numbers
    """For each due note, the seconds in the take at which the player's own tempo has the
    reference side's notes."""
    late: Mapping[str, float]
    """Seconds by which each side is later than the reference; negative is earlier."""
    weights: Numbers
    """For each due note, how much it said: 1, less if it stood far off, 0 if it was not used."""
    slowness: float
    """Seconds played for one second due, over the whole."""
    drift: float
    """Change of tempo from the first note to the last as a share: -0.05 is 5 % slower."""


def tempo_curve(
    due: Numbers,
    begun: Numbers,
    sides: Sequence[str],
    runs: NDArray[np.int_],
    reference: str,
) -> TempoCurve:
    """The tempo of a take. `begun` is NaN for notes that must not be used; `runs` numbers the
    stretches without a stop. At least two notes are needed, or it is the tempo of the page."""
    used = np.flatnonzero(~np.isnan(begun))
    names = [name for name in dict.fromkeys(sides) if name != reference]
    of_side = np.array([[float(side == name) for name in names] for side in sides])
    of_side = of_side.reshape(len(due), len(names))
    if len(used) < 2:
        start = float(begun[used[0]] - due[used[0]]) if len(used) else 0.0
        return TempoCurve(due + start, dict.fromkeys(sides, 0.0), np.ones(len(due)), 1.0, 0.0)
    middle, half = float(due[0] + due[-1]) / 2, max(1.0, float(due[-1] - due[0]) / 2)
    place: Numbers = (due - middle) / half
    steady = np.column_stack([_starts(runs), place, place**2])
    turns, bends = _turns(due, runs)
    off: Numbers = begun[used] - due[used]
    whole = np.column_stack([of_side, steady, turns])
    soft: Numbers = np.zeros((whole.shape[1],) * 2)
    # Sides and the steady drift are only held where nothing tells them apart.
    soft += 1e-6 * np.eye(len(soft))
    fits = []
    for stiff in _STIFFNESS:
        soft[-len(bends) :, -len(bends) :] = stiff * bends + _SMALL * np.eye(len(bends))
        fits.append(_robust(whole[used], off, soft))
    best = min(fits, key=lambda fit: fit.doubt)
    weights: Numbers = np.zeros(len(due))
    weights[used] = best.weights
    size = len(names) + steady.shape[1]
    late = {reference: 0.0} | dict(zip(names, best.found.tolist(), strict=False))
    expected: Numbers = due + whole[:, len(names) :] @ best.found[len(names) :]
    plain = _robust(np.column_stack([of_side, steady])[used], off, soft[:size, :size]).found
    first, last = (place[used[n]] for n in (0, -1))
    slopes = [1 + (plain[-2] + 2 * plain[-1] * at) / half for at in (first, last)]
    return TempoCurve(expected, late, weights, sum(slopes) / 2, slopes[0] / slopes[1] - 1)


@dataclass(frozen=True, slots=True)
class _Fit:
    found: Numbers
    weights: Numbers
    doubt: float
    """Generalized cross-validation: what it leaves, against how freely it could follow."""


def _robust(rows: Numbers, off: Numbers, soft: Numbers) -> _Fit:
    """The best fit, in which notes that stand far off weigh little."""
    weights: Numbers = np.ones(len(off))
    found: Numbers = np.zeros(len(soft))
    free = left = np.zeros(0)
    for _ in range(5):
        weighed = rows * weights[:, None]
        normal = weighed.T @ rows
        inverse = np.linalg.inv(normal + soft)
        found, free = inverse @ (weighed.T @ off), inverse @ normal
        left = off - rows @ found
        scatter = max(_LEAST, 1.4826 * float(np.median(np.abs(left))))
        far = _FAR * scatter / np.maximum(np.abs(left), 1e-9)
        weights = np.minimum(1.0, far**2)
    rest = len(off) - _CAUTION * float(np.trace(free))
    doubt = float((weights * left**2).sum()) / rest**2 if rest > 0 else np.inf
    return _Fit(found, weights, doubt)


def _starts(runs: NDArray[np.int_]) -> Numbers:
    """(notes, runs): each run begins when it likes."""
    starts: Numbers = (runs[:, None] == np.unique(runs)).astype(float)
    return starts


def _turns(due: Numbers, runs: NDArray[np.int_]) -> tuple[Numbers, Numbers]:
    """(notes, knots) of straight lines between knots, and (knots, knots) how sharply they turn."""
    columns, costs = [], []
    for run in np.unique(runs):
        own = due[runs == run]
        count = max(2, round(float(own[-1] - own[0]) / _KNOT) + 1)
        knots = np.linspace(own[0], max(own[-1], own[0] + 1e-3), count)
        width = knots[1] - knots[0]
        lines = np.clip(1 - np.abs(due[:, None] - knots) / width, 0, 1)
        columns.append(lines * (runs == run)[:, None])
        bends = np.diff(np.eye(count), 2, axis=0)
        costs.append(bends.T @ bends)
    size = sum(len(cost) for cost in costs)
    whole = np.zeros((size, size))
    at = 0
    for cost in costs:
        whole[at : at + len(cost), at : at + len(cost)] = cost
        at += len(cost)
    return np.column_stack(columns), whole
