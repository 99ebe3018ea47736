"""The student's list: what is assigned, how far it is, and by when."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from os.path import exists
from pathlib import Path

from companion.errors import CompanionError, RequestError
from companion.exercise.assignment import FILES, Assignment, folders_in, read_assignment
from companion.exercise.drill_goal import GoalProgress, GoalState, progress, state_of
from companion.exercise.drill_on_score import FILE_NAME
from companion.exercise.pack import ENDING
from companion.files.folders import Folders
from companion.files.score_paths import as_path
from companion.journal.log import Log
from companion.practice.attempt import now
from companion.practice.pace import pace_of
from companion.practice.plan.day_plan import Cause, Item, ItemKind, Reason
from companion.practice.practice_day import practice_day
from companion.session.open_exercise import find_exercise, student_folder


@dataclass(frozen=True, slots=True)
class Assigned:
    """One exercise of the list."""

    assignment: Assignment
    drills: tuple[GoalProgress, ...]
    state: GoalState

    def is_overdue(self, today: date) -> bool:
        """Whether its day is over and it is not done."""
        due = self.assignment.exercise.due
        return due is not None and due < today and self.state is not GoalState.DONE


@dataclass(frozen=True, slots=True)
class Listing:
    """The whole list."""

    assigned: tuple[Assigned, ...]
    """What is due first comes first; what is due never, by when it was opened, last."""
    problems: tuple[CompanionError, ...]
    """Exercises that cannot be read any more."""
    today: date


def assigned(folders: Folders) -> Listing:
    """Every opened exercise, its state told from the attempts since it was opened.

    Raises CompanionError if the log cannot be read.
    """
    found: list[Assignment] = []
    problems: list[CompanionError] = []
    for folder in folders_in(student_folder(folders)):
        try:
            found.append(read_assignment(folder))
        except CompanionError as problem:
            problems.append(problem)
    with Log.read_only(folders.data) as log:
        listed = [_assigned(one, log) for one in found]
        today = practice_day(now(), log.day_ends)
    listed.sort(key=_in_order)
    return Listing(tuple(listed), tuple(problems), today)


_NEAR = timedelta(days=14)


def unfinished_exercises(folders: Folders) -> list[Assigned]:
    """Those not done, what is due first in front. Raises CompanionError if the log cannot be
    read."""
    return [one for one in assigned(folders).assigned if one.state is not GoalState.DONE]


def due_exercises(unfinished: Iterable[Assigned], day: date) -> list[Assigned]:
    """Those that are due within two weeks of a practice day, or were due before it."""
    return [
        one
        for one in unfinished
        if (due := one.assignment.exercise.due) is not None and due <= day + _NEAR
    ]


def exercise_item(one: Assigned, day: date, minutes: int) -> Item:
    """The next drill of an unfinished exercise as a plan of a practice day has it."""
    number = next(n for n, drill in enumerate(one.drills, 1) if drill.state is not GoalState.DONE)
    target, due = one.assignment.targets[number - 1], one.assignment.exercise.due
    return Item(
        kind=ItemKind.EXERCISE,
        minutes=minutes,
        why=Reason(cause=Cause.ASSIGNED, day=due, pace=pace_of(target.tempo, target.beat)),
        bars=target.bars,
        title=one.assignment.exercise.named(number),
        part_name=target.part_name,
        label=target.bars_label,
        path=str(one.assignment.score_of(number)),
        beat=target.beat,
        exercise=one.assignment.id,
        drill=number,
    )


def assignment_named(folders: Folders, typed: str) -> Assignment:
    """One of the list by its number from 1, its name, or the beginning of its title or id.

    Raises RequestError if it is none or could be several.
    """
    found = _named(folders, typed)
    if len(found) == 1:
        return found[0]
    what = f"“{typed}” could be several exercises" if found else f"“{typed}” is not in the list"
    raise RequestError(what, next="See companion exercise list, and give a number.")


def exercise_file_named(folders: Folders, typed: str) -> Path:
    """The exercise file a person means: a path, an exercise of the list as for
    `assignment_named`, or a built-in one. Raises CompanionError if there is none."""
    if not exists(as_path(typed)):
        found = _named(folders, typed)
        if len(found) > 1:
            return assignment_named(folders, typed).folder  # which refuses
        if found:
            return found[0].folder / FILES / FILE_NAME
    return find_exercise(typed)


def exercise_meant(folders: Folders, typed: str) -> Path | None:
    """The exercise file a person means who may also mean a score: a file of that kind, or an
    exercise by its number, its name or its title in full; None if it is a score.

    Raises CompanionError if it is an exercise by its ending and there is none.
    """
    path = as_path(typed)
    if path.suffix.casefold() in (".toml", ENDING):
        return exercise_file_named(folders, typed)
    if exists(path):
        return None
    wanted = typed.strip().casefold()
    for at, one in enumerate(assigned(folders).assigned, 1):
        own = one.assignment
        if wanted in (str(at), own.name.casefold(), own.exercise.title.casefold()):
            return own.folder / FILES / FILE_NAME
    with suppress(CompanionError):
        return find_exercise(typed)
    return None


def _named(folders: Folders, typed: str) -> list[Assignment]:
    """Those of the list that may be meant; one alone if just one is meant in full."""
    listed = [one.assignment for one in assigned(folders).assigned]
    wanted = typed.strip().casefold()
    if len(wanted) < 9 and wanted.isdecimal() and 1 <= int(wanted) <= len(listed):
        return [listed[int(wanted) - 1]]
    if not wanted:
        return []
    whole = [
        one for one in listed if wanted in (one.exercise.title.casefold(), one.name.casefold())
    ]
    begun = [
        one
        for one in listed
        if one.exercise.title.casefold().startswith(wanted) or one.id.startswith(wanted)
    ]
    return whole if len(whole) == 1 else begun or whole


def _assigned(assignment: Assignment, log: Log) -> Assigned:
    ends = log.day_ends

    def day_of(at: datetime) -> date:
        return practice_day(at, ends)

    digests = {bars.score_digest for one in assignment.targets for bars in one.everywhere}
    tried = [
        attempt
        for digest in sorted(digests)
        for attempt in log.attempts(score_digest=digest)
        if attempt.at >= assignment.opened
    ]
    drills = tuple(progress(target, tried, day_of) for target in assignment.targets)
    return Assigned(assignment, drills, state_of(drills))


def _in_order(one: Assigned) -> tuple[bool, date, float]:
    due = one.assignment.exercise.due
    return one.state is GoalState.DONE, due or date.max, one.assignment.opened.timestamp()
