"""How it goes: one passage and why it stands so, the whole part, the weeks.

Three views of the same log, a key apart, because a student asks all three in one breath:
does it hold, what does not, and how much did I practise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.practice.attempt import Bars
from companion.practice.mastery.progress_series import Week
from companion.score.passage import passage
from companion.session.open_score import OpenScore
from companion.session.passage_progress import (
    PartProgress,
    part_progress,
    passage_history,
    weeks_until,
)
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.app_clock import clock_of
from companion.tui.widgets.beside import Beside
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.progress_lines import (
    history_lines,
    part_lines,
    passage_lines,
    passage_row,
    weeks_lines,
)

_LOOKING = "Looking through the log …"
_NOTHING = (
    "Nothing of this part is in the log yet.\n\n"
    "Open a passage with Enter on the map and drill it, or press G there and set its goal."
)
NOT_JUST_THESE = "No attempts and no goal for these bars; here is the whole part."
_BESIDE = {"-wide": 60, "-broad": 80}
"""Columns of what is beside a view (progress_screen.tcss)."""
_HEAT = 72
"""Columns of a part bar by bar."""
_WEEKS = 8
"""Weeks that are shown there."""
_AROUND = 5
"""Rows and columns that are not the view's own."""


class View(StrEnum):
    """What is shown."""

    PASSAGE = "passage"
    PART = "part"
    WEEKS = "weeks"


