"""What the log holds in words, the same on the screens and in `companion log`."""

from __future__ import annotations

from collections.abc import Mapping

from companion.journal.log_entries import wall_clock
from companion.journal.unsaved_attempts import UnsavedAttempts
from companion.practice.attempt import Attempt, Heard, HeardBy, Outcome
from companion.practice.entry import LogEntry
from companion.practice.practice_day import Session
from companion.wording.phrases import (
    bars_told,
    counted,
    moment_told,
    play_time,
    silences_named,
    tempo_told,
    times_told,
)

_MINUTE = 60

OUTCOME_MEANINGS: Mapping[Outcome, str] = {
    Outcome.FELL_APART: "It stopped, or the rhythm was lost and not found again.",
    Outcome.SHAKY: "It reached the end, but with stumbles or by luck.",
    Outcome.HELD: "The rhythm held from the first bar to the last, with effort.",
    Outcome.SECURE: "It held by itself, and would hold with other players too.",
}
"""What each outcome means to a player, in one sentence."""


def attempt_told(attempt: Attempt) -> str:
    """Everything about an attempt in one line."""
    played = bars_told(attempt.first_bar, attempt.last_bar, attempt.bars_label)
    pieces = (
        moment_told(attempt.at),
        attempt.score_title,
        attempt.part_name or attempt.part_id,
        played,
        tempo_told(attempt.beat, attempt.tempo),
        sounded_told(attempt),
        _how_much_told(attempt),
        attempt.outcome.value,
        heard_told(attempt),
        attempt.note,
    )
    return " · ".join(filter(None, pieces))


def _how_much_told(attempt: Attempt) -> str:
    """`3 times`, `broken off`, `once, 2 minutes`; of practice without a click just `10 minutes`:
    away from the screen nobody counted."""
    if not attempt.repetitions:
        return "broken off"
    times = times_told(attempt.repetitions)
    if attempt.repetitions > 1 or attempt.seconds < _MINUTE:
        return times
    minutes = _minutes_told(attempt.seconds)
    return f"{times}, {minutes}" if attempt.layers else minutes


def _minutes_told(seconds: float) -> str:
    """`1 minute`, `2.5 minutes`."""
    minutes = f"{round(seconds / _MINUTE, 1):g}"
    return f"{minutes} minute{'' if minutes == '1' else 's'}"


def proposal_told(heard: Heard) -> str:
    """`Heard: shaky. Enter takes that; your own word is kept beside it.`"""
    return f"Heard: {heard.outcome.value}. Enter takes that; another word is kept beside it."


_HEARD_IN = {HeardBy.TAPS: "taps", HeardBy.TAKE: "a recording"}


def heard_told(attempt: Attempt) -> str:
    """`heard in taps: shaky, off the beat 31 ms late, 2 left out`; empty if nothing listened."""
    heard = attempt.heard
    if heard is None:
        return ""
    late = [
        f"{one.name} {abs(one.mean_ms):.0f} ms {'late' if one.mean_ms > 0 else 'early'}"
        for one in heard.sides
        if round(one.mean_ms)
    ]
    counts = [
        f"{number} {what}"
        for number, what in ((heard.missed, "left out"), (heard.added, "put in"))
        if number
    ]
    return f"heard in {_HEARD_IN[heard.by]}: {', '.join([heard.outcome.value, *late, *counts])}"


def entry_told(entry: LogEntry) -> str:
    """A free entry in one line: `2026-03-01 18:30 · scales · 20 minutes · in thirds`."""
    length = _minutes_told(entry.seconds)
    return " · ".join(filter(None, (moment_told(entry.at), entry.what.value, length, entry.note)))


def sounded_told(attempt: Attempt) -> str:
    """What sounded meanwhile: `beat + mine, silent every 4 bars, with Cello`; `beat + mine +
    theirs, in conflicts only mine sounds`."""
    click = " + ".join(attempt.layers) or "no click"
    silent = silences_named(attempt.silences, "silent ")
    along = " + ".join(attempt.accompaniment)
    return ", ".join(filter(None, (click, silent, along and f"with {along}")))


def session_told(session: Session) -> str:
    """`2026-03-01 18:00–19:05 · 45 minutes · 12 entries`."""
    begin, end = (wall_clock(session, at) for at in (session.began, session.ended))
    minutes = counted(round(session.seconds / 60), "minute")
    entries = counted(session.count, "entry", "entries")
    return f"{moment_told(begin)}–{end:%H:%M} · {minutes} · {entries}"


def unsaved_told(unsaved: UnsavedAttempts) -> str:
    """What is not saved and why, in one sentence for the screen."""
    count = len(unsaved.attempts)
    what = "This attempt is" if count == 1 else f"{count} attempts are"
    return (
        f"{what} not saved yet and will be tried again with the next one and at the end:"
        f" {unsaved.error.sentence()}"
    )


def left_practice_told(attempt: Attempt) -> str:
    """What was being practised when the program ended."""
    title = f" of {attempt.score_title}" if attempt.score_title else ""
    bars = bars_told(attempt.first_bar, attempt.last_bar, attempt.bars_label)
    tempo = tempo_told(attempt.beat, attempt.tempo)
    return (
        f"{attempt.part_name or attempt.part_id}, {bars}{title}: {play_time(attempt.seconds)} at "
        f"{tempo}, {times_told(attempt.repetitions)} through, {moment_told(attempt.at)}."
    )
