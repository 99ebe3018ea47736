"""Where a passage stands: everything Today and mastery need of it, summed up once.

Kept small and made day by day, so that three thousand passages with ten years behind them
are looked through at once. It says nothing about the present day: `state`
takes that as an argument, because a passage that held yesterday may be due this morning.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from companion.practice.attempt import Attempt, Bars, Outcome, bars_of
from companion.practice.goal import Goal, OccasionKind
from companion.practice.mastery.passage_day import RANK, DayOf, PassageDay, as_number, passage_days
from companion.practice.mastery.spacing import Memory, due_by, remembered
from companion.practice.mastery.states import FALLS, RISES, MasteryState, Rise
from companion.practice.pace import WrittenPace, is_as_fast, pace_of

_HELD = RANK[Outcome.HELD]
ON_THE_WAY = 2
"""Days after which a passage that does not hold yet is planned again at the latest: what the
scheduler spaces is the keeping of something that was learnt (common practice)."""


class RiseDays(Struct, frozen=True, gc=False, array_like=True):
    """The practice days that count towards one rise."""

    count: int = 0
    first: int = 0
    """As an ordinal (`date.toordinal`)."""
    last: int = 0
    """As an ordinal."""


class Standing(Struct, frozen=True, gc=False, array_like=True):
    """One passage after everything the log says about it."""

    bars: Bars
    title: str
    """The score's, as noted last."""
    part_name: str
    """As printed, as noted last."""
    label: str
    """The bars as printed, as noted last."""
    path: str
    """Where the score lay last."""
    aims: Aims
    tries: int = 0
    """Attempts in all."""
    days: int = 0
    """Practice days in all."""
    first_day: int = 0
    """The first practice day, as an ordinal; 0 if it was never tried."""
    rise_days: tuple[RiseDays, ...] = (RiseDays(),) * len(RISES)
    """For each rise in `RISES`, the days that count since the last fall."""
    slips: int = 0
    """Practice days in a row, up to the last, on which it slipped."""
    held: WrittenPace | None = None
    """The fastest that held on the last day on which anything did, since the last fall."""
    held_day: int = 0
    """That day, as an ordinal."""
    is_waiting: bool = False
    """Whether it was due and has not held at its goal since."""
    last: PassageDay | None = None
    memory: Memory | None = None
    newest_alone: int = 0
    """Rank of the newest first run of a day at goal tempo without the click; 0 for none."""
    newest_alone_day: int = 0
    """That day, as an ordinal."""
    bad_days: int = 0
    """Practice days in a row, up to the last, on which fewer than half of the runs held."""
    hardness: int = 0
    """Of what is found in its bars, 0 to 100; 0 if nothing is, or the score is not open."""
    tapped_days: int = 0
    """Practice days on which only its rhythm was tapped."""
    tapped_day: int = 0
    """The last of them, as an ordinal."""
    tapped_best: int = 0
    """Rank of the best outcome of that day, 1–4."""

    @property
    def due(self) -> int:
        """The day it is due, as an ordinal; 0 if it was never tried."""
        return self.memory.due if self.memory else 0

    @property
    def planned(self) -> int:
        """The day to plan it for: the day it is due; sooner if a concert draws near, and if
        it does not hold yet, slipped or failed without the click."""
        if self.memory is None:
            return 0
        latest = due_by(self.memory, self.aims.by)
        is_stable = not (self.slips or self.is_waiting or self.has_failed_alone) and self.has_risen
        return latest if is_stable else min(latest, self.memory.day + ON_THE_WAY)

    @property
    def has_risen(self) -> bool:
        """Whether it has held at its goal on enough days, and not fallen since."""
        return any(map(self.has_met, RISES, self.rise_days))

    @property
    def has_failed_alone(self) -> bool:
        """Whether the newest first run without the click at goal tempo did not hold."""
        return 0 < self.newest_alone < _HELD

    def has_met(self, rise: Rise, days: RiseDays) -> bool:
        """Whether enough days count towards a rise, far enough apart, and the newest run of
        its kind was good too."""
        return (
            days.count >= rise.days
            and days.last - days.first >= rise.span
            and (not rise.is_first or self.newest_alone >= RANK[rise.outcome])
        )


def untried(goal: Goal, aims: Aims, path: str = "") -> Standing:
    """A passage that has a goal, perhaps by a date, and no attempts yet."""
    names = (goal.score_title, goal.part_name, goal.bars_label)
    return Standing(goal.bars, *names, path, aims)


