"""The practice log: everything practised, newest first, and how it went; corrected here too.

The table gives what fits into 80 columns; the sentence below it gives all of one line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import DataTable, Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.editions import editions, where_now
from companion.journal.log_entries import (
    EntryChange,
    correct_entry,
    logged,
    mark_unreadable,
    undoing,
    unreadable_lines,
)
from companion.journal.unreadable_rows import UnreadableRow
from companion.practice.attempt import Attempt, bars_of, now
from companion.practice.entry import LogEntry
from companion.session.open_score import OpenScore
from companion.tui.screens.log_form_screen import (
    Line,
    LogFormScreen,
    attempt_form,
    entry_form,
    new_entry,
    passage_form,
    practice_away,
)
from companion.tui.widgets.beside import WIDE, Beside
from companion.tui.widgets.changed_lines import shortened
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.wording.log_sentences import attempt_told, entry_told, sounded_told
from companion.wording.phrases import bars_told, bpm_told, counted, moment_told

_COLUMNS = {"When": 16, "Part": 8, "Bars": 7, "Tempo": 19, "Went": 10, "Score": 26, "Sounded": 20}
"""Names of the columns and how wide they are."""
_WANTED = ("When", "Tempo", "Went", "Bars", "Part", "Score", "Sounded")
"""The same, the first to be shown first."""

_PADDING = 2
"""Columns around each."""
_LEAST_TITLE = 10
"""Columns in which a title of a score can be told from others."""

_EMPTY = (
    "Nothing is in the log yet.\n\n"
    "Open a score, put the cursor on a conflict and press Enter to practise it. Say how it "
    "went, and it is logged here."
)
EMPTY_HERE = "Nothing is in the log yet for this score. Press f to see every score."


AT_ONCE = 200
"""Lines that are read together; ten years of them would keep the screen waiting."""


class _AttemptTable(DataTable[Text]):
    """Home and End go to the first and the last row, as in every list of the program."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("home", "scroll_top", show=False),
        Binding("end", "scroll_bottom", show=False),
    ]


