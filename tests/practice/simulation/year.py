"""A year of made-up practice towards one concert: four evenings a week, equal minutes each.

It is a simulation: it says what a plan does with a made-up student, not what it does for a
player. Monday, Tuesday, Thursday and Saturday, with two holidays of two weeks in which the
viola stays in its case. A visit to a passage is four times through, two with the click and
two against the other side alone; what the student says of each is noted as in a real log,
and where a passage stands is judged by the program itself.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction

from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.goal import Goal
from companion.practice.mastery.passage_day import passage_days
from companion.practice.mastery.standing import Standing, after, aims_of, state, untried
from companion.practice.pace import pace_of
from companion.practice.plan.day_plan import DayPlan
from companion.practice.plan.habits import Habits
from tests.practice.simulation.student import Student, play

BEGIN = date(2025, 9, 1)
"""A Monday."""
CONCERT = BEGIN + timedelta(days=364)
WEEKDAYS = {0, 1, 3, 5}
HOLIDAYS = (range(110, 124), range(300, 314))
TRIES_A_VISIT = 4
HABITS = Habits()


@dataclass
class Year:
    """One student on the way through one year."""

    student: Student
    goals: dict[Bars, Goal]
    luck: random.Random
    standings: dict[Bars, Standing]
    minutes: int
    plans: dict[date, DayPlan] = field(default_factory=dict)
    went_well: dict[Bars, bool] = field(default_factory=dict)
    """Of the last visit to each passage: whether at least half of it was clean."""
    stopped_at: int = 0
    """Number of the passage at which front to back goes on."""

    def could_play(self, day: date) -> int:
        """Passages the student could hold at the goal tempo, without the click, that day."""
        now = number_of(day) + 0.8
        return sum(self.student.reach(bars, now) >= 1 for bars in self.goals)

    def log_says(self, day: date) -> int:
        """Passages of which the program says that they hold."""
        return sum(state(one, day).is_holding for one in self.standings.values())


Way = Callable[[Year, date], Iterator[tuple[Bars, Fraction]]]
"""Which passages a day visits at which tempo; asked again after each visit."""


def year_of(student: Student, goals: Sequence[Goal], seed: int, minutes: int) -> Year:
    standings = {goal.bars: untried(goal, aims_of(goal, CONCERT)) for goal in goals}
    by_bars = {goal.bars: goal for goal in goals}
    return Year(student, by_bars, random.Random(seed), standings, minutes)


def number_of(day: date) -> int:
    return (day - BEGIN).days


def practice_days() -> Iterator[date]:
    for number in range((CONCERT - BEGIN).days):
        day = BEGIN + timedelta(days=number)
        if day.weekday() in WEEKDAYS and not any(number in off for off in HOLIDAYS):
            yield day


def live(year: Year, way: Way, look: Callable[[date], None]) -> None:
    """Practise up to the concert; `look` is called before each day, and on the concert's."""
    for day in practice_days():
        look(day)
        noted: dict[Bars, list[Attempt]] = {}
        for number, (bars, tempo) in enumerate(way(year, day)):
            tries = visit(year, day, number, bars, tempo)
            clean = sum(one.outcome >= Outcome.HELD for one in tries)
            year.went_well[bars] = 2 * clean >= len(tries)
            noted.setdefault(bars, []).extend(tries)
        for bars, attempts in noted.items():
            goal = pace_of(year.goals[bars].tempo, year.goals[bars].beat)
            (done,) = passage_days(attempts, goal, datetime.date)
            year.standings[bars] = after(year.standings[bars], done)
    look(CONCERT)


def visit(year: Year, day: date, number: int, bars: Bars, tempo: Fraction) -> list[Attempt]:
    goal, tries = year.goals[bars], []
    for turn in range(TRIES_A_VISIT):
        seconds = (number * TRIES_A_VISIT + turn) * 45
        has_click = turn < TRIES_A_VISIT // 2
        now = number_of(day) + 0.75 + seconds / 86400
        share = float(tempo / goal.tempo)
        outcome = play(year.student, bars, now, share, year.luck, has_click=has_click)
        at = datetime.combine(day, time(18), UTC) + timedelta(seconds=seconds)
        tries.append(_noted(goal, tempo, outcome, at, has_click))
    return tries


def _noted(goal: Goal, tempo: Fraction, outcome: Outcome, at: datetime, click: bool) -> Attempt:
    return Attempt(
        score_title=goal.score_title,
        score_digest=goal.bars.score_digest,
        score_path="",
        part_id=goal.bars.part_id,
        part_name=goal.part_name,
        first_bar=goal.bars.first,
        last_bar=goal.bars.last,
        bars_label=goal.bars_label,
        tempo=tempo,
        beat=goal.beat,
        outcome=outcome,
        layers=("beat", "mine", "theirs") if click else ("theirs",),
        seconds=45.0,
        at=at,
    )
