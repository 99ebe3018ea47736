"""The way to a goal, day by day: how far the tempo goes today, and what a date changes.

What was never tried begins slowly and climbs a ladder each day. With a date the ladders are
so long that even steps reach the goal on the last day before it; without one they are three
tempos long. What the date is makes a difference:

- before a **concert** some quiet days belong to running through what is learned: nothing is
  begun and no tempo raised;
- before a **rehearsal** that is one day, and the tempo may still rise: the others will be
  there, and what does not hold yet can be said;
- before a **lesson** there is none, for what does not hold is what a lesson is for.

At most half of the days since the work for a date began are quiet; what never held is not
run through. Common practice throughout, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction
from math import ceil

from msgspec import Struct
from msgspec.structs import replace

from companion.practice.attempt import Bars
from companion.practice.goal import OccasionKind
from companion.practice.mastery.standing import Aims, Standing
from companion.practice.pace import WrittenPace, is_as_fast, tempo_at
from companion.practice.plan.day_plan import Cause, Item, ItemKind, Reason
from companion.practice.plan.habits import Habits
from companion.rhythm.tempo import SLOWEST
from companion.score.bar_numbers import names_joined

MOST_STEPS = 6
"""Steps of one day's ladder at most; a steeper way makes the steps larger (common practice)."""
USUAL_STEPS = 2
"""Steps of a ladder that no date hurries (common practice)."""
_PART_OF_THE_WAY = 2
"""Quiet days are at most this part of the days there were."""


def days_left(aims: Aims, today: date) -> int | None:
    """Days to a goal's date, 0 on it; None without one, and when it is over."""
    left = aims.by - today.toordinal() if aims.by is not None else -1
    return left if left >= 0 else None


