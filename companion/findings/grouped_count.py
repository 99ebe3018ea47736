"""Counting aloud where beats are unequal: the pulses both sides share, from 1 in the bar.

An even count (`1 2& 3`) has no place for beats of different lengths; players then count the
pulse and know on which numbers they fall (common practice, no source).
"""

from __future__ import annotations

from itertools import accumulate

from companion.findings.conflicts import Side


def pulses(side: Side) -> str:
    """All pulses of the bar: `1 2 3 4 5 6 7 8`."""
    return " ".join(str(number) for number in range(1, sum(side.groups) + 1))


def on(side: Side) -> str:
    """The pulses its beats fall on: `1, 4 and 6` for 3+2+3."""
    *firsts, last = (str(1 + at) for at in accumulate((0, *side.groups[:-1])))
    return f"{', '.join(firsts)} and {last}" if firsts else last
