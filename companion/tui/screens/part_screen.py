"""My whole part as notes, what pulls marked above its bars; Enter drills.

Only the bars around the cursor are laid out, as the page that is open: another page is laid
out when the cursor leaves it, so that a long part opens as fast as a short one.
"""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.reactive import reactive
from textual.widgets import Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.findings.conflicts import Conflict
from companion.score.passage import passage
from companion.session.lanes import Lanes, part_alone
from companion.session.open_score import OpenScore
from companion.session.score_chart import (
    Chart,
    MapFinding,
    next_finding,
    previous_finding,
    span_meant,
)
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.go_to_screen import GoToScreen
from companion.tui.screens.notes_keys import NOTES_EXPLAINED, NOTES_KEYS, NotesKeys
from companion.tui.widgets.engraved_passage import EngravedPassage
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.part_pages import show_pages
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.wording.period_sentences import period_named
from companion.wording.score_sentences import bar_span_told, conflict_label, finding_told

_MOST = 48
"""Bars a page can have."""


class PartScreen(NotesKeys):
    """One part, bar by bar."""

    CSS_PATH = "part_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "bar(-1)", "Bar", key_display="←→"),
        Binding("right", "bar(1)", show=False),
        Binding("pagedown,down,shift+right", "page(1)", "Page", key_display="↑↓"),
        Binding("pageup,up,shift+left", "page(-1)", show=False),
        Binding("home", "bar(-10000)", show=False),
        Binding("end", "bar(10000)", show=False),
        Binding("n", "finding(1)", "Next", key_display="n p"),
        Binding("p", "finding(-1)", show=False),
        Binding("g", "go_to", "Go to"),
        Binding("enter,d", "drill", "Drill", key_display="⏎"),
        NOTES_KEYS[1],
        Binding("P", "pdf", "PDF"),
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("← →", "previous bar, next bar"),
        ("↑ ↓", "previous page, next page (also Page Up, Page Down)"),
        ("Home End", "first bar, last bar"),
        ("n p", "next, previous place where something of yours pulls"),
        ("g", "go to a bar or a rehearsal mark"),
        ("Enter or d", "drill what pulls here, else four bars"),
        NOTES_EXPLAINED[1],
        ("P", "my part as pages (PDF), in the system's viewer"),
    ]

    bar: reactive[int] = reactive(1, init=False)
    """Ordinal position of the bar under the cursor."""

    def __init__(
        self, open_score: OpenScore, part: int, chart: Chart, bar: int, folders: Folders
    ) -> None:
        """`chart` holds what pulls in this part; `bar` is the ordinal position to begin at."""
        super().__init__()
        self.open_score = open_score
        self.part = part
        self.chart = chart
        self.folders = folders
        self._first = bar
        self._count = 1
        self.set_reactive(PartScreen.bar, bar)

    def compose(self) -> ComposeResult:
        """Heading, notes, what pulls at the cursor."""
        score = self.open_score.score
        yield Heading(f"My part  {score.title}", f"{score.parts[self.part].name} ●")
        yield EngravedPassage(self._page(), self.open_score, self.folders)
        yield Static(id="part-words", markup=False)
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin where the map was."""
        self.call_after_refresh(self._open, self.bar)

    def on_resize(self) -> None:
        """Another size is another page."""
        self.call_after_refresh(self._open, self._first)

    def _open(self, first: int) -> None:
        self._turn(first, is_back=False)
        self.watch_bar()

    def _turn(self, bar: int, *, is_back: bool) -> None:
        """To the page that begins with a bar, or ends with it: with as many bars as are seen."""
        fitting, failing = 1, _MOST + 1
        while failing - fitting > max(1, fitting // 4):
            count = min(2 * fitting, (fitting + failing) // 2)
            if self._lay_out(bar, count, is_back=is_back):
                fitting = count
            else:
                failing = count
        self._lay_out(bar, fitting, is_back=is_back)

    def _lay_out(self, bar: int, count: int, *, is_back: bool) -> bool:
        """Show so many bars, as far as there are; whether all of them are seen well."""
        self._first = max(1, bar - count + 1) if is_back else bar
        self._count = min(count, len(self.open_score.clock.bars) - self._first + 1)
        lanes = self.query_one(PassageLanes)
        lanes.cursor = None
        lanes.lanes = self._page()
        return lanes.shows_all_well

    def watch_bar(self) -> None:
        """Another bar is under the cursor: turn the page if it is not on this one."""
        if not self._first <= self.bar < self._first + self._count:
            self._turn(self.bar, is_back=self.bar < self._first)
        self.query_one(PassageLanes).cursor = self.bar - self._first
        here = self.chart.at.get(self.bar, ())
        told = [finding_told(self.open_score, one) for one in here]
        where = bar_span_told(self.open_score, self.bar, self.bar)
        self.query_one("#part-words", Static).update("\n".join(told) or f"{where}: nothing pulls")

    def action_bar(self, step: int) -> None:
        """Go to the bar before or after."""
        self._go_to(min(max(1, self.bar + step), len(self.open_score.clock.bars)))

    def on_passage_lanes_bar_clicked(self, event: PassageLanes.BarClicked) -> None:
        """To that bar; a second click drills."""
        self._go_to(self._first + event.index)
        if event.is_twice:
            self.action_drill()

    def action_page(self, way: int) -> None:
        """Go to the page before or after."""
        edge = self._first + self._count if way > 0 else self._first - 1
        self._go_to(min(max(1, edge), len(self.open_score.clock.bars)))

    def action_finding(self, way: int) -> None:
        """Go to the next or the previous place where something of mine pulls."""
        found = (next_finding if way > 0 else previous_finding)(self.chart, self.bar)
        if found is not None:
            self._go_to(found.first)
        else:
            here = bar_span_told(self.open_score, self.bar, self.bar)
            side = "after" if way > 0 else "before"
            self.query_one(Notice).say(f"Nothing of yours pulls {side} {here}.")

    def action_go_to(self) -> None:
        """Ask for a bar and go there."""
        self.app.push_screen(GoToScreen(self.open_score.clock, self.bar), self._go_to)

    def _go_to(self, bar: int | None) -> None:
        if bar is not None:
            self.query_one(Notice).clear()
            self.bar = bar

    def action_drill(self) -> None:
        """Practise what pulls here, else four bars."""
        span = span_meant(self.open_score, self.chart, self.bar, range(0))
        try:
            chosen = passage(self.open_score.clock, self.part, span.first, span.last)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            self.app.push_screen(DrillScreen(self.open_score, chosen, self.folders))

    def action_pdf(self) -> None:
        """Open the part as pages."""
        show_pages(self, self.open_score, self.part, self.folders)

    def _page(self) -> Lanes:
        bars = self.open_score.clock.bars[self._first - 1 : self._first - 1 + self._count]
        labels = [self._label(bar.number) for bar in bars]
        return part_alone(self.open_score.clock, self.part, bars, labels)

    def _label(self, number: int) -> str:
        """`C 49  3:2`: rehearsal mark, printed number, what pulls."""
        name = self.chart.labels[number - 1]
        place = f"{self.chart.letters.get(number, '')} {name}".strip()
        pulls = " ".join(_sign(one) for one in self.chart.at.get(number, ()))
        return f"{place}  {pulls}".rstrip()


def _sign(one: MapFinding) -> str:
    return conflict_label(one) if isinstance(one, Conflict) else f"[{period_named(one)[0]}]"
