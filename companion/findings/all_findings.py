"""Everything the analyses find in a whole score, before anyone asks whose part it is for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from companion.findings.conflicts import Conflict
from companion.findings.doublings import Doubling, SharedRhythm, doublings, shared_rhythms
from companion.findings.form import Return, Section, large_plan, returns
from companion.findings.handed_on import HandedOn, handed_on
from companion.findings.heard_conflicts import HeardConflict, heard_conflicts
from companion.findings.interlock import Interlock, interlocks
from companion.findings.periods import Period, periods
from companion.findings.polymeter import Polymeter, polymeters
from companion.score.clock import Bar, Clock
from companion.score.tempo_map import PrintedRates, printed_rates
from companion.score.texture import Texture, texture_of


@dataclass(frozen=True, slots=True)
class Findings:
    """What is found in a score; each kind in order of bars."""

    texture: Texture
    rates: PrintedRates
    """How fast the page says it goes."""
    conflicts: tuple[tuple[Conflict, HeardConflict], ...]
    """Divisions that do not fit, and how much of them sounds."""
    periods: tuple[Period, ...]
    polymeters: tuple[Polymeter, ...]
    interlocks: tuple[Interlock, ...]
    handed_on: tuple[HandedOn, ...]
    doublings: tuple[Doubling, ...]
    shared_rhythms: tuple[SharedRhythm, ...]
    returns: tuple[Return, ...]
    forms: tuple[tuple[Section, ...], ...]
    """The sections of each movement, as the returns in it suggest."""


def find_all(clock: Clock, conflicts: Sequence[Conflict]) -> Findings:
    """Analyse a score laid on its clock; `conflicts` are those of the clock."""
    texture = texture_of(clock)
    again = returns(texture)
    return Findings(
        texture=texture,
        rates=printed_rates(clock),
        conflicts=tuple(zip(conflicts, heard_conflicts(conflicts, texture), strict=True)),
        periods=periods(texture, conflicts),
        polymeters=polymeters(texture),
        interlocks=interlocks(texture),
        handed_on=handed_on(texture),
        doublings=doublings(texture),
        shared_rhythms=shared_rhythms(texture),
        returns=again,
        forms=tuple(large_plan(again, first, last) for first, last in _movements(clock.bars)),
    )


def _movements(bars: Sequence[Bar]) -> Iterator[tuple[int, int]]:
    """First and last bar of each movement."""
    for _, group in groupby(bars, key=lambda bar: bar.movement):
        numbers = [bar.number for bar in group]
        yield numbers[0], numbers[-1]
