"""The tempo a drill begins at, and where it comes from.

First the player's own last tempo for just these bars, then the score's mark in force
where they begin, then what the file says for playback, then a customary one. Which it was is
told on the screen, because a mark is the goal of practice more often than its beginning.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum, auto
from fractions import Fraction

from msgspec import Struct

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import nearest_tempo
from companion.score.clock import Clock
from companion.score.passage import Passage
from companion.score.tempo_map import (
    CUSTOMARY,
    PrintedRates,
    StatedTempo,
    printed_rates,
    stated_tempos,
)


class TempoSource(Enum):
    """Who says how fast to go."""

    LAST_TIME = auto()
    """The log: the last attempt at these bars."""
    MARK = auto()
    PLAYBACK = auto()
    """The file, for playback only, or a mark that words have ended since: no page says so."""
    CUSTOM = auto()
    """Nobody, so a customary tempo was taken."""
    ASKED = auto()
    """The player, or whoever makes the handout."""
    EXERCISE = auto()


@dataclass(frozen=True, slots=True)
class StartingTempo:
    """A tempo and where it comes from."""

    bpm: Fraction
    """Felt beats a minute in the passage's first bar."""
    source: TempoSource
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
        return StartingTempo(nearest_tempo(last.tempo), TempoSource.LAST_TIME)
    return marked_tempo(passage)


class TempoMarks(Struct, frozen=True):
    """What a score states about its tempos, looked for once for many passages."""

    stated: tuple[StatedTempo, ...]
    printed: PrintedRates


def tempo_marks(clock: Clock) -> TempoMarks:
    """Those of a laid score."""
    return TempoMarks(stated_tempos(clock), printed_rates(clock))


def marked_tempo(passage: Passage, marks: TempoMarks | None = None) -> StartingTempo:
    """The score's last mark at or before the passage, in the beats of its first bar.

    `marks` are those of its score, if they are known already.
    """
    marks = marks or tempo_marks(passage.clock)
    stated = [mark for mark in marks.stated if mark.at <= passage.start]
    if not stated:
        return StartingTempo(CUSTOMARY, TempoSource.CUSTOM)
    is_printed = marks.printed.at(passage.start) is not None
    source = TempoSource.MARK if is_printed else TempoSource.PLAYBACK
    return StartingTempo(nearest_tempo(stated[-1].rate / passage.beat_on_clock), source)
