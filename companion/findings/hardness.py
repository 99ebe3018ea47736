"""How hard a conflict is for one player: a heuristic, 0 to 100, with its reasons.

No study ranks polyrhythms for chamber players; this number is a convention of ours and is
only good for putting passages in order. It is the sum of five shares, each from 0 to 1:

- **ratio** (30): 1 − 3/s, where s = m + n − gcd(m, n) strokes of the resultant in lowest
  terms; 1/4 for 3 against 2 (4 strokes), 1/2 for 4 against 3, 13/16 for 9 against 8;
- **alone** (25): the share of my strokes that nobody else's coincide with;
- **support** (20): the other side's parts, of all on both sides; only parts that play count,
  and one instrument on both sides (two hands at a piano) once on each;
- **tempo** (20): from the smallest gap between neighbouring strokes of the resultant: 0 from
  500 ms up, 1 from 125 ms down, by octaves in between (250 ms is half). The fastest taps that
  can be kept to a sound are 100–125 ms apart (B. H. Repp, "Rate limits of sensorimotor
  synchronization", Adv. Cogn. Psychol. 2, 2006, 163–181, abstract); subdividing costs more
  than it helps below 200–250 ms (Repp, J. Mot. Behav. 35, 2003, 355–370, abstract);
- **length** (5): one bar 0, eight or more 1, by octaves in between.

Ratio and tempo cost nothing where the sides never really strike off each other's division
(written as meters, one side resting or plain). Without a tempo the other four are scaled up
to 100.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import lcm, log2

from companion.findings.conflicts import Conflict, Side
from companion.findings.heard_conflicts import HeardConflict, Loneliness

WEIGHTS = {"ratio": 30, "alone": 25, "support": 20, "tempo": 20, "length": 5}
SLOW_MS = 500
"""Gaps from here up cost nothing."""
FAST_MS = 125
"""Gaps from here down cost everything: nobody strikes them apart on purpose."""


@dataclass(frozen=True, slots=True)
class Hardness:
    """How hard, and why."""

    score: int
    """0 to 100; heuristic."""
    because: tuple[str, ...]
    """Plain reasons, the weightiest first; none for what costs nothing."""


def hardness(
    conflict: Conflict, sound: HeardConflict, part: str, seconds_per_span: Fraction | None = None
) -> Hardness:
    """How hard the conflict is for one part.

    `sound` is the conflict as it sounds (`sounding.py`); `seconds_per_span` how long the
    span of its level lasts, a felt beat or a bar, None where no tempo is known. 0 for a
    part that rests or is on neither side.
    """
    mine = sound.of(part)
    if mine is None:
        return Hardness(0, ("you are on neither side",))
    if not mine.strokes:
        return Hardness(0, ("you rest here",))
    shares = {
        "ratio": _of_ratio(conflict),
        "alone": _of_alone(mine),
        "support": _of_support(conflict, sound, part),
        "length": _of_length(conflict),
    }
    if seconds_per_span is not None:
        shares["tempo"] = _of_tempo(conflict, seconds_per_span)
    if not sound.pulling:
        shares |= {name: _NOTHING for name in ("ratio", "tempo") if name in shares}
    whole = sum(WEIGHTS[name] for name in shares)
    points = {name: WEIGHTS[name] * share for name, (share, _) in shares.items()}
    order = sorted((name for name in points if points[name]), key=lambda name: -points[name])
    return Hardness(
        round(100 * sum(points.values()) / whole), tuple(shares[name][1] for name in order)
    )


HardnessReason = tuple[float, str]
_NOTHING: HardnessReason = (0.0, "")


def _of_ratio(conflict: Conflict) -> HardnessReason:
    m, n = conflict.ratio
    one, other = (set(side.cuts) for side in conflict.sides)
    strokes = len(one | other) if conflict.sides[0].groups else m + n - 1
    return 1 - 3 / strokes, f"{conflict.against} makes {strokes} different strokes"


def _of_alone(mine: Loneliness) -> HardnessReason:
    fall = "falls" if mine.alone == 1 else "fall"
    return float(mine.share), f"{mine.alone} of your {mine.strokes} notes {fall} alone"


def _of_support(conflict: Conflict, sound: HeardConflict, part: str) -> HardnessReason:
    mine, theirs = conflict.sides if part in conflict.sides[0].parts else conflict.sides[::-1]
    ours, others = _playing(mine, sound) - {part}, _playing(theirs, sound) - {part}
    both = ours & others
    with_me, against = len(ours - both), len(others - both)
    share = (against + len(both)) / (with_me + 1 + against + 2 * len(both))
    if not with_me and not both:
        return share, f"you are alone on your side against {_counted(against)}"
    where = ((with_me, "with you"), (against, "against you"), (len(both), "on both sides"))
    (first, place), *more = [(count, place) for count, place in where if count]
    told = [f"{_counted(first)} {place}", *(f"{count} {place}" for count, place in more)]
    return share, ", ".join(told)


def _playing(side: Side, sound: HeardConflict) -> set[str]:
    """The parts of a side that play; two hands at one instrument may play on both."""
    return {lonely.part for lonely in sound.parts if lonely.strokes and lonely.part in side.parts}


def _counted(parts: int) -> str:
    return "1 part" if parts == 1 else f"{parts} parts"


def _of_tempo(conflict: Conflict, seconds: Fraction) -> HardnessReason:
    """The smallest gap of a resultant is one cell of the common grid."""
    cells = lcm(*(cut.denominator for side in conflict.sides for cut in side.cuts))
    ms = 1000 * float(seconds) / cells
    share = log2(SLOW_MS / ms) / log2(SLOW_MS / FAST_MS)
    tempo = f"at {60 / float(seconds):.3g} beats a minute " if conflict.level == "beat" else ""
    told = f"{tempo}neighbouring strokes are as close as {ms:.0f} ms"
    return min(1.0, max(0.0, share)), told


def _of_length(conflict: Conflict) -> HardnessReason:
    bars = conflict.last - conflict.first + 1
    return min(1.0, log2(bars) / 3), f"it goes on for {bars} bars"
