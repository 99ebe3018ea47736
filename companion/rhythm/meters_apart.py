"""How two meters that share one bar pull, by what is written alone.

Equal beats are compared by their number; beats of different lengths by where they fall.
"""

from __future__ import annotations

from itertools import accumulate
from math import lcm

from companion.rhythm.division import fit
from companion.rhythm.meter import Meter


def groups_pull(a: Meter, b: Meter) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """The lengths of the beats of two meters sharing one bar, in the longest pulse common to
    all of them, where they fall at different places and some are longer than others: 3+2+3/8
    and 4/4 give (3, 2, 3) and (2, 2, 2, 2). None where those of one are among the other's.
    """
    if a.is_even and b.is_even:
        return None
    shares = [[beat / meter.length for beat in meter.beats] for meter in (a, b)]
    pulses = lcm(*(share.denominator for meter in shares for share in meter))
    groups = [tuple(int(share * pulses) for share in meter) for meter in shares]
    starts = [{0, *accumulate(meter[:-1])} for meter in groups]
    if starts[0] <= starts[1] or starts[1] <= starts[0]:
        return None
    return groups[0], groups[1]


def meters_pull(a: Meter, b: Meter) -> tuple[str, int, int] | None:
    """How two meters sharing one bar pull: (level, division of a, division of b).

    The coarsest span that tells them apart decides: the bar into beats where the numbers
    of beats do not fit, else the beat into pulses. None where everything fits.
    """
    beats_a, beats_b = _counted(a), _counted(b)
    if not fit(beats_a, beats_b):
        return "bar", beats_a, beats_b
    if beats_a == beats_b and a.is_even and b.is_even and not fit(a.divisions[0], b.divisions[0]):
        return "beat", a.divisions[0], b.divisions[0]
    return None


def _counted(meter: Meter) -> int:
    """Beats of the bar; pulses where the beats are unequal and cannot divide it evenly."""
    return len(meter.beats) if meter.is_even else sum(meter.divisions)
