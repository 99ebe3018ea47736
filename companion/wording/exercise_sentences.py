"""Exercises in words: one as on a sheet, the student's list, what is due."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from textwrap import wrap

from companion.click.plan.click_settings import ClickSettings
from companion.click.words.tempo_words import tempo_in_words
from companion.exercise.assignment import Assignment
from companion.exercise.drill_goal import GoalProgress, GoalState, Target, target_of
from companion.exercise.drill_on_score import DrillOnScore, tempo_of_drill
from companion.exercise.file.exercise import Exercise, ExerciseDrill
from companion.exercise.fitting import Fitting, Move, range_of_exercise
from companion.practice.attempt import Outcome
from companion.session.assigned_exercises import Assigned
from companion.session.open_exercise import CheckedExercise, Taken
from companion.session.open_score import OpenScore
from companion.wording.notes_told import LEGEND as NOTES_LEGEND
from companion.wording.notes_told import notes_told
from companion.wording.phrases import (
    bpm_told,
    counted,
    day_told,
    interval,
    passage_told,
    silences_named,
    tempo_told,
    times_told,
)
from companion.wording.score_sentences import bar_span_told, conflict_told


def exercise_told(checked: CheckedExercise, width: int = 78) -> Iterator[str]:
    """Everything an exercise says, its notes, and what pulls in its bars, in so many columns."""
    for paragraph in heading_told(checked.file.exercise):
        yield from wrap(paragraph, width) or [""]
    for on_score in checked.drills:
        head, *lines = drill_sheet_told(on_score, checked.open_score(on_score.number))
        yield from ("", head)
        yield from notes_told(on_score.passage, on_score.conflicts, width)
        for line in lines:
            yield from wrap(line, width, initial_indent="   ", subsequent_indent="     ")
    yield from ("", NOTES_LEGEND)


def heading_told(exercise: Exercise) -> Iterator[str]:
    """Title, whom it is for, level, range; then the instructions, a paragraph each."""
    yield exercise.title
    pieces = (
        f"for {exercise.whom}" if exercise.whom else "",
        f"due {day_told(exercise.due)}" if exercise.due else "",
        f"level {exercise.level}" if exercise.level else "",
        f"range {range_told(exercise)}" if range_of_exercise(exercise) else "",
    )
    if heading := " · ".join(filter(None, pieces)):
        yield heading
    if exercise.instructions:
        yield from ("", *instructions_told(exercise.instructions))


_ITEM = re.compile(r"\s*(?:[-*+]|(\d{1,3}[.)]))\s+")


def instructions_told(markdown: str) -> list[str]:
    """A teacher's Markdown as plain text, each paragraph and each item on a line."""
    told: list[str] = []
    is_open = False
    for line in markdown.splitlines():
        item = _ITEM.match(line)
        text = re.sub(r"^#{1,6}\s+|\s+#+$", "", line.strip())
        if item:
            text = f"{item[1] or '•'} {line[item.end() :].strip()}"
        text = re.sub(r"(\*\*|__|[*`]|\b_|_\b)(?=\S)(.+?)(?<=\S)\1", r"\2", text)
        if text and is_open and not item and not line.startswith("#"):
            told[-1] += f" {text}"
        else:
            told.append(text)
        is_open = bool(text) and not line.startswith("#")
    return told


def range_told(exercise: Exercise) -> str:
    """`D4–B5`; empty if all is clapped."""
    return "–".join(range_of_exercise(exercise) or ())


def fitting_told(found: Fitting) -> str:
    """How an exercise is played on an instrument: `a fifth lower`, `by octaves`, why not."""
    if found.why_not:
        return f"no: {found.why_not}"
    told = list(dict.fromkeys(map(_move_told, found.moves)))
    if len(told) == 1:
        return told[0]
    is_by_octaves = not any(move.interval.fifths for move in found.moves)
    return "by octaves" if is_by_octaves else "by octaves and fifths"


def _move_told(move: Move) -> str:
    if move.by_string:
        return "string by string"
    return interval(move.interval.semitones) if move.interval.semitones else "as written"


def drill_sheet_told(on_score: DrillOnScore, open_score: OpenScore) -> Iterator[str]:
    """A drill without its notes: what it is called, then how it is practised."""
    drill, passage = on_score.drill, on_score.passage
    source = f" of {drill.score}" if drill.score else ""
    title = f"{drill.title}: " if drill.title else ""
    bars = bar_span_told(open_score, passage.first, passage.last)
    yield f"{on_score.number}  {title}{passage.part_name}, {bars}{source}"
    target = target_of(on_score)
    yield f"tempo: {target.beat} = {tempo_in_words(tempo_of_drill(drill, passage))}"
    yield f"click: {_click(drill)}"
    yield f"goal: {target_told(target)}"
    if drill.listen:
        yield f"listen for: {' '.join(drill.listen.split())}"
    if drill.shows:
        yield f"shows: {', '.join(drill.shows)}"
    for conflict in on_score.conflicts:
        if conflict.first <= passage.last and passage.first <= conflict.last:
            where = bar_span_told(open_score, conflict.first, conflict.last)
            yield f"{where}: {conflict_told(open_score, conflict)}"


def _click(drill: ExerciseDrill) -> str:
    pieces = [", ".join(map(_layer_told, drill.layers))]
    if drill.count_in:
        pieces.append(f"{counted(drill.count_in, 'bar')} counted in")
    if drill.repeat:
        pieces.append(f"{times_told(drill.repeat)} through")
    if drill.silences:
        pieces.append(silences_named(", ".join(drill.silences), "silent "))
    return "; ".join([*pieces, *map(_layer_told, drill.fades)])


def _layer_told(word: str) -> str:
    """A layer in words: `rhythm:Cello` is the rhythm of the Cello's line."""
    return f"rhythm of {word.removeprefix('rhythm:')}" if word.startswith("rhythm:") else word


def taken_told(taken: Taken) -> str:
    """`added to your list`, and what else can become of an exercise that is opened."""
    return {
        Taken.NEW: "added to your list",
        Taken.CORRECTED: "corrected, attempts kept",
        Taken.THERE: "in your list already",
    }[taken]


def listing_told(number: int, one: Assigned, today: date) -> Iterator[str]:
    """One exercise of the student's list: a line for it and one for each drill, told apart by
    its title, else by its number."""
    exercise = one.assignment.exercise
    due = ""
    if exercise.due:
        late = " (overdue)" if one.is_overdue(today) else ""
        due = f" · due {day_told(exercise.due)}{late}"
    version = one.assignment.revision.number
    corrected = f" (version {version})" if version > 1 else ""
    yield f"{number}  {exercise.title}{corrected} · {one.state}{due}"
    found = zip(exercise.drills, one.assignment.targets, one.drills, strict=True)
    for drill_number, (drill, target, progress) in enumerate(found, 1):
        which = drill.title or (f"drill {drill_number}" if len(exercise.drills) > 1 else "")
        yield f"   {_progress(target, progress, which)}"


def _progress(target: Target, progress: GoalProgress, which: str) -> str:
    where = passage_told(target.bars, target.part_name, target.bars_label)
    where += f", {which}" if which else ""
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
