"""Everything the analyses find in a whole score, before anyone asks whose part it is for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from companion.findings.conflicts import Conflict
from companion.findings.doublings import Doubling, SharedRhythm, doublings, shared_rhythms
from companion.findings.figures import figures
from companion.findings.form import Section, large_plan
from companion.findings.grouping import Grouping, groupings
from companion.findings.handed_on import HandedOn, handed_on
from companion.findings.heard_conflicts import HeardConflict, heard_conflicts
from companion.findings.hemiola import Hemiola, hemiolas
from companion.findings.interlock import Interlock, interlocks
from companion.findings.polymeter import Polymeter, polymeters
from companion.findings.returns import Return, returns
from companion.score.clock import Bar
from companion.score.texture import Texture, texture_of
from companion.session.open_score import OpenScore


@dataclass(frozen=True, slots=True)
class Findings:
    """What is found in a score; each kind in order of bars."""

    texture: Texture
    """The score as plain sounds."""
    conflicts: tuple[tuple[Conflict, HeardConflict], ...]
    """Divisions that do not fit, and how much of them sounds."""
    groupings: tuple[Grouping, ...]
    """Figures repeated across the meter."""
    hemiolas: tuple[Hemiola, ...]
    """Threes of two in place of twos of three, and back."""
    polymeters: tuple[Polymeter, ...]
    """Barlines that travel apart."""
    interlocks: tuple[Interlock, ...]
    """Lines that together make one even stream."""
    handed_on: tuple[HandedOn, ...]
    """Figures that pass from part to part."""
    doublings: tuple[Doubling, ...]
    """The same line in unison or octaves."""
    shared_rhythms: tuple[SharedRhythm, ...]
    """The same strikes on different notes."""
    returns: tuple[Return, ...]
    """Passages that come again."""
    plans: tuple[tuple[Section, ...], ...]
    """The large plan of each movement, as the returns in it suggest."""


def find_all(open_score: OpenScore) -> Findings:
    """Analyse a score on the stand."""
    texture = texture_of(open_score.clock)
    known = figures(texture)
    again = returns(texture)
    return Findings(
        texture=texture,
        conflicts=tuple(
            zip(open_score.conflicts, heard_conflicts(open_score.conflicts, texture), strict=True)
        ),
        groupings=groupings(texture, known),
        hemiolas=hemiolas(texture, known),
        polymeters=polymeters(texture),
        interlocks=interlocks(texture),
        handed_on=handed_on(texture),
        doublings=doublings(texture),
        shared_rhythms=shared_rhythms(texture),
        returns=again,
        plans=tuple(
            large_plan(again, first, last) for first, last in _movements(open_score.clock.bars)
        ),
    )


def _movements(bars: Sequence[Bar]) -> Iterator[tuple[int, int]]:
    """First and last bar of each movement."""
    for _, group in groupby(bars, key=lambda bar: bar.movement):
        numbers = [bar.number for bar in group]
        yield numbers[0], numbers[-1]
