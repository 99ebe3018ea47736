"""Forms for one line of the log: to correct it, or to add practice away from the screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction
from functools import partial

import msgspec

from companion.files.folders import Folders
from companion.journal.log_entries import EntryChange, add_entry, correct_entry
from companion.practice.attempt import Attempt, Outcome, outcome_named
from companion.practice.bounds import LONGEST
from companion.practice.entry import Activity, LogEntry
from companion.score.part_names import distinct_names
from companion.score.passage import passage
from companion.session.open_score import OpenScore
from companion.session.practice_away import PracticeAway, add_practice_away, attempt_away
from companion.session.starting_tempo import marked_tempo
from companion.session.typed_dates import minutes_typed, moment_typed
from companion.tui.screens.form_screen import FormScreen
from companion.tui.widgets.form import (
    OWN_WORDS,
    Form,
    Row,
    T,
    chosen_row,
    number_row,
    tempo_row,
    text_row,
    without_line,
)
from companion.wording.log_sentences import attempt_told, entry_told

Line = Attempt | LogEntry
_MINUTE = 60
_USUAL_MINUTES = 20
_MOST_MINUTES = int(LONGEST) // _MINUTE
_ONCE = "once through"
_NOT_SAID = "not said"
_TO_SAY = "Say which bars, and how it went."
_ENTER_KEEPS = "Enter keeps it"


class LogFormScreen(FormScreen[T, Line]):
    """Answers with what was kept, or None after Escape."""


def attempt_form(folders: Folders, before: Attempt) -> Form[Attempt, Line]:
    """To correct outcome and note."""

    def keep(after: Attempt) -> Line:
        change = EntryChange(outcome=after.outcome, note=after.note)
        return before if after == before else correct_entry(folders, before.id, change)

    return without_line(
        "Correct this attempt",
        lambda line: [
            _outcome_row(line.outcome, lambda word: replace(line, outcome=word or line.outcome)),
            _note_row(line.note, lambda note: replace(line, note=note)),
        ],
        attempt_told,
        keep,
        _ENTER_KEEPS,
    )


def entry_form(
    folders: Folders, here: datetime, before: LogEntry | None = None
) -> Form[LogEntry, Line]:
    """Practice without a score: to add it, or to correct what was noted `before`. `here` is the
    present moment: no practice ended later."""

    def keep(after: LogEntry) -> Line:
        if before is None:
            return add_entry(folders, after)
        change = EntryChange(what=after.what, seconds=after.seconds, at=after.at, note=after.note)
        return before if after == before else correct_entry(folders, before.id, change)

    title = "Add practice without a score" if before is None else "Correct this entry"
    return without_line(title, partial(_entry_rows, here), entry_told, keep, _ENTER_KEEPS)


def new_entry(here: datetime) -> LogEntry:
    """What such a form begins with."""
    return LogEntry(what=Activity.SCALES, seconds=_USUAL_MINUTES * _MINUTE, at=here)


def passage_form(
    folders: Folders, open_score: OpenScore, here: datetime
) -> Form[PracticeAway, Line]:
    """A passage of the open score, practised away from the screen."""
    return without_line(
        "Add practice of a passage, without a click",
        partial(_passage_rows, open_score, here),
        lambda told: attempt_told(attempt_away(open_score, told)) if told.bars else _TO_SAY,
        lambda told: add_practice_away(folders, open_score, told),
        _ENTER_KEEPS,
    )


def practice_away(open_score: OpenScore, here: datetime) -> PracticeAway:
    """What such a form begins with: the first bar of the chosen part, at the score's tempo."""
    part = open_score.my_part or 0
    first = passage(open_score.clock, part, 1, 1)
    return PracticeAway(
        part=str(part + 1), bars="", bpm=marked_tempo(first).bpm, outcome=None, at=here
    )


def _entry_rows(here: datetime, entry: LogEntry) -> list[Row[LogEntry]]:
    activities = [(str(one), replace(entry, what=one)) for one in Activity]
    return [
        chosen_row("What", activities, str(entry.what), is_typed=True),
        number_row(
            "Minutes",
            Fraction(entry.seconds) / _MINUTE,
            lambda minutes: replace(entry, seconds=float(minutes * _MINUTE)),
            (1, _MOST_MINUTES),
            typed=_minutes,
        ),
        _moment_row(here, entry.at, lambda at: replace(entry, at=at)),
        _note_row(entry.note, lambda note: replace(entry, note=note)),
    ]


def _passage_rows(
    open_score: OpenScore, here: datetime, told: PracticeAway
) -> list[Row[PracticeAway]]:
    change = partial(msgspec.structs.replace, told)
    names = distinct_names([part.name for part in open_score.score.parts])
    parts = [(name, change(part=str(place))) for place, name in enumerate(names, 1)]
    tempo = tempo_row("Tempo", told.bpm, lambda bpm: change(bpm=bpm))
    return [
        chosen_row("Part", parts, parts[int(told.part) - 1][0], is_typed=True),
        text_row(
            "Bars",
            told.bars,
            lambda bars: change(bars=bars.strip()),
            note="13-20, or letters such as C-C+3",
        ),
        replace(tempo, note="felt beats a minute"),
        _outcome_row(told.outcome, lambda outcome: change(outcome=outcome)),
        _moment_row(here, told.at, lambda at: change(at=at)),
        _length_row(told),
        _note_row(told.note, lambda note: change(note=note)),
    ]


def _outcome_row(outcome: Outcome | None, make: Callable[[Outcome | None], T]) -> Row[T]:
    """What nobody said can be said, but not taken back; typed as a word or as 1 to 4."""
    options: list[Outcome | None] = [*Outcome] if outcome is not None else [None, *Outcome]
    named = [(str(one or _NOT_SAID), make(one)) for one in options]
    row = chosen_row("How it went", named, str(outcome or _NOT_SAID))
    return replace(row, typed=lambda text: make(outcome_named(text) if text else outcome))


def _moment_row(here: datetime, at: datetime, make: Callable[[datetime], T]) -> Row[T]:
    """A day later is never in the future."""
    return Row(
        "When it ended",
        f"{at:%a %Y-%m-%d %H:%M}",
        lambda days: make(min(at + timedelta(days=days), max(at, here))),
        note="type 18:30 or thursday 18:30",
        typed=lambda text: make(moment_typed(text, here) if text else at),
        far=7,
    )


def _length_row(told: PracticeAway) -> Row[PracticeAway]:
    """As long as once through takes, unless a number of minutes is said."""

    def change(minutes: Fraction) -> PracticeAway:
        seconds = float(minutes * _MINUTE) if minutes >= 1 else None
        return msgspec.structs.replace(told, seconds=seconds)

    here = Fraction(told.seconds or 0) / _MINUTE
    row = number_row("Minutes", here, change, (0, _MOST_MINUTES))
    return replace(
        row,
        shown=row.shown if here else _ONCE,
        typed=lambda text: change(_minutes(text) if text else Fraction(0)),
    )


def _note_row(note: str, make: Callable[[str], T]) -> Row[T]:
    return text_row("Note", note, lambda text: make(text.strip()), note=OWN_WORDS)


def _minutes(text: str) -> Fraction:
    return Fraction(minutes_typed(text)) / _MINUTE
