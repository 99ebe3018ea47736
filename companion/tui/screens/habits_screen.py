"""The numbers a day's plan is made with, as a form."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from functools import partial

import msgspec

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.log_entries import day_end_of, keep_day_end
from companion.practice.plan.habits import BOUNDS, Habits
from companion.practice.practice_day import parse_day_end
from companion.session.todays_plan import habits_of, set_habits
from companion.tui.screens.form_screen import FormScreen
from companion.tui.widgets.form import Form, Row, number_row
from companion.wording.phrases import counted
from companion.wording.plan_sentences import DAY_ENDS_TOLD, HABITS_TOLD

_USUAL = "defaults"
_LABELS = {
    "minutes": "Plan",
    "warm_up": "Warm-up",
    "visit": "One passage",
    "break_every": "Rest after",
    "break_minutes": "Rest",
    "new_a_day": "New passages",
    "step": "Ladder step",
    "begin": "Ladder begins",
    "last_days": "Run-throughs",
    "most_growth": "Growth",
}
_DAY_ENDS = "Day ends"
_EXAMPLES = (
    (_USUAL, "every number as it comes with the program"),
    ("plan 30, rest 10", "these; the others stay"),
    ("day ends 3:30", "hour at which a day of practice ends"),
)
_NOON = 12
_ANY_DAY = date(2000, 1, 1)
"""Only carries the time: a practice day ends between midnight and noon."""


@dataclass(frozen=True, slots=True)
class DayHabits:
    """What can be set."""

    habits: Habits = Habits()
    day_ends: time = time(4)


def day_habits(folders: Folders) -> DayHabits:
    """As they are now. Raises CompanionError if they cannot be read."""
    return DayHabits(habits_of(folders), day_end_of(folders))


def habits_form(folders: Folders) -> Form[DayHabits, str]:
    """Its answer is what was done, in a sentence."""
    return Form(
        "Habits: what a day's plan is made with",
        _rows,
        _told,
        _in_words,
        _read,
        partial(_keep, folders),
        examples=_EXAMPLES,
        known=(_USUAL, *(label.casefold() for label in (*_LABELS.values(), _DAY_ENDS))),
        enter="Enter keeps them",
    )


class HabitsScreen(FormScreen[DayHabits, str]):
    """Answers with what was done, in a sentence, or None after Escape."""

    def __init__(self, folders: Folders) -> None:
        """Raises CompanionError if they cannot be read."""
        super().__init__(habits_form(folders), day_habits(folders))


def _rows(now: DayHabits) -> list[Row[DayHabits]]:
    rows = [
        number_row(
            label,
            getattr(now.habits, name),
            _maker(now, name),
            BOUNDS[name],
            note=HABITS_TOLD[name],
            by=5 if name in ("minutes", "break_every", "begin", "most_growth") else 1,
        )
        for name, label in _LABELS.items()
    ]
    return [*rows, _day_ends_row(now)]


def _maker(now: DayHabits, name: str) -> Callable[[Fraction], DayHabits]:
    return lambda value: _with(now, name, int(value))


def _with(now: DayHabits, name: str, value: int) -> DayHabits:
    return replace(now, habits=msgspec.structs.replace(now.habits, **{name: value}))


def _day_ends_row(now: DayHabits) -> Row[DayHabits]:
    def step(by: int) -> DayHabits:
        here = datetime.combine(_ANY_DAY, now.day_ends) + timedelta(minutes=30 * by)
        is_same_morning = here.date() == _ANY_DAY and here.hour < _NOON
        return replace(now, day_ends=here.time()) if is_same_morning else now

    return Row(
        _DAY_ENDS,
        f"{now.day_ends:%H:%M}",
        step,
        note=DAY_ENDS_TOLD,
        typed=lambda text: replace(now, day_ends=parse_day_end(text)),
    )


def _told(now: DayHabits) -> str:
    habits = now.habits
    return (
        f"A plan of {habits.minutes} minutes: {habits.warm_up} to warm up, "
        f"{habits.break_minutes} minutes' rest after every {habits.break_every}, at most "
        f"{counted(habits.new_a_day, 'new passage')}. This is not medical advice."
    )


def _in_words(now: DayHabits) -> str:
    """What is not as it comes with the program."""
    usual = DayHabits()
    told = [
        f"{label.casefold()} {getattr(now.habits, name)}"
        for name, label in _LABELS.items()
        if getattr(now.habits, name) != getattr(usual.habits, name)
    ]
    if now.day_ends != usual.day_ends:
        told.append(f"{_DAY_ENDS.casefold()} {now.day_ends:%H:%M}")
    return ", ".join(told) or _USUAL


def _read(words: str, now: DayHabits) -> DayHabits:
    if words.strip() == _USUAL:
        return DayHabits()
    names = {label.casefold(): name for name, label in _LABELS.items()}
    for piece in filter(None, (one.strip() for one in words.split(","))):
        found = re.fullmatch(r"(\D+?)\s+([0-9]{1,4}|[0-9]{1,2}:[0-9]{2})", piece)
        name = found.group(1).casefold() if found else ""
        if found and name == _DAY_ENDS.casefold():
            now = replace(now, day_ends=parse_day_end(found.group(2)))
        elif found and name in names and found.group(2).isdecimal():
            now = _with(now, names[name], int(found.group(2)))
        else:
            raise RequestError(
                f"“{piece}” is not understood", next="Write, for example: plan 30, rest 10."
            )
    return now


def _keep(folders: Folders, now: DayHabits) -> str:
    set_habits(folders, now.habits)
    if now.day_ends != day_end_of(folders):
        keep_day_end(folders, now.day_ends)
    return "The next plan is made with these habits."
