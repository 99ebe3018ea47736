"""The practice log: every attempt, newest first, and how it went.

The table gives what fits into 80 columns; the sentence below it gives all of one attempt.
"""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import DataTable, Footer, Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.log_entries import logged_attempts
from companion.practice.attempt import Attempt
from companion.session.open_score import OpenScore
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.map_lines import fitted
from companion.tui.widgets.notice import Notice
from companion.wording.log_sentences import attempt_told, sounded_told
from companion.wording.phrases import bars_told, bpm_told, counted, moment_told

_COLUMNS = {"When": 16, "Part": 8, "Bars": 7, "Tempo": 19, "Went": 10, "Score": 26, "Sounded": 30}
"""Names of the columns and how wide they are."""

_EMPTY = (
    "Nothing is in the log yet.\n\n"
    "Open a score, put the cursor on a conflict and press Enter to practise it. Say how it "
    "went, and it is logged here."
)
EMPTY_HERE = "Nothing is in the log yet for this score. Press f to see every score."


AT_ONCE = 200
"""Attempts that are read together; ten years of them would keep the screen waiting."""


class _AttemptTable(DataTable[Text]):
    """Home and End go to the first and the last row, as in every list of the program."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("home", "scroll_top", show=False),
        Binding("end", "scroll_bottom", show=False),
    ]


class LogScreen(Screen[None]):
    """A table of attempts."""

    CSS_PATH = "log_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f", "filter", "This score / all"),
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓", "previous, next attempt; details below the table"),
        ("End", "the earliest shown; reads the ones before it"),
        ("← →", "scroll sideways"),
        ("f", "only the score that is open, or every score"),
    ]

    def __init__(self, folders: Folders, open_score: OpenScore | None) -> None:
        super().__init__()
        self.folders = folders
        self.open_score = open_score
        self.only_this_score = False
        self.attempts: list[Attempt] = []
        self.has_more = False

    def compose(self) -> ComposeResult:
        """Heading, the table, one attempt in a sentence."""
        yield Heading("Practice log")
        yield _AttemptTable(cursor_type="row", id="log-table")
        yield Static(id="log-empty", markup=False)
        yield Static(id="log-attempt", markup=False)
        yield Notice()
        yield Footer(compact=True)

    def on_mount(self) -> None:
        """Begin with every score, the newest attempt first."""
        for name, width in _COLUMNS.items():
            self.table.add_column(name, width=width)
        self._fill()
        self.table.focus()

    @property
    def table(self) -> DataTable[Text]:
        """The table itself."""
        return self.query_one(DataTable)

    def _fill(self) -> None:
        self.table.clear()
        self.attempts = []
        self._read_on()
        self.table.display = bool(self.attempts)
        empty = self.query_one("#log-empty", Static)
        empty.display = not self.attempts
        empty.update(EMPTY_HERE if self.only_this_score else _EMPTY)
        self._tell(0)

    def _read_on(self) -> None:
        """The next attempts under those that are shown."""
        digest = self.open_score.digest if self.open_score and self.only_this_score else None
        most = len(self.attempts) + AT_ONCE
        try:
            found = logged_attempts(self.folders, digest=digest, last=most + 1)
        except CompanionError as problem:
            found = self.attempts
            self.query_one(Notice).show_error(problem)
        self.has_more = len(found) > most
        for attempt in found[len(self.attempts) : most]:
            self.table.add_row(*_row(attempt))
        self.attempts = found[:most]
        count = f"the latest {most} attempts" if self.has_more else counted(len(found), "attempt")
        of_what = self.open_score.score.title if self.open_score and digest else "every score"
        self.query_one(Heading).right = f"{count}, {of_what}"

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        """Tell the whole of the attempt under the cursor; at the end, read on."""
        if self.has_more and event.cursor_row == len(self.attempts) - 1:
            self._read_on()
        self._tell(event.cursor_row)

    def _tell(self, row: int) -> None:
        # A table without rows has its cursor on row −1.
        told = attempt_told(self.attempts[row]) if 0 <= row < len(self.attempts) else ""
        self.query_one("#log-attempt", Static).update(Text(told))

    def action_filter(self) -> None:
        """Only the score that is open, or every score."""
        if self.open_score is None:
            self.query_one(Notice).say("No score is open, so every score is shown.")
            return
        self.only_this_score = not self.only_this_score
        self._fill()


def _row(attempt: Attempt) -> list[Text]:
    texts = (
        moment_told(attempt.at),
        attempt.part_name or attempt.part_id,
        bars_told(attempt.first_bar, attempt.last_bar, attempt.bars_label).split(" ", 1)[1],
        f"{bpm_told(attempt.tempo)} {attempt.beat}",
        attempt.outcome.value,
        attempt.score_title,
        sounded_told(attempt),
    )
    return [Text(fitted(text, width)) for text, width in zip(texts, _COLUMNS.values(), strict=True)]
