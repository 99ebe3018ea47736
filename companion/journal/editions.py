"""Editions of a score that replaced earlier ones, and where each passage went.

The log is never rewritten: an attempt stays with the file it was played from. What is kept
here is only which bar of an earlier edition is which bar of the later one; the state of a
passage is looked up through this first, through several editions if need be.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json
from companion.practice.attempt import Attempt, Bars, bars_of
from companion.practice.edition import Edition, PartCarry, carried, is_later
from companion.practice.goal import Goal
from companion.score.bar_numbers import names_joined

Editions = Mapping[str, Edition]
"""By the digest of the earlier edition."""


def editions(folders: Folders) -> dict[str, Edition]:
    """Every edition that replaces another, those taken back left out."""
    return {old: one for old, one in kept_editions(folders).items() if not one.is_undone}


def kept_editions(folders: Folders) -> dict[str, Edition]:
    """The latest that was said of every earlier edition, those taken back among it."""
    found: dict[str, Edition] = {}
    for place in sorted((folders.data / "editions").glob("*.json")):
        edition = kept_json(place, Edition)
        if edition is not None:
            found[edition.old] = edition
    return found


def keep_edition(folders: Folders, edition: Edition) -> Path:
    """Keep it, in the place of an earlier answer. Raises CompanionError."""
    place = folders.data / "editions" / f"{edition.old}.json"
    keep_json(place, edition)
    return place


def forget_edition(folders: Folders, digest: str) -> None:
    """Forget that an edition was replaced, because it is in use again. Raises CompanionError."""
    place = folders.data / "editions" / f"{digest}.json"
    try:
        place.unlink(missing_ok=True)
    except OSError as fault:
        raise CompanionError(
            f"this file cannot be removed ({fault.strerror})",
            where=str(place),
            next="Check its permissions.",
        ) from None


def join_editions(folders: Folders, come: Iterable[Edition]) -> int:
    """Keep editions from another machine if this one says nothing of that score, or said it
    before; how many.

    Raises CompanionError if they cannot be kept.
    """
    here = kept_editions(folders)
    new = [one for one in come if one.old not in here or is_later(one, here[one.old])]
    for edition in new:
        keep_edition(folders, edition)
    return len(new)


def where_now(bars: Bars, known: Editions) -> Bars:
    """Where a passage is in the latest edition that still has it."""
    seen: set[str] = set()
    while bars.score_digest in known and bars.score_digest not in seen:
        seen.add(bars.score_digest)
        edition = known[bars.score_digest]
        part = edition.parts.get(bars.part_id)
        went = carried(bars.first, bars.last, part.places) if part else None
        if part is None or went is None or went.last > len(edition.names):
            break
        bars = Bars(edition.new, part.part, went.first, went.last)
    return bars


def attempt_now(attempt: Attempt, known: Editions) -> Attempt:
    """An attempt as if it had been played from the latest edition that has its passage."""
    bars = where_now(bars_of(attempt), known)
    if bars == bars_of(attempt):
        return attempt
    edition, part = _latest(bars, known)
    return replace(
        attempt,
        score_title=edition.title,
        score_digest=bars.score_digest,
        score_path=edition.path,
        part_id=bars.part_id,
        part_name=part.name,
        first_bar=bars.first,
        last_bar=bars.last,
        bars_label=_label(edition, bars),
    )


def goal_now(goal: Goal, known: Editions) -> Goal:
    """A goal in the latest edition that has its passage."""
    bars = where_now(goal.bars, known)
    if bars == goal.bars:
        return goal
    edition, part = _latest(bars, known)
    return replace(
        goal,
        bars=bars,
        score_title=edition.title,
        part_name=part.name,
        bars_label=_label(edition, bars),
    )


def _latest(bars: Bars, known: Editions) -> tuple[Edition, PartCarry]:
    """The edition and part that a passage was carried to."""
    return next(
        (edition, part)
        for edition in known.values()
        for part in edition.parts.values()
        if (edition.new, part.part) == (bars.score_digest, bars.part_id)
    )


def _label(edition: Edition, bars: Bars) -> str:
    first, last = edition.names[bars.first - 1], edition.names[bars.last - 1]
    return first if bars.first == bars.last else names_joined(first, last, bars.last)
