"""Goals and dates, as both faces set them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

from companion.desk.folders import Folders
from companion.desk.stand import Stand
from companion.errors import RequestError
from companion.journal.log import Log
from companion.practice.bars import Bars
from companion.practice.goal import Goal
from companion.practice.occasion import Occasion
from companion.practice.said import Said
from companion.rhythm.meter import note_name
from companion.score.address import find_bars, find_part, span_name
from companion.score.passage import passage

_FEWEST = 4
"""Letters of an id that are enough to name a date by."""


def dates(folders: Folders) -> list[Occasion]:
    """The dates that hold, the earliest first."""
    with Log.read_only(folders.data) as log:
        return log.occasions.now()


def set_date(folders: Folders, occasion: Occasion) -> Occasion:
    """Put a date down, or say anew what one is; on disk when this returns."""
    with Log.open(folders.data) as log:
        return log.occasions.say(replace(occasion, said=Said()))


def date_named(folders: Folders, text: str) -> Occasion:
    """The date of an id's beginning or of a day. Raises RequestError for none and for several."""
    wanted = text.strip().lower()
    found = [
        one
        for one in dates(folders)
        if one.day.isoformat() == wanted or (len(wanted) >= _FEWEST and one.id.startswith(wanted))
    ]
    if len(found) != 1:
        many = f"there are {len(found)} dates" if found else "there is no date"
        raise RequestError(f"{many} named “{text}”", next="See companion log date.")
    return found[0]


def goals(folders: Folders) -> list[tuple[Goal, date | None]]:
    """The goals that hold, each with the day it is for; None for some day."""
    with Log.read_only(folders.data) as log:
        days = {occasion.id: occasion.day for occasion in log.occasions.now()}
        return [(goal, days.get(goal.occasion or "")) for goal in log.goals.now()]


def goal_for(stand: Stand, part: str, bars: str, bpm: Fraction, occasion: Occasion | None) -> Goal:
    """The goal a player words for a score. Raises RequestError for what cannot be meant."""
    index = find_part(stand.score, part)
    first, last = find_bars(stand.clock, bars)
    chosen = passage(stand.clock, index, first, last)
    return Goal(
        bars=Bars(stand.digest, chosen.part_id, first, last),
        tempo=bpm,
        beat=note_name(chosen.beat),
        score_title=stand.score.title,
        part_name=chosen.part_name,
        bars_label=span_name(stand.clock, first, last),
        occasion=occasion.id if occasion else None,
    )


def set_goal(folders: Folders, goal: Goal) -> Goal:
    """Set it, or give it up where it says so; on disk when this returns."""
    with Log.open(folders.data) as log:
        return log.goals.say(goal)