def is_quiet(aims: Aims, began: int, today: date, habits: Habits) -> bool:
    """Whether the date is so near that nothing new is begun and what is learned is run through.

    `began` is the day on which the work for it began, as an ordinal; 0 if it did not yet.
    """
    left = days_left(aims, today)
    if left is None or aims.by is None or not began or aims.occasion is OccasionKind.LESSON:
        return False
    most = habits.last_days if aims.occasion is OccasionKind.CONCERT else 1
    return left <= min(most, (aims.by - began) // _PART_OF_THE_WAY)


def may_rise(stands: Standing, today: date, habits: Habits) -> bool:
    """Whether the tempo may go up today: not on the day itself, nor just before a concert."""
    is_concert = stands.aims.occasion is OccasionKind.CONCERT
    is_over = is_concert and is_quiet(stands.aims, stands.first_day, today, habits)
    return days_left(stands.aims, today) != 0 and not is_over


def towards(reason: Reason, aims: Aims, today: date) -> Reason:
    """A reason that says what is to come, and in how many days."""
    left = days_left(aims, today)
    return reason if left is None else replace(reason, to_concert=left, occasion=aims.occasion)


# When the work for each date began, and how much of it must be begun today.

Work = tuple[str, str, int | None]
"""A score's digest, a part's id and a date."""


def work_of(stands: Standing) -> Work:
    """What a passage is practised for."""
    return stands.bars.score_digest, stands.bars.part_id, stands.aims.by


def beginnings(standings: Iterable[Standing]) -> dict[Work, int]:
    """The first practice day for each part and date, as an ordinal."""
    found: dict[Work, int] = {}
    for one in standings:
        if one.first_day and one.aims.by is not None:
            work = work_of(one)
            found[work] = min(one.first_day, found.get(work, one.first_day))
    return found


def to_begin(standings: Sequence[Standing], fresh: Sequence[Standing], today: date) -> int:
    """How many passages the player chose must be begun today, to begin all by half of the time."""
    day = today.toordinal()
    dates = sorted(
        one.aims.by - day for one in fresh if one.aims.is_set and one.aims.by is not None
    )
    dates = [left for left in dates if left >= 0]
    if not dates:
        return 0 if any(one.last for one in standings) else 1
    latest = max(one.first_day for one in standings)
    at_once = max(number // max(1, left // 2) for number, left in enumerate(dates, 1))
    in_turn = 2 * len(dates) * (day - latest) >= dates[0]
    return max(at_once, int(in_turn))


# The tempos of a day.


class DayLadder(Struct, frozen=True):
    """From which tempo to which today, in felt beats a minute."""

    start: Fraction
    top: Fraction
    """The start itself if there is nothing to climb."""
    step: Fraction


def day_ladder(stands: Standing, today: date, habits: Habits) -> DayLadder:
    """A passage's tempos on a day; the last day's ladder before a date ends at the goal."""
    rises = may_rise(stands, today, habits)
    start = next_tempo(stands, habits, may_rise=rises)
    goal = tempo_at(stands.aims.goal, stands.aims.beat)
    step = Fraction(habits.step)
    if not rises or start >= goal:
        return DayLadder(start, start, step)
    rise = USUAL_STEPS * step
    if (left := days_left(stands.aims, today)) is not None:
        rise = max(rise, Fraction(ceil((goal - start) / _climbing_days(stands, left, habits))))
    top = min(goal, start + rise)
    return DayLadder(start, top, max(step, Fraction(ceil((top - start) / MOST_STEPS))))


def _climbing_days(stands: Standing, left: int, habits: Habits) -> int:
    """Days on which the tempo can rise, today included."""
    if stands.aims.occasion is OccasionKind.CONCERT and stands.aims.by is not None:
        began = stands.first_day or stands.aims.by - left
        left -= min(habits.last_days, (stands.aims.by - began) // _PART_OF_THE_WAY)
    return max(1, left)


def first_tempo(goal: Fraction, habits: Habits) -> Fraction:
    """Where the ladder to a goal tempo begins, in whole beats a minute."""
    return min(goal, Fraction(max(SLOWEST, round(goal * habits.begin_share))))


def next_tempo(stands: Standing, habits: Habits, *, may_rise: bool = True) -> Fraction:
    """Felt beats a minute to begin with today, at most the goal.

    Without `may_rise` what held last is kept.
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


# Once through without stopping: near the end, and only what is learned.


def is_learned(stands: Standing) -> bool:
    """Whether it held at its goal tempo when it held last, and did not slip since."""
    return is_as_fast(stands.held, stands.aims.goal) and not stands.slips


def run_throughs(
    standings: Sequence[Standing], today: date, habits: Habits, most: int
) -> list[Item]:
    """The longest stretches that are learned, of the parts that have a date in quiet days.

    `most` minutes together. A passage of the part that is not learned ends a stretch.
    """
    began = beginnings(standings)
    quiet = {
        work_of(one)
        for one in standings
        if one.aims.by is not None and is_quiet(one.aims, began.get(work_of(one), 0), today, habits)
    }
    found = [stretch for work in quiet for stretch in _stretches(standings, work)]
    found.sort(key=lambda all_: (all_[0].bars.first - all_[-1].bars.last, all_[0].bars))
    return [_run_through(stretch, today, habits) for stretch in found[: most // _long(habits)]]


def _stretches(standings: Iterable[Standing], work: Work) -> Iterator[list[Standing]]:
    """Passages for a date in order of bars, none across bars that are not learned."""
    there = [one for one in standings if work_of(one)[:2] == work[:2]]
    there.sort(key=lambda one: (one.bars, work_of(one) != work))
    stretch: list[Standing] = []
    not_learned = 0
    for one in there:
        if not is_learned(one):
            not_learned = max(not_learned, one.bars.last)
            stretch = [each for each in stretch if each.bars.last < one.bars.first]
            if stretch:
                yield stretch
            stretch = []
        elif work_of(one) == work and one.bars.first > not_learned:
            stretch.append(one)
    if stretch:
        yield stretch


def _long(habits: Habits) -> int:
    """Minutes of a run-through."""
    return 2 * habits.visit


def _run_through(found: list[Standing], today: date, habits: Habits) -> Item:
    first, last = found[0], max(found, key=lambda one: one.bars.last)
    bars = Bars(first.bars.score_digest, first.bars.part_id, first.bars.first, last.bars.last)
    return Item(
        kind=ItemKind.RUN_THROUGH,
        minutes=_long(habits),
        why=towards(Reason(cause=Cause.CONCERT), first.aims, today),
        bars=bars,
        title=first.title,
        part_name=first.part_name,
        label=names_joined(first.label.split("–")[0], _last_name(last.label), bars.last),
        path=last.path or first.path,
    )


def _last_name(label: str) -> str:
    """`II:230` of `II:225–230`: the last bar's name in full."""
    begin, _, end = label.rpartition("–")
    movement, colon, _ = begin.partition(":")
    return end if ":" in end or end.startswith("@") else f"{movement if colon else ''}{colon}{end}"
