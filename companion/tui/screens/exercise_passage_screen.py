"""The bars of an exercise: a passage that says what is asked, and a drill set accordingly."""

from __future__ import annotations

from functools import partial

from companion.exercise.assignment import Assignment
from companion.files.folders import Folders
from companion.session.exercises.exercise_drill import OpenDrill, drill_as_asked
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.widgets.notice import Notice
from companion.wording.exercise_sentences import drill_told


class ExercisePassageScreen(PassageScreen):
    """A passage from the list of exercises."""

    def __init__(
        self, assignment: Assignment, number: int, opened_for_practice: OpenDrill, folders: Folders
    ) -> None:
        """`number` is the drill's in the exercise, from 1."""
        super().__init__(opened_for_practice.open_score, opened_for_practice.passage, folders)
        self.asked = opened_for_practice
        self.asked_told = drill_told(assignment, number, opened_for_practice.click_settings)

    def on_screen_resume(self) -> None:
        """Say what is asked, as long as the bars are those of the exercise."""
        if self.is_as_asked:
            self.query_one(Notice).say(self.asked_told)

    @property
    def is_as_asked(self) -> bool:
        """Whether the bars were left as the exercise has them."""
        here, asked = self.passage, self.asked.passage
        return (here.first, here.last) == (asked.first, asked.last)

    def action_drill(self) -> None:
        """Practise these bars as the exercise asks; other bars as any passage."""
        if not self.is_as_asked:
            super().action_drill()
            return
        make = partial(drill_as_asked, self.asked, self.folders)
        self.app.push_screen(
            DrillScreen(self.open_score, self.passage, self.folders, self.facing, make)
        )
