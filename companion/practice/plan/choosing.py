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
from fractions import Fraction
from heapq import nsmallest

from msgspec.structs import replace

from companion.practice.attempt import Bars
from companion.practice.mastery.standing import Standing, state
from companion.practice.mastery.states import MasteryState
from companion.practice.pace import WrittenPace, tempo_at
from companion.practice.plan.day_plan import Cause, Item, ItemKind, Reason
from companion.practice.plan.habits import Habits
from companion.rhythm.tempo import SLOWEST

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


def new(standings: Iterable[Standing], today: date, habits: Habits) -> list[Standing]:
    """Passages with a goal and no attempt yet: those with the nearest concert first."""
    fresh = [one for one in standings if one.last is None]
    far = date.max.toordinal()
    fresh.sort(key=lambda one: (one.aims.by or far, one.title, one.bars))
    return [one for one in fresh if not is_last_days(one, today, habits)]


def must_begin(standings: Sequence[Standing], fresh: Sequence[Standing], today: date) -> bool:
    """Whether a passage must be begun today, if all are to be by half the time that is left."""
    day = today.toordinal()
    dated = [one.aims.by - day for one in fresh if one.aims.by is not None]
    if not dated:
        return not any(one.last for one in standings)
    latest = max(one.first_day for one in standings)
    return 2 * len(dated) * (day - latest) >= min(dated)


def _most_urgent(pair: tuple[float, Standing]) -> tuple[float, int, Bars]:
    return -pair[0], pair[1].planned, pair[1].bars


def _nearest(pair: tuple[float, Standing]) -> tuple[float, Bars]:
    """By the share of the goal that held last, the largest first."""
    held, goal = pair[1].held, pair[1].aims.goal
    return -held[0] * goal[1] / (held[1] * goal[0]) if held else 0.0, pair[1].bars


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
    is_late = is_last_days(stands, today, habits)
    kind = _kind(found)
    item = Item(
        kind=kind,
        minutes=habits.visit,
        why=_reason(stands, found, today),
        bars=stands.bars,
        title=stands.title,
        part_name=stands.part_name,
        label=stands.label,
        path=stands.path,
        tempo=str(next_tempo(stands, habits, may_rise=not is_late)),
        beat=stands.aims.beat,
    )
    return PassageChoice(item, 2 if kind is ItemKind.NEW else 1)


def _kind(found: MasteryState) -> ItemKind:
    if found is MasteryState.NEW:
        return ItemKind.NEW
    return ItemKind.NEXT_TEMPO if found is MasteryState.TAKING_SHAPE else ItemKind.RETURN


def _reason(stands: Standing, found: MasteryState, today: date) -> Reason:
    left = stands.aims.by - today.toordinal() if stands.aims.by is not None else -1
    to_concert = left if left >= 0 else None
    if found is MasteryState.NEW:
        return Reason(cause=Cause.NOT_TRIED, pace=stands.aims.goal, to_concert=to_concert)
    if stands.slips and stands.last is not None:
        return _dated(Cause.SLIPPED, stands.last.day, to_concert)
    if found is not MasteryState.TAKING_SHAPE:
        is_due = stands.planned <= today.toordinal()
        return _dated(Cause.DUE if is_due else Cause.TIME_LEFT, stands.planned, to_concert)
    if stands.held is None:
        return Reason(cause=Cause.NOTHING_HELD, to_concert=to_concert)
    return replace(_dated(Cause.HELD, stands.held_day, to_concert), pace=stands.held)


def _dated(cause: Cause, day: int, to_concert: int | None) -> Reason:
    return Reason(cause=cause, day=date.fromordinal(day), to_concert=to_concert)


# The next step of a tempo ladder: how fast to try a passage today.


def first_tempo(goal: Fraction, habits: Habits) -> Fraction:
    """Where the ladder to a goal tempo begins, in whole beats a minute."""
    return min(goal, Fraction(max(SLOWEST, round(goal * habits.begin_share))))


def next_tempo(stands: Standing, habits: Habits, *, may_rise: bool = True) -> Fraction:
    """Felt beats a minute to try a passage at, at most its goal.

    Without `may_rise` what held last is kept: in the last days before a concert.
    """
    goal, beat = tempo_at(stands.aims.goal, stands.aims.beat), stands.aims.beat
    first, last = first_tempo(goal, habits), stands.last
    if last is None:
        return first
    if stands.held is None or (stands.held_day != last.day and last.failed is not None):
        return _below(last.failed, beat, first, habits)
    held = tempo_at(stands.held, beat)
    is_climbed = 2 * last.clean >= last.tries and stands.held_day == last.day
    rise = habits.step if may_rise and is_climbed else 0
    return min(goal, max(held + rise, first if may_rise else held))


def _below(failed: WrittenPace | None, beat: str, first: Fraction, habits: Habits) -> Fraction:
    """One step under the tempo that failed, but not lower than a slow start needs."""
    if failed is None:
        return first
    under = tempo_at(failed, beat) - habits.step
    return max(Fraction(SLOWEST), under) if under < first else under


# The last days before a concert: nothing new, no tempo raised, and through without stopping.


def is_last_days(stands: Standing, today: date, habits: Habits) -> bool:
    """Whether the concert is so near that nothing new is begun and no tempo raised."""
    concert = stands.aims.by
    return concert is not None and 0 <= concert - today.toordinal() <= habits.last_days


def run_throughs(standings: Sequence[Standing], today: date, habits: Habits) -> list[Item]:
    """For each part with a concert in the last days: from its first passage to its last."""
    parts: dict[tuple[str, str], list[Standing]] = {}
    for one in standings:
        if is_last_days(one, today, habits):
            parts.setdefault((one.bars.score_digest, one.bars.part_id), []).append(one)
    return [_run_through(found, today, habits) for found in parts.values()]


def _run_through(found: list[Standing], today: date, habits: Habits) -> Item:
    first = min(found, key=lambda one: one.bars.first)
    last = max(found, key=lambda one: one.bars.last)
    concert = max(one.aims.by or 0 for one in found)
    bars = Bars(first.bars.score_digest, first.bars.part_id, first.bars.first, last.bars.last)
    return Item(
        kind=ItemKind.RUN_THROUGH,
        minutes=2 * habits.visit,
        why=Reason(cause=Cause.CONCERT, to_concert=concert - today.toordinal()),
        bars=bars,
        title=first.title,
        part_name=first.part_name,
        label=f"{first.label.split('–')[0]}–{last.label.split('–')[-1]}",
        path=last.path or first.path,
    )