class LogScreen(Screen[None]):
    """A table of what was practised."""

    CSS_PATH = "log_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "correct", "Correct"),
        Binding("d", "delete", "Delete"),
        Binding("delete", "delete", show=False),
        Binding("u", "undo", "Undo"),
        Binding("a", "add_passage", "Add"),
        Binding("A", "add_entry", show=False),
        Binding("f", "filter", "This score / all"),
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓", "previous, next line; details below the table"),
        ("End", "the earliest shown; reads the ones before it"),
        ("← →", "scroll sideways"),
        ("c", "correct the line under the cursor: how it went, its note"),
        ("d, Delete", "delete it; u brings it back"),
        ("u", "undo the last correction or deletion on this screen"),
        ("a", "add practice of a passage of the open score, away from the screen"),
        ("A", "add scales, a lesson or a rehearsal"),
        ("f", "only the score that is open, or every score"),
    ]

    def __init__(
        self,
        folders: Folders,
        open_score: OpenScore | None,
        clock: Callable[[], datetime] = now,
    ) -> None:
        super().__init__()
        self.clock = clock
        self.folders = folders
        self.open_score = open_score
        self.only_this_score = False
        self.lines: list[Line] = []
        self.has_more = False
        self._widths: dict[str, int] = {}
        self.unreadable: list[UnreadableRow] = []
        """Rows a disk or another program changed; they stand above the lines."""
        self.earlier: list[Line | UnreadableRow] = []
        """What was corrected or deleted here, as it was before; the latest last."""

    def compose(self) -> ComposeResult:
        """Heading, the table, one line of it in a sentence."""
        yield Heading("Practice log")
        with Horizontal():
            yield _AttemptTable(cursor_type="row", id="log-table")
            yield Static(id="log-empty", markup=False)
            yield Beside(classes="-from-wide")
        yield Static(id="log-attempt", markup=False)
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin with every score, the newest line first."""
        self._fill()
        self.table.focus()

    def on_resize(self) -> None:
        """As many columns as have room whole."""
        if _columns(self.size.width) != self._widths:
            row = self.table.cursor_row
            self._fill()
            self.table.move_cursor(row=row)

    @property
    def table(self) -> DataTable[Text]:
        """The table itself."""
        return self.query_one(DataTable)

    def _fill(self) -> None:
        self.table.clear(columns=True)
        self._widths = _columns(self.size.width)
        for name, width in self._widths.items():
            self.table.add_column(name, width=width)
        self.lines, self.unreadable = [], []
        if not self.only_this_score:
            self._read_unreadable()
        self._read_on()
        is_empty = not self.lines and not self.unreadable
        self.table.display = not is_empty
        empty = self.query_one("#log-empty", Static)
        empty.display = is_empty
        empty.update(EMPTY_HERE if self.only_this_score else _EMPTY)
        self._tell(self.table.cursor_row)

    def _fitted(self, cells: Iterable[str]) -> list[Text]:
        texts = dict(zip(_COLUMNS, cells, strict=True))
        return [Text(shortened(texts[name], width)) for name, width in self._widths.items()]

    def _read_unreadable(self) -> None:
        try:
            self.unreadable = unreadable_lines(self.folders, AT_ONCE)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        for row in self.unreadable:
            cells = ("cannot be read", *[""] * 5, row.why)
            self.table.add_row(*self._fitted(cells))

    def _read_on(self) -> None:
        """The next lines under those that are shown."""
        digest = self.open_score.digest if self.open_score and self.only_this_score else None
        most = len(self.lines) + AT_ONCE
        try:
            found = logged(self.folders, digest=digest, last=most + 1)
        except CompanionError as problem:
            found = self.lines
            self.query_one(Notice).show_error(problem)
        self.has_more = len(found) > most
        for line in found[len(self.lines) : most]:
            self.table.add_row(*self._fitted(_cells(line)))
        self.lines = found[:most]
        count = f"the latest {most} lines" if self.has_more else _counted(found)
        of_what = self.open_score.score.title if self.open_score and digest else "every score"
        self.query_one(Heading).right = f"{count}, {of_what}"

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        """Tell the whole of the line under the cursor; at the end, read on."""
        if self.has_more and event.cursor_row == self.table.row_count - 1:
            self._read_on()
        self._tell(event.cursor_row)

    def _tell(self, row: int) -> None:
        line = self._line_at(row)
        told = "" if line is None else line_told(line)
        self.query_one("#log-attempt", Static).update(Text(told))
        look = partial(self._beside, line) if isinstance(line, Attempt) else None
        self.query_one(Beside).show(look)

    def _beside(self, attempt: Attempt, width: int, height: int) -> Iterator[str | Text]:
        """On a wide terminal, how the bars of the attempt under the cursor go."""
        from companion.tui.widgets.progress_lines import history_lines

        at = self.clock()
        bars = where_now(bars_of(attempt), editions(self.folders))
        yield from history_lines(self.folders, bars, at, width, height)

    @property
    def line(self) -> Line | UnreadableRow | None:
        """What is under the cursor."""
        return self._line_at(self.table.cursor_row)

    def _line_at(self, row: int) -> Line | UnreadableRow | None:
        # A table without rows has its cursor on row −1.
        shown = (*self.unreadable, *self.lines)
        return shown[row] if 0 <= row < len(shown) else None

    def action_correct(self) -> None:
        """Ask what it should say."""
        before = self.line
        if isinstance(before, UnreadableRow):
            self.query_one(Notice).say("It cannot be read, so it can only be deleted.")
        elif before is not None:
            answered = partial(self._corrected, before)
            if isinstance(before, Attempt):
                form = LogFormScreen(attempt_form(self.folders, before), before)
                self.app.push_screen(form, answered)
            else:
                entry = LogFormScreen(entry_form(self.folders, self.clock(), before), before)
                self.app.push_screen(entry, answered)

    def _corrected(self, before: Line, after: Line | None) -> None:
        if after is not None and after != before:
            self.earlier.append(before)
            self._show_change(f"Now: {line_told(after)}. Press u to undo.")

    def action_delete(self) -> None:
        """Delete what is under the cursor; the log keeps it, so that it can come back."""
        before = self.line
        if before is not None and self._delete(before, is_deleted=True):
            self.earlier.append(before)
            self._show_change(f"Deleted: {line_told(before)}. Press u to bring it back.")

    def action_undo(self) -> None:
        """Let what was changed last be as it was."""
        if not self.earlier:
            self.query_one(Notice).say("Nothing was corrected or deleted here.")
        elif self._delete(self.earlier[-1], is_deleted=False):
            self._show_change(f"As before: {line_told(self.earlier.pop())}.")

    def _delete(self, line: Line | UnreadableRow, *, is_deleted: bool) -> bool:
        """Delete a line, or let it be as it was before."""
        try:
            if isinstance(line, UnreadableRow):
                mark_unreadable(self.folders, line.name, is_deleted=is_deleted)
            else:
                change = EntryChange(withdraw=True) if is_deleted else undoing(line)
                correct_entry(self.folders, line.id, change)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return False
        return True

    def _show_change(self, told: str) -> None:
        row = self.table.cursor_row
        self._fill()
        self.table.move_cursor(row=min(row, self.table.row_count - 1))
        self._tell(self.table.cursor_row)
        self.query_one(Notice).say(told)

    def action_add_passage(self) -> None:
        """Add practice of a passage of the open score."""
        if self.open_score is None:
            self.query_one(Notice).say(
                "No score is open. Open one to add a passage; A adds scales or a lesson."
            )
        else:
            here = self.clock()
            form = passage_form(self.folders, self.open_score, here)
            begin = practice_away(self.open_score, here)
            self.app.push_screen(LogFormScreen(form, begin), self._added)

    def action_add_entry(self) -> None:
        """Add scales, a lesson, a rehearsal."""
        here = self.clock()
        form = LogFormScreen(entry_form(self.folders, here), new_entry(here))
        self.app.push_screen(form, self._added)

    def _added(self, line: Line | None) -> None:
        if line is not None:
            self._show_change(f"Added: {line_told(line)}.")

    def action_filter(self) -> None:
        """Only the score that is open, or every score."""
        if self.open_score is None:
            self.query_one(Notice).say("No score is open, so every score is shown.")
            return
        self.only_this_score = not self.only_this_score
        self._fill()


def line_told(line: Line | UnreadableRow) -> str:
    """All of it in one line."""
    if isinstance(line, UnreadableRow):
        return f"{line.name}: {line.why}"
    return attempt_told(line) if isinstance(line, Attempt) else entry_told(line)


def _columns(width: int) -> dict[str, int]:
    """The columns that a terminal of this width shows beside what is beside them."""
    room = width * 3 // 5 if width >= WIDE else width
    shown = set()
    for name in _WANTED:
        if room - _COLUMNS[name] - _PADDING >= 0:
            shown.add(name)
            room -= _COLUMNS[name] + _PADDING
    widths = {name: one for name, one in _COLUMNS.items() if name in shown}
    if "Score" not in shown and room >= _LEAST_TITLE + _PADDING:
        widths = {**widths, "Score": room - _PADDING}
    return widths


def _counted(lines: list[Line]) -> str:
    tried = sum(isinstance(line, Attempt) for line in lines)
    other = counted(len(lines) - tried, "other entry", "other entries")
    told = (counted(tried, "attempt"), other if tried < len(lines) else "")
    return ", ".join(filter(None, told))


def _cells(line: Line) -> tuple[str, ...]:
    return _of_attempt(line) if isinstance(line, Attempt) else _of_entry(line)


def _of_entry(entry: LogEntry) -> tuple[str, ...]:
    what = f"{entry.seconds / 60:.0f} min {entry.what}"
    return moment_told(entry.at), "", "", what, "", entry.note, ""


def _of_attempt(attempt: Attempt) -> tuple[str, ...]:
    return (
        moment_told(attempt.at),
        attempt.part_name or attempt.part_id,
        bars_told(attempt.first_bar, attempt.last_bar, attempt.bars_label).split(" ", 1)[1],
        f"{bpm_told(attempt.tempo)} {attempt.beat}",
        attempt.outcome.value,
        attempt.score_title,
        sounded_told(attempt),
    )
