"""Which day practice belongs to, and how much of it there was.

Three clocks can lie: midnight comes in the middle of an evening's practice, so the day
ends at an hour the player sets; zones and daylight-saving time move the wall clock, so a
day is told by the clock that hung on the wall then; and a clock may be set back, so no
length is ever negative. Time that is noted twice, by a timer and by the attempts made
meanwhile, is counted once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from companion.errors import RequestError
from companion.practice.attempt import Attempt
from companion.practice.entry import LogEntry

DAY_ENDS = time(4)
"""As it is where the player has set nothing else."""

_DAY = 86_400
_ORIGIN = date(1970, 1, 1).toordinal()


class PracticeSpan(NamedTuple):
    """A stretch of practice. A tuple, because ten years are a hundred thousand of them."""

    ended: float
    """Seconds since 1970 in UTC (POSIX time), good to a microsecond."""
    offset: int
    """Seconds east of UTC on the wall clock there."""
    seconds: float
    """How long it was, in seconds."""


def practice_day(at: datetime, ends: time = DAY_ENDS) -> date:
    """The day a moment belongs to, by its own wall clock: from `ends` to `ends`.

    In the hour that comes twice the wall clock decides as well. `at` carries its offset.
    """
    if at.timetz().replace(tzinfo=None) >= ends:
        return at.date()
    return at.date() - timedelta(days=1)


def parse_day_end(text: str) -> time:
    """`4` or `3:30` as the hour at which the day ends. Raises RequestError past noon."""
    hour, _, minute = text.strip().partition(":")
    try:
        ends = time(int(hour), int(minute or 0))
    except (ValueError, OverflowError):
        ends = time(12)
    if ends >= time(12):
        raise RequestError(
            f"“{text}” is not an hour at which a practice day can end",
            next="Write an hour of the night or the morning, such as 4 or 3:30.",
        )
    return ends


def span_of(practised: Attempt | LogEntry) -> PracticeSpan:
    """The stretch of time of an attempt or a free entry."""
    offset = practised.at.utcoffset() or timedelta()
    return PracticeSpan(practised.at.timestamp(), int(offset.total_seconds()), practised.seconds)


def minutes_a_day(spans: Iterable[PracticeSpan], ends: time = DAY_ENDS) -> dict[date, float]:
    """Minutes of practice on each practice day that had any, in order of days.

    What overlaps is counted once; what runs past the end of a day is divided there.
    """
    before_noon = timedelta(hours=ends.hour, minutes=ends.minute).total_seconds()
    days: dict[int, float] = {}
    covered = float("-inf")
    # By beginning, then in an order of their own, so that it is the same on every machine.
    for ended, offset, seconds in sorted(sorted(spans), key=_began):
        begin = max(ended - seconds, covered)
        shift = offset - before_noon
        while begin < ended:
            day = int((begin + shift) // _DAY)
            until = min(ended, (day + 1) * _DAY - shift)
            days[day] = days.get(day, 0.0) + until - begin
            begin = until
        covered = max(covered, ended)
    return {date.fromordinal(_ORIGIN + day): days[day] / 60 for day in sorted(days)}


def _began(span: PracticeSpan) -> float:
    return span.ended - span.seconds


# Sessions: attempts and entries that followed each other without a long break.


LONGEST_BREAK = 30 * 60
"""Seconds without practice after which a new session begins (our own choice, no source)."""


@dataclass(frozen=True, slots=True)
class Session:
    """Attempts and entries without a long break between them."""

    began: float
    """Seconds since 1970 in UTC."""
    ended: float
    """The same; never before it began."""
    offset: int
    """Seconds east of UTC on the wall clock where it began."""
    seconds: float
    """Practised in it, what overlaps counted once."""
    count: int
    """Attempts and entries in it."""


def sessions(spans: Iterable[PracticeSpan], longest_break: float = LONGEST_BREAK) -> list[Session]:
    """The sessions in order of time; a span longer than the breaks is one like any other."""
    found: list[Session] = []
    for span in sorted(spans, key=lambda span: (span.ended - span.seconds, span.ended)):
        begin = span.ended - span.seconds
        last = found[-1] if found else None
        if last is None or begin - last.ended > longest_break:
            found.append(Session(begin, span.ended, span.offset, span.seconds, 1))
            continue
        more = max(span.ended - max(begin, last.ended), 0.0)
        ended = max(last.ended, span.ended)
        found[-1] = Session(last.began, ended, last.offset, last.seconds + more, last.count + 1)
    return found
