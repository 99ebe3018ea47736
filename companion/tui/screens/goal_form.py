"""What a passage is practised for, as a form: the tempo it shall hold at, and by when."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.practice.attempt import now
from companion.practice.goal import OccasionKind
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import parse_bpm
from companion.score.passage import Passage
from companion.session.goals import (
    NO_GOAL,
    GoalWish,
    give_up_goal,
    goal_at,
    goal_by_day,
    goal_in_words,
    goal_typed,
    occasion_of,
    set_goal_by,
)
from companion.session.open_score import OpenScore
from companion.session.starting_tempo import marked_tempo
from companion.session.suggested_passages import bars_of_passage
from companion.tui.widgets.form import Form, Row, chosen_row, tempo_row
from companion.wording.phrases import tempo_told
from companion.wording.plan_sentences import day_to_come_told, goal_told
from companion.wording.score_sentences import bar_span_told

_EXAMPLES = (
    ("69", "a tempo, and no day"),
    ("69 by thursday rehearsal", "a day: concert, rehearsal or lesson"),
    ("69 by 2027-05-02", "a concert, if no word says another"),
    (NO_GOAL, "removes the goal"),
)
_REMOVED = "The goal is removed. What was practised stays in the log."
_NONE_SET = "No goal is set for these bars, so there is none to remove."
_KNOWN = (
    *("by", *OccasionKind, "today", "tomorrow", NO_GOAL),
    *("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"),
)


def goal_set(open_score: OpenScore, passage: Passage, folders: Folders) -> GoalWish:
    """The goal there is for just these bars, else the score's own tempo. Raises CompanionError
    if the log cannot be read."""
    found = goal_at(folders, bars_of_passage(open_score, passage))
    if found is None:
        return GoalWish(marked_tempo(passage).bpm)
    goal, by = found
    occasion = occasion_of(folders, goal)
    return GoalWish(goal.tempo, by, occasion.kind if occasion else None)


def goal_form(open_score: OpenScore, passage: Passage, folders: Folders) -> Form[GoalWish, str]:
    """Its answer is what was done, in a sentence."""
    beat = note_name(passage.beat)
    bars = bar_span_told(open_score, passage.first, passage.last)
    before = goal_set(open_score, passage, folders)
    is_set = goal_at(folders, bars_of_passage(open_score, passage)) is not None

    def told(wish: GoalWish) -> str:
        if wish.tempo is None:
            return _REMOVED if is_set else _NONE_SET
        until = day_to_come_told(wish.by, wish.what, now().date()) if wish.by else ""
        return f"Today's plan leads these bars up to {tempo_told(beat, wish.tempo)}{until}."

    return Form(
        f"Goal for {passage.part_name}, {bars}",
        lambda wish: _rows(wish, before, beat, "removed" if is_set else "none"),
        told,
        goal_in_words,
        lambda words, _: goal_typed(words),
        lambda wish: _set(wish, open_score, passage, folders),
        examples=_EXAMPLES,
        known=_KNOWN,
    )


def _rows(wish: GoalWish, before: GoalWish, beat: str, none: str) -> list[Row[GoalWish]]:
    """`before` is what comes back when a goal is set after all; `none` names having none."""
    if wish.tempo is None:
        return [chosen_row("Goal", [("set", before), (none, wish)], none)]
    tempo = tempo_row("Tempo", wish.tempo, lambda bpm: replace(wish, tempo=bpm))
    note = f"beats a minute ({beat})"
    rows = [
        replace(tempo, typed=lambda text: _tempo_typed(wish, text), note=note),
        _day_row(wish),
    ]
    if wish.by is not None:
        kinds = [(str(kind), replace(wish, what=kind)) for kind in OccasionKind]
        rows.append(chosen_row("For a", kinds, str(wish.what or OccasionKind.CONCERT)))
    rows.append(chosen_row("Goal", [("set", wish), (none, GoalWish())], "set"))
    return rows


def _tempo_typed(wish: GoalWish, text: str) -> GoalWish:
    return replace(wish, tempo=parse_bpm(text)) if text else GoalWish()


def _day_row(wish: GoalWish) -> Row[GoalWish]:
    """A day before today is none."""
    here = wish.by
    today = now().date()

    def step(by: int) -> GoalWish:
        if here is None:
            return replace(wish, by=today + timedelta(days=max(0, by)))
        return _moved(wish, here, by, today)

    shown = "none" if here is None else f"{here:%a} {here.isoformat()}"
    return Row(
        "By",
        shown,
        step,
        note="type a day, such as thursday rehearsal",
        typed=lambda text: goal_by_day(wish, text),
        far=7,
    )


def _moved(wish: GoalWish, here: date, by: int, today: date) -> GoalWish:
    if here + timedelta(days=by) < today:
        return replace(wish, by=today if here > today else None)
    return replace(wish, by=here + timedelta(days=by))


def _set(wish: GoalWish, open_score: OpenScore, passage: Passage, folders: Folders) -> str:
    if wish.tempo is None:
        here = bars_of_passage(open_score, passage)
        if goal_at(folders, here) is None:
            raise RequestError(_NONE_SET.rstrip("."), next="Choose a tempo, or leave with Escape.")
        return f"Removed: {goal_told(give_up_goal(folders, here))}."
    goal = set_goal_by(
        folders,
        open_score,
        str(passage.part + 1),
        f"@{passage.first}-@{passage.last}",
        wish.tempo,
        wish.by,
        wish.what,
    )
    return f"Goal: {goal_told(goal, wish.by)}."
