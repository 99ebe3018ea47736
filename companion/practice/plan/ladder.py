"""The next rung of a tempo ladder: how fast to try a passage today.

A rung is climbed when the last day held at the one below with at least half of its times
through clean, and given back when it did not; nobody is sent up by one lucky evening.
"""

from __future__ import annotations

from fractions import Fraction

from companion.practice.pace import Pace, tempo_at
from companion.practice.plan.habits import Habits
from companion.practice.standing import Standing
from companion.rhythm.tempo import SLOWEST


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


def _below(failed: Pace | None, beat: str, first: Fraction, habits: Habits) -> Fraction:
    """One rung under the tempo that failed, but not lower than a slow start needs."""
    if failed is None:
        return first
    under = tempo_at(failed, beat) - habits.step
    return max(Fraction(SLOWEST), under) if under < first else under
