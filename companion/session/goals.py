"""Goals and dates, as both faces set them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.files.score_paths import remember_place
from companion.journal.log import Log
from companion.practice.attempt import Bars
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import Revision
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import parse_bpm
from companion.score.bar_numbers import find_bars, span_name
from companion.score.passage import passage
from companion.session.open_score import OpenScore, part_meant
from companion.session.typed_dates import day_to_come

_FEWEST = 4
"""Letters of an id that are enough to name a date by."""


def dates(folders: Folders) -> list[Occasion]:
    """The dates that hold, the earliest first."""
    with Log.read_only(folders.data) as log:
        return log.occasions.current()


def set_date(folders: Folders, occasion: Occasion) -> Occasion:
    """Put a date down, or say again what one is; on disk when this returns."""
    with Log.open(folders.data) as log:
        return log.occasions.add(replace(occasion, revision=Revision()))


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
        days = {occasion.id: occasion.day for occasion in log.occasions.current()}
        return [(goal, days.get(goal.occasion or "")) for goal in log.goals.current()]


def goal_for(
    open_score: OpenScore, part: str, bars: str, bpm: Fraction, occasion: Occasion | None
) -> Goal:
    """The goal a player words for a score. Raises RequestError for what cannot be meant."""
    index = part_meant(open_score, part)
    first, last = find_bars(open_score.clock, bars)
    chosen = passage(open_score.clock, index, first, last)
    return Goal(
        bars=Bars(open_score.digest, chosen.part_id, first, last),
        tempo=bpm,
        beat=note_name(chosen.beat),
        score_title=open_score.score.title,
        part_name=chosen.part_name,
        bars_label=span_name(open_score.clock, first, last),
        occasion=occasion.id if occasion else None,
    )


def set_goal(folders: Folders, goal: Goal) -> Goal:
    """Set it, or give it up where it says so; on disk when this returns."""
    with Log.open(folders.data) as log:
        return log.goals.add(goal)


# A goal and its date in one step: the concert is noted too if the log has none.


@dataclass(frozen=True, slots=True)
class GoalWish:
    """What a player types for a goal."""

    tempo: Fraction | None = None
    """Felt beats a minute; None to remove the goal."""
    by: date | None = None
    what: OccasionKind | None = None
    """What kind of day that is, if it was said."""


NO_GOAL = "none"
"""The word that removes a goal."""


def goal_typed(text: str) -> GoalWish:
    """Read `69`, `69 by thursday`, `69 by 2027-05-02 rehearsal`, or `none`. Raises RequestError,
    also for a day that is over."""
    tempo, _, by = (part.strip() for part in text.partition(" by "))
    if tempo.casefold() in ("", NO_GOAL):
        return GoalWish()
    return goal_by_day(GoalWish(parse_bpm(tempo)), by)


def goal_by_day(wish: GoalWish, text: str) -> GoalWish:
    """The same wish for `thursday` or `2027-05-02 rehearsal`; for no day if that is empty.

    A kind of day that is not typed stays. Raises RequestError.
    """
    day, _, word = text.strip().rpartition(" ")
    if day and word.casefold() in list(OccasionKind):
        return replace(wish, by=day_to_come(day.strip()), what=OccasionKind(word.casefold()))
    if not text.strip():
        return replace(wish, by=None, what=None)
    return replace(wish, by=day_to_come(text.strip()))


def goal_in_words(wish: GoalWish) -> str:
    """The same words back: `69 by 2027-05-02 rehearsal`."""
    if wish.tempo is None:
        return NO_GOAL
    tempo = f"{float(wish.tempo):g}"
    if wish.by is None:
        return tempo
    return f"{tempo} by {wish.by.isoformat()}{f' {wish.what}' if wish.what else ''}"


def set_goal_by(
    folders: Folders,
    open_score: OpenScore,
    part: str,
    bars: str,
    bpm: Fraction,
    by: date | None,
    what: OccasionKind | None = None,
) -> Goal:
    """Set a passage's goal; on disk when this returns.

    `by` is a day the log has a date for already, of the kind `what` if that is said, or else
    it becomes one, a concert if nothing is said. Raises RequestError for a part, bars or a
    tempo that cannot be meant, before anything is written.
    """
    wanted = goal_for(open_score, part, bars, bpm, None)
    remember_place(folders, open_score.digest, open_score.path)
    if by is None:
        return set_goal(folders, wanted)
    occasion = _of_day(folders, by, open_score.digest, what) or set_date(
        folders,
        Occasion(day=by, kind=what or OccasionKind.CONCERT, name=open_score.score.title),
    )
    return set_goal(folders, goal_for(open_score, part, bars, bpm, occasion))


def goal_at(folders: Folders, bars: Bars) -> tuple[Goal, date | None] | None:
    """The goal that holds for just these bars, and the day it is for."""
    return next((found for found in goals(folders) if found[0].bars == bars), None)


def occasion_of(folders: Folders, goal: Goal) -> Occasion | None:
    """The date a goal is for."""
    return next((one for one in dates(folders) if one.id == goal.occasion), None)


def give_up_goal(folders: Folders, bars: Bars) -> Goal:
    """Give a goal up; on disk when this returns. Raises RequestError if none is set."""
    found = goal_at(folders, bars)
    if found is None:
        raise RequestError(
            "no goal is set for just these bars", next="See the goals there are: companion goal."
        )
    return set_goal(folders, replace(found[0], is_withdrawn=True, revision=Revision()))


def bring_back_goal(folders: Folders, goal: Goal) -> Goal:
    """Set a goal again that was given up; on disk when this returns."""
    return set_goal(folders, replace(goal, is_withdrawn=False, revision=Revision()))


def _of_day(folders: Folders, day: date, digest: str, what: OccasionKind | None) -> Occasion | None:
    """The date of a day: the one about this score before one about all."""
    fitting = [one for one in dates(folders) if one.day == day and what in (None, one.kind)]
    fitting = [one for one in fitting if one.score_digest in ("", digest)]
    return max(fitting, key=lambda one: one.score_digest == digest, default=None)
