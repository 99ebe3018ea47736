"""Everything that pulls against the meter in time, in one form: hemiola, grouping, displacement.

A period is what the heads of a part's groups do: they return after a length that does not fit
the meter, or fits it and stands beside it. Each kind is looked for by its own rules
(`hemiola.py`, `grouping.py`, `displacement.py`); this is what a map, a drill or a click needs
to know of any of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from companion.findings.conflicts import Conflict
from companion.findings.displacement import Displacement, displacements
from companion.findings.figures import figures
from companion.findings.grouping import Grouping, groupings
from companion.findings.hemiola import Hemiola, hemiolas, shapes
from companion.rhythm.meter import Meter
from companion.score.cache import kept_or_found
from companion.score.clock import Clock
from companion.score.texture import Texture, texture_of

if TYPE_CHECKING:
    from companion.score.passage import Passage


class Period(Struct, frozen=True):
    """A stretch in which some parts return in a length, or at a place, of their own."""

    kind: str
    """`hemiola`, `grouping` or `displacement`."""
    first: int
    last: int
    parts: tuple[str, ...]
    against: tuple[str, ...]
    """Parts that mark the meter meanwhile, as far as the kind asks for it."""
    meter: Meter
    length: Fraction
    """Quarters from one head to the next."""
    start: int
    """Grain of the first head."""
    evidence: tuple[str, ...]
    source: Hemiola | Grouping | Displacement

    def is_of(self, part: str | None) -> bool:
        """Whether a part plays in it: its groups, or the answers to them."""
        found = self.source
        return part in self.parts or (isinstance(found, Hemiola) and part in found.answering)


def periods(texture: Texture, conflicts: Sequence[Conflict]) -> tuple[Period, ...]:
    """Every period of a score, in order of bars; `conflicts` are those of the same clock."""
    known = figures(texture)
    found = [_of_hemiola(one) for one in hemiolas(texture, known)]
    found += [_of_grouping(one) for one in groupings(texture, known)]
    found += [_of_displacement(one) for one in displacements(texture)]
    kept = (one for one in found if not _is_side_of_conflict(one, conflicts))
    return tuple(sorted(kept, key=lambda one: (one.first, one.last, one.kind, one.parts)))


def periods_of(
    clock: Clock, conflicts: Sequence[Conflict], place: Path | None = None
) -> tuple[Period, ...]:
    """Every period of a laid score; kept in memory for the scores asked for last, and at a place
    in the cache if there is one."""
    return _kept(OneClock(clock, conflicts, place))


class OneClock:
    """A clock by its identity: map, passage and click ask for the same one, and comparing all
    its notes would take as long as looking for periods."""

    def __init__(
        self, clock: Clock, conflicts: Sequence[Conflict], place: Path | None = None
    ) -> None:
        self.clock, self.conflicts, self.place = clock, conflicts, place

    def __hash__(self) -> int:
        return id(self.clock)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, OneClock) and self.clock is other.clock


@lru_cache(maxsize=2)
def _kept(one: OneClock) -> tuple[Period, ...]:
    return kept_or_found(
        one.place, tuple[Period, ...], lambda: periods(texture_of(one.clock), one.conflicts)
    )


def _is_side_of_conflict(period: Period, conflicts: Sequence[Conflict]) -> bool:
    """Whether equal notes across the beats are told as a conflict with other parts already."""
    return (
        period.kind == "grouping"
        and period.evidence == ("rhythm",)
        and any(
            conflict.first <= period.first
            and period.last <= conflict.last
            and any(set(period.parts) <= set(side.parts) for side in conflict.sides)
            for conflict in conflicts
        )
    )


def _of_hemiola(found: Hemiola) -> Period:
    shape = next(shape for shape in shapes(found.meter) if shape.kind == found.kind)
    return Period(
        "hemiola",
        found.first,
        found.last,
        found.parts,
        found.against,
        found.meter,
        found.meter.length * shape.bars / shape.groups,
        found.start,
        found.evidence,
        found,
    )


def _of_grouping(found: Grouping) -> Period:
    return Period(
        "grouping",
        found.first,
        found.last,
        found.parts,
        (),
        found.meter,
        found.ratio[0] * found.pulse,
        found.start,
        found.evidence,
        found,
    )


def _of_displacement(found: Displacement) -> Period:
    return Period(
        "displacement",
        found.first,
        found.last,
        found.parts,
        found.against,
        found.meter,
        found.length,
        found.start,
        found.evidence,
        found,
    )


def heads_in(passage: Passage, found: Sequence[Period]) -> tuple[Fraction, ...]:
    """Clock times in a passage at which groups of its part's periods begin, also of those it
    answers; of all parts' if its own has none there."""
    here = [one for one in found if one.first <= passage.last and passage.first <= one.last]
    own = [one for one in here if one.is_of(passage.part_id)] or here
    if not own:
        return ()
    texture = texture_of(passage.clock)
    times = {at * texture.grain for one in own for at in _heads(texture, one)}
    return tuple(sorted(at for at in times if passage.start <= at < passage.end))


def _heads(texture: Texture, period: Period) -> Iterator[int]:
    """Grains at which the groups of a period begin, up to the end of its last bar."""
    stream = texture.of(period.parts[0])
    run = next((run for run in stream.runs if run.start <= period.start < run.end), None)
    step = period.length * run.quarter if run else Fraction(0)
    if step.denominator > 1 or not step:
        return
    alternates = isinstance(period.source, Hemiola) and period.source.alternates
    for at in range(period.start, texture.bars[period.last - 1].end, int(step)):
        if not alternates or (period.last - texture.bar_at(at).number) % 2 == 0:
            yield at
