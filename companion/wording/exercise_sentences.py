"""Exercises in words: one as on a sheet, the student's list, what is due."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from companion.click.plan.click_settings import ClickSettings
from companion.click.words.tempo_words import tempo_in_words
from companion.exercise.assignment import Assignment
from companion.exercise.drill_goal import GoalProgress, GoalState, Target, target_of
from companion.exercise.drill_on_score import DrillOnScore, tempo_of_drill
from companion.exercise.file.exercise import Exercise, ExerciseDrill
from companion.practice.attempt import Outcome
from companion.session.assigned_exercises import Assigned
from companion.session.open_exercise import CheckedExercise, Taken
from companion.session.open_score import OpenScore
from companion.wording.phrases import (
    bpm_told,
    counted,
    day_told,
    passage_told,
    tempo_told,
    times_told,
)
from companion.wording.score_sentences import bar_span_told, conflict_told


def exercise_told(checked: CheckedExercise) -> Iterator[str]:
    """Everything an exercise says, and what pulls in its bars."""
    exercise = checked.file.exercise
    yield exercise.title
    if heading := _heading(exercise):
        yield heading
    if exercise.instructions:
        yield from ("", *exercise.instructions.split("\n"))
    for on_score in checked.drills:
        yield ""
        yield from _drill(on_score, checked.open_score(on_score.number))


def _heading(exercise: Exercise) -> str:
    pieces = (
        f"for {exercise.whom}" if exercise.whom else "",
        f"due {day_told(exercise.due)}" if exercise.due else "",
        f"level {exercise.level}" if exercise.level else "",
    )
    return " · ".join(filter(None, pieces))


def _drill(on_score: DrillOnScore, open_score: OpenScore) -> Iterator[str]:
    drill, passage = on_score.drill, on_score.passage
    source = f" of {drill.score}" if drill.score else ""
    title = f"{drill.title}: " if drill.title else ""
    bars = bar_span_told(open_score, passage.first, passage.last)
    yield f"{on_score.number}  {title}{passage.part_name}, {bars}{source}"
    for line in drill.pattern.strip("\n").split("\n") if drill.pattern else ():
        yield f"   | {line}"
    target = target_of(on_score)
    yield f"   tempo: {target.beat} = {tempo_in_words(tempo_of_drill(drill, passage))}"
    yield f"   click: {_click(drill)}"
    yield f"   goal: {target_told(target)}"
    if drill.listen:
        yield f"   listen for: {' '.join(drill.listen.split())}"
    if drill.shows:
        yield f"   shows: {', '.join(drill.shows)}"
    for conflict in on_score.conflicts:
        if conflict.first <= passage.last and passage.first <= conflict.last:
            where = bar_span_told(open_score, conflict.first, conflict.last)
            yield f"   {where}: {conflict_told(open_score, conflict)}"


def _click(drill: ExerciseDrill) -> str:
    pieces = [", ".join(drill.layers)]
    if drill.count_in:
        pieces.append(f"{counted(drill.count_in, 'bar')} counted in")
    if drill.repeat:
        pieces.append(f"{times_told(drill.repeat)} through")
    if drill.silences:
        pieces.append(f"silent {', '.join(drill.silences)}")
    return "; ".join([*pieces, *drill.fades])


def taken_told(taken: Taken) -> str:
    """`opened`, and what else can become of an exercise that is opened."""
    return {
        Taken.NEW: "opened",
        Taken.CORRECTED: "corrected, attempts kept",
        Taken.THERE: "in the list already",
    }[taken]


def listing_told(number: int, one: Assigned, today: date) -> Iterator[str]:
    """One exercise of the student's list: a line for it and one for each drill."""
    exercise = one.assignment.exercise
    due = ""
    if exercise.due:
        late = " (overdue)" if one.is_overdue(today) else ""
        due = f" · due {day_told(exercise.due)}{late}"
    version = one.assignment.revision.number
    corrected = f" (version {version})" if version > 1 else ""
    yield f"{number}  {exercise.title}{corrected} · {one.state}{due}"
    for target, progress in zip(one.assignment.targets, one.drills, strict=True):
        yield f"   {_progress(target, progress)}"


def _progress(target: Target, progress: GoalProgress) -> str:
    where = passage_told(target.bars, target.part_name, target.bars_label)
    if progress.state is GoalState.DONE:
        return f"{where}: {target_told(target)}: reached"
    far = [counted(progress.tries, "attempt")] if progress.tries else []
    if progress.fastest is not None:
        far.append(f"so far at {bpm_told(progress.fastest)}")
    if progress.good_days:
        far.append(f"{counted(progress.good_days, 'day')} of {target.days}")
    return f"{where}: {target_told(target)}" + (f": {', '.join(far)}" if far else "")


def target_told(target: Target) -> str:
    """`held at quarter = 72, 3 times on each of 2 days`."""
    tempo = tempo_told(target.beat, target.tempo)
    return goal_told(target.outcome, tempo, target.times, target.days)


def goal_told(outcome: Outcome, tempo: str, times: int, days: int) -> str:
    """The same of a goal whose tempo is told already."""
    told = f"{outcome} at {tempo}"
    often = f" {times_told(times)}" if times > 1 else ""
    spread = f" on each of {days} days" if days > 1 else ""
    return f"{told},{often}{spread}" if often or spread else told


def due_told(one: Assigned, day: date) -> str:
    """`Exercise The ferry: due 21 May 2030, in progress`, on a practice day."""
    due, when = one.assignment.exercise.due, ""
    if due is not None:
        since = "overdue since" if one.is_overdue(day) else "due"
        when = f"{since} {'today' if due == day else day_told(due)}, "
    return f"Exercise {one.assignment.exercise.title}: {when}{one.state}"


def drill_told(assignment: Assignment, number: int, click_settings: ClickSettings) -> str:
    """One drill, from 1, in a line or two: what to do, what to reach, what to listen for.

    `Exercise The ferry 2: quarter = 60 to 72 by 4. Goal: held at quarter = 72, 2 times.`
    """
    drill, target = assignment.exercise.drills[number - 1], assignment.targets[number - 1]
    pieces = [
        f"Exercise {assignment.exercise.named(number)}: "
        f"{target.beat} = {tempo_in_words(click_settings.tempo)}.",
        aim_told(assignment, number),
        f"Change the click yourself: {'; '.join(drill.fades)}." if drill.fades else "",
        f"Repeat it {times_told(drill.repeat)}." if drill.repeat else "",
    ]
    return " ".join(filter(None, pieces))


def aim_told(assignment: Assignment, number: int) -> str:
    """What to reach in a drill, from 1, and what to listen for: kept in sight in the drill."""
    listen = " ".join(assignment.exercise.drills[number - 1].listen.split())
    goal = f"Goal: {target_told(assignment.targets[number - 1])}."
    return f"{goal} Listen for: {listen}" if listen else goal
