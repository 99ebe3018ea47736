"""One passage through the years: how it stands, why, and its tempo day by day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from companion.desk.editions import Editions, editions, where_now
from companion.desk.folders import Folders
from companion.desk.standings import attempts_of, day_of, goals_now
from companion.errors import RequestError
from companion.journal.log import Log
from companion.practice.bars import Bars
from companion.practice.day import practice_day
from companion.practice.mastery import Mastery, mastery
from companion.practice.pace import tempo_at
from companion.practice.passage_day import passage_days
from companion.practice.progress import TempoPoint, tempo_held
from companion.practice.standing import Standing, standing, untried


@dataclass(frozen=True, slots=True)
class History:
    """One passage."""

    stands: Standing
    """Where it stands."""
    judged: Mastery
    """Its state today, and why."""
    points: list[TempoPoint]
    """Its tempo on every day it was practised."""
    goal: Fraction | None
    """Its goal in felt beats a minute; None where none is set."""
    today: date
    """The practice day it was judged on."""


def history(folders: Folders, bars: Bars, at: datetime) -> History:
    """A passage of the latest edition, judged on the practice day that a moment belongs to.

    Raises RequestError where it was never tried and has no goal.
    """
    known = editions(folders)
    with Log.read_only(folders.data) as log:
        today = practice_day(at, log.day_ends)
        told = goals_now(log, known).get(bars)
        attempts = attempts_of(log, _sources(log, bars, known), known)
        days_end = day_of(log.day_ends)
    if attempts:
        stands = standing(attempts, told.aims if told else None, days_end)
    elif told:
        stands = untried(told.goal, told.by)
    else:
        raise RequestError(
            f"the log knows nothing of bars {bars.first}–{bars.last} of this part",
            next="Name the bars as they were practised, or set a goal: companion goal.",
        )
    days = passage_days(attempts, stands.aims.goal, days_end)
    goal = tempo_at(stands.aims.goal, stands.aims.beat) if stands.aims.is_set else None
    points = tempo_held(days, stands.aims.beat)
    return History(stands, mastery(stands, today), points, goal, today)


def _sources(log: Log, bars: Bars, known: Editions) -> list[Bars]:
    """The passages of the log that are this one in the latest edition."""
    if not known:
        return [bars]
    return [tried for tried in log.stamps() if where_now(tried, known) == bars]
