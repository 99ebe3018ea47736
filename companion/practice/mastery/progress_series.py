"""What became of the practice: plain series for a drawing, a page or a program.

Nothing here draws. A point says what was measured and on which practice day; days without
practice are left out of a curve, and stand in a calendar as nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from companion.practice.mastery.passage_day import PassageDay
from companion.practice.mastery.standing import Standing, state
from companion.practice.mastery.states import MasteryState
from companion.practice.pace import tempo_at

_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class TempoPoint:
    """The tempo of a passage on one practice day."""

    day: date
    tempo: Fraction
    """Felt beats a minute: the fastest that held, else the fastest that was tried."""
    has_held: bool
    is_alone: bool


def tempo_held(days: Iterable[PassageDay], beat: str) -> list[TempoPoint]:
    """Tempo over time, counted in the named beat."""
    return [
        TempoPoint(
            date.fromordinal(day.day),
            tempo_at(day.held or day.tried, beat),
            day.held is not None,
            day.held is not None and day.alone == day.held,
        )
        for day in days
    ]


@dataclass(frozen=True, slots=True)
class Week:
    """Seven days from a Monday (ISO 8601)."""

    monday: date
    minutes: tuple[float, ...]
    """Minutes of practice, Monday to Sunday."""

    @property
    def total(self) -> float:
        """Minutes."""
        return sum(self.minutes)


def practice_calendar(minutes: Mapping[date, float], first: date, last: date) -> list[Week]:
    """The weeks that hold two days, with those between."""
    weeks = []
    monday = first - timedelta(days=first.weekday())
    while monday <= last:
        days = (monday + timedelta(days=number) for number in range(7))
        weeks.append(Week(monday, tuple(minutes.get(day, 0.0) for day in days)))
        monday += _WEEK
    return weeks


def heat(standings: Iterable[Standing], bars: int, today: date) -> list[MasteryState | None]:
    """For each bar of a part, from the first, the state of the passage that covers it.

    Where several do, the one practised last says it; of two of one day the longer. None
    if no passage covers a bar. `standings` are of one part.
    """
    found: list[MasteryState | None] = [None] * bars
    for one in sorted(standings, key=_what_says_more):
        how = state(one, today)
        for index in range(one.bars.first - 1, min(one.bars.last, bars)):
            found[index] = how
    return found


def _what_says_more(one: Standing) -> tuple[int, int]:
    return one.last.day if one.last else 0, one.bars.last - one.bars.first


@dataclass(frozen=True, slots=True)
class BarShare:
    """How much of a part holds."""

    bars: int
    """Bars in which the part plays."""
    with_click: int
    """Of them, bars that hold with the click."""
    alone: int
    """Bars that hold without it, ready ones among them."""
    returns: int
    """Bars that held and need a return."""

    @property
    def holding(self) -> Fraction:
        """The share that holds, with or without the click."""
        return Fraction(self.with_click + self.alone, self.bars) if self.bars else Fraction(0)


def share_that_holds(heats: Sequence[MasteryState | None], played: Sequence[bool]) -> BarShare:
    """Counted in the bars in which the part plays; `played` says which those are."""
    counted = [how for how, plays in zip(heats, played, strict=True) if plays]
    return BarShare(
        bars=len(counted),
        with_click=counted.count(MasteryState.WITH_CLICK),
        alone=counted.count(MasteryState.HOLDS) + counted.count(MasteryState.READY),
        returns=counted.count(MasteryState.RETURN),
    )
