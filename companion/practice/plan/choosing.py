"""Which passages today is for, in which order they are thought of.

How urgent a passage is: the days since it was played, as a share of the days the
scheduler gave it (drawn in towards a concert). Under the scheduler's curve that is the
order of how likely each is to have faded, so 1 means due and 2 means long overdue.

What held before and is due comes first: it costs one visit and keeps what was won. Then the
passages taking shape, by turns the one nearest to its goal and the one that waited longest,
so that something is finished and nothing is starved. Twenty passages in work at once are
none that holds: new ones are begun when there is room, and at least at the pace at which
all are begun by half the time to the concert.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from heapq import nsmallest

from companion.practice.attempt import Bars
from companion.practice.mastery.standing import Standing, state
from companion.practice.mastery.states import MasteryState
from companion.practice.plan.day_plan import Cause, Item, ItemKind, Reason
from companion.practice.plan.habits import Habits
from companion.practice.plan.path_to_date import (
    beginnings,
    day_ladder,
    is_quiet,
    towards,
    work_of,
)

DUE = 1.0
"""How urgent a passage is on the day it is due."""


@dataclass(frozen=True, slots=True)
class PassageChoice:
    """A passage that could be practised today."""

    item: Item
    visits: int
    """On one day: two for a new one; for the others a second visit on the same day teaches
    less than one on another (Cepeda et al. 2006)."""


def urgency(stands: Standing, today: int) -> float:
    """How urgent a tried passage is; DUE on the day it is due, 0 on the day it was played."""
    if stands.memory is None:
        return 0.0
    return (today - stands.memory.day) / max(1, stands.planned - stands.memory.day)


@dataclass(frozen=True, slots=True)
class DuePassages:
    """The passages that are due."""

    first: list[Standing]
    """As many as were asked for, the first to practise first."""
    count: int
    """Of all that are due."""


def due_passages(standings: Iterable[Standing], today: date, most: int) -> DuePassages:
    """The passages that are due, `most` of them in order."""
    day = today.toordinal()
    returns: list[tuple[float, Standing]] = []
    climbing: list[tuple[float, Standing]] = []
    for one in standings:
        urgent = urgency(one, day)
        if urgent >= DUE:
            (returns if one.has_risen else climbing).append((urgent, one))
    first = [one for _, one in nsmallest(most, returns, key=_most_urgent)]
    waited = [one for _, one in nsmallest(most, climbing, key=_most_urgent)]
    near = [one for _, one in nsmallest(most, climbing, key=_nearest)]
    return DuePassages([*first, *_by_turns(near, waited)], len(returns) + len(climbing))


def early(standings: Iterable[Standing], today: date, most: int) -> list[Standing]:
    """Passages that are not due but were not played today either, the most urgent first."""
    day = today.toordinal()
    found = [
        (urgency(one, day), one)
        for one in standings
        if one.memory is not None and one.memory.day < day < one.planned
    ]
    return [one for _, one in nsmallest(most, found, key=_most_urgent)]


def new(standings: Sequence[Standing], today: date, habits: Habits) -> list[Standing]:
    """Passages without an attempt yet: those with the nearest date first, then
    those the player chose, then the hardest."""
    began = beginnings(standings)
    fresh = [
        one
        for one in standings
        if one.last is None and not is_quiet(one.aims, began.get(work_of(one), 0), today, habits)
    ]
    far = date.max.toordinal()
    day = today.toordinal()
    fresh.sort(
        key=lambda one: (
            one.aims.by if one.aims.by is not None and one.aims.by >= day else far,
            not one.aims.is_set,
            -one.hardness,
            one.title,
            one.bars,
        )
    )
    return fresh


def _most_urgent(pair: tuple[float, Standing]) -> tuple[float, int, int, Bars]:
    return -pair[0], pair[1].planned, -pair[1].hardness, pair[1].bars


def _nearest(pair: tuple[float, Standing]) -> tuple[float, int, Bars]:
    """By the share of the goal that held last, the largest first."""
    held, goal = pair[1].held, pair[1].aims.goal
    share = -held[0] * goal[1] / (held[1] * goal[0]) if held else 0.0
    return share, -pair[1].hardness, pair[1].bars


def _by_turns(one: Sequence[Standing], other: Sequence[Standing]) -> Iterator[Standing]:
    """Alternately from two orders of passages, each once."""
    seen: set[Bars] = set()
    for pair in zip(one, other, strict=True):
        for passage in pair:
            if passage.bars not in seen:
                seen.add(passage.bars)
                yield passage


def choice(stands: Standing, today: date, habits: Habits) -> PassageChoice:
    """A passage as today's plan would have it."""
    found = state(stands, today)
    kind = _kind(found)
    ladder = day_ladder(stands, today, habits)
    is_climbing = ladder.top > ladder.start
    item = Item(
        kind=kind,
        minutes=habits.visit,
        why=_reason(stands, found, today),
        bars=stands.bars,
        title=stands.title,
        part_name=stands.part_name,
        label=stands.label,
        path=stands.path,
        tempo=str(ladder.start),
        top=str(ladder.top) if is_climbing else "",
        step=str(ladder.step) if is_climbing else "",
        beat=stands.aims.beat,
    )
    return PassageChoice(item, 2 if kind is ItemKind.NEW else 1)


def _kind(found: MasteryState) -> ItemKind:
    if found is MasteryState.NEW:
        return ItemKind.NEW
    return ItemKind.NEXT_TEMPO if found is MasteryState.TAKING_SHAPE else ItemKind.RETURN


def _reason(stands: Standing, found: MasteryState, today: date) -> Reason:
    return towards(_cause(stands, found, today), stands.aims, today)


def _cause(stands: Standing, found: MasteryState, today: date) -> Reason:
    if found is MasteryState.NEW:
        return Reason(cause=Cause.NOT_TRIED, pace=stands.aims.goal, hardness=stands.hardness)
    if stands.slips and stands.last is not None:
        return Reason(cause=Cause.SLIPPED, day=date.fromordinal(stands.last.day))
    if stands.has_failed_alone:
        return Reason(cause=Cause.FAILED_ALONE, day=date.fromordinal(stands.newest_alone_day))
    if found is not MasteryState.TAKING_SHAPE:
        is_due = stands.planned <= today.toordinal()
        planned = date.fromordinal(stands.planned)
        return Reason(cause=Cause.DUE if is_due else Cause.TIME_LEFT, day=planned)
    if stands.held is None:
        return Reason(cause=Cause.NOTHING_HELD)
    return Reason(cause=Cause.HELD, day=date.fromordinal(stands.held_day), pace=stands.held)
