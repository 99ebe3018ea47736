"""The notes of the bars that are spoken of, beside or below what is said of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical

from companion.errors import CompanionError
from companion.score.bar_numbers import rehearsal_marks
from companion.score.passage import passage
from companion.session.open_score import OpenScore
from companion.session.score_chart import Chart, finding_meant

if TYPE_CHECKING:
    from companion.tui.widgets.passage_lanes import PassageLanes

_MOST = 8
"""Bars that are shown; of a longer passage those around the bar at hand."""


class PassagePreview(Vertical):
    """My part and the one it is compared with, in a few bars."""

    DEFAULT_CSS = "PassagePreview { height: 1fr; }"

    _shown: tuple[OpenScore, int, int, int] | None = None
    _bar = 1
    _lanes: PassageLanes | None = None

    def show(self, open_score: OpenScore, part: int, first: int, last: int, bar: int) -> None:
        """Of a passage, both ends ordinal positions, the bars around a bar."""
        first += max(0, bar - first) // _MOST * _MOST
        wanted = open_score, part, first, min(last, first + _MOST - 1)
        is_same = wanted == self._shown
        self._shown, self._bar = wanted, bar
        if self._lanes is None:
            self.app.call_after_refresh(self._draw)  # not before the first frame of a screen
        elif is_same:
            self._lanes.cursor = bar - first
        else:
            self._draw()

    def show_pull(self, open_score: OpenScore, chart: Chart, part: int | None, bar: int) -> None:
        """Of what pulls in a bar; nothing before a part is mine."""
        found = finding_meant(open_score, chart, bar)
        if part is None or found is None:
            self.clear()
        else:
            self.show(open_score, part, found.first, found.last, bar)

    def clear(self) -> None:
        """Show nothing."""
        self._shown = None
        if self._lanes is not None:
            self._lanes.remove()
            self._lanes = None

    def on_resize(self) -> None:
        """Draw what was wanted while there was no room."""
        if self._lanes is None:
            self.app.call_after_refresh(self._draw)

    def _draw(self) -> None:
        if self._shown is None or not self.size or not self.is_attached:
            return
        from companion.session.lanes import first_facing, lanes_of
        from companion.tui.widgets.passage_lanes import PassageLanes

        open_score, part, first, last = self._shown
        try:
            chosen = passage(open_score.clock, part, first, last)
        except CompanionError:  # the part does not play there
            self.clear()
            return
        facing = first_facing(chosen, open_score.conflicts)
        marks = rehearsal_marks(open_score.clock)
        lanes = lanes_of(chosen, open_score.conflicts, facing, marks)
        if self._lanes is None:
            self._lanes = PassageLanes(lanes)
            self.mount(self._lanes)
        else:
            self._lanes.lanes = lanes
        self._lanes.cursor = self._bar - first
