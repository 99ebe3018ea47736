"""What today is for, given the minutes there are.

Warm-up first; what was not played of earlier plans; passages that are due and the next tempos
of those taking shape, the most urgent first; a few new ones; in the last days before a
concert a run-through instead of anything new. The passages are interleaved, three minutes
with one and then the next, some of them twice: ten clarinettists who
practised so were mostly rated better a day later than after one long block each (Carter &
Grahn, Front. Psychol. 7, 2016, 1251); other studies found no main effect. It is offered,
not promised, and every number of it is the player's to change (`Habits`).

The plan is a pure function of the log, the goals, the day and the minutes: the same on
every machine, and no clock is asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from msgspec.structs import replace

from companion.errors import RequestError
from companion.practice.attempt import Bars
from companion.practice.mastery.standing import Standing
from companion.practice.plan.choosing import (
    DuePassages,
    PassageChoice,
    choice,
    due_passages,
    early,
    must_begin,
    new,
    run_throughs,
)
from companion.practice.plan.day_plan import (
    Cause,
    DayPlan,
    DueLater,
    GrowingLoad,
    Item,
    ItemKind,
    PlanWarning,
    Reason,
    Unplanned,
)
from companion.practice.plan.habits import Habits

UNPLANNED = 5
"""Minutes without anything in them that go without saying."""

SPARE = 5
"""How many more passages are kept ready for replacing."""


def plan_for(
    standings: Sequence[Standing],
    today: date,
    minutes: int,
    habits: Habits,
    *,
    left: Sequence[Item] = (),
    played: Mapping[date, float] | None = None,
) -> DayPlan:
    """A plan for a practice day. `left` was carried over, `played` are minutes a day so far.

    Raises RequestError for fewer than 5 or more than 600 minutes.
    """
    if not 5 <= minutes <= 600:
        raise RequestError(
            f"{minutes} minutes cannot be planned", next="Give between 5 and 600 minutes."
        )
    warm_up = min(habits.warm_up, minutes // 6)
    through = run_throughs(standings, today, habits)
    playing = minutes - warm_up - breaks(minutes, habits) * habits.break_minutes
    visits = max(1, (playing - sum(item.minutes for item in through)) // habits.visit)
    due = due_passages(standings, today, visits + SPARE)
    choices, spare = _chosen(standings, today, visits, habits, left, due.first)
    first = [_warm_up(warm_up)] if warm_up else []
    sequence = [*first, *through, *interleaved(choices, visits)]
    items = tuple(laid_out(sequence, minutes, habits))
    planned = sum(item.minutes for item in items)
    load = growing_load(played or {}, today, planned, habits)
    return DayPlan(
        day=today.isoformat(),
        minutes=minutes,
        items=items,
        spare=tuple(one.item for one in spare),
        warnings=tuple(_warnings(due, choices, minutes - planned, load)),
    )


def _chosen(
    standings: Sequence[Standing],
    today: date,
    visits: int,
    habits: Habits,
    left: Sequence[Item],
    due: Sequence[Standing],
) -> tuple[list[PassageChoice], list[PassageChoice]]:
    """Passages for today and those that would come next, each once."""
    fresh = new(standings, today, habits)
    begun = fresh[: habits.new_a_day]
    first = begun[:1] if must_begin(standings, fresh, today) else []
    carried = _carried_over(standings, today, habits, left)
    others = [*first, *due, *begun, *early(standings, today, visits + SPARE)]
    taken: dict[Bars, PassageChoice] = {}
    spare: dict[Bars, PassageChoice] = {}
    room = visits
    for one in (*carried, *(choice(one, today, habits) for one in others[: 2 * visits + SPARE])):
        bars = one.item.bars
        if bars is None or bars in taken:
            continue
        if room > 0:
            taken[bars] = one
            room -= one.visits
        else:
            spare.setdefault(bars, one)
    return list(taken.values()), list(spare.values())[:SPARE]


def _carried_over(
    standings: Sequence[Standing], today: date, habits: Habits, left: Sequence[Item]
) -> Iterator[PassageChoice]:
    """What was not played, as it stands today."""
    wanted = {item.bars: item for item in left}
    if not wanted:
        return
    now = {one.bars: one for one in standings if one.bars in wanted}
    for bars, item in wanted.items():
        if bars is not None and bars in now:
            made = choice(now[bars], today, habits)
            yield PassageChoice(replace(made.item, planned_on=item.planned_on), made.visits)


def _warm_up(minutes: int) -> Item:
    return Item(kind=ItemKind.WARM_UP, minutes=minutes, why=Reason(cause=Cause.EASY_FIRST))


def _warnings(
    due: DuePassages, choices: Sequence[PassageChoice], left: int, load: GrowingLoad | None
) -> Iterator[PlanWarning]:
    chosen = {one.item.bars for one in choices}
    if later := due.count - sum(1 for one in due.first if one.bars in chosen):
        yield DueLater(later)
    if choices and left > UNPLANNED:
        yield Unplanned(left)
    if load:
        yield load


# Whether the week grows too fast.


_WEEK = 7
LEAST = 60.0
"""Minutes of an ordinary week below which a jump says nothing."""


def growing_load(
    minutes: Mapping[date, float], today: date, planned: int, habits: Habits
) -> GrowingLoad | None:
    """The load if the seven days ending today, as planned, outgrow the weeks before.

    `minutes` are those of each practice day so far; what was played today counts once,
    with what is planned as its least. The yardstick is the busier of the week before and
    the average of the four weeks before.
    """
    played = {day: time for day, time in minutes.items() if day <= today}
    this = _week(played, today, skip=1) + max(float(planned), played.get(today, 0.0))
    weeks = [_week(played, today - timedelta(days=_WEEK * back)) for back in range(1, 5)]
    usual = max(weeks[0], sum(weeks) / len(weeks))
    if not any(weeks) or this <= LEAST or this <= usual * (100 + habits.most_growth) / 100:
        return None
    return GrowingLoad(this, usual, habits.most_growth)


def _week(minutes: Mapping[date, float], end: date, skip: int = 0) -> float:
    days = (end - timedelta(days=back) for back in range(skip, _WEEK))
    return sum(minutes.get(day, 0.0) for day in days)


# The order of a day: passages interleaved, rests between, as far as the minutes reach.


MOST_VISITS = 3
"""Visits to one passage on one day; what is left of the minutes is left to the player. Long
repetition of one thing wears out hands and attention (common practice, no source)."""


def interleaved(choices: Sequence[PassageChoice], visits: int) -> list[Item]:
    """Every passage once, then those with two visits again, then all, while visits last."""
    sequence = [one.item for one in choices]
    sequence += [_second_visit(one.item) for one in choices if one.visits > 1]
    for turn in range(1, MOST_VISITS):
        sequence += [_second_visit(one.item) for one in choices if one.visits <= turn]
    return sequence[:visits]


def _second_visit(item: Item) -> Item:
    return replace(item, why=Reason(cause=Cause.SECOND_VISIT))


def breaks(minutes: int, habits: Habits) -> int:
    """Rests that so many minutes need, none of them at the end."""
    return -(-max(0, minutes - habits.break_every) // (habits.break_every + habits.break_minutes))


def laid_out(sequence: Sequence[Item], minutes: int, habits: Habits) -> Iterator[Item]:
    """The items one after another with rests between, as far as the minutes reach."""
    total = played = 0
    for item in sequence:
        if played + item.minutes > habits.break_every and played:
            if total + habits.break_minutes + 1 > minutes:
                return
            why = Reason(cause=Cause.AFTER_PLAYING, minutes=played)
            yield Item(kind=ItemKind.BREAK, minutes=habits.break_minutes, why=why)
            total, played = total + habits.break_minutes, 0
        length = min(item.minutes, minutes - total)
        if length < 1:
            return
        yield replace(item, minutes=length)
        total, played = total + length, played + length
