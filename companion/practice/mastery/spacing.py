"""When a passage is due: a scheduler of recall, applied to a practice log.

The scheduler is the `fsrs` package (6.3.2, with its 21 published default parameters). It
was made for, and fitted to, the recall of facts. That a passage which held will fade and
want its return along the same curve is an **assumption of this program**, not a finding;
the general part of it, that spaced returns keep better than massed ones and that the best
gap grows with the time still to go, is from Cepeda et al., Psychol. Bull. 132, 2006,
354–380 (verbal recall as well). What was adapted, and why:

- **One review a passage and practice day.** Twenty tries on one evening are one piece of
  evidence. The review is dated at noon UTC of the practice day, so that neither the hour,
  the time zone nor daylight saving can make a day of 23 or 25 hours.
- **The grade comes from outcome and tempo** (`grade`): the test is the first time through
  of the day at four fifths of the goal tempo or faster, because the scheduler asks what was
  kept, and the later ones were helped by the earlier. Where fewer than half of the day's
  times through were clean it is graded lower, because the share of correct trials, not
  their number, went with retention (Duke, Simmons & Cash, J. Res. Music Educ. 56, 2009,
  310–321).
- **No learning steps**: minutes between tries belong to the drill. The first intervals are
  then 1, 1, 2 and 8 days for the four grades.
- **No fuzzing**: the same log gives the same plan on every machine.
- **Towards a concert the gaps shrink** (`due_by`).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct

from companion.practice.attempt import Outcome
from companion.practice.mastery.passage_day import PassageDay
from companion.practice.mastery.states import RISES, MasteryState

if TYPE_CHECKING:
    from fsrs import Scheduler

PART_OF_THE_WAIT = 5
"""A gap is at most a fifth of the days that are left to the concert. Best gaps were 20–40 %
of a wait of a week and 5–10 % of a year's (Cepeda et al. 2008, as reported by others); one
fifth is the shorter end for the last weeks, and for longer waits the scheduler is stricter."""


_FELL_APART, _HELD, _SECURE = (
    outcome.rank for outcome in (Outcome.FELL_APART, Outcome.HELD, Outcome.SECURE)
)
_SECURE_ALONE = next(i for i, rise in enumerate(RISES) if rise.to is MasteryState.READY)
"""The rise whose days are secure without the click at first."""


class Memory(Struct, frozen=True, gc=False, array_like=True):
    """What the scheduler knows of a passage after its latest practice day."""

    day: int
    """That day, as an ordinal."""
    stability: float
    """Days after which it is expected to hold nine times in ten."""
    difficulty: float
    """1–10, the scheduler's own scale."""
    due: int
    """The day it is due, as an ordinal."""


def grade(day: PassageDay) -> int:
    """The day's grade for the scheduler.

    The test is the first time through of the day at four fifths of the goal tempo or faster.

    1   it fell apart; or everything did
    2   it was shaky; or nothing was tried so fast; or fewer than half of the times through
        were clean
    3   it held or was secure
    4   it was secure, and so was the first time through at the goal tempo without the click
    """
    if _FELL_APART in (day.test, day.best):
        return 1
    if day.test < _HELD or 2 * day.clean < day.tries:
        return 2
    return 4 if day.test == _SECURE and day.meets[_SECURE_ALONE] else 3


def remembered(before: Memory | None, day: PassageDay) -> Memory:
    """The passage after one more practice day; `before` is None for its first."""
    from fsrs import Card, Rating
    from fsrs import State as CardState

    card = Card(card_id=0, due=_noon(day.day))  # without an id the package sleeps to make one
    if before is not None:
        card = Card(
            card_id=0,
            state=CardState.Review,
            stability=before.stability,
            difficulty=before.difficulty,
            due=_noon(before.due),
            last_review=_noon(before.day),
        )
    after, _ = scheduler().review_card(card, Rating(grade(day)), _noon(day.day))
    assert after.stability is not None and after.difficulty is not None
    return Memory(day.day, after.stability, after.difficulty, after.due.date().toordinal())


def due_by(memory: Memory, concert: int | None) -> int:
    """The day it is due, nearer if a concert or lesson (an ordinal) is to come."""
    if concert is None or concert <= memory.day:
        return memory.due
    return min(memory.due, memory.day + max(1, (concert - memory.day) // PART_OF_THE_WAIT))


@lru_cache(maxsize=1)
def scheduler() -> Scheduler:
    """The scheduler as it is used here."""
    from fsrs import Scheduler

    return Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)


@lru_cache(maxsize=4096)
def _noon(day: int) -> datetime:
    return datetime.combine(date.fromordinal(day), time(12), UTC)
