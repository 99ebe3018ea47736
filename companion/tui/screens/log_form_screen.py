"""A form for one line of the log: to correct it, or to add practice away from the screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Grid, Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.log_entries import EntryChange, add_entry, correct_entry
from companion.practice.attempt import Attempt, Outcome, now, outcome_named
from companion.practice.entry import Activity, LogEntry, activity_named
from companion.rhythm.tempo import parse_bpm
from companion.session.open_score import OpenScore
from companion.session.practice_away import PracticeAway, add_practice_away
from companion.session.typed_dates import minutes_typed, moment_typed
from companion.tui.widgets.day_field import DAY_KEYS, DayField
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice

Line = Attempt | LogEntry


@dataclass(frozen=True, slots=True)
class LogField:
    """One field of a form."""

    label: str
    value: str = ""
    hint: str = ""
    """What may be typed, shown while it is empty."""
    is_day: bool = False
    """Whether it is a day that is over, which the arrow keys move."""


@dataclass(frozen=True, slots=True)
class LogForm:
    """What is asked, and what becomes of it."""

    title: str
    fields: tuple[LogField, ...]
    keep: Callable[[Sequence[str]], Line]
    """Writes it down, given a text for each field. Raises CompanionError."""


class LogFormScreen(ModalScreen[Line | None]):
    """Answers with what was kept, or None after Escape."""

    CSS_PATH = "log_form_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "Back", key_display="esc"),
        Binding("up", "app.focus_previous", show=False),
        Binding("down", "app.focus_next", show=False),
    ]

    def __init__(self, form: LogForm) -> None:
        super().__init__()
        self.form = form

    def compose(self) -> ComposeResult:
        """A line for each field."""
        with Vertical(id="log-form"):
            with Grid(id="log-fields"):
                for field in self.form.fields:
                    yield Static(field.label, markup=False)
                    if field.is_day:
                        yield DayField(field.value, placeholder=field.hint, is_past=True)
                    else:
                        yield Input(field.value, placeholder=field.hint)
            yield Static("Enter: next field; in the last one it keeps this.")
            yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Say what is asked."""
        self.query_one("#log-form").border_title = self.form.title

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """On to the next field; from the last one out, or refused in place."""
        event.stop()
        inputs = list(self.query(Input))
        if event.input is not inputs[-1]:
            self.focus_next()
            return
        try:
            kept = self.form.keep([one.value.strip() for one in inputs])
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            self.dismiss(kept)


_OUTCOMES = ", ".join(Outcome)
_ACTIVITIES = ", ".join(Activity)
_NOTE = "in your own words"


_WHEN = LogField("When it ended", hint=f"now; or 18:30, thursday 18:30; {DAY_KEYS}", is_day=True)


def _moment_shown(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M}"


def correction_form(folders: Folders, line: Line) -> LogForm:
    """Outcome and note of an attempt; of a free entry everything."""
    if isinstance(line, Attempt):
        return LogForm(
            "Correct this attempt",
            (LogField("How it went", line.outcome, _OUTCOMES), LogField("Note", line.note, _NOTE)),
            lambda texts: correct_entry(
                folders, line.id, EntryChange(outcome=outcome_named(texts[0]), note=texts[1])
            ),
        )
    return LogForm(
        "Correct this entry",
        (
            LogField("What", line.what, _ACTIVITIES),
            LogField("Minutes", f"{line.seconds / 60:g}"),
            replace(_WHEN, value=_moment_shown(line.at)),
            LogField("Note", line.note, _NOTE),
        ),
        lambda texts: correct_entry(
            folders,
            line.id,
            EntryChange(
                what=activity_named(texts[0]),
                seconds=minutes_typed(texts[1]),
                # As it stands there it has no seconds, and would change without a change.
                at=moment_typed(texts[2]) if texts[2] != _moment_shown(line.at) else None,
                note=texts[3],
            ),
        ),
    )


def passage_form(folders: Folders, open_score: OpenScore) -> LogForm:
    """A passage of the open score, practised away from the screen."""

    def keep(texts: Sequence[str]) -> Line:
        part, bars, tempo, outcome, at, minutes, note = texts
        practice = PracticeAway(
            part=part,
            bars=bars,
            bpm=parse_bpm(tempo),
            outcome=outcome_named(outcome),
            at=moment_typed(at) if at else now(),
            seconds=minutes_typed(minutes) if minutes else None,
            note=note,
        )
        return add_practice_away(folders, open_score, practice)

    return LogForm(
        "Add practice of a passage, without a click",
        (
            LogField("Part", _my_part(open_score), "name, beginning of one, or number from 1"),
            LogField("Bars", hint="13-20, or letters such as C-C+3"),
            LogField("Tempo", hint="felt beats a minute"),
            LogField("How it went", hint=_OUTCOMES),
            _WHEN,
            LogField("Minutes", hint="as long as once through"),
            LogField("Note", hint=_NOTE),
        ),
        keep,
    )


def _my_part(open_score: OpenScore) -> str:
    """By its name, or by its number if others are called the same."""
    parts, mine = open_score.score.parts, open_score.choices.part
    names = [part.name for part in parts]
    for number, part in enumerate(parts, 1):
        if part.id == mine:
            return part.name if names.count(part.name) == 1 and part.name else str(number)
    return ""


def entry_form(folders: Folders) -> LogForm:
    """Practice without a score."""
    return LogForm(
        "Add practice without a score",
        (
            LogField("What", hint=_ACTIVITIES),
            LogField("Minutes"),
            _WHEN,
            LogField("Note", hint=_NOTE),
        ),
        lambda texts: add_entry(
            folders,
            LogEntry(
                what=activity_named(texts[0]),
                seconds=minutes_typed(texts[1]),
                at=moment_typed(texts[2]) if texts[2] else now(),
                note=texts[3],
            ),
        ),
    )
