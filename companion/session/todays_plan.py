"""What today is for, as both faces show it: the plan, what of it is done, and changes to it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import msgspec
from msgspec.structs import replace

from companion.click.plan.tempo_plan import Ladder
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_file, kept_json
from companion.journal.log import Log
from companion.journal.mastery_cache import all_standings, standings_against
from companion.practice.attempt import Bars
from companion.practice.goal import Goal, Occasion
from companion.practice.mastery.standing import Aims, Standing, aims_of, untried
from companion.practice.pace import is_as_fast, pace_of, tempo_at
from companion.practice.plan.day_plan import (
    CARRIED_FOR,
    DayPlan,
    Item,
    carried_over,
    is_covered,
)
from companion.practice.plan.habits import Habits
from companion.practice.plan.planner import plan_for
from companion.practice.practice_day import minutes_a_day, practice_day
from companion.rhythm.meter import note_name
from companion.score.passage import Passage, passage
from companion.session.assigned_exercises import (
    Assigned,
    due_exercises,
    exercise_item,
    unfinished_exercises,
)
from companion.session.open_score import OpenScore, part_meant
from companion.session.starting_tempo import TempoMarks, marked_tempo, tempo_marks
from companion.session.suggested_passages import (
    bars_of_passage,
    hard_bars,
    hardest,
    label_of,
    suggested_passages,
)

_WEEKS = timedelta(days=36)
"""How far back the load of the week is compared."""


@dataclass(frozen=True, slots=True)
class DayRequest:
    """What a player asks of today."""

    minutes: int | None = None
    """None for those of the kept plan, else the usual ones."""
    open_score: OpenScore | None = None
    """The one score to practise; None for all."""
    beside: OpenScore | None = None
    """A score that is open: what is hard in it is planned beside the rest."""
    part: str = ""
    """The part of it, as a player names it; empty for the one that is theirs."""
    is_afresh: bool = False
    """A plan that was kept is made again."""


@dataclass(frozen=True, slots=True)
class Today:
    """A plan and what became of it so far."""

    plan: DayPlan
    done: tuple[bool, ...]
    """For each of its items, whether its passage was attempted today."""
    due: tuple[Assigned, ...] = ()
    """Exercises that are due soon or were before."""


def today(folders: Folders, at: datetime, day_request: DayRequest) -> Today:
    """The plan of the practice day that a moment belongs to.

    One that was kept, unless other minutes, a score or a fresh one is asked for; what was
    skipped that day comes back only in a fresh one. Raises
    CompanionError where the log cannot be read, RequestError for minutes nobody can plan.
    """
    with Log.read_only(folders.data) as log:
        ends = log.day_ends
        day = practice_day(at, ends)
        played = minutes_a_day(log.spans(since=at - _WEEKS), ends)
    standings = all_standings(folders)
    unfinished = unfinished_exercises(folders)
    kept = None if day_request.is_afresh else plan_of(folders, day)
    plan = None if day_request.open_score else kept
    if plan is None or day_request.minutes not in (None, plan.minutes):
        skipped = kept.skipped if kept else ()
        plan = _made(folders, standings, unfinished, day, day_request, played, skipped)
    done = tuple(_is_done(item, standings, day) for item in plan.items)
    return Today(plan, done, tuple(due_exercises(unfinished, day)))


def change_plan(folders: Folders, shown: Today, how: Callable[[DayPlan], DayPlan]) -> Today:
    """The plan changed and kept for its day. Raises CompanionError if it cannot be kept."""
    plan = how(shown.plan)
    keep_plan(folders, plan)
    was_done = {
        item.bars: is_done for item, is_done in zip(shown.plan.items, shown.done, strict=True)
    }
    return Today(plan, tuple(was_done.get(item.bars, False) for item in plan.items), shown.due)


def begin_plan(folders: Folders, shown: Today) -> bool:
    """Keep a plan that is being played from, unless its day has another; whether it is the day's.

    Raises CompanionError if it cannot be kept.
    """
    before = plan_of(folders, date.fromisoformat(shown.plan.day))
    if before is None:
        keep_plan(folders, shown.plan)
    return before in (None, shown.plan)


def _made(
    folders: Folders,
    standings: Sequence[Standing],
    unfinished: Sequence[Assigned],
    day: date,
    day_request: DayRequest,
    played: dict[date, float],
    skipped: Sequence[Item],
) -> DayPlan:
    habits = habits_of(folders)
    left = carried_over(recent_plans(folders, day), _last_days(standings), day)
    if (only := day_request.open_score) is not None:
        standings = [one for one in standings if one.bars.score_digest == only.digest]
    if (open_score := only or day_request.beside) is not None:
        standings = _with_score(
            folders, standings, open_score, day_request.part, day, is_only=only is not None
        )
    return plan_for(
        standings,
        day,
        habits.minutes if day_request.minutes is None else day_request.minutes,
        habits,
        left=left,
        exercises=[exercise_item(one, day, habits.visit) for one in unfinished],
        played=played,
        skipped=skipped,
    )


def _with_score(
    folders: Folders,
    standings: Sequence[Standing],
    open_score: OpenScore,
    part: str,
    day: date,
    *,
    is_only: bool,
) -> list[Standing]:
    """The standings with the passages of the player's part that nobody chose yet.

    What was tried there without a goal is held against the score's mark and its next date.
    """
    if not (part or open_score.choices.part):
        return list(standings)
    index = part_meant(open_score, part)
    own = open_score.score.parts[index].id
    here = (open_score.digest, own)
    mine = [one for one in standings if _part_of(one.bars) == here]
    others = [] if is_only else [one for one in standings if _part_of(one.bars) != here]
    occasion = _next_date(folders, open_score, day)
    marks = tempo_marks(open_score.clock)
    judged = [one for one in mine if one.aims.is_set]
    judged += _by_marks(folders, open_score, index, mine, occasion, marks)
    there = [one.bars for one in judged]
    judged += [
        one
        for one in not_begun(open_score, index, occasion, marks)
        if not any(is_covered(one.bars, by) for by in there)
    ]
    hard = hard_bars(open_score, index)
    return others + [
        replace(one, hardness=hardest(hard, one.bars.first, one.bars.last)) for one in judged
    ]


def _part_of(bars: Bars) -> tuple[str, str]:
    return bars.score_digest, bars.part_id


def _by_marks(
    folders: Folders,
    open_score: OpenScore,
    part: int,
    mine: Sequence[Standing],
    occasion: Occasion | None,
    marks: TempoMarks,
) -> list[Standing]:
    """Those that were tried without a goal, as if the score's own tempo were theirs."""
    aims = {}
    for one in mine:
        if one.aims.is_set or one.bars.last > len(open_score.clock.bars):
            continue
        chosen = passage(open_score.clock, part, one.bars.first, one.bars.last)
        marked = _unset(_marked_goal(open_score, chosen, marks), occasion)
        if is_as_fast(one.aims.goal, marked.goal):
            marked = replace(marked, goal=one.aims.goal)
        aims[one.bars] = marked
    return standings_against(folders, aims) if aims else []


