"""The strokes of a conflict: my side, the other side, and both as one rhythm.

A player needs to hear which side is theirs. Where they take part in a conflict only
such conflicts sound; where they merely listen to one (a trio pulling over a held
note) every stroke of it is *theirs*.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from companion.click.beats import bar_cuts, beat_cuts, is_inside
from companion.rhythm.conflicts import Conflict, Side
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class Sides:
    """The strokes of all conflicts in one bar or more, as clock times, each once."""

    mine: set[Fraction] = field(default_factory=set)
    """Where my side strikes."""
    theirs: set[Fraction] = field(default_factory=set)
    """Where the other side strikes; both sides, where I am on neither."""
    together: set[Fraction] = field(default_factory=set)
    """Where the two sides of one conflict meet."""

    @property
    def resultant(self) -> set[Fraction]:
        """Where anybody strikes."""
        return self.mine | self.theirs


def sides(passage: Passage, conflicts: Sequence[Conflict]) -> Sides:
    """Every stroke of the conflicts in a passage.

    None where barlines travel apart: there no bar is common to two sides.
    """
    found = Sides()
    if not passage.clock.barlines_coincide:
        return found
    for bar in passage.bars:
        for conflict in _heard(passage.part_id, bar.number, conflicts):
            _strike(found, passage, bar.number, conflict)
    return found


def _heard(part: str, bar: int, conflicts: Sequence[Conflict]) -> Sequence[Conflict]:
    live = [conflict for conflict in conflicts if conflict.first <= bar <= conflict.last]
    own = [c for c in live if any(part in side.parts for side in c.sides)]
    return own or live


def _strike(found: Sides, passage: Passage, bar: int, conflict: Conflict) -> None:
    """Add one conflict in one bar, in the beats it sits in.

    A part on both sides (two hands at one instrument) has the side of more notes as its own.
    """
    a, b = (_strokes(passage, bar, conflict, side) for side in conflict.sides)
    found.together.update(a & b)
    me = passage.part_id
    if me in conflict.sides[0].parts:
        found.mine.update(a)
        found.theirs.update(b)
    elif me in conflict.sides[1].parts:
        found.mine.update(b)
        found.theirs.update(a)
    else:
        found.theirs.update(a | b)


def _strokes(passage: Passage, bar: int, conflict: Conflict, side: Side) -> set[Fraction]:
    cut = beat_cuts if conflict.level == "beat" else bar_cuts
    within = conflict.beats_in(bar)
    indices = _indices(passage, side)
    places = {place for index in indices for place in passage.clock.places[index][bar - 1 : bar]}
    return {at for place in places for at in cut(place, side.cuts) if is_inside(place, within, at)}


def _indices(passage: Passage, side: Side) -> Iterator[int]:
    """The parts whose bars a side divides: mine alone where I am on it."""
    named = {passage.part_id} & set(side.parts) or set(side.parts)
    return (i for i, part in enumerate(passage.clock.score.parts) if part.id in named)
