"""Three ways to spend the same minutes; the tempo of a visit is the same ladder's in all."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

from companion.practice.attempt import Bars
from companion.practice.plan.path_to_date import next_tempo
from companion.practice.plan.planner import plan_for
from tests.practice.simulation.student import play
from tests.practice.simulation.year import HABITS, Way, Year, number_of


def by_plan(year: Year, day: date) -> Iterator[tuple[Bars, Fraction]]:
    """What Today says, taken as it is."""
    plan = plan_for(list(year.standings.values()), day, year.minutes, HABITS)
    year.plans[day] = plan
    for item in plan.items:
        if item.bars in year.goals:
            yield item.bars, Fraction(item.tempo)
        elif item.bars is not None:
            _run_through(year, day)


def _run_through(year: Year, day: date) -> None:
    """Every passage once, at its goal tempo and without the click; nothing is noted of it."""
    for bars in year.goals:
        play(year.student, bars, number_of(day) + 0.74, 1.0, year.luck, has_click=False)


def from_the_front(year: Year, day: date) -> Iterator[tuple[Bars, Fraction]]:
    """Every day from the first bar on, a passage twice where the first visit went badly."""
    yield from _front_to_back(year, 0)


def onward(year: Year, day: date) -> Iterator[tuple[Bars, Fraction]]:
    """The same, but going on where the day before stopped."""
    order = list(year.goals)
    for bars, tempo in _front_to_back(year, year.stopped_at):
        year.stopped_at = order.index(bars) + 1
        yield bars, tempo


def _front_to_back(year: Year, at: int) -> Iterator[tuple[Bars, Fraction]]:
    order = list(year.goals)
    left = visits_of(year.minutes)
    while left:
        bars = order[at % len(order)]
        tempo = next_tempo(year.standings[bars], HABITS)
        yield bars, tempo
        left -= 1
        if left and not year.went_well[bars]:
            yield bars, tempo
            left -= 1
        at += 1


WAYS: dict[str, Way] = {
    "the plan": by_plan,
    "front to back, every day from the front": from_the_front,
    "front to back, going on where it stopped": onward,
}


def visits_of(minutes: int) -> int:
    """The visits that fit beside the warm-up and the rests a plan has as well."""
    stretch = HABITS.break_every + HABITS.break_minutes
    rests = -(-max(0, minutes - HABITS.break_every) // stretch) * HABITS.break_minutes
    return (minutes - min(HABITS.warm_up, minutes // 6) - rests) // HABITS.visit
