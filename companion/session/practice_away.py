"""Practice of a passage away from the screen, put into the log as an attempt."""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction

from msgspec import Struct

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.files.score_paths import remember_place
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import find_bars, span_name
from companion.score.passage import passage
from companion.session.open_score import OpenScore, part_meant

_SECONDS = 60


class PracticeAway(Struct, frozen=True):
    """What a player tells of it."""

    part: str
    """Its name, the beginning of one, or its number from 1; empty for the one that was chosen."""
    bars: str
    """As a player names them: `13-20`, `II:225-230`."""
    bpm: Fraction
    """Felt beats a minute of that part."""
    outcome: Outcome | None
    """None is not said yet."""
    at: datetime
    """When it ended."""
    seconds: float | None = None
    """How long; None is as long as once through takes."""
    note: str = ""
    layers: tuple[str, ...] = ()
    """What sounded of a click; empty without one."""


def attempt_away(open_score: OpenScore, told: PracticeAway) -> Attempt:
    """What the log would say of it.

    It counts as once through: nobody counted. Raises RequestError for a part, bars or a tempo
    that cannot be meant, or if it is not said how it went.
    """
    index = part_meant(open_score, told.part)
    first, last = find_bars(open_score.clock, told.bars)
    if told.outcome is None:
        raise RequestError(
            "it is not said how it went", next=f"Choose one of: {', '.join(Outcome)}."
        )
    chosen = passage(open_score.clock, index, first, last)
    beats = (chosen.end - chosen.start) / chosen.beat_on_clock
    once = float(beats * _SECONDS / told.bpm)
    return Attempt(
        score_title=open_score.score.title,
        score_digest=open_score.digest,
        score_path=str(open_score.path),
        part_id=chosen.part_id,
        part_name=chosen.part_name,
        first_bar=first,
        last_bar=last,
        bars_label=span_name(open_score.clock, first, last),
        tempo=told.bpm,
        beat=note_name(chosen.beat),
        outcome=told.outcome,
        layers=told.layers,
        seconds=once if told.seconds is None else told.seconds,
        note=told.note,
        at=told.at,
    )


def add_practice_away(folders: Folders, open_score: OpenScore, told: PracticeAway) -> Attempt:
    """Note it; on disk when this returns. Raises RequestError as `attempt_away`."""
    attempt = attempt_away(open_score, told)
    with Log.open(folders.data) as log:
        log.note(attempt)
    remember_place(folders, open_score.digest, open_score.path)
    return attempt
