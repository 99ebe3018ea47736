"""The lanes on the screen, with a cursor on a bar and a playhead on a moment.

The rows are drawn once for a size; what moves is laid over them when a line is asked for,
so that a playhead that moves thirty times a second repaints two columns and no more.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Protocol, cast

from rich.style import Style
from textual import events
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from companion.session.lanes import Lanes
from companion.tui.widgets.lane_rows import LaneGrid, LaneRow, bar_row, lane_grid
from companion.tui.widgets.row_strips import row_strip, with_playhead
from companion.tui.widgets.staff_rows import LEAST_HEIGHT, staff_grid
from companion.tui.widgets.staff_signs import signs_for

PLAYHEAD = "▼"
"""Above the column that is heard now."""


class ShowsNotes(Protocol):
    """The app, which remembers the choice from screen to screen."""

    shows_notes: bool


class PassageLanes(Widget):
    """A passage in lanes."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        f"passage-lanes--{role}"
        for role in (
            *("bars", "upper", "mine", "together", "facing", "lower", "other", "more", "gap"),
            *("staff-mine", "staff-facing", "playhead"),
        )
    }
    DEFAULT_CSS = """
    PassageLanes {
        height: 1fr;
        & > .passage-lanes--bars { color: $foreground; text-style: bold; }
        & > .passage-lanes--upper { color: $primary; }
        & > .passage-lanes--mine { color: $primary; text-style: bold; }
        & > .passage-lanes--together { color: $accent; text-style: bold; }
        & > .passage-lanes--facing { color: $secondary; text-style: bold; }
        & > .passage-lanes--staff-mine { color: $foreground; text-style: bold; }
        & > .passage-lanes--staff-facing { color: $secondary; text-style: bold; }
        & > .passage-lanes--lower { color: $secondary; }
        & > .passage-lanes--other { color: $text-muted; }
        & > .passage-lanes--more { color: $text-muted; }
        & > .passage-lanes--playhead { text-style: reverse bold; }
    }
    """

    class Changed(Message):
        """Other bars or other parts are shown."""

    class Drawn(Message):
        """The rows are others: staves may have become lanes."""

    @dataclass
    class BarClicked(Message):
        """A bar was clicked."""

        index: int
        """In the passage, from 0."""
        is_twice: bool

    cursor: reactive[int | None] = reactive[int | None](None)
    """Index of the bar under the cursor, from 0; None without a cursor."""
    playhead: reactive[Fraction | None] = reactive[Fraction | None](None, repaint=False)
    """Clock time that is heard now; None while nothing is."""
    silent: reactive[frozenset[int]] = reactive[frozenset[int]](frozenset())
    """Ordinal positions of bars that the click leaves out this time through."""
    alone: reactive[bool] = reactive(False)
    """Whether only the two facing lanes are shown."""
    shows_notes: reactive[bool] = reactive(True, init=False)
    """Whether notes on staves are shown, otherwise lanes."""

    def __init__(self, lanes: Lanes, *, has_notes: bool = True) -> None:
        """Without notes, as of a beat that nobody wrote, there are lanes alone."""
        super().__init__()
        self._has_notes = has_notes
        self.set_reactive(PassageLanes.shows_notes, has_notes)
        self._lanes = lanes
        self._grid: LaneGrid | None = None
        self._first = 0
        self._heard: tuple[int, int] | None = None
        self._strips: dict[tuple[int, LaneRow], Strip] = {}
        self._behind: Style | None = None  # of what is empty behind a row
        self._signs = signs_for(getattr(sys.__stdout__, "encoding", None))

    @property
    def lanes(self) -> Lanes:
        """What is shown; setting it draws again."""
        return self._lanes

    @lanes.setter
    def lanes(self, lanes: Lanes) -> None:
        self._lanes = lanes
        self._draw()
        self.post_message(self.Changed())

    @property
    def grid(self) -> LaneGrid:
        """The rows for the present size."""
        if self._grid is None:
            self._grid = self.laid_out(self.size)
        return self._grid

    def laid_out(self, size: Size) -> LaneGrid:
        """The rows for a size: notes, if they are wanted and have room, else lanes."""
        if self.shows_notes and size.height >= LEAST_HEIGHT:
            staves = staff_grid(self._lanes, *size, self._signs, alone=self.alone)
            if staves.height - 1 <= size.height:  # a staff that is cut would lose notes
                return staves
        return lane_grid(self._lanes, *size, alone=self.alone)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """The rows of all systems, where a screen leaves it to the widget how high it is."""
        grid = self.laid_out(Size(width, viewport.height))
        return len(grid.systems) * grid.height - 1

    @property
    def shows_staves(self) -> bool:
        """Whether there is room for the notes that are to be shown."""
        return any(row.role.startswith("staff") for row in self.grid.systems[0])

    @property
    def shows_all_well(self) -> bool:
        """Whether every bar is on the screen, its notes far enough apart to be read well."""
        rows = len(self.grid.systems) * self.grid.height - 1
        return rows <= self.size.height and self.grid.columns.is_easy

    @property
    def text(self) -> str:
        """What is seen now, as plain lines."""
        lines = (self._line(y) for y in range(self.size.height))
        return "\n".join(self._marked(*line) if line else "" for line in lines)

    def on_mount(self) -> None:
        """Notes or lanes, as they were shown last."""
        self.shows_notes = self._has_notes and getattr(self.app, "shows_notes", True)

    def switch(self) -> None:
        """Notes instead of lanes, or lanes instead of notes, here and on the next screens."""
        self.shows_notes = not self.shows_notes
        cast(ShowsNotes, self.app).shows_notes = self.shows_notes

    def on_resize(self, _: events.Resize) -> None:
        """Another size is another drawing."""
        self._draw()

    def on_click(self, event: events.Click) -> None:
        """Tell which bar was clicked."""
        system = self._first + event.y // self.grid.height
        if system < len(self.grid.systems):
            for cell in self.grid.columns.systems[system]:
                if cell.line <= event.x < cell.end:
                    self.post_message(self.BarClicked(cell.bar, event.chain == 2))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """One system further on."""
        self._scroll(1, event)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """One system further back."""
        self._scroll(-1, event)

    def _scroll(self, by: int, event: events.MouseEvent) -> None:
        seen = max(1, (self.size.height + 1) // self.grid.height)
        first = min(max(0, self._first + by), max(0, len(self.grid.systems) - seen))
        if first != self._first:
            event.stop()
            self._first = first
            self.refresh()

    def watch_alone(self) -> None:
        """Show or hide the other lanes."""
        self._draw()

    def watch_shows_notes(self) -> None:
        """Notes or lanes."""
        self._draw()

    def watch_cursor(self, cursor: int | None) -> None:
        """Bring the bar into view."""
        if cursor is not None and self.size:
            self._show(self.grid.columns.system_of(cursor))

    def watch_playhead(self, time: Fraction | None) -> None:
        """Move the playhead; only its old and its new column are painted."""
        before = self._heard
        self._heard = None if time is None or not self.size else self.grid.columns.find(time)
        if before == self._heard:
            return
        if self._heard is not None:
            self._show(self._heard[0])
        for place in (before, self._heard):
            if place is not None:
                top = (place[0] - self._first) * self.grid.height
                self.refresh(Region(place[1], top, 1, self.grid.height - 1))

    def render_line(self, y: int) -> Strip:
        """One row, with the cursor and the playhead laid over it."""
        line = self._line(y)
        if line is None:
            return Strip.blank(self.size.width, self.rich_style)
        system, row = line
        strip = self._strips.get(line)
        if strip is None:
            strip = self._unheard(system, row)
            if row.role != "bars":  # its cursor and silent bars are part of the text
                self._strips[line] = strip
        if self._heard is not None and self._heard[0] == system and row.role != "gap":
            style = self.get_component_rich_style(f"passage-lanes--{row.role}")
            over = self.get_component_rich_style("passage-lanes--playhead", partial=True)
            strip = with_playhead(strip, self._heard[1], style, over)
        if strip.cell_length == self.size.width:
            return strip
        self._behind = self._behind or self.rich_style
        return strip.adjust_cell_length(self.size.width, self._behind)

    def notify_style_update(self) -> None:
        """Rows that are drawn have the colours of before."""
        super().notify_style_update()
        self._strips.clear()
        self._behind = None

    def _unheard(self, system: int, row: LaneRow) -> Strip:
        """A row without the playhead, drawn once for a size and its colours."""
        style = self.get_component_rich_style(f"passage-lanes--{row.role}")
        staff_line = self._signs.line if row.role.startswith("staff") else ""
        return row_strip(self._marked(system, row), style, staff_line)

    def _line(self, y: int) -> tuple[int, LaneRow] | None:
        system, row = divmod(y, self.grid.height)
        system += self._first
        left = self.size.height - (system - self._first) * self.grid.height
        if system >= len(self.grid.systems):
            return None
        if system > self._first and left < self.grid.height // 2:
            return None  # too little of it would be seen
        return system, self.grid.systems[system][row]

    def _marked(self, system: int, row: LaneRow) -> str:
        """The text of a row with the brackets and the sign that do not depend on style."""
        if row.role != "bars":
            return row.text
        columns = self.grid.columns
        cells = columns.systems[system]
        text = bar_row(columns, cells, cells[-1].end + 1, self.cursor, self.silent, self.grid.name)
        if self._heard is None or self._heard[0] != system:
            return text
        column = self._heard[1]
        return f"{text[:column]}{PLAYHEAD}{text[column + 1 :]}"

    def _draw(self) -> None:
        self._grid = None
        self._strips.clear()
        if self.size:
            self._first = 0
            if self.cursor is not None and self.cursor < len(self._lanes.bars):
                self._show(self.grid.columns.system_of(self.cursor))
            self._heard = None if self.playhead is None else self.grid.columns.find(self.playhead)
            if self._heard is not None:
                self._show(self._heard[0])
            self.post_message(self.Drawn())
        self.refresh()

    def _show(self, system: int) -> None:
        """Scroll by whole systems so that one is seen."""
        seen = max(1, (self.size.height + 1) // self.grid.height)
        first = min(max(self._first, system - seen + 1), system)
        if first != self._first:
            self._first = first
            self.refresh()
