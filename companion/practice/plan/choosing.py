"""Which passages today is for, in which order they are thought of.

How pressing a passage is: the days since it was played, as a share of the days the
scheduler gave it (drawn in towards a concert). Under the scheduler's curve that is the
order of how likely each is to have faded, so 1 means due and 2 means long overdue.

What held before and wants its return comes first: it costs one visit and keeps what was
won. Then the passages taking shape, by turns the one nearest to its goal and the one that
waited longest, so that something is finished and nothing is starved. Twenty passages in
work at once are none that holds: new ones are begun when there is room, and at least at
the pace at which all are begun by half the time to the concert.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from heapq import nsmallest

from companion.practice.attempt import Bars
from companion.practice.mastery.standing import Standing, state
from companion.practice.mastery.states import MasteryState
from companion.practice.pace import WrittenPace, tempo_at, told
from companion.practice.plan.day_plan import Item, ItemKind
from companion.practice.plan.habits import Habits
from companion.rhythm.tempo import SLOWEST
from companion.wording.phrases import ago_told, count_told, day_told

DUE = 1.0
"""How pressing a passage is on its day of return."""


@dataclass(frozen=True, slots=True)
class PassageChoice:
    """A passage that could be practised today."""

    item: Item
    """As it would stand in the plan."""
    visits: int
    """How often it wants to be come back to on one day: a new one twice; for the others a
    second visit on the same day teaches less than one on another (Cepeda et al. 2006)."""


def pressing(stands: Standing, today: int) -> float:
    """How pressing a tried passage is; DUE on its day of return, 0 on the day it was played."""
    if stands.memory is None:
        return 0.0
    return (today - stands.memory.day) / max(1, stands.planned - stands.memory.day)


@dataclass(frozen=True, slots=True)
class DuePassage:
    """The passages that are due."""

    first: list[Standing]
    """The first of them, in the order they are thought of."""
    count: int
    """How many there are in all."""


def due_passages(standings: Iterable[Standing], today: date, most: int) -> DuePassage:
    """The passages that are due, `most` of them in order."""
    day = today.toordinal()
    returns: list[tuple[float, Standing]] = []
    rungs: list[tuple[float, Standing]] = []
    for one in standings:
        pressure = pressing(one, day)
        if pressure >= DUE:
            (returns if one.has_risen else rungs).append((pressure, one))
    first = [one for _, one in nsmallest(most, returns, key=_most_pressing)]
    waited = [one for _, one in nsmallest(most, rungs, key=_most_pressing)]
    near = [one for _, one in nsmallest(most, rungs, key=_nearest)]
    return DuePassage([*first, *_by_turns(near, waited)], len(returns) + len(rungs))


def early(standings: Iterable[Standing], today: date, most: int) -> list[Standing]:
    """Passages that are not due but were not played today either, the most pressing first."""
    day = today.toordinal()
    found = [
        (pressing(one, day), one)
        for one in standings
        if one.memory is not None and one.memory.day < day < one.planned
    ]
    return [one for _, one in nsmallest(most, found, key=_most_pressing)]


def new(standings: Iterable[Standing], today: date, habits: Habits) -> list[Standing]:
    """Passages with a goal and no attempt yet: those with the nearest concert first."""
    fresh = [one for one in standings if one.last is None]
    far = date.max.toordinal()
    fresh.sort(key=lambda one: (one.aims.concert or far, one.title, one.bars))
    return [one for one in fresh if not is_last_days(one, today, habits)]


def must_begin(standings: Sequence[Standing], fresh: Sequence[Standing], today: date) -> bool:
    """Whether a passage must be begun today, if all are to be by half the time that is left."""
    day = today.toordinal()
    dated = [one.aims.concert - day for one in fresh if one.aims.concert is not None]
    if not dated:
        return not any(one.last for one in standings)
    latest = max(one.first_day for one in standings)
    return 2 * len(dated) * (day - latest) >= min(dated)


def _most_pressing(pair: tuple[float, Standing]) -> tuple[float, int, Bars]:
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
    tempo = next_rung(stands, habits, may_rise=not is_late)
    kind = _kind(stands, found)
    item = Item(
        kind=kind,
        minutes=habits.visit,
        why=_why(stands, found, today),
        bars=stands.bars,
        title=stands.title,
        part_name=stands.part_name,
        label=stands.label,
        path=stands.path,
        tempo=str(tempo),
        beat=stands.aims.beat,
    )
    return PassageChoice(item, 2 if kind is ItemKind.NEW else 1)


def _kind(stands: Standing, found: MasteryState) -> ItemKind:
    if found is MasteryState.NEW:
        return ItemKind.NEW
    return ItemKind.RUNG if found is MasteryState.TAKING_SHAPE else ItemKind.RETURN


def _why(stands: Standing, found: MasteryState, today: date) -> str:
    phrase = _cause(stands, found, today)
    left = stands.aims.concert - today.toordinal() if stands.aims.concert is not None else -1
    if left < 0:
        return phrase
    return f"{phrase}; {'today is the day' if not left else count_told(left, 'day') + ' to go'}"


def _cause(stands: Standing, found: MasteryState, today: date) -> str:
    day, beat = today.toordinal(), stands.aims.beat
    if found is MasteryState.NEW:
        return f"begin slowly, the goal is {told(stands.aims.goal, beat)}"
    if stands.slips and stands.last is not None:
        return f"it slipped on {day_told(stands.last.day)}"
    if found is MasteryState.TAKING_SHAPE:
        if stands.held is None:
            return "nothing has held yet"
        return f"{told(stands.held, beat)} held on {day_told(stands.held_day)}"
    if stands.planned > day:
        return f"not due before {day_told(stands.planned)}, but there is time"
    if stands.planned == day:
        return "due back today"
    return f"due back {ago_told(day - stands.planned)}"


# The next rung of a tempo ladder: how fast to try a passage today.


def first_rung(goal: Fraction, habits: Habits) -> Fraction:
    """Where the ladder to a goal tempo begins, in whole beats a minute."""
    return min(goal, Fraction(max(SLOWEST, round(goal * habits.begin_share))))


def next_rung(stands: Standing, habits: Habits, *, may_rise: bool = True) -> Fraction:
    """Felt beats a minute to try a passage at, at most its goal.

    Without `may_rise` what held last is kept: in the last days before a concert.
    """
    goal, beat = tempo_at(stands.aims.goal, stands.aims.beat), stands.aims.beat
    first, last = first_rung(goal, habits), stands.last
    if last is None:
        return first
    if stands.held is None or (stands.held_day != last.day and last.failed is not None):
        return _below(last.failed, beat, first, habits)
    held = tempo_at(stands.held, beat)
    is_climbed = 2 * last.clean >= last.tries and stands.held_day == last.day
    rise = habits.step if may_rise and is_climbed else 0
    return min(goal, max(held + rise, first if may_rise else held))


def _below(failed: WrittenPace | None, beat: str, first: Fraction, habits: Habits) -> Fraction:
    """One rung under the tempo that failed, but not lower than a slow start needs."""
    if failed is None:
        return first
    under = tempo_at(failed, beat) - habits.step
    return max(Fraction(SLOWEST), under) if under < first else under


# The last days before a concert: nothing new, no tempo raised, and through without stopping.


def is_last_days(stands: Standing, today: date, habits: Habits) -> bool:
    """Whether the concert is so near that nothing new is begun and no tempo raised."""
    concert = stands.aims.concert
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
    concert = max(one.aims.concert or 0 for one in found)
    left = concert - today.toordinal()
    bars = Bars(first.bars.score_digest, first.bars.part_id, first.bars.first, last.bars.last)
    return Item(
        kind=ItemKind.RUN_THROUGH,
        minutes=2 * habits.visit,
        why="once through without stopping: "
        + (f"{count_told(left, 'day')} to the concert" if left else "the concert is today"),
        bars=bars,
        title=first.title,
        part_name=first.part_name,
        label=f"{first.label.split('–')[0]}–{last.label.split('–')[-1]}",
        path=last.path or first.path,
    )
