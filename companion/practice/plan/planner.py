"""What today is for, given the minutes there are.

Warm-up first; what was not played of earlier plans; passages that are due and the next tempos
of those taking shape, the most urgent first; a few new ones, the hardest first; exercises that
are assigned; near a date a run-through of what is learned (`path_to_date`); and if minutes are
left, music. The passages are interleaved, three minutes with one and then the next, none more
than twice: ten clarinettists who practised so were mostly rated better a day later than after
one long block each (Carter & Grahn, Front. Psychol. 7, 2016, 1251); other studies found no main
effect. If there are few passages, each visit is longer. It is offered, not promised, and every
number of it is the player's to change (`Habits`).

The plan is a pure function of the log, the goals, the day and the minutes: the same on
every machine, and no clock is asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from msgspec.structs import replace

from companion.errors import RequestError
from companion.practice.attempt import Bars
from companion.practice.goal import OccasionKind
from companion.practice.mastery.standing import Standing
from companion.practice.plan.choosing import (
    DuePassages,
    PassageChoice,
    choice,
    due_passages,
    early,
    new,
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
    is_covered,
)
from companion.practice.plan.habits import Habits
from companion.practice.plan.path_to_date import run_throughs, to_begin

UNPLANNED = 5
"""Minutes without anything in them from which music is offered."""

FIRST_DAY = 5
"""Passages begun on a day on which nothing else is in work (common practice, no source)."""

_PART_THAT_MUST = 4
"""What must be begun for a date takes at most this part of the visits at first, twice each."""

_PART_FOR_EXERCISES = 3
"""Exercises take at most this part of the visits, but one always has its minutes."""

SPARE = 5
"""How many more passages are kept ready for replacing."""


def plan_for(
    standings: Sequence[Standing],
    today: date,
    minutes: int,
    habits: Habits,
    *,
    left: Sequence[Item] = (),
    exercises: Sequence[Item] = (),
    played: Mapping[date, float] | None = None,
    skipped: Sequence[Item] = (),
) -> DayPlan:
    """A plan for a practice day. `left` was carried over, `exercises` are assigned and not
    done, `played` are minutes a day so far, `skipped` is what the player left out that day.

    Raises RequestError for fewer than 5 or more than 600 minutes.
    """
    _check(minutes)
    out = {item.bars or item.kind for item in skipped if not item.is_second}
    warm_up = 0 if ItemKind.WARM_UP in out else min(habits.warm_up, minutes // 6)
    playing = minutes - warm_up - breaks(minutes, habits) * habits.break_minutes
    through = run_throughs(standings, today, habits, playing // 2)
    through = [item for item in through if item.bars not in out]
    playing -= sum(item.minutes for item in through)
    once = [*through, *(one for one in skipped if one.is_second)]
    standings = [one for one in standings if one.bars not in out]
    exercises = [item for item in exercises if item.bars not in out]
    found = _spots(standings, today, playing, habits, left, exercises, once)
    sequence = _in_order(found.items, through)
    laid = laid_out if ItemKind.MUSIC in out else _filled
    items = tuple(laid([*_warm_up(warm_up), *sequence], minutes, habits))
    planned = sum(item.minutes for item in items)
    load = growing_load(played or {}, today, planned, habits)
    return DayPlan(
        day=today.isoformat(),
        minutes=minutes,
        items=items,
        spare=tuple(one.item for one in found.spare),
        warnings=tuple(_warnings(found, minutes - planned, load)),
        skipped=tuple(skipped),
    )


class _Spots(NamedTuple):
    """The passages and exercises of a day."""

    items: list[Item]
    """In their order."""
    choices: list[PassageChoice]
    """The passages among them."""
    spare: list[PassageChoice]
    """Passages that would come next."""
    due: DuePassages


def _spots(
    standings: Sequence[Standing],
    today: date,
    minutes: int,
    habits: Habits,
    left: Sequence[Item],
    exercises: Sequence[Item],
    once: Sequence[Item],
) -> _Spots:
    """What so many minutes of playing are for; what lies in `once` is visited once."""
    visits = max(1, minutes // habits.visit)
    exercises = exercises[: max(1, visits // _PART_FOR_EXERCISES)]
    visits = max(1, visits - len(exercises))
    if assigned := {item.bars for item in exercises}:
        standings = [one for one in standings if one.bars not in assigned]
    due = due_passages(standings, today, visits + SPARE)
    choices, spare = _chosen(standings, today, visits, habits, left, due.first)
    spots = interleaved(choices, visits, once)
    spots[len(choices) : len(choices)] = exercises
    return _Spots(list(stretched(spots, minutes, habits)), choices, spare, due)


def _check(minutes: int) -> None:
    if not 5 <= minutes <= 600:
        raise RequestError(
            f"{minutes} minutes cannot be planned", next="Give between 5 and 600 minutes."
        )


def _in_order(spots: list[Item], through: Sequence[Item]) -> list[Item]:
    """A concert is run through first, as it will be; anything else after the spots."""
    first = [item for item in through if _is_for_concert(item)]
    return [*first, *spots, *(item for item in through if item not in first)]


def _is_for_concert(item: Item) -> bool:
    return isinstance(item.why, Reason) and item.why.occasion is OccasionKind.CONCERT


def _filled(sequence: Sequence[Item], minutes: int, habits: Habits) -> list[Item]:
    """The sequence laid out, and music in what it leaves empty."""
    items = list(laid_out(sequence, minutes, habits))
    passages = [item for item in items if item.is_passage]
    left = minutes - sum(item.minutes for item in items)
    if not passages or left < UNPLANNED:
        return items
    titles = {item.title for item in passages if item.kind is not ItemKind.EXERCISE}
    title = titles.pop() if len(titles) == 1 else ""
    music = Item(
        kind=ItemKind.MUSIC,
        minutes=min(left, habits.break_every),
        why=Reason(cause=Cause.ROOM),
        title=title,
    )
    return list(laid_out([*sequence, *[music] * MOST_VISITS], minutes, habits))


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
    must = min(to_begin(standings, fresh, today), max(1, visits // _PART_THAT_MUST))
    is_first_day = not any(one.last for one in standings)
    at_first = FIRST_DAY if is_first_day and habits.new_a_day else 0
    begun = fresh[: max(must, habits.new_a_day, at_first)]
    carried = _carried_over(standings, today, habits, left)
    most = 2 * visits + SPARE
    others = [*fresh[:must], *due, *begun][:most]
    if len(others) < most:
        others += early(standings, today, most - len(others))
    taken: dict[Bars, PassageChoice] = {}
    spare: dict[Bars, PassageChoice] = {}
    room = visits
    for one in (*carried, *(choice(one, today, habits) for one in others)):
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


def _warm_up(minutes: int) -> Iterator[Item]:
    if minutes:
        why = Reason(cause=Cause.EASY_FIRST)
        yield Item(kind=ItemKind.WARM_UP, minutes=minutes, why=why)


def _warnings(found: _Spots, left: int, load: GrowingLoad | None) -> Iterator[PlanWarning]:
    chosen = {one.item.bars for one in found.choices}
    if later := found.due.count - sum(1 for one in found.due.first if one.bars in chosen):
        yield DueLater(later)
    if found.choices and left >= UNPLANNED:
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


MOST_VISITS = 2
"""Visits to one passage on one day. Long repetition of one thing wears out hands and attention
(common practice, no source)."""

LONGEST = 3
"""How many times as long as usual a visit is at most, if there are few (common practice)."""


def interleaved(
    choices: Sequence[PassageChoice], visits: int, once: Sequence[Item] = ()
) -> list[Item]:
    """Every passage once, then those with two visits again, then all, while visits last.

    What lies in `once`, as what is also run through, is visited once.
    """
    alone = [one for one in choices if not any(_is_within(one.item, item) for item in once)]
    again = sorted(alone, key=lambda one: -one.visits)
    return [*(one.item for one in choices), *(_second_visit(one.item) for one in again)][:visits]


def _is_within(item: Item, other: Item) -> bool:
    return item.bars is not None and other.bars is not None and is_covered(item.bars, other.bars)


def stretched(items: Sequence[Item], minutes: int, habits: Habits) -> Iterator[Item]:
    """The items made longer, evenly, as far as the minutes reach."""
    each, more = divmod(minutes, max(1, len(items)))
    for number, item in enumerate(items):
        length = min(each + (number < more), LONGEST * habits.visit, habits.break_every)
        yield replace(item, minutes=max(item.minutes, length))


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
