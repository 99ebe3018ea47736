"""What the log holds, as plain objects for other programs: the forms in the JSON file.

Tempos are fractions in text ("145/2"), times are ISO 8601 with their offset (RFC 3339),
scores and bars are given by value. Read strictly: a number where text belongs is refused
with its place in the file. Nothing here is changed without a new version number.
"""

from __future__ import annotations

from typing import Any

from msgspec import Struct, field

from companion.practice.edition import Edition


class PlainWords(Struct):
    """What can be corrected in an attempt."""

    outcome: str
    note: str


class PlainCorrection(Struct):
    """A correction of an attempt."""

    id: str
    at: str
    earlier: PlainWords
    later: PlainWords


class PlainScore(Struct):
    """A score by value."""

    title: str
    digest: str
    path: str = ""


class PlainPart(Struct):
    """A part by value."""

    id: str
    name: str


class PlainAttempt(Struct, omit_defaults=True):
    """An attempt as it is now, with its corrections."""

    id: str
    at: str
    score: PlainScore
    part: PlainPart
    first: int
    last: int
    printed: str
    tempo: str
    beat: str
    layers: list[str]
    repetitions: int
    seconds: float
    outcome: str
    note: str
    judgement: dict[str, Any] | None = None
    corrections: list[PlainCorrection] = field(default_factory=list)


class PlainEntry(Struct, omit_defaults=True):
    """One saying of a free entry; of those with one `id` the last said holds."""

    id: str
    at: str
    what: str
    seconds: float
    note: str
    said: str
    saying: str
    withdrawn: bool = False


class PlainGoal(Struct, omit_defaults=True):
    """One saying of a passage's goal; of those for one passage the last said holds."""

    score: PlainScore
    part: PlainPart
    first: int
    last: int
    printed: str
    tempo: str
    beat: str
    said: str
    saying: str
    occasion: str | None = None
    withdrawn: bool = False


class PlainOccasion(Struct, omit_defaults=True):
    """One saying of a date; of those with one `id` the last said holds."""

    id: str
    day: str
    kind: str
    name: str
    said: str
    saying: str
    score: str = ""
    withdrawn: bool = False


class Head(Struct):
    """What is looked at first: whose file it is, and in which version."""

    form: str = ""
    version: int = 0


class PlainRecord(Struct):
    """The whole file."""

    form: str
    version: int
    written: str
    attempts: list[PlainAttempt]
    entries: list[PlainEntry]
    goals: list[PlainGoal]
    occasions: list[PlainOccasion]
    editions: list[Edition] = field(default_factory=list)
