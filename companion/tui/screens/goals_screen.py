"""Every goal there is: opened on its passage, removed, and brought back."""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.library.score_locations import score_place
from companion.practice.goal import Goal
from companion.score.bar_numbers import find_part
from companion.score.passage import passage
from companion.session.goals import bring_back_goal, give_up_goal, goals
from companion.session.open_score import OpenScore
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.wording.phrases import counted
from companion.wording.plan_sentences import goal_told

_NONE = (
    "No goals are set.\n\n"
    "Open a score, put the cursor on a passage, press Enter, then G to set a tempo and a day."
)


class GoalsScreen(Screen[None]):
    """A list of goals, the next day first."""

    CSS_PATH = "goals_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d,delete", "remove", "Remove", key_display="d"),
        Binding("u", "undo", "Undo"),
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("Enter", "open the passage; G there changes the goal"),
        ("d, Delete", "remove the goal; u brings it back"),
        ("u", "bring back what was removed last on this screen"),
    ]

    def __init__(self, folders: Folders) -> None:
        super().__init__()
        self.folders = folders
        self.goals: list[tuple[Goal, date | None]] = []
        self.removed: list[Goal] = []
        """As they were; the latest last."""

    def compose(self) -> ComposeResult:
        """Heading, the goals, what to do if there are none."""
        yield Heading("Goals")
        yield OptionList(id="goals-list")
        yield Static(_NONE, id="goals-none", markup=False)
        yield Notice()
        yield KeyLine()

    def on_screen_resume(self) -> None:
        """Look again: one may have been changed meanwhile."""
        self._fill()

    def _fill(self) -> None:
        listed = self.query_one(OptionList)
        row = listed.highlighted or 0
        try:
            self.goals = sorted(goals(self.folders), key=lambda one: one[1] or date.max)
        except CompanionError as problem:
            self.goals = []
            self.query_one(Notice).show_error(problem)
        listed.clear_options()
        listed.add_options(Option(Text(goal_told(goal, by))) for goal, by in self.goals)
        listed.display = bool(self.goals)
        self.query_one("#goals-none").display = not self.goals
        self.query_one(Heading).right = counted(len(self.goals), "goal")
        if self.goals:
            listed.highlighted = min(row, len(self.goals) - 1)
            listed.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open its passage."""
        goal, _ = self.goals[event.option_index]
        try:
            path = score_place(self.folders, goal.bars.score_digest)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            refuse = self.query_one(Notice).show_error
            app_of(self).read_score(path, partial(self._open, goal), refuse)

    def _open(self, goal: Goal, open_score: OpenScore) -> None:
        try:
            part = find_part(open_score.score, goal.bars.part_id)
            chosen = passage(open_score.clock, part, goal.bars.first, goal.bars.last)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            app_of(self).open_passage(open_score, chosen, goal.tempo)

    def action_remove(self) -> None:
        """Remove the goal under the cursor."""
        row = self.query_one(OptionList).highlighted
        if row is None or not self.goals:
            return
        goal, by = self.goals[row]
        try:
            give_up_goal(self.folders, goal.bars)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return
        self.removed.append(goal)
        self._fill()
        self.query_one(Notice).say(f"Removed: {goal_told(goal, by)}. Press u to bring it back.")

    def action_undo(self) -> None:
        """Bring back what was removed last."""
        if not self.removed:
            self.query_one(Notice).say("No goal was removed here.")
            return
        try:
            goal = bring_back_goal(self.folders, self.removed[-1])
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return
        self.removed.pop()
        self._fill()
        self.query_one(Notice).say(f"As before: {goal_told(goal)}.")
