"""Sessions: attempts and entries that followed each other without a long break.

They are worked out from the record each time and stored nowhere. A stored session would
have to be closed, which a crash prevents, and joined when two machines' logs are, and
would contradict the attempts as soon as one of them is corrected; worked out, it is
always what the record says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from companion.practice.day import Span

LONGEST_BREAK = 30 * 60
"""Seconds without practice after which a new session begins (our own choice, no source)."""


@dataclass(frozen=True, slots=True)
class Session:
    """A sitting."""

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


def sessions(spans: Iterable[Span], longest_break: float = LONGEST_BREAK) -> list[Session]:
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
