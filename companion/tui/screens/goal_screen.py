"""What a passage is practised for: the tempo it shall hold at, and by when."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Footer, Input, Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.practice.goal import OccasionKind
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import parse_bpm
from companion.score.passage import Passage
from companion.session.goals import give_up_goal, goal_at, occasion_of, set_goal_by
from companion.session.open_score import OpenScore
from companion.session.starting_tempo import marked_tempo
from companion.session.suggested_passages import bars_of_passage
from companion.session.typed_dates import day_to_come
from companion.tui.widgets.day_field import DAY_KEYS, DayField
from companion.tui.widgets.notice import Notice
from companion.wording.phrases import bpm_told
from companion.wording.plan_sentences import goal_told
from companion.wording.score_sentences import bar_span_told


class GoalScreen(ModalScreen[str | None]):
    """Answers with what was set, in a sentence, or None after Escape."""

    CSS_PATH = "goal_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss", "Back")]

    def __init__(self, open_score: OpenScore, passage: Passage, folders: Folders) -> None:
        super().__init__()
        self.open_score = open_score
        self.passage = passage
        self.folders = folders

    def compose(self) -> ComposeResult:
        """Two fields, and what they are for."""
        with Vertical(id="goal-box"):
            yield Static(f"Tempo, {note_name(self.passage.beat)} =", markup=False)
            yield Input(placeholder="beats a minute", id="goal-tempo")
            yield Static(
                f"Date, such as thursday rehearsal, 2027-05-02, or empty ({DAY_KEYS})",
                markup=False,
            )
            yield DayField(placeholder="a day, then concert, rehearsal or lesson", id="goal-by")
            yield Static(
                "Enter sets it. Today then leads these bars up to this tempo. "
                "Leave the tempo empty to remove the goal."
            )
            yield Notice()
        yield Footer(compact=True)

    def on_mount(self) -> None:
        """Begin with the goal there is, else with the score's own tempo."""
        part = self.passage.part_name
        bars = bar_span_told(self.open_score, self.passage.first, self.passage.last)
        self.query_one("#goal-box").border_title = f"Goal for {part} {bars}"
        self.tempo.value = bpm_told(marked_tempo(self.passage).bpm)
        try:
            found = goal_at(self.folders, bars_of_passage(self.open_score, self.passage))
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            found = None
        if found is not None:
            goal, by = found
            self.tempo.value = bpm_told(goal.tempo)
            self.by.value = by.isoformat() if by else ""
            if (occasion := occasion_of(self.folders, goal)) is not None:
                self.by.value += f" {occasion.kind}"
        self.tempo.focus()
        self.tempo.select_all()

    @property
    def tempo(self) -> Input:
        """The field for the tempo."""
        return self.query_one("#goal-tempo", Input)

    @property
    def by(self) -> Input:
        """The field for the date."""
        return self.query_one("#goal-by", Input)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """From the tempo to the date, from there out; refused in place."""
        event.stop()
        if event.input is self.tempo and self.tempo.value.strip():
            self.by.focus()
            return
        try:
            said = self._set()
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            self.dismiss(said)

    def _set(self) -> str:
        passage = self.passage
        if not self.tempo.value.strip():
            gone = give_up_goal(self.folders, bars_of_passage(self.open_score, passage))
            return f"Removed: {goal_told(gone)}."
        by, what = _day_and_kind(self.by.value)
        goal = set_goal_by(
            self.folders,
            self.open_score,
            str(passage.part + 1),
            f"@{passage.first}-@{passage.last}",
            parse_bpm(self.tempo.value),
            by,
            what,
        )
        return f"Goal: {goal_told(goal, by)}."


def _day_and_kind(typed: str) -> tuple[date | None, OccasionKind | None]:
    """`2027-05-02 rehearsal`. Raises RequestError for what is no date."""
    day, _, word = typed.strip().rpartition(" ")
    if word in list(OccasionKind):
        return day_to_come(day.strip()), OccasionKind(word)
    return day_to_come(typed.strip()) if typed.strip() else None, None
