"""A goal and its date in one breath: the concert is put down too where the log has none."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

from companion.desk.bars_told import bars_told
from companion.desk.folders import Folders
from companion.desk.goals import dates, goal_for, goals, set_date, set_goal
from companion.desk.score_places import remember_place
from companion.desk.stand import Stand
from companion.desk.telling_attempts import number_told
from companion.errors import RequestError
from companion.practice.bars import Bars
from companion.practice.dates_told import day_told
from companion.practice.goal import Goal
from companion.practice.occasion import Kind, Occasion
from companion.practice.said import Said


def set_goal_by(
    folders: Folders,
    stand: Stand,
    part: str,
    bars: str,
    bpm: Fraction,
    by: date | None,
    what: Kind = Kind.CONCERT,
) -> Goal:
    """Set a passage's goal; on disk when this returns.

    `by` is a day the log has a date for already, or else it becomes one. Raises RequestError
    for a part, bars or a tempo that cannot be meant, before anything is written.
    """
    wanted = goal_for(stand, part, bars, bpm, None)
    remember_place(folders, stand.digest, stand.path)
    if by is None:
        return set_goal(folders, wanted)
    occasion = _of_day(folders, by, stand.digest) or set_date(
        folders, Occasion(day=by, kind=what, name=stand.score.title)
    )
    return set_goal(folders, goal_for(stand, part, bars, bpm, occasion))


def goal_at(folders: Folders, bars: Bars) -> tuple[Goal, date | None] | None:
    """The goal that holds for just these bars, and the day it is for."""
    return next((found for found in goals(folders) if found[0].bars == bars), None)


def give_up_goal(folders: Folders, bars: Bars) -> Goal:
    """Give a goal up; on disk when this returns. Raises RequestError where none is set."""
    found = goal_at(folders, bars)
    if found is None:
        raise RequestError(
            "no goal is set for just these bars", next="See the goals there are: companion goal."
        )
    return set_goal(folders, replace(found[0], is_withdrawn=True, said=Said()))


def goal_told(goal: Goal, by: date | None = None) -> str:
    """`Study: Viola bars 13–16, dotted quarter = 69, by 2 May 2027`."""
    bars = bars_told(goal.bars.first, goal.bars.last, goal.bars_label)
    where = f"{goal.part_name or goal.bars.part_id} {bars}"
    title = f"{goal.score_title}: " if goal.score_title else ""
    until = f", by {day_told(by)}" if by else ""
    return f"{title}{where}, {goal.beat} = {number_told(goal.tempo)}{until}"


def _of_day(folders: Folders, day: date, digest: str) -> Occasion | None:
    """The date of a day: the one about this score before one about all."""
    fitting = [one for one in dates(folders) if one.day == day]
    fitting = [one for one in fitting if one.score_digest in ("", digest)]
    return max(fitting, key=lambda one: one.score_digest == digest, default=None)
