"""The keys of every screen that shows notes: staves or lanes, engraved or in characters."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from companion.tui.widgets.engraved_passage import EngravedPassage

NOTES_KEYS: list[BindingType] = [
    Binding("n", "notes", show=False),
    Binding("i", "pictures", show=False),
]
NOTES_EXPLAINED = [
    ("n", "notes on staves, or lanes that show the clock"),
    ("ξ 7", "on staves: a quarter rest, an eighth rest; 7 over 7 is a sixteenth rest"),
    ("", "▄ on a line is a half rest, ▀ under a line a whole rest"),
    ("i", "engraved notes, if the terminal shows pictures"),
]
"""The same in words, for the help."""


class NotesKeys(Screen[None]):
    """What they do, and the legend that goes with it."""

    LEGENDS: ClassVar[tuple[str, str]] = ("", "")
    """For lanes, for notes on staves."""

    def on_passage_lanes_drawn(self) -> None:
        """Explain the signs that are shown."""
        lanes = self.query_one(EngravedPassage).lanes
        legend = self.LEGENDS[lanes.shows_staves]
        if lanes.shows_notes and not lanes.shows_staves:
            legend = legend.replace("n: notes", "no room for notes", 1)
        for line in self.query(".legend").results(Static):
            line.update(legend)

    def action_notes(self) -> None:
        """Show notes or lanes."""
        self.query_one(EngravedPassage).lanes.switch()

    def action_pictures(self) -> None:
        """Show engraved notes, or characters again."""
        self.query_one(EngravedPassage).toggle()
