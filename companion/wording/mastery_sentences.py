"""Why a passage stands where it stands, in sentences with dates and tempos.

A student keeps the log for years and a teacher must believe it, so this never only
names a state: it says what was held, at which tempo, how often, with what help and how
long ago, and what would move the passage up, all by the one table in
`practice.mastery.states`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from companion.practice.attempt import Outcome
from companion.practice.mastery.passage_day import PassageDay
from companion.practice.mastery.progress_series import BarShare
from companion.practice.mastery.standing import RiseDays, Standing, state
from companion.practice.mastery.states import FALLS, RISES, Fall, MasteryState, Rise
from companion.practice.pace import share
from companion.wording.phrases import ago_told, counted, day_told, pace_told


@dataclass(frozen=True, slots=True)
class Mastery:
    """A passage judged on one day."""

    state: MasteryState
    reasons: tuple[str, ...]
    """Why, most telling first, one sentence each."""
    next: str
    """What would move it up; empty if nothing stands above."""


def mastery(stands: Standing, today: date) -> Mastery:
    """Judge a passage on a practice day."""
    found = state(stands, today)
    return Mastery(found, tuple(_reasons(stands, found, today)), _next(stands, found))


def _reasons(stands: Standing, found: MasteryState, today: date) -> Iterator[str]:
    last, goal = stands.last, pace_told(stands.aims.goal, stands.aims.beat)
    if last is None:
        yield from _never_played(stands, goal, today)
        return
    if found is MasteryState.RETURN:
        yield from _falls(stands, last)
    yield _tempo(stands, last, goal)
    if not stands.aims.is_set:
        yield f"No goal is set, so the fastest tempo ever tried, {goal}, stands for one."
    yield from _help(stands, goal)
    yield _cleanness(last, today)
    if stands.slips > 1:
        yield f"It slipped on the last {stands.slips} days it was played, so days count from there."
    elif stands.bad_days > 1:
        yield (
            f"On the last {stands.bad_days} days it was played it fell apart or was shaky more "
            "often than it held."
        )
    yield _due(stands, today)


def _never_played(stands: Standing, goal: str, today: date) -> Iterator[str]:
    if not stands.tapped_days:
        yield f"It was never tried; the goal is {goal}."
        return
    best = tuple(Outcome)[stands.tapped_best - 1].value
    yield (
        f"Tapped only, on {counted(stands.tapped_days, 'day')}, the last "
        f"{ago_told(today.toordinal() - stands.tapped_day)} ({best}): the rhythm is known, the "
        "instrument has not played it."
    )
    if stands.aims.is_set:
        yield f"The goal is {goal}."


def _falls(stands: Standing, last: PassageDay) -> Iterator[str]:
    beat = stands.aims.beat
    if stands.slips and last.failed is not None:
        at = pace_told(last.failed, beat)
        yield f"It held before, but slipped at {at} on {day_told(last.day)}."
    elif stands.is_waiting:
        yield "It was due, and it has not held at its goal tempo since."
    else:
        yield "It is due."


def _due(stands: Standing, today: date) -> str:
    when, late = day_told(stands.planned), today.toordinal() - stands.planned
    return f"It was due on {when}, {ago_told(late)}." if late > 0 else f"It is due on {when}."


def _tempo(stands: Standing, last: PassageDay, goal: str) -> str:
    at_goal = _good(stands, MasteryState.WITH_CLICK)
    if at_goal.count:
        return (
            f"It held at its goal, {goal}, on {counted(at_goal.count, 'day')}, "
            f"the last on {day_told(at_goal.last)}."
        )
    beat = stands.aims.beat
    if stands.held is None:
        since = "since it slipped" if stands.slips else "yet"
        tried = pace_told(last.tried, beat)
        where = f"its goal, {goal}" if tried == goal else f"up to {tried}; its goal is {goal}"
        return f"Nothing has held {since}; it was tried at {where}."
    percent = int(100 * share(stands.held, stands.aims.goal))
    return (
        f"It held at {pace_told(stands.held, beat)} on {day_told(stands.held_day)}, "
        f"{percent} % of its goal, {goal}."
    )


def _help(stands: Standing, goal: str) -> Iterator[str]:
    with_any, alone = _good(stands, MasteryState.WITH_CLICK), _good(stands, MasteryState.HOLDS)
    if with_any.count and not stands.newest_alone:
        yield "At the goal tempo it has held only with the click sounding."
    elif alone.count:
        yield (
            f"Without the click it held at {goal} on {counted(alone.count, 'day')}, "
            f"the last on {day_told(alone.last)}."
        )
    if stands.has_failed_alone:
        yield (
            f"The newest first run without the click at {goal}, on "
            f"{day_told(stands.newest_alone_day)}, {_went(stands.newest_alone)}: that counts."
        )


def _cleanness(last: PassageDay, today: date) -> str:
    best, tries = _went(last.best), counted(last.tries, "attempt")
    if last.tries == 1:
        how = f"one attempt, and it {best}"
    elif last.best == Outcome.FELL_APART.rank:
        how = f"each of {tries} fell apart"
    else:
        how = f"{last.clean} of {tries} clean; the best {best}"
    return f"It was last played {ago_told(today.toordinal() - last.day)}: {how}."


def _went(rank: int) -> str:
    """`fell apart`, `was shaky`, `held`."""
    how = tuple(Outcome)[rank - 1]
    return how.value if how in (Outcome.FELL_APART, Outcome.HELD) else f"was {how.value}"


def _next(stands: Standing, found: MasteryState) -> str:
    if found is MasteryState.NEW:
        what = "play what you tapped" if stands.tapped_days else "try it once"
        return f"Next: {what}, slowly."
    if found is MasteryState.RETURN:
        return "Next: hold it at its goal tempo once; then it is where it was before."
    for rise, days in zip(reversed(RISES), reversed(stands.rise_days), strict=True):
        if stands.has_met(rise, days):
            continue
        if days.count >= rise.days and rise.is_first and stands.newest_alone < rise.outcome.rank:
            return f"Next: “{rise.to}” — a first run without the click that is {_how(rise)} again."
        return f"Next: “{rise.to}” — {rise_told(rise)}; so far {days.count}."
    return ""


def _good(stands: Standing, to: MasteryState) -> RiseDays:
    return next(days for rise, days in zip(RISES, stands.rise_days, strict=True) if rise.to is to)


def share_told(share: BarShare) -> str:
    """How much of a part holds, in one sentence without its full stop."""
    return (
        f"{int(100 * share.holding)} % of {share.bars} bars hold: {share.alone} without the "
        f"click, {share.with_click} with it; {share.returns} more need a return"
    )


# The table of `practice.mastery.states`, as the README and `companion progress --states` have it.


def rise_told(rise: Rise) -> str:
    """`2 days without a slip on which a run at goal tempo was held or secure`."""
    run = "the first run" if rise.is_first else "a run"
    click = " without the click" if rise.is_alone else ""
    slip = "" if rise.is_first else " without a slip"
    newest = ", and so was the newest" if rise.is_first else ""
    span = f", the last at least {rise.span} days after the first" if rise.span > 1 else ""
    return (
        f"{rise.days} days{slip} on which {run}{click} at goal tempo was {_how(rise)}{newest}{span}"
    )


def _how(rise: Rise) -> str:
    return "secure" if rise.outcome is Outcome.SECURE else "held or secure"


def fall_told(fall: Fall) -> str:
    """`it slipped on 2 practice days in a row; days before no longer count`."""
    if fall.slips == 0:
        return "it is due, and has not held at goal tempo since"
    if fall.slips == 1:
        return (
            "it slipped on the day it was last played (it failed at goal tempo or slower, and "
            "did not hold at goal tempo that day, or failed more often than it held)"
        )
    return f"it slipped on {fall.slips} practice days in a row; days before no longer count"


WHAT_FALLS = "Only a passage that holds, with the click or without, goes down."


def state_rules() -> Iterator[tuple[str, MasteryState, str]]:
    """The whole table, the lowest first: which way, the state, and when."""
    yield "", MasteryState.NEW, "never tried, or tapped only"
    yield "up", MasteryState.TAKING_SHAPE, "tried"
    for rise in reversed(RISES):
        yield "up", rise.to, rise_told(rise)
    for fall in reversed(FALLS):
        yield "down", fall.to, fall_told(fall)
