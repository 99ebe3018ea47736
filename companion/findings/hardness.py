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

Ratio and tempo cost nothing if the sides never really strike off each other's division
(written as meters, one side resting or plain). Without a tempo the other four are scaled up
to 100.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import lcm, log2

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict, divided_bar
from companion.findings.heard_conflicts import HeardConflict, PartStrokes
from companion.score.clock import Clock

WEIGHTS = {"ratio": 30, "alone": 25, "support": 20, "tempo": 20, "length": 5}
SLOW_MS = 500
"""Gaps from here up cost nothing."""
FAST_MS = 125
"""Gaps from here down cost everything: nobody strikes them apart on purpose."""


@dataclass(frozen=True, slots=True)
class Hardness:
    """How hard, and the facts it was made of."""

    score: int
    """0 to 100; heuristic."""
    because: tuple[str, ...] = ()
    """The shares that cost something, by their names in WEIGHTS, the weightiest first."""
    mine: PartStrokes | None = None
    """What the part strikes, and how much of it alone; None if it is on neither side."""
    resultant: int = 0
    with_me: int = 0
    """Other parts that play on my side only."""
    against: int = 0
    """Parts that play on the other side only."""
    on_both_sides: int = 0
    seconds_per_span: Fraction | None = None
    smallest_gap: Fraction | None = None
    """Seconds between the closest two strokes of the resultant; None without a tempo."""


def hardness(
    conflict: Conflict, heard: HeardConflict, part: str, seconds_per_span: Fraction | None = None
) -> Hardness:
    """How hard the conflict is for one part.

    `seconds_per_span` is how long the span of its level lasts, a felt beat or a bar; None if
    no tempo is known. 0 for a part that rests or is on neither side.
    """
    mine = heard.of(part)
    if mine is None or not mine.strokes:
        return Hardness(0, mine=mine)
    resultant = _resultant(conflict)
    support = with_me, against, both = _support(conflict, heard, part)
    shares = {
        "ratio": 1 - 3 / resultant,
        "alone": float(mine.share),
        "support": (against + both) / (with_me + 1 + against + 2 * both),
        "length": min(1.0, log2(conflict.last - conflict.first + 1) / 3),
    }
    gap = _smallest_gap(conflict, seconds_per_span) if seconds_per_span is not None else None
    if gap is not None:
        octaves = log2(SLOW_MS / (1000 * float(gap))) / log2(SLOW_MS / FAST_MS)
        shares["tempo"] = min(1.0, max(0.0, octaves))
    if not heard.pulling:
        shares |= {name: 0.0 for name in ("ratio", "tempo") if name in shares}
    points = {name: WEIGHTS[name] * share for name, share in shares.items()}
    because = sorted((name for name in points if points[name]), key=lambda name: -points[name])
    # Without a tempo the shares that are left are scaled up to the whole.
    score = round(100 * sum(points.values()) / sum(WEIGHTS[name] for name in shares))
    return Hardness(score, tuple(because), mine, resultant, *support, seconds_per_span, gap)


def span_of(clock: Clock, conflict: Conflict) -> Fraction:
    """Clock time of the span both sides divide, in the conflict's first bar: a pickup divides the
    full bar. Of unequal beats the shortest it sits in."""
    place = divided_bar(clock, conflict, conflict.first)
    meter = place.meter
    assert meter is not None
    if conflict.level == "bar":
        return meter.length * place.pace
    beats = conflict.beats_in(conflict.first)
    inside = [length for at, length in enumerate(meter.beats, 1) if not beats or at in beats]
    return min(inside) * place.pace


def _resultant(conflict: Conflict) -> int:
    m, n = conflict.ratio
    one, other = (set(side.cuts) for side in conflict.sides)
    return len(one | other) if conflict.sides[0].groups else m + n - 1


def _support(conflict: Conflict, heard: HeardConflict, part: str) -> tuple[int, int, int]:
    """How many other parts play only with this one, only against it, and on both sides."""
    mine, theirs = conflict.sides if part in conflict.sides[0].parts else conflict.sides[::-1]
    ours, others = _playing(mine, heard) - {part}, _playing(theirs, heard) - {part}
    both = ours & others
    return len(ours - both), len(others - both), len(both)


def _playing(side: Side, heard: HeardConflict) -> set[str]:
    """The parts of a side that play; two hands at one instrument may play on both."""
    return {each.part for each in heard.parts if each.strokes and each.part in side.parts}


def _smallest_gap(conflict: Conflict, seconds: Fraction) -> Fraction:
    """The smallest gap of a resultant is one cell of the common grid."""
    return seconds / lcm(*(cut.denominator for side in conflict.sides for cut in side.cuts))
