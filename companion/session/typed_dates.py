"""Times and lengths as a player types them: `thursday`, `yesterday 18:20`, `2026-03-01`."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from companion.errors import RequestError
from companion.practice.attempt import now
from companion.practice.bounds import LONGEST, is_year

_NEAR = {"yesterday": -1, "today": 0, "tomorrow": 1}
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_FEWEST = 3
"""Letters that are enough to name a day of the week by."""

_SHORTEST = 30
"""Seconds."""

_WEEK = timedelta(days=7)


def moment_typed(text: str, here: datetime | None = None) -> datetime:
    """`18:30`, `thursday`, `yesterday 18:30` or `2026-03-01 18:30` in local time.

    An hour alone is the last time it was that hour; a day alone is its noon, which belongs
    to that day wherever the player lets it end, or this moment if that is still to come; a
    day of the week is the last one. `here` is the present moment. Raises RequestError, also
    for the future.
    """
    present = here or now()
    try:
        moment = _moment(text, present)
    except (ValueError, OverflowError):
        raise RequestError(
            f"“{text}” is not a time",
            next="Write 18:30, yesterday 18:30, thursday or 2026-03-01 18:30.",
        ) from None
    if moment > present:
        raise RequestError(
            f"“{text}” is in the future ({moment:%Y-%m-%d %H:%M})",
            next="Write a time that has passed, such as yesterday 18:30.",
        )
    return moment


def _moment(text: str, present: datetime) -> datetime:
    words = [word for word in text.casefold().split() if word != "at"]
    if text[:1].isdigit() and len(text) > len("2026-03-01"):
        moment = datetime.fromisoformat(text)
        return moment if moment.tzinfo else moment.astimezone()
    if len(words) == 1 and ":" in text:
        moment = datetime.combine(present.date(), _hour(words[0]), present.tzinfo)
        return moment if moment <= present else moment - timedelta(days=1)
    if len(words) == 1:
        day = _day(words[0], present.date(), is_past=True)
        noon = datetime.combine(day, time(12)).astimezone()
        return min(noon, present) if day == present.date() else noon
    word, hour = words
    on_day = datetime.combine(_day(word, present.date(), is_past=True), _hour(hour))
    is_weekday = not word[:1].isdigit() and word not in _NEAR
    if is_weekday and on_day.astimezone() > present:
        on_day -= _WEEK
    return on_day.astimezone()


def _hour(text: str) -> time:
    return time.fromisoformat(text.zfill(5))


def minutes_typed(text: str) -> float:
    """`20` or `12.5` as seconds. Raises RequestError for no length of time, what would be told
    as no minutes, or over a day."""
    try:
        seconds = float(text) * 60
    except ValueError:
        seconds = -1.0
    if not _SHORTEST <= seconds <= LONGEST:
        raise RequestError(
            f"“{text}” is not a number of minutes", next="Write one such as 20, at most a day."
        )
    return seconds


def day_typed(text: str, here: date | None = None, *, is_past: bool = False) -> date:
    """`2026-05-02`, `tomorrow`, or a day of the week: the next one, or the last if `is_past`.

    Today counts as the next and the last. `here` is today. Raises RequestError.
    """
    try:
        return _day(text.strip().casefold(), here or now().date(), is_past=is_past)
    except (ValueError, OverflowError):
        raise RequestError(
            f"“{text}” is not a date", next="Write it as thursday, tomorrow or 2026-05-02."
        ) from None


def day_to_come(text: str, here: date | None = None) -> date:
    """The day of a goal, as `day_typed`. Raises RequestError for a day that is over."""
    today = here or now().date()
    day = day_typed(text, today)
    if day < today:
        raise RequestError(
            f"a goal for {day.isoformat()} comes too late: that day is over",
            next="Give today or a later day, or leave the date out.",
        )
    return day


def _in_reach(day: date) -> date:
    if not is_year(day.year):
        raise ValueError("nothing can be logged in that year")
    return day


def _day(word: str, today: date, *, is_past: bool) -> date:
    """Raises ValueError or OverflowError."""
    if word in _NEAR:
        return today + timedelta(days=_NEAR[word])
    found = [at for at, name in enumerate(_WEEKDAYS) if name.startswith(word)]
    if len(word) < _FEWEST or not found:
        return _in_reach(date.fromisoformat(word))
    ahead = timedelta(days=(found[0] - today.weekday()) % 7)
    return today + (ahead - _WEEK if is_past and ahead else ahead)