def standing(attempts: Sequence[Attempt], aims: Aims | None, day_of: DayOf) -> Standing:
    """Where a passage stands after all its attempts, given in order of time.

    `attempts` are about one passage, and at least one. Raises ValueError for none.
    """
    if not attempts:
        raise ValueError("a passage that was never tried stands nowhere")
    last = attempts[-1]
    names = (last.score_title, last.part_name, last.bars_label, last.score_path)
    aims = aims or _without_goal(attempts)
    stands = Standing(bars_of(last), *names, aims)
    for day in passage_days(attempts, aims.goal, day_of):
        stands = after(stands, day)
    return _with_taps(stands, attempts, day_of)


def _with_taps(stands: Standing, attempts: Sequence[Attempt], day_of: DayOf) -> Standing:
    """The same with the days on which its rhythm was tapped: known, but not yet played."""
    taps: dict[int, int] = {}
    for one in attempts:
        if not one.is_played:
            day = day_of(one.at).toordinal()
            taps[day] = max(taps.get(day, 0), RANK[one.counts_as])
    last = max(taps, default=0)
    return replace(stands, tapped_days=len(taps), tapped_day=last, tapped_best=taps.get(last, 0))


def _without_goal(attempts: Sequence[Attempt]) -> Aims:
    """What was played counts; of what was only tapped, the taps."""
    played = [attempt for attempt in attempts if attempt.is_played] or attempts
    paces = [pace_of(attempt.tempo, attempt.beat) for attempt in played]
    return aims_without_goal(max(paces, key=as_number), attempts[-1].beat)


def after(before: Standing, day: PassageDay) -> Standing:
    """The same passage after one more practice day, which must be later than its last."""
    has_stood = before.slips > 0 or any(so_far.count for so_far in before.rise_days)
    slips = before.slips + 1 if day.has_slipped and has_stood else 0
    rise_days, held, held_day = before.rise_days, before.held, before.held_day
    if any(slips >= fall.slips > 1 for fall in FALLS):
        rise_days, held, held_day = (RiseDays(),) * len(RISES), None, 0
    if day.held is not None:
        held, held_day = day.held, day.day
    return replace(
        before,
        tries=before.tries + day.tries,
        days=before.days + 1,
        first_day=before.first_day or day.day,
        rise_days=tuple(
            RiseDays(so_far.count + 1, so_far.first or day.day, day.day) if meets else so_far
            for so_far, meets in zip(rise_days, day.meets, strict=True)
        ),
        slips=slips,
        is_waiting=_is_waiting(before, day),
        held=held,
        held_day=held_day,
        last=day,
        memory=remembered(before.memory, day),
        newest_alone=day.first_alone or before.newest_alone,
        newest_alone_day=day.day if day.first_alone else before.newest_alone_day,
        bad_days=before.bad_days + 1 if 2 * day.clean < day.tries else 0,
    )


def _is_waiting(before: Standing, day: PassageDay) -> bool:
    was_due = before.memory is not None and before.due <= day.day
    return (was_due or before.is_waiting) and not is_as_fast(day.held, before.aims.goal)


def state(stands: Standing, today: date) -> MasteryState:
    """The state of a passage on a day, by the table in `states`."""
    if stands.last is None:
        return MasteryState.NEW
    risen = next(
        (
            rise.to
            for rise, days in zip(RISES, stands.rise_days, strict=True)
            if stands.has_met(rise, days)
        ),
        MasteryState.TAKING_SHAPE,
    )
    if not risen.is_holding:
        return risen
    for fall in FALLS:
        if fall.slips == 0 and (stands.is_waiting or stands.due <= today.toordinal()):
            return fall.to
        if stands.slips >= fall.slips > 0:
            return fall.to
    return risen


# What a passage is held against: its goal, or what stands for one where none is set.


class Aims(Struct, frozen=True, gc=False, array_like=True):
    """A goal in the measure the log is judged by."""

    beat: str
    """The note value tempos are told in: the goal's, else the one noted last."""
    goal: WrittenPace
    """The pace it is to hold at; without a goal the fastest that was ever tried."""
    is_set: bool
    """Whether the player set the goal."""
    by: int | None = None
    """The day it must hold by, as an ordinal."""
    occasion: OccasionKind = OccasionKind.CONCERT
    """What that day is."""


def aims_of(goal: Goal, by: date | None, occasion: OccasionKind = OccasionKind.CONCERT) -> Aims:
    """What a goal asks for, by a concert, a rehearsal or a lesson if there is one."""
    day = by.toordinal() if by else None
    return Aims(goal.beat, pace_of(goal.tempo, goal.beat), True, day, occasion)


def aims_without_goal(fastest: WrittenPace, beat: str) -> Aims:
    """What stands for a goal."""
    return Aims(beat, fastest, False)
