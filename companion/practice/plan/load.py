"""Whether the week grows too fast.

Playing-related injuries are laid to excessive or suddenly increased playing (Chan &
Ackermann, Front. Psychol. 5, 2014, 706). How much is sudden nobody has measured; a tenth
to a fifth a week is common practice. The program says what it sees and leaves the rest to
the player, the teacher and the doctor.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from companion.practice.plan.habits import Habits

WEEK = 7
LEAST = 60.0
"""Minutes of an ordinary week below which a jump says nothing."""


def load_warning(
    minutes: Mapping[date, float], today: date, planned: int, habits: Habits
) -> str | None:
    """A sentence if the seven days ending today, as planned, outgrow the weeks before.

    `minutes` are those of each practice day so far; what was played today counts once,
    with what is planned as its least. The yardstick is the busier of the week before and
    the average of the four weeks before.
    """
    played = {day: time for day, time in minutes.items() if day <= today}
    this = _week(played, today, skip=1) + max(float(planned), played.get(today, 0.0))
    weeks = [_week(played, today - timedelta(days=WEEK * back)) for back in range(1, 5)]
    usual = max(weeks[0], sum(weeks) / len(weeks))
    if not any(weeks) or this <= LEAST or this <= usual * (100 + habits.most_growth) / 100:
        return None
    before = f"after {usual:.0f} minutes a week before" if usual >= 1 else "after a pause"
    return (
        f"With this plan the last seven days come to {this:.0f} minutes, {before}: that is "
        f"more than {habits.most_growth} % up. Shorten it, or rest more; and when something "
        "hurts, stop and ask your teacher or a doctor."
    )


def _week(minutes: Mapping[date, float], end: date, skip: int = 0) -> float:
    days = (end - timedelta(days=back) for back in range(skip, WEEK))
    return sum(minutes.get(day, 0.0) for day in days)
