"""Why a passage stands where it stands, in sentences with dates and tempos.

A student keeps the log for years and a teacher must believe it, so the judge never only
names a state: it says what was held, at which tempo, how often, with what help and how
long ago, and what would move the passage up, all by the one table in `mastery_states`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from companion.practice.attempt import Outcome
from companion.practice.mastery.passage_day import PassageDay
from companion.practice.mastery.standing import GoodDays, Standing, is_met, state
from companion.practice.mastery.states import RISES, MasteryState
from companion.practice.pace import share, told
from companion.wording.phrases import ago_told, count_told, day_told


@dataclass(frozen=True, slots=True)
class Mastery:
    """A passage judged on one day."""

    state: MasteryState
    """How it stands."""
    reasons: tuple[str, ...]
    """Why, most telling first, one sentence each."""
    next: str
    """What would move it up; empty where nothing stands above."""


def mastery(stands: Standing, today: date) -> Mastery:
    """Judge a passage on a practice day."""
    found = state(stands, today)
    return Mastery(found, tuple(_reasons(stands, found, today)), _next(stands, found))


def _reasons(stands: Standing, found: MasteryState, today: date) -> Iterator[str]:
    last, goal = stands.last, told(stands.aims.goal, stands.aims.beat)
    if last is None:
        yield f"It was never tried; the goal is {goal}."
        return
    if found is MasteryState.RETURN:
        yield from _falls(stands, last)
    yield _tempo(stands, last, goal)
    if not stands.aims.is_set:
        yield f"No goal is set, so the fastest tempo ever tried, {goal}, stands for one."
    yield from _help(stands, goal)
    yield _cleanness(last, today)
    if stands.slips > 1:
        yield f"It slipped on the last {stands.slips} days it was played; good days count anew."
    yield _coming_back(stands, today)


def _falls(stands: Standing, last: PassageDay) -> Iterator[str]:
    beat = stands.aims.beat
    if stands.slips and last.failed is not None:
        yield f"It held before, but slipped at {told(last.failed, beat)} on {day_told(last.day)}."
    elif stands.is_waiting:
        yield "Its day of return had come, and it has not held at its goal tempo since."
    else:
        yield "Its day of return has come."


def _coming_back(stands: Standing, today: date) -> str:
    late = today.toordinal() - stands.planned
    when = day_told(stands.planned)
    return (
        f"It was due back on {when}, {ago_told(late)}."
        if late > 0
        else (f"It is due back on {when}.")
    )


def _tempo(stands: Standing, last: PassageDay, goal: str) -> str:
    at_goal = _good(stands, MasteryState.WITH_CLICK)
    if at_goal.count:
        return (
            f"It held at its goal, {goal}, on {count_told(at_goal.count, 'day')}, "
            f"the last on {day_told(at_goal.last)}."
        )
    beat = stands.aims.beat
    if stands.held is None:
        return f"Nothing has held yet; it was tried at up to {told(last.tried, beat)} of {goal}."
    percent = int(100 * share(stands.held, stands.aims.goal))
    return (
        f"It held at {told(stands.held, beat)} on {day_told(stands.held_day)}, "
        f"{percent} % of its goal, {goal}."
    )


def _help(stands: Standing, goal: str) -> Iterator[str]:
    with_any, alone = _good(stands, MasteryState.WITH_CLICK), _good(stands, MasteryState.HOLDS)
    if with_any.count and not alone.count:
        yield "At the goal tempo it has held only with the click sounding."
    elif alone.count:
        yield (
            f"Without the click it held at {goal} on {count_told(alone.count, 'day')}, "
            f"the last on {day_told(alone.last)}."
        )


def _cleanness(last: PassageDay, today: date) -> str:
    best = tuple(Outcome)[last.best - 1]
    tries = count_told(last.tries, "attempt")
    return (
        f"It was last played {ago_told(today.toordinal() - last.day)}: "
        f"{last.clean} of {tries} clean, the best {best.value}."
    )


def _next(stands: Standing, found: MasteryState) -> str:
    if found is MasteryState.NEW:
        return "Try it once, slowly."
    if found is MasteryState.RETURN:
        return "It stands where it stood once it holds at its goal tempo again."
    for rise, good in zip(reversed(RISES), reversed(stands.good), strict=True):
        if not is_met(rise, good):
            so_far = f"so far on {count_told(good.count, 'day')}" if good.count else "not yet"
            return f"It becomes “{rise.to}” when it was {rise.when()}: {so_far}."
    return ""


def _good(stands: Standing, to: MasteryState) -> GoodDays:
    return next(good for rise, good in zip(RISES, stands.good, strict=True) if rise.to is to)
