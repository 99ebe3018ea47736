"""What a student sends to the teacher, as plain records.

Everything is said by value (titles, bars, tempos, goals in words), because the teacher may
have neither the score nor the exercise at hand. What the file does not hold is as much part
of it: no paths of the student's disk and none of the notes she wrote to herself.
"""

from __future__ import annotations

from msgspec import Struct


class ReportedAttempt(Struct, frozen=True, kw_only=True, gc=False):
    """One time at a passage."""

    id: str
    """The same attempt in every report: a UUID."""
    at: str
    """When it ended, ISO 8601 with its UTC offset."""
    tempo: str
    """Felt beats a minute, a fraction: `60` or `145/2`."""
    beat: str
    """The note value of the beat."""
    outcome: str
    """One of the four words of `Outcome`."""
    times: int
    """Times through."""
    seconds: float
    """How long it took."""
    layers: list[str]
    """What sounded meanwhile."""
    judgement: dict[str, object] | None = None
    """What taps or a take said of it; None when nothing listened."""


class ReportedPassage(Struct, frozen=True, kw_only=True):
    """A passage and everything tried at it."""

    score: str
    """Digest of the score, lower-case hex."""
    title: str
    """As the score names itself."""
    part: str
    """The part's id."""
    part_name: str
    """As printed."""
    first: int
    """Ordinal position of the first bar."""
    last: int
    """Ordinal position of the last."""
    label: str
    """The bars as printed."""
    state: str
    """How it stood when the report was made, in the words of `State`; empty if unknown."""
    held: str
    """The tempo that held last, `quarter = 60`; empty where none did."""
    attempts: list[ReportedAttempt]
    """In order of time."""


class ReportedDrill(Struct, frozen=True, kw_only=True):
    """A drill of an exercise and how far it is."""

    title: str
    """What it is called."""
    score: str
    """Digest of its score."""
    part: str
    """The part's id."""
    first: int
    """Ordinal position of the first bar."""
    last: int
    """Ordinal position of the last."""
    goal: str
    """When it is reached, in words."""
    state: str
    """`assigned`, `in progress` or `done`."""
    tries: int
    """Attempts since it was opened."""
    good_days: int
    """Days that count towards the goal."""


class ReportedExercise(Struct, frozen=True, kw_only=True):
    """An exercise of the student's list."""

    id: str
    """The same exercise on every machine."""
    title: str
    """What it is called."""
    due: str | None
    """By when, ISO 8601."""
    state: str
    """`assigned`, `in progress` or `done`."""
    drills: list[ReportedDrill]
    """In order."""


class Report(Struct, frozen=True, kw_only=True):
    """All of it."""

    made: str
    """When, ISO 8601 with the UTC offset."""
    name: str
    """Who sends it; may be empty."""
    note: str
    """What she wants to tell; may be empty."""
    since: str | None
    """The first day it covers, ISO 8601; None for everything."""
    only_exercises: bool
    """Whether it covers nothing but the exercises in it."""
    minutes: dict[str, float]
    """Minutes of practice by practice day, ISO 8601; days without any are left out."""
    passages: list[ReportedPassage]
    """By score, part and bars."""
    exercises: list[ReportedExercise]
    """As they stand in the list."""