class ProgressScreen(Screen[None]):
    """One part of one score through the years."""

    CSS_PATH = "progress_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("1", "view('passage')", "Passage: why?"),
        Binding("2", "view('part')", "Part"),
        Binding("3", "view('weeks')", "Weeks"),
        Binding("left", "passage(-1)", "Others", key_display="←→", priority=True),
        Binding("right", "passage(1)", show=False, priority=True),
        Binding("enter", "open", "Open", key_display="⏎"),
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("1", "one passage: its state, the reasons, and its tempo"),
        ("2", "the whole part, bar by bar, and its passages"),
        ("3", "minutes a day, week by week"),
        ("← →", "previous passage, next passage"),
        ("Enter", "on a passage of the part: the reasons; there: open its bars"),
    ]

    @dataclass
    class Looked(Message):
        """What came of looking through the log."""

        outcome: tuple[PartProgress, list[Week]] | CompanionError

    def __init__(
        self,
        open_score: OpenScore,
        part: int,
        folders: Folders,
        bars: Bars | None = None,
        clock: Callable[[], datetime] | None = None,
    ) -> None:
        """`bars` are those at hand, if any; `clock` says what moment it is, else the app does."""
        super().__init__()
        self.open_score = open_score
        self.part = part
        self.folders = folders
        self.bars = bars
        self._clock = clock
        self.view = View.PART if bars is None else View.PASSAGE
        self.found: PartProgress | None = None
        self.weeks: list[Week] = []
        self.told = ""

    def compose(self) -> ComposeResult:
        """Heading, the view, the passages of the part."""
        yield Heading(
            f"Progress · {self.open_score.score.title}",
            f"{self.open_score.score.parts[self.part].name} ●",
        )
        with Horizontal():
            with Vertical():
                with VerticalScroll(id="progress-view"):
                    yield Static(_LOOKING, id="progress-told", markup=False)
                yield _Passages(id="progress-passages")
            yield Beside(classes="-from-wide")
        yield Notice()
        yield KeyLine()

    def on_screen_resume(self) -> None:
        """Look again: something may have been practised meanwhile."""
        self._look(max(4, self.size.height - 8))

    @work(thread=True, exclusive=True)
    def _look(self, weeks: int) -> None:
        """In a thread: a log of many years takes a moment the first time."""
        at = self.clock()
        outcome: tuple[PartProgress, list[Week]] | CompanionError
        try:
            found = part_progress(self.folders, self.open_score, self.part, at)
            outcome = found, weeks_until(self.folders, at, weeks)
        except CompanionError as problem:
            outcome = problem
        self.post_message(self.Looked(outcome))

    def on_progress_screen_looked(self, message: Looked) -> None:
        """Show it."""
        if isinstance(message.outcome, CompanionError):
            self._tell([])
            self.query_one(Notice).show_error(message.outcome)
            return
        self.found, self.weeks = message.outcome
        if self.bars is not None and self.bars not in self._passages:
            self.bars, self.view = None, View.PART
            self.query_one(Notice).say(NOT_JUST_THESE if self._passages else "")
        self._fill()
        self._show()

    @property
    def clock(self) -> Callable[[], datetime]:
        """Says what moment it is."""
        return self._clock or clock_of(self.app)

    @property
    def _passages(self) -> list[Bars]:
        return [one.bars for one, _ in self.found.passages] if self.found else []

    @property
    def rows(self) -> OptionList:
        """The passages of the part."""
        return self.query_one(OptionList)

    def _fill(self) -> None:
        if self.found is None:
            return
        width = max(40, self._room)
        self.rows.clear_options()
        self.rows.add_options(
            Option(Text(passage_row(one, how, width))) for one, how in self.found.passages
        )
        if self._passages:
            here = self.bars if self.bars is not None else self._passages[0]
            self.rows.highlighted = self._passages.index(here)

    def _show(self) -> None:
        """The view that is chosen, as it is now."""
        if self.found is None:
            return
        in_part = self.view is View.PART and bool(self._passages)
        self.rows.display = in_part
        self.query_one("#progress-view").set_class(in_part, "-above")
        self.set_focus(self.rows if in_part else self.query_one("#progress-view"))
        self.query_one(Beside).show(self._beside)
        try:
            self._tell(self._lines(self.found))
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)

    def _lines(self, found: PartProgress) -> list[str]:
        if self.view is View.WEEKS:
            return list(weeks_lines(self.weeks))
        if not found.passages:
            return [_NOTHING]
        if self.view is View.PART:
            return list(part_lines(found, max(20, self._room)))
        bars = self._passages[self.rows.highlighted or 0]
        self.bars = bars
        judged = passage_history(self.folders, bars, self.clock())
        return list(passage_lines(judged, max(20, self._room), self.size.height - _AROUND + 1))

    @property
    def _room(self) -> int:
        """Columns of a view."""
        beside = sum(width for name, width in _BESIDE.items() if self.has_class(name))
        return self.size.width - _AROUND - beside

    def _beside(self, width: int, height: int) -> Iterator[str | Text]:
        """On a wide terminal, what the other keys show."""
        if self.found is None or not self._passages:
            return
        weeks = list(weeks_lines(self.weeks[-_WEEKS:]))
        if self.view is View.PART:
            bars = self._passages[self.rows.highlighted or 0]
            rows = height - len(weeks) - 1
            yield from history_lines(self.folders, bars, self.clock(), width, rows)
        else:
            share, *heat = part_lines(self.found, width)
            yield share
            yield from heat if width >= _HEAT else ()
            yield ""
            for one, how in self.found.passages:
                yield passage_row(one, how, width)
        if self.view is not View.WEEKS:
            yield ""
            yield from weeks

    def _tell(self, lines: list[str]) -> None:
        self.told = "\n".join(lines)
        text = Text(self.told)
        text.highlight_regex(r"\A[^\n]*", "bold")
        self.query_one("#progress-told", Static).update(text)

    def on_resize(self) -> None:
        """Curves and rows fill what there is."""
        self._fill()
        self._show()

    def action_view(self, name: str) -> None:
        """Another view."""
        self.query_one(Notice).clear()
        self.view = View(name)
        self._show()

    def action_passage(self, by: int) -> None:
        """Why the passage before or after stands as it does."""
        if count := len(self._passages):
            self.rows.highlighted = ((self.rows.highlighted or 0) + by) % count
            self.action_view(View.PASSAGE)

    def on_option_list_option_highlighted(self) -> None:
        """Why that one stands so, on a wide terminal."""
        if self.view is View.PART:
            self.query_one(Beside).show(self._beside)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Why that one stands so."""
        self.action_view(View.PASSAGE)

    def action_open(self) -> None:
        """From the reasons on to the bars."""
        if self.view is not View.PASSAGE or self.bars is None:
            return
        try:
            chosen = passage(self.open_score.clock, self.part, self.bars.first, self.bars.last)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            app_of(self).open_passage(self.open_score, chosen)


class _Passages(OptionList):
    """The passages of a part."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "select", "Why?", key_display="⏎"),
    ]
