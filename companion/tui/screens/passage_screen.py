"""A passage looked at closely: lanes on the shared clock, and how each bar is counted."""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.reactive import reactive
from textual.widgets import Static

from companion.click.plan.tempo_plan import Ladder
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.score.bar_numbers import rehearsal_marks
from companion.score.passage import Passage
from companion.score.passage import passage as checked_passage
from companion.session.drill import drill_at
from companion.session.lanes import Lanes, first_facing, lanes_of
from companion.session.open_score import OpenScore
from companion.session.suggested_passages import bars_of_passage
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.notes_keys import NOTES_EXPLAINED, NOTES_KEYS, NotesKeys
from companion.tui.widgets.changed_lines import OneLine
from companion.tui.widgets.engraved_passage import EngravedPassage
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.lane_rows import LEGEND, NOTES_LEGEND
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.part_pages import show_pages
from companion.tui.widgets.passage_beside import PassageBeside
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.wording.counting_sentences import bar_in_words
from companion.wording.plan_sentences import planned_tempo_told
from companion.wording.score_sentences import bar_span_told


class PassageScreen(NotesKeys):
    """My part and another one facing each other, and the others below."""

    CSS_PATH = "passage_screen.tcss"
    LEGENDS = (LEGEND, NOTES_LEGEND)
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "bar(-1)", "Bar", key_display="←→"),
        Binding("right", "bar(1)", show=False),
        Binding("up", "face(-1)", "Compare", key_display="↑↓"),
        Binding("down", "face(1)", show=False),
        Binding("plus,right_square_bracket", "move_end(1)", "Bars", key_display="+-"),
        Binding("minus,left_square_bracket", "move_end(-1)", show=False),
        Binding("right_curly_bracket", "move_beginning(-1)", show=False),
        Binding("left_curly_bracket", "move_beginning(1)", show=False),
        Binding("h", "hide", show=False),
        *NOTES_KEYS,
        Binding("P", "pdf", show=False),
        Binding("d,enter", "drill", "Drill"),
        Binding("G", "goal", "Goal"),
        Binding("w", "progress", "Progress"),
        Binding("x", "as_exercise", show=False),
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("← →", "previous bar, next bar"),
        ("↑ ↓", "compare with another part"),
        ("+ or ]", "one bar more at the end"),
        ("- or [", "one bar less at the end"),
        ("}", "one bar more at the beginning"),
        ("{", "one bar less at the beginning"),
        ("h", "hide the other parts, or show them"),
        *NOTES_EXPLAINED,
        ("P", "my part as pages (PDF), in the system's viewer"),
        ("d or Enter", "drill these bars"),
        ("G", "goal tempo and date"),
        ("w", "progress: what holds, and why"),
        ("x", "these bars as an exercise: a file to send to a student"),
        ("●", "my part; ○ is the part it is compared with"),
        ("in 3", "the count of that side; ┃ between: both meet, ╵ ╷ only one strikes"),
    ]

    bar: reactive[int] = reactive(0, init=False)
    """Index in the passage of the bar under the cursor."""

    def __init__(
        self,
        open_score: OpenScore,
        passage: Passage,
        folders: Folders,
        tempo: Fraction | Ladder | None = None,
    ) -> None:
        """`tempo` is what today's plan has for just these bars, in their own beats."""
        super().__init__()
        self.open_score = open_score
        self.passage = passage
        self.folders = folders
        self.planned = (passage, tempo)
        self.facing = first_facing(passage, open_score.conflicts)
        self.told = ""
        self._marks = rehearsal_marks(open_score.clock)

    def compose(self) -> ComposeResult:
        """Heading, sentences about the bar, lanes, legend."""
        yield Heading("")
        yield Static(id="passage-words")
        with Horizontal():
            yield EngravedPassage(self._lanes(), self.open_score, self.folders)
            yield PassageBeside()
        yield OneLine(id="passage-legend", classes="legend")
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin at the first bar."""
        self._tell()
        if self.tempo is not None:
            self.query_one(Notice).say(planned_tempo_told(self.passage.beat, self.tempo))

    def on_screen_resume(self) -> None:
        """Something may have been practised meanwhile."""
        self.query_one(PassageBeside).show_passage(self.open_score, self.passage, self.folders)

    @property
    def tempo(self) -> Fraction | Ladder | None:
        """What today's plan has for these bars; None if they are others."""
        planned, tempo = self.planned
        here = self.passage
        return tempo if (planned.first, planned.last) == (here.first, here.last) else None

    def watch_bar(self) -> None:
        """Another bar is under the cursor."""
        self._tell()

    def action_bar(self, step: int) -> None:
        """Go to the bar before or after."""
        self.query_one(Notice).clear()
        self.bar = min(max(0, self.bar + step), len(self.passage.bars) - 1)

    def on_passage_lanes_bar_clicked(self, event: PassageLanes.BarClicked) -> None:
        """To that bar; a second click drills."""
        self.action_bar(event.index - self.bar)
        if event.is_twice:
            self.action_drill()

    def action_face(self, step: int) -> None:
        """Compare with the next part up or down the page."""
        count = len(self.open_score.score.parts)
        facing = (self.facing + step) % count
        if facing == self.passage.part:
            facing = (facing + step) % count
        self.facing = facing
        self.query_one(PassageLanes).lanes = self._lanes()
        self._tell()

    def action_move_end(self, by: int) -> None:
        """Take in a bar more at the end, or a bar less."""
        self._change(self.passage.first, self.passage.last + by)

    def action_move_beginning(self, by: int) -> None:
        """Take in a bar more at the beginning, or a bar less."""
        self._change(self.passage.first + by, self.passage.last)

    def action_hide(self) -> None:
        """Show the two facing lanes alone, or all."""
        lanes = self.query_one(PassageLanes)
        lanes.alone = not lanes.alone

    def action_pdf(self) -> None:
        """Open my part as pages."""
        show_pages(self, self.open_score, self.passage.part, self.folders)

    def action_drill(self) -> None:
        """Practise these bars."""
        make = None
        if (tempo := self.tempo) is not None:
            make = partial(drill_at, self.open_score, self.passage, self.folders, tempo)
        self.app.push_screen(
            DrillScreen(self.open_score, self.passage, self.folders, self.facing, make)
        )

    def action_goal(self) -> None:
        """Set what these bars are practised for."""
        from companion.tui.screens.form_screen import FormScreen
        from companion.tui.screens.goal_form import goal_form, goal_set

        try:
            here = goal_set(self.open_score, self.passage, self.folders)
            form = goal_form(self.open_score, self.passage, self.folders)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return
        self.app.push_screen(FormScreen(form, here), self._say)

    def action_as_exercise(self) -> None:
        """Write these bars down as an exercise."""
        from companion.tui.screens.new_exercise_screen import NewExerciseScreen

        self.app.push_screen(
            NewExerciseScreen(self.open_score, self.passage, self.folders), self._say
        )

    def _say(self, told: str | None) -> None:
        if told:
            self.query_one(Notice).say(told)

    def action_progress(self) -> None:
        """How these bars go."""
        from companion.tui.screens.progress_screen import ProgressScreen

        bars = bars_of_passage(self.open_score, self.passage)
        self.app.push_screen(ProgressScreen(self.open_score, self.passage.part, self.folders, bars))

    def _change(self, first: int, last: int) -> None:
        under_cursor = self.passage.first + self.bar
        try:
            self.passage = checked_passage(self.open_score.clock, self.passage.part, first, last)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return
        self.query_one(Notice).clear()
        self.query_one(PassageLanes).lanes = self._lanes()
        self.query_one(PassageBeside).show_passage(self.open_score, self.passage, self.folders)
        self.bar = min(max(0, under_cursor - first), last - first)
        self._tell()

    def _lanes(self) -> Lanes:
        return lanes_of(self.passage, self.open_score.conflicts, self.facing, self._marks)

    def _tell(self) -> None:
        bars = bar_span_told(self.open_score, self.passage.first, self.passage.last)
        heading = self.query_one(Heading)
        heading.title = f"Passage  {bars} · {self.open_score.score.title}"
        heading.right = f"{self.passage.part_name} ●"
        lanes = self.query_one(PassageLanes)
        lanes.cursor = self.bar
        told = bar_in_words(self.open_score, self.passage, self.facing, self.passage.bars[self.bar])
        self.told = "\n".join(told)
        text = Text(self.told)
        text.highlight_regex(r"(?m)^[A-Z][^:]*:", "bold")
        self.query_one("#passage-words", Static).update(text)
