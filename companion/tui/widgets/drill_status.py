"""How a drill stands: the beat in large, state, tempo, times through, layers."""

from __future__ import annotations

from fractions import Fraction

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from companion.session.drill import Drill
from companion.session.track import Position
from companion.tui.widgets.beat_number import BeatNumber
from companion.tui.widgets.changed_lines import items_wrapped, shortened
from companion.wording.drill_sentences import (
    count_in_told,
    layers_told,
    others_told,
    passes_told,
    state_told,
    tempo_line,
)

FRESH = Fraction(1, 3)
"""The share of a beat for which it is shown as new."""


class DrillStatus(Vertical):
    """The upper part of the drill screen."""

    DEFAULT_CSS = """
    DrillStatus {
        height: auto;
        & #drill-now { height: 5; margin: 1 0; }
        & #drill-told {
            width: 1fr; height: 5; text-wrap: nowrap;
        }
        & #drill-layers { height: auto; padding: 0 1; }
        & #drill-caution {
            height: auto; padding: 0 1; color: $warning; text-style: bold; display: none;
        }
        & #drill-caution.-due { display: block; }
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self.told = ""

    def compose(self) -> ComposeResult:
        """The beat next to the sentences, the layers and the caution below."""
        with Horizontal(id="drill-now"):
            yield BeatNumber()
            yield _Told("Getting ready …", id="drill-told")
        yield Static(id="drill-layers")
        yield Static(id="drill-caution")

    def show(self, drill: Drill, position: Position | None) -> None:
        """Tell how things stand; what did not change is not painted again."""
        self._show_beat(drill, position)
        told = "\n".join(
            [
                state_told(drill, position),
                tempo_line(drill),
                passes_told(drill),
                count_in_told(drill),
                others_told(drill),
                layers_told(drill),
            ]
        )
        if told != self.told:
            self.told = told
            self.fit()

    def fit(self) -> None:
        """As many words of each line as have room."""
        if not self.told:
            return
        width = self.query_one("#drill-told").content_size.width
        *lines, layers = self.told.split("\n")
        room = self.query_one("#drill-layers").content_size.width
        layers = items_wrapped(layers, room) if room else layers
        text = Text("\n".join(shortened(line, width) for line in lines))
        last = Text(layers)
        last.highlight_regex(r"^[A-Z][^:]*:|\w+ ON", "bold")
        text.highlight_regex(r"(?m)^(\S \w+|[A-Z][^:]*:)", "bold")
        self.query_one("#drill-told", Static).update(text, layout=False)
        below = self.query_one("#drill-layers", Static)
        if last != below.content:  # its height may be another: the whole screen is laid out
            below.update(last)

    def warn(self, caution: str) -> None:
        """Show the caution before the first sound; empty takes it away."""
        line = self.query_one("#drill-caution", Static)
        line.update(Text(caution))
        line.set_class(bool(caution), "-due")

    def _show_beat(self, drill: Drill, position: Position | None) -> None:
        beat = self.query_one(BeatNumber)
        if position is None or position.beat is None:
            beat.number = 0
            return
        beat.number = position.beat.number
        beat.is_fresh = is_fresh(drill, position)


class _Told(Static):
    """Says when it has other room."""

    def on_resize(self) -> None:
        """Fit again."""
        for status in self.ancestors:
            if isinstance(status, DrillStatus):
                status.fit()


def is_fresh(drill: Drill, position: Position) -> bool:
    """Whether the beat that is on has just begun."""
    if position.beat is None:
        return False
    since = position.place.into - position.beat.into
    return since < drill.passage.beat_on_clock * FRESH