def _next_date(folders: Folders, open_score: OpenScore, day: date) -> Occasion | None:
    """The next date of a score, or of all scores."""
    with Log.read_only(folders.data) as log:
        found = [
            one
            for one in log.occasions.current()
            if one.day >= day
            and one.score_digest in ("", open_score.digest)
            and (one.score_digest or one.name in ("", open_score.score.title))
        ]
    return min(found, key=lambda one: one.day, default=None)


def not_begun(
    open_score: OpenScore, part: int, occasion: Occasion | None, marks: TempoMarks
) -> list[Standing]:
    """The passages of a part as if each had the score's own tempo for a goal, by a date."""
    found = []
    for chosen in suggested_passages(open_score, part):
        goal = _marked_goal(open_score, chosen, marks)
        found.append(untried(goal, _unset(goal, occasion), str(open_score.path)))
    return found


def _marked_goal(open_score: OpenScore, chosen: Passage, marks: TempoMarks) -> Goal:
    return Goal(
        bars=bars_of_passage(open_score, chosen),
        score_title=open_score.score.title,
        part_name=chosen.part_name,
        bars_label=label_of(chosen),
        tempo=marked_tempo(chosen, marks).bpm,
        beat=note_name(chosen.beat),
    )


def _unset(goal: Goal, occasion: Occasion | None) -> Aims:
    """Aims that stand for a goal the player did not set."""
    aims = aims_of(goal, occasion.day, occasion.kind) if occasion else aims_of(goal, None)
    return replace(aims, is_set=False)


