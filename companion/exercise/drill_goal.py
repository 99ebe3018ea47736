"""Whether a drill's goal is reached, told from the attempts in the log alone.

A goal names a tempo, an outcome, a number of times and a number of days: on so many
different practice days, so many times through at that tempo or faster went so well or
better. Nothing else counts towards it, and what was reached once stays reached.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from fractions import Fraction

from companion.exercise.drill_on_score import DrillOnScore, goal_tempo
from companion.practice.attempt import Attempt, Bars, Outcome, bars_of
from companion.practice.pace import is_as_fast, pace_of
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import span_name


class GoalState(StrEnum):
    """How far a drill or an exercise is."""

    ASSIGNED = "assigned"
    """Not tried yet."""
    IN_PROGRESS = "in progress"
    """Tried, and its goal not reached."""
    DONE = "done"
    """Its goal is reached."""


@dataclass(frozen=True, slots=True)
class Target:
    """A drill's goal by value: it is known without the score."""

    bars: Bars
    score_title: str
    """As the score names itself."""
    part_name: str
    """As printed."""
    bars_label: str
    tempo: Fraction
    """Felt beats a minute."""
    beat: str
    """The note value of the beat."""
    outcome: Outcome
    """This, or better."""
    times: int
    """Times through on one day."""
    days: int
    """On so many different days."""
    earlier: tuple[Bars, ...] = ()
    """The same drill in the versions before a correction; attempts there count as well."""

    @property
    def everywhere(self) -> frozenset[Bars]:
        """Its bars, in this version and those before."""
        return frozenset((self.bars, *self.earlier))


@dataclass(frozen=True, slots=True)
class GoalProgress:
    """How far a drill is."""

    state: GoalState
    tries: int
    """Attempts at just these bars."""
    good_days: int
    """Days that count towards the goal."""
    fastest: Fraction | None
    """The fastest tempo, in the goal's beats, at which it went so well; None if it never did."""
    last: Attempt | None = None
    """The latest attempt."""


def target_of(on_score: DrillOnScore) -> Target:
    """A drill's goal."""
    where, goal = on_score.passage, on_score.drill.goal
    return Target(
        Bars(on_score.opened.digest, where.part_id, where.first, where.last),
        on_score.opened.score.title,
        where.part_name,
        span_name(on_score.clock, where.first, where.last),
        goal_tempo(on_score.drill, where),
        note_name(where.beat),
        goal.outcome,
        goal.times,
        goal.days,
    )


def progress(
    target: Target, attempts: Iterable[Attempt], day_of: Callable[[datetime], date]
) -> GoalProgress:
    """How far a drill is after these attempts; those at other bars are passed over.

    `day_of` tells the practice day a moment belongs to.
    """
    goal = pace_of(target.tempo, target.beat)
    here = target.everywhere
    last: Attempt | None = None
    tries = 0
    times: Counter[date] = Counter()
    fastest: Fraction | None = None
    for attempt in attempts:
        if bars_of(attempt) not in here:
            continue
        tries += 1
        last = attempt if last is None or attempt.at >= last.at else last
        if attempt.counts_as < target.outcome or not (attempt.repetitions and attempt.is_played):
            continue
        pace = pace_of(attempt.tempo, attempt.beat)
        reached = target.tempo * Fraction(*pace) / Fraction(*goal)
        fastest = reached if fastest is None else max(fastest, reached)
        if is_as_fast(pace, goal):
            times[day_of(attempt.at)] += attempt.repetitions
    good = sum(count >= target.times for count in times.values())
    state = GoalState.IN_PROGRESS if tries else GoalState.ASSIGNED
    if good >= target.days:
        state = GoalState.DONE
    return GoalProgress(state, tries, good, fastest, last)


def state_of(drills: Sequence[GoalProgress]) -> GoalState:
    """How far a whole exercise is: done when every drill is."""
    if all(drill.state is GoalState.DONE for drill in drills):
        return GoalState.DONE
    if any(drill.tries for drill in drills):
        return GoalState.IN_PROGRESS
    return GoalState.ASSIGNED
