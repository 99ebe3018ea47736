"""Repeated groups that cross the meter: threes over a four-square bar.

Comparing how parts divide a beat misses them, since every note lies on the common grid;
so they are found as repeated figures (`figures.py`) and given here as a player meets them:
how long the group is, what it pulls against, and when both begin together again. A figure
that regroups whole bars of three as twos is a hemiola (`hemiola.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from companion.findings.figures import Figure, figures
from companion.findings.hemiola import figure_places
from companion.rhythm.meter import Meter, crossed
from companion.score.texture import Texture


class Grouping(Struct, frozen=True, tag=True):
    """A stretch in which some parts repeat a group that does not fit their meter."""

    first: int
    last: int
    parts: tuple[str, ...]
    meter: Meter
    ratio: tuple[int, int]
    """Pulses of the group, and of the span of the meter it pulls against, in lowest terms:
    (3, 4) for three eighths in 2/4. This is a ratio of lengths."""
    pulse: Fraction
    """That pulse, in written quarters."""
    level: str
    """The span it pulls against: `pulse`, `beat`, `half bar` or `bar`."""
    repeats: int
    meets_after: tuple[int, int]
    """(groups, bars) after which a group begins again at the same place of the bar."""
    start: int
    """Grain at which the first group begins."""
    evidence: tuple[str, ...]
    """What repeats: `accent`, `beam`, `low`, `pitch`, `rhythm`, `slur`, in one part or another."""
    is_equal_notes: bool = False
    """Whether every note is a group: equal notes that go across the beats."""


def groupings(texture: Texture, known: Sequence[Figure] | None = None) -> tuple[Grouping, ...]:
    """Every such stretch, in order of bars; `known` are the texture's figures if at hand."""
    together: dict[tuple[int, int, Fraction, Meter], list[Figure]] = {}
    for figure in figures(texture) if known is None else known:
        if not figure_places(figure):
            first, last = texture.bar_at(figure.start).number, texture.bar_at(figure.end - 1).number
            key = (first, last, figure.quarters, figure.run.meter)
            together.setdefault(key, []).append(figure)
    found = [_grouping(*key, alike) for key, alike in together.items()]
    return tuple(sorted(found, key=lambda g: (g.first, g.last, g.parts, g.pulse)))


def _grouping(
    first: int, last: int, length: Fraction, meter: Meter, alike: Sequence[Figure]
) -> Grouping:
    against = crossed(length, meter)
    if against is None:
        raise ValueError(f"a group of {length} quarters does not cross {meter}")
    span, level = against
    ratio, bars = length / span, length / meter.length
    return Grouping(
        first,
        last,
        tuple(dict.fromkeys(figure.part for figure in alike)),
        meter,
        (ratio.numerator, ratio.denominator),
        length / ratio.numerator,
        level,
        min(figure.repeats for figure in alike),
        (bars.denominator, bars.numerator),
        min(figure.start for figure in alike),
        tuple(sorted({what for figure in alike for what in figure.evidence})),
        all(figure.is_equal_notes for figure in alike),
    )
