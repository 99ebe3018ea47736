"""The practice log as both faces use it: note an attempt, look through what was practised."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from companion.desk.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import Attempt


@dataclass(frozen=True, slots=True)
class PractisedScore:
    """A score that the log knows."""

    path: Path
    """Where it lay when it was last practised."""
    title: str
    """As it named itself then."""
    last: datetime
    """When the latest attempt ended."""


def note_attempt(folders: Folders, attempt: Attempt) -> None:
    """Write an attempt down. It is on disk when this returns.

    Raises CompanionError where it could not be written; then it is not in the log.
    """
    with Log.open(folders.data) as log:
        log.note(attempt)


def attempts(
    folders: Folders,
    *,
    part: str | None = None,
    digest: str | None = None,
    last: int | None = None,
) -> list[Attempt]:
    """The latest attempts, newest first; none where there is no log yet.

    `part` is a part's id, or the beginning of its printed name in any case of letters;
    `digest` identifies a score; `last` is how many at most. Raises CompanionError where the
    log cannot be read.
    """
    with Log.read_only(folders.data) as log:
        return log.attempts(part_begins=part, score_digest=digest, limit=last)


def practised_scores(folders: Folders, most: int = 9) -> list[PractisedScore]:
    """The scores practised last, each once, the latest first."""
    with Log.read_only(folders.data) as log:
        return [
            PractisedScore(Path(score.path), score.title, score.last) for score in log.scores(most)
        ]
