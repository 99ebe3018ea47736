"""The map on the screen: a cursor on a bar and a part, and only what is in sight is drawn.

It scrolls by itself and not inside a scrolling container, because laying out a strip
for each of twenty parts over 1,700 bars would cost more than the screen it fills.
"""

from __future__ import annotations

from itertools import accumulate
from typing import ClassVar

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from companion.session.open_score import OpenScore
from companion.session.score_chart import Chart
from companion.tui.widgets.map_lines import (
    KINDS,
    WIDTH,
    MapLine,
    MapView,
    gutter,
    lines_around,
    map_lines,
)

_WHEEL = 4
"""Bars that a turn of the wheel moves."""


class ScoreMap(Widget, can_focus=True):
    """The map of one score."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"score-map--{kind}" for kind in KINDS}
    DEFAULT_CSS = """
    ScoreMap {
        height: auto;
        & > .score-map--quiet { color: $text-muted; }
        & > .score-map--number { color: $foreground; }
        & > .score-map--meter { color: $accent; text-style: bold; }
        & > .score-map--facing { color: $secondary; text-style: bold; }
        & > .score-map--mine { color: $primary; text-style: bold; }
        & > .score-map--selected { color: $primary; text-style: bold; }
        & > .score-map--cursor { text-style: reverse bold; }
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "move(-1)", show=False),
        Binding("right", "move(1)", show=False),
        Binding("up", "part(-1)", show=False),
        Binding("down", "part(1)", show=False),
        Binding("shift+left,ctrl+left,pageup", "page(-1)", show=False),
        Binding("shift+right,ctrl+right,pagedown", "page(1)", show=False),
        Binding("home", "edge(-1)", show=False),
        Binding("end", "edge(1)", show=False),
    ]

    bar: reactive[int] = reactive(1, repaint=False)
    """Ordinal position of the bar under the cursor."""
    part: reactive[int] = reactive(0, repaint=False)
    """Index of the part under the cursor."""
    selected_from: reactive[int | None] = reactive[int | None](None, repaint=False)
    """Bar at which a selection was begun."""

    def __init__(self, open_score: OpenScore, chart: Chart) -> None:
        super().__init__()
        self._open_score = open_score
        self.chart = chart
        self._first = 1
        self._top = 0
        self._drawn: list[MapLine] = []
        self._dragged_from: int | None = None

    @property
    def open_score(self) -> OpenScore:
        """The score that is shown; setting it shows what the player settled."""
        return self._open_score

    @open_score.setter
    def open_score(self, open_score: OpenScore) -> None:
        self._open_score = open_score
        self.refresh()

    def repaint(self) -> None:
        """Paint again what is not as it was painted last."""
        before, self._drawn = self._drawn, map_lines(self._view())
        for y, (one, other) in enumerate(zip(before, self._drawn, strict=False)):
            if one != other:
                begin, end = _changed(one, other)
                self.refresh(Region(begin, y, end - begin, 1))
        if len(before) != len(self._drawn):
            self.refresh()

    @property
    def selection(self) -> range:
        """The selected bars; empty if no selection was begun."""
        if self.selected_from is None:
            return range(0)
        return range(min(self.selected_from, self.bar), max(self.selected_from, self.bar) + 1)

    @property
    def bars_in_sight(self) -> range:
        """The bars that fit next to the names."""
        count = max(1, (self.size.width - gutter(self._open_score)) // WIDTH)
        return range(self._first, min(self._first + count, len(self.chart.labels) + 1))

    @property
    def parts_in_sight(self) -> range:
        """The parts that fit under the conflicts."""
        count = max(1, self.size.height - lines_around(self.chart))
        return range(self._top, min(self._top + count, len(self.chart.cells)))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """All lines, with every part."""
        return lines_around(self.chart) + len(self.chart.cells)

    def validate_bar(self, bar: int) -> int:
        """Keep the cursor inside the score."""
        return min(max(1, bar), len(self.chart.labels))

    def validate_part(self, part: int) -> int:
        """Keep the cursor inside the score."""
        return min(max(0, part), len(self.chart.cells) - 1)

    def watch_bar(self, before: int, bar: int) -> None:
        """Bring the bar into view: a step scrolls by one, a leap also shows what follows."""
        seen = self.bars_in_sight
        if abs(bar - before) > 1 and bar not in seen:
            self._first = bar - len(seen) // 4
        self._keep_in_view()

    def watch_part(self) -> None:
        """Bring the part into view."""
        self._keep_in_view()

    def on_resize(self, event: events.Resize) -> None:
        """Bring the cursor back into view when the terminal changes."""
        self._keep_in_view()

    def _keep_in_view(self) -> None:
        if not self.size:  # before it has its place on the screen
            return
        bars = max(1, (self.size.width - gutter(self._open_score)) // WIDTH)
        self._first = min(max(self._first, self.bar - bars + 1), self.bar)
        self._first = max(1, min(self._first, len(self.chart.labels) - bars + 1))
        parts = max(1, self.size.height - lines_around(self.chart))
        self._top = min(max(self._top, self.part - parts + 1), self.part)
        self._top = max(0, min(self._top, len(self.chart.cells) - parts))
        self.repaint()

    def action_move(self, bars: int) -> None:
        """Move by single bars."""
        self.bar += bars

    def action_part(self, parts: int) -> None:
        """Move by parts."""
        self.part += parts

    def action_page(self, pages: int) -> None:
        """Move by screens, the cursor staying where it is on the screen."""
        step = pages * len(self.bars_in_sight)
        self._first += step
        self.bar += step
        self._keep_in_view()  # at the last bar the cursor stays, and nobody watches

    def action_edge(self, side: int) -> None:
        """Move to the first or the last bar."""
        self.bar = 1 if side < 0 else len(self.chart.labels)

    # The mouse: a click goes there, a drag selects, a second click practises, the wheel moves.

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """To the bar and the part under the mouse."""
        place = self._place_at(event.x, event.y)
        if event.button == 1 and place is not None:
            self.selected_from = None
            self.bar, self.part = place
            self._dragged_from = self.bar
            self.capture_mouse()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Select from where the button went down."""
        place = self._place_at(event.x, event.y)
        if self._dragged_from is not None and place is not None and place[0] != self.bar:
            self.selected_from = self._dragged_from
            self.bar = place[0]

    def on_mouse_up(self) -> None:
        """The selection ends here."""
        self._dragged_from = None
        self.release_mouse()

    async def on_click(self, event: events.Click) -> None:
        """A second click practises, as Enter does."""
        if event.chain == 2 and self._place_at(event.x, event.y) is not None:
            await self.run_action("screen.practise")

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Bars further on."""
        event.stop()
        self.action_move(_WHEEL)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Bars further back."""
        event.stop()
        self.action_move(-_WHEEL)

    def _place_at(self, x: int, y: int) -> tuple[int, int] | None:
        """Bar and part at a column and a line; None beside the bars. A line that is no part's
        leaves the part, and the last one stands for the whole score."""
        column, count = x - gutter(self._open_score), len(self.chart.labels)
        width = len(self.bars_in_sight) * WIDTH
        if not 0 <= column < width:
            return None
        row = y - (lines_around(self.chart) - 1)
        if row >= len(self.parts_in_sight):
            return min(count, 1 + column * (count - 1) // (width - 2)), self.part
        bar = self._first + column // WIDTH
        return (bar, self.parts_in_sight[row]) if row >= 0 else (bar, self.part)

    def render_lines(self, crop: Region) -> list[Strip]:
        """Lay out all lines together, once for each time they are asked for."""
        self._drawn = map_lines(self._view())
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        """One line of the map."""
        line = self._drawn[y] if y < len(self._drawn) else []
        segments = [Segment(text, self._style(kind)) for text, kind in line]
        whole = Strip(segments).simplify()
        return whole.adjust_cell_length(self.size.width, self.rich_style)

    def _view(self) -> MapView:
        return MapView(
            self._open_score,
            self.chart,
            self.bars_in_sight,
            self.parts_in_sight,
            self.bar,
            self.part,
            self.selection,
        )

    def _style(self, kind: str) -> Style:
        return self.get_component_rich_style(f"score-map--{kind}")


def _changed(one: MapLine, other: MapLine) -> tuple[int, int]:
    """The columns from the first piece that differs to the end of the last one."""
    width = sum(cell_len(text) for text, _ in other)
    same = [a == b for a, b in zip(one, other, strict=False)]
    if len(one) != len(other) or width != sum(cell_len(text) for text, _ in one):
        return 0, max(width, sum(cell_len(text) for text, _ in one))
    places = [0, *accumulate(cell_len(text) for text, _ in other)]
    last = len(same) - 1 - same[::-1].index(False)
    return places[same.index(False)], places[last + 1]
