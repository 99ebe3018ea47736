"""A goal and its date in one breath: the concert is put down too where the log has none."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from companion.desk.folders import Folders
from companion.desk.goals import dates, goal_for, set_date, set_goal
from companion.desk.stand import Stand
from companion.practice.goal import Goal
from companion.practice.occasion import Kind, Occasion


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
    if by is None:
        return set_goal(folders, wanted)
    occasion = _of_day(folders, by, stand.digest) or set_date(
        folders, Occasion(day=by, kind=what, name=stand.score.title)
    )
    return set_goal(folders, goal_for(stand, part, bars, bpm, occasion))


def _of_day(folders: Folders, day: date, digest: str) -> Occasion | None:
    """The date of a day: the one about this score before one about all."""
    fitting = [one for one in dates(folders) if one.day == day]
    fitting = [one for one in fitting if one.score_digest in ("", digest)]
    return max(fitting, key=lambda one: one.score_digest == digest, default=None)
