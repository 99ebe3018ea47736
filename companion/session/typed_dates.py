"""Times and lengths as a player types them."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from companion.errors import RequestError
from companion.practice.attempt import now
from companion.practice.entry import LONGEST


def moment_typed(text: str, here: datetime | None = None) -> datetime:
    """`18:30`, `2026-03-01` or `2026-03-01 18:30` on the clock on this wall.

    An hour alone is the last time it was that hour; a day alone is its noon, which belongs
    to that day wherever the player lets it end. `here` is the present moment. Raises
    RequestError.
    """
    present = here or now()
    try:
        if len(text) <= len("18:30"):
            hour = time.fromisoformat(text.zfill(5))
            moment = datetime.combine(present.date(), hour, present.tzinfo)
            return moment if moment <= present else moment - timedelta(days=1)
        if len(text) == len("2026-03-01"):
            return datetime.combine(date.fromisoformat(text), time(12)).astimezone()
        moment = datetime.fromisoformat(text)
        return moment if moment.tzinfo else moment.astimezone()
    except (ValueError, OverflowError):
        raise RequestError(
            f"“{text}” is not a time", next="Write 18:30, or 2026-03-01 18:30."
        ) from None


def minutes_typed(text: str) -> float:
    """`20` or `12.5` as seconds. Raises RequestError for no length of time, or over a day."""
    try:
        seconds = float(text) * 60
    except ValueError:
        seconds = -1.0
    if not 0 < seconds <= LONGEST:
        raise RequestError(
            f"“{text}” is not a number of minutes", next="Write one such as 20, at most a day."
        )
    return seconds


def day_typed(text: str) -> date:
    """`2026-05-02`. Raises RequestError."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise RequestError(f"“{text}” is not a date", next="Write it as 2026-05-02.") from None
