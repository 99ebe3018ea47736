"""The tempo a drill begins at, and where it comes from.

First the player's own last tempo for just these bars, then the score's mark in force
where they begin, then a customary one. Which of the three it was is told on the screen,
because a mark is the goal of practice more often than its beginning.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import FASTEST, SLOWEST
from companion.score.passage import Passage
from companion.score.tempo_map import CUSTOMARY, tempo_map


@dataclass(frozen=True, slots=True)
class StartingTempo:
    """A tempo and where it comes from."""

    bpm: Fraction
    """Felt beats a minute in the passage's first bar."""
    because: str
    """`as last time`, `the score's mark` or `no mark in the score`."""
    log_error: CompanionError | None = None
    """Why the log could not be asked for the last time."""


def starting_tempo(passage: Passage, digest: str, folders: Folders) -> StartingTempo:
    """Where to begin. A log that cannot be read keeps nobody from practising."""
    try:
        with Log.read_only(folders.data) as log:
            last = log.last_tempo(digest, passage.part_id, passage.first, passage.last)
    except CompanionError as problem:
        return replace(marked_tempo(passage), log_error=problem)
    if last is not None and last.beat == note_name(passage.beat):
        return StartingTempo(_playable(last.tempo), "as last time")
    return marked_tempo(passage)


def marked_tempo(passage: Passage) -> StartingTempo:
    """The score's last mark at or before the passage, in the beats of its first bar."""
    stated = [mark for mark in tempo_map(passage.clock).stated if mark.at <= passage.start]
    if not stated:
        return StartingTempo(CUSTOMARY, "no mark in the score")
    return StartingTempo(_playable(stated[-1].rate / passage.beat_on_clock), "the score's mark")


def _playable(bpm: Fraction) -> Fraction:
    return min(max(bpm, Fraction(SLOWEST)), Fraction(FASTEST))
