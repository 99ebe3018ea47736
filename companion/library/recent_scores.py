"""The scores a player opened or practised last, whether or not they said how it went.

What was opened is noted in a small file of its own: the log only knows what was rated.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from os.path import exists
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.score_paths import whole_path
from companion.files.whole_file import keep_json, kept_json

if TYPE_CHECKING:
    from companion.session.open_score import OpenScore


class RecentScore(Struct, frozen=True):
    """One of them."""

    digest: str
    """Of the file's content."""
    path: str
    """Where it lay then."""
    title: str
    composer: str
    """Empty if none is named, or the score is only known from the log."""
    at: datetime
    """When it was opened or practised last, with its offset."""


class _Opened(Struct, frozen=True):
    """What the file holds, the latest first."""

    scores: tuple[RecentScore, ...] = ()


def note_opened(folders: Folders, open_score: OpenScore, at: datetime) -> None:
    """Note that a score was opened. A folder that cannot be written to is no reason to fail."""
    here = RecentScore(
        digest=open_score.digest,
        path=str(whole_path(open_score.path)),
        title=open_score.score.title,
        composer=open_score.score.composer,
        at=at,
    )
    others = (one for one in _opened(folders) if one.digest != here.digest)
    with suppress(CompanionError):
        keep_json(_place(folders), _Opened((here, *others)))


def opened_scores(folders: Folders) -> list[RecentScore]:
    """Those that were opened, the latest first; the log is not looked at, which takes time."""
    return sorted(_opened(folders), key=lambda one: one.at, reverse=True)


def recent_scores(folders: Folders) -> tuple[list[RecentScore], CompanionError | None]:
    """All of them, the latest first, and why the log has none to give if it cannot be read."""
    from companion.journal.log_entries import practised_scores

    found = {one.digest: one for one in _opened(folders)}
    problem = None
    try:
        practised = practised_scores(folders)
    except CompanionError as fault:
        practised, problem = [], fault
    for one in practised:
        before = found.get(one.digest)
        if before is None:
            found[one.digest] = RecentScore(
                one.digest, str(one.path), one.title or one.path.name, "", one.last
            )
        elif one.last > before.at:
            path = one.path if exists(one.path) else before.path
            found[one.digest] = RecentScore(
                one.digest, str(path), before.title, before.composer, one.last
            )
    return sorted(found.values(), key=lambda one: one.at, reverse=True), problem


def _opened(folders: Folders) -> tuple[RecentScore, ...]:
    kept = kept_json(_place(folders), _Opened) or _Opened()
    return tuple(one for one in kept.scores if one.at.tzinfo is not None)


def _place(folders: Folders) -> Path:
    return folders.data / "opened.json"
