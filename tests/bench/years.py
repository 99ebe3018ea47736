"""Ten years of daily practice: 100,000 attempts at 3,000 passages, always the same ones."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from uuid import UUID

from companion.journal.record import Corrected, Record
from companion.practice.attempt import Attempt, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.revision import Revision

ATTEMPTS = 100_000
PASSAGES = 3_000
DAYS = 3_652
SCORES = 60


def ten_years(seed: int = 10) -> Record:
    """Attempts of a minute one after the other every evening, and scales before them."""
    draw = random.Random(seed)
    attempts = tuple(Corrected(attempt) for attempt in _attempts(draw))
    return Record(attempts, tuple(_entries(draw)))


def _attempts(draw: random.Random) -> Iterator[Attempt]:
    for number in range(ATTEMPTS):
        passage = draw.randrange(PASSAGES)
        score, bar = passage % SCORES, passage // SCORES * 8 + 1
        yield Attempt(
            id=_identity(draw),
            at=_evening(number * DAYS // ATTEMPTS, 1 + number % 28),
            score_title=f"Study no. {score}",
            score_digest=f"{score:064x}",
            score_path=f"/scores/study-{score}.musicxml",
            part_id="P3",
            part_name="Viola",
            first_bar=bar,
            last_bar=bar + 7,
            bars_label=f"{bar}–{bar + 7}",
            tempo=Fraction(draw.randrange(80, 240), 2),
            beat="dotted quarter",
            layers=("click", "theirs"),
            repetitions=draw.randrange(5),
            seconds=55.5,
            outcome=draw.choice(list(Outcome)),
            note="once more from the upbeat" if number % 7 == 0 else "",
        )


def _entries(draw: random.Random) -> Iterator[LogEntry]:
    for day in range(DAYS):
        at = _evening(day, 0)
        yield LogEntry(
            what=Activity.SCALES,
            seconds=900,
            at=at,
            id=_identity(draw),
            revision=Revision(at, _identity(draw)),
        )


def _evening(day: int, minute: int) -> datetime:
    zone = timezone(timedelta(hours=1 + (day // 182) % 2))
    return datetime(2016, 1, 1, 18, minute, tzinfo=zone) + timedelta(days=day)


def _identity(draw: random.Random) -> str:
    return str(UUID(int=draw.getrandbits(128), version=4))