def next_item(shown: Today, now: Bars | None = None) -> Item | None:
    """The first passage that was not played today, not the one that is on; None if all were."""
    rows = zip(shown.plan.items, shown.done, strict=True)
    left = [item for item, is_done in rows if item.is_passage and not is_done]
    return next((item for item in left if item.bars != now), None)


def _last_days(standings: Sequence[Standing]) -> list[tuple[Bars, date]]:
    return [(one.bars, date.fromordinal(one.last.day)) for one in standings if one.last]


def _is_done(item: Item, standings: Sequence[Standing], day: date) -> bool:
    bars = item.bars
    if bars is None:
        return False
    return any(
        one.last is not None and one.last.day == day.toordinal() and is_covered(bars, one.bars)
        for one in standings
    )


# A player's habits of practice: one small file, to be edited by hand or by a screen.


def habits_of(folders: Folders) -> Habits:
    """As they were set; the usual ones if nothing was.

    Raises CompanionError naming the file if it cannot be meant.
    """
    place = habits_file(folders)
    content = kept_file(place)
    if content is None:
        return Habits()
    try:
        return msgspec.json.decode(content, type=Habits)
    except msgspec.MsgspecError as problem:
        raise CompanionError(
            f"these habits cannot be read ({problem})",
            where=str(place),
            next="Mend the file, or delete it to begin with the usual ones.",
        ) from None


def set_habits(folders: Folders, habits: Habits) -> None:
    """Keep them. Raises CompanionError if they cannot be written."""
    keep_json(habits_file(folders), habits)


def habits_file(folders: Folders) -> Path:
    """Where they are kept."""
    return folders.data / "habits.json"


# Plans the player began, changed or accepted: one file a practice day.


def keep_plan(folders: Folders, plan: DayPlan) -> None:
    """Keep a plan for its day. Raises CompanionError if it cannot be written."""
    keep_json(_place(folders, date.fromisoformat(plan.day)), plan)


def plan_of(folders: Folders, day: date) -> DayPlan | None:
    """The plan kept for a day; None if there is none that can be read."""
    return kept_json(_place(folders, day), DayPlan)


def recent_plans(folders: Folders, today: date) -> list[DayPlan]:
    """The plans of the days before, as far back as anything is carried over."""
    days = (today - timedelta(days=back) for back in range(1, CARRIED_FOR + 1))
    return [plan for day in days if (plan := plan_of(folders, day)) is not None]


def _place(folders: Folders, day: date) -> Path:
    return folders.data / "plans" / f"{day.isoformat()}.json"


# From an item of a plan to its bars in an opened score, and the tempos to try them at.


def passage_of_item(open_score: OpenScore, item: Item) -> Passage:
    """The bars of an item in the score it is about. Raises CompanionError."""
    bars = item.bars
    ids = [part.id for part in open_score.score.parts]
    if bars is None or bars.score_digest != open_score.digest or bars.part_id not in ids:
        raise CompanionError(
            "this passage is not in this score",
            where=str(open_score.path),
            next="Open the score it was practised in, or make another plan.",
        )
    return passage(open_score.clock, ids.index(bars.part_id), bars.first, bars.last)


def tempo_of_item(chosen: Passage, item: Item) -> Fraction | None:
    """Felt beats a minute the plan asks for, counted in the passage's own beat; None for none."""
    if not item.tempo:
        return None
    pace = pace_of(Fraction(item.tempo), item.beat)
    return tempo_at(pace, note_name(chosen.beat))


def ladder_of_item(chosen: Passage, item: Item) -> Ladder | None:
    """The tempo ladder the plan sets up, counted in the passage's own beat; None for none."""
    start = tempo_of_item(chosen, item)
    if start is None or not item.top:
        return None
    top, step = (
        tempo_at(pace_of(Fraction(words), item.beat), note_name(chosen.beat))
        for words in (item.top, item.step)
    )
    return Ladder(start, top, step)
