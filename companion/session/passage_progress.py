"""One passage through the years: where it stands, and its tempo day by day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.editions import Editions, editions, where_now
from companion.journal.log import Log
from companion.journal.mastery_cache import all_standings, attempts_of, day_of, goals_now
from companion.practice.attempt import Bars
from companion.practice.mastery.passage_day import passage_days
from companion.practice.mastery.progress_series import (
    BarShare,
    TempoPoint,
    Week,
    heat,
    practice_calendar,
    share_that_holds,
    tempo_held,
)
from companion.practice.mastery.standing import Standing, standing, state, untried
from companion.practice.mastery.states import MasteryState
from companion.practice.pace import tempo_at
from companion.practice.practice_day import minutes_a_day, practice_day
from companion.score.bar_numbers import bar_name
from companion.session.open_score import OpenScore
from companion.session.suggested_passages import plays


@dataclass(frozen=True, slots=True)
class History:
    """One passage."""

    stands: Standing
    points: list[TempoPoint]
    """Its tempo on every day it was practised."""
    goal: Fraction | None
    """Its goal in felt beats a minute; None if none is set."""
    today: date
    """The practice day it was judged on."""


def passage_history(folders: Folders, bars: Bars, at: datetime) -> History:
    """A passage of the latest edition, judged on the practice day that a moment belongs to.

    Raises RequestError if it was never tried and has no goal.
    """
    known = editions(folders)
    with Log.read_only(folders.data) as log:
        today = practice_day(at, log.day_ends)
        aimed = goals_now(log, known).get(bars)
        attempts = attempts_of(log, _sources(log, bars, known), known)
        days_end = day_of(log.day_ends)
    if attempts:
        stands = standing(attempts, aimed.aims if aimed else None, days_end)
    elif aimed:
        stands = untried(aimed.goal, aimed.aims)
    else:
        raise RequestError(
            "the log knows nothing of these bars of this part",
            next="Name the bars as they were practised, or set a goal: companion goal.",
        )
    days = passage_days(attempts, stands.aims.goal, days_end)
    goal = tempo_at(stands.aims.goal, stands.aims.beat) if stands.aims.is_set else None
    points = tempo_held(days, stands.aims.beat)
    return History(stands, points, goal, today)


def _sources(log: Log, bars: Bars, known: Editions) -> list[Bars]:
    """The passages of the log that are this one in the latest edition."""
    if not known:
        return [bars]
    return [tried for tried in log.stamps() if where_now(tried, known) == bars]


# A whole part bar by bar: what holds, what slips, what was never touched.


@dataclass(frozen=True, slots=True)
class PartProgress:
    """One part of one score."""

    title: str
    part_name: str
    names: tuple[str, ...]
    """How each bar is shown to a player."""
    heat: tuple[MasteryState | None, ...]
    """For each bar the state of the passage that covers it; None for none."""
    plays: tuple[bool, ...]
    """For each bar whether the part strikes a note in it."""
    share: BarShare
    passages: tuple[tuple[Standing, MasteryState], ...]
    """In order, each with its state."""


def part_progress(folders: Folders, open_score: OpenScore, part: int, at: datetime) -> PartProgress:
    """A part on the practice day that a moment belongs to."""
    with Log.read_only(folders.data) as log:
        today = practice_day(at, log.day_ends)
    own = open_score.score.parts[part]
    found = [
        one
        for one in all_standings(folders)
        if (one.bars.score_digest, one.bars.part_id) == (open_score.digest, own.id)
    ]
    heats = heat(found, len(open_score.clock.bars), today)
    struck = tuple(plays(open_score, part, bar.number) for bar in open_score.clock.bars)
    return PartProgress(
        title=open_score.score.title,
        part_name=own.name,
        names=tuple(bar_name(open_score.clock, bar) for bar in open_score.clock.bars),
        heat=tuple(heats),
        plays=struck,
        share=share_that_holds(heats, struck),
        passages=tuple((one, state(one, today)) for one in found),
    )


# Minutes of practice, week by week: attempts and free entries together.


MOST = 156
"""Weeks that are shown at most: three years, which a long log still answers at once."""


def weeks_until(folders: Folders, at: datetime, count: int) -> list[Week]:
    """The last `count` weeks up to the one a moment lies in, the earliest first."""
    with Log.read_only(folders.data) as log:
        ends = log.day_ends
        today = practice_day(at, ends)
        first = monday_of(today) - timedelta(weeks=max(1, min(count, MOST)) - 1)
        since = datetime.combine(first, time(), at.tzinfo) - timedelta(days=1)
        minutes = minutes_a_day(log.spans(since=since), ends)
    return practice_calendar(minutes, first, today)


def monday_of(day: date) -> date:
    """The Monday of a day's week (ISO 8601)."""
    return day - timedelta(days=day.weekday())
