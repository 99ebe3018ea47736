"""What one practice day said about one passage, held against its goal.

Judging and planning look at days, not at single times through: twenty tries on one evening
are one piece of evidence. Of a day's tries the first fast one counts most. It shows what
was kept from the days before, while the later ones show what the last minutes did.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

from companion.practice.attempt import Attempt, Outcome
from companion.practice.mastery.states import RISES, Rise, is_alone
from companion.practice.pace import WrittenPace, is_as_fast, pace_of

DayOf = Callable[[datetime], date]
"""Tells the practice day a moment belongs to."""

NEAR_GOAL = Fraction(4, 5)
"""Share of the goal tempo from which a time through tests the passage (common practice)."""


RANK = {outcome: outcome.rank for outcome in Outcome}
"""Thousands of them are asked for."""
_HELD = Outcome.HELD.rank


class PassageDay(Struct, frozen=True, gc=False, array_like=True):
    """One passage on one practice day."""

    day: int
    """The practice day, as a proleptic Gregorian ordinal (`date.toordinal`)."""
    tries: int
    clean: int
    best: int
    """Rank of the best outcome, 1–4."""
    test: int
    """Rank of the first at four fifths of the goal tempo or faster; 0 if all were slower."""
    meets: tuple[bool, ...]
    """For each rise in `RISES`, whether the day counts towards it."""
    has_slipped: bool
    """Whether it failed at its goal or slower, and did not hold at its goal, or failed more
    often than it held: one lucky time through hides nothing."""
    tried: WrittenPace
    """The fastest that was tried."""
    held: WrittenPace | None
    """The fastest that held."""
    alone: WrittenPace | None
    """The fastest that held without the click."""
    failed: WrittenPace | None
    """The slowest that did not hold."""
    seconds: float
    """How long it was practised."""
    first_alone: int = 0
    """Rank of the first at goal tempo or faster without the click; 0 if there was none."""


class _Try(Struct, frozen=True, gc=False):
    """One time through, as far as it matters here."""

    pace: WrittenPace
    rank: int
    is_alone: bool


def passage_days(
    attempts: Iterable[Attempt], goal: WrittenPace, day_of: DayOf
) -> tuple[PassageDay, ...]:
    """The days of one passage in order; `attempts` are in order of time.

    A rhythm that was tapped is not yet played on the instrument: it neither lifts nor lowers.
    """
    by_day: dict[int, list[Attempt]] = {}
    for attempt in attempts:
        if attempt.is_played:
            by_day.setdefault(day_of(attempt.at).toordinal(), []).append(attempt)
    return tuple(_summed_up(day, by_day[day], goal) for day in sorted(by_day))


def _summed_up(day: int, attempts: Sequence[Attempt], goal: WrittenPace) -> PassageDay:
    tries = [_try(attempt) for attempt in attempts]
    clean = [one for one in tries if one.rank >= _HELD]
    failed = [one.pace for one in tries if one.rank < _HELD]
    held = fastest(one.pace for one in clean)
    slowest = min(failed, key=as_number) if failed else None
    near = _near(goal)
    tests = (one.rank for one in tries if is_as_fast(one.pace, near))
    alone = (one.rank for one in tries if one.is_alone and is_as_fast(one.pace, goal))
    has_slipped = (
        slowest is not None
        and is_as_fast(goal, slowest)
        and (not is_as_fast(held, goal) or 2 * len(clean) < len(tries))
    )
    return PassageDay(
        day=day,
        tries=len(tries),
        clean=len(clean),
        best=max(one.rank for one in tries),
        test=next(tests, 0),
        meets=tuple(
            (rise.is_first or not has_slipped) and _meets(rise, tries, goal) for rise in RISES
        ),
        has_slipped=has_slipped,
        tried=fastest(one.pace for one in tries) or goal,
        held=held,
        alone=fastest(one.pace for one in clean if one.is_alone),
        failed=slowest,
        seconds=sum(attempt.seconds for attempt in attempts),
        first_alone=next(alone, 0),
    )


def _try(attempt: Attempt) -> _Try:
    """What was heard decides, if anything was; else the player's word. What was broken off
    before the end did not hold, whatever is said of it."""
    rank = RANK[attempt.counts_as]
    if attempt.repetitions == 0:
        rank = min(rank, _HELD - 1)
    return _Try(pace_of(attempt.tempo, attempt.beat), rank, is_alone(attempt))


def _meets(rise: Rise, tries: Sequence[_Try], goal: WrittenPace) -> bool:
    """Whether a day's tries, in order of time, count towards a rise."""
    fitting = [
        one for one in tries if is_as_fast(one.pace, goal) and (one.is_alone or not rise.is_alone)
    ]
    if rise.is_first:
        fitting = fitting[:1]
    return any(one.rank >= RANK[rise.outcome] for one in fitting)


@lru_cache(maxsize=512)
def _near(goal: WrittenPace) -> WrittenPace:
    """The pace from which a time through tests a passage."""
    return (as_number(goal) * NEAR_GOAL).as_integer_ratio()


def fastest(paces: Iterable[WrittenPace]) -> WrittenPace | None:
    """The fastest of them; None of none."""
    return max(paces, key=as_number, default=None)


@lru_cache(maxsize=4096)
def as_number(pace: WrittenPace) -> Fraction:
    """A pace for sorting: quarters a minute."""
    return Fraction(*pace)
