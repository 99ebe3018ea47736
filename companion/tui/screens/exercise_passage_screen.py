"""The bars of an exercise: a passage that says what is asked, and a drill set accordingly."""

from __future__ import annotations

from functools import partial

from companion.exercise.assignment import Assignment
from companion.files.folders import Folders
from companion.session.exercise_drill import PlayableDrill, drill_of_exercise
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.widgets.notice import Notice
from companion.wording.exercise_sentences import aim_told, drill_told


class ExercisePassageScreen(PassageScreen):
    """A passage from the list of exercises."""

    def __init__(
        self, assignment: Assignment, number: int, playable: PlayableDrill, folders: Folders
    ) -> None:
        """`number` is the drill's in the exercise, from 1."""
        super().__init__(playable.open_score, playable.passage, folders)
        self.playable = playable
        self.drill_lines = drill_told(assignment, number, playable.click_settings)
        self.aim = aim_told(assignment, number)

    def on_screen_resume(self) -> None:
        """Say what is asked, as long as the bars are those of the exercise."""
        if self.is_of_exercise:
            self.query_one(Notice).say(self.drill_lines)

    @property
    def is_of_exercise(self) -> bool:
        """Whether the bars were left as the exercise has them."""
        here, there = self.passage, self.playable.passage
        return (here.first, here.last) == (there.first, there.last)

    def action_drill(self) -> None:
        """Practise these bars as the exercise asks; other bars as any passage."""
        if not self.is_of_exercise:
            super().action_drill()
            return
        make = partial(drill_of_exercise, self.playable, self.folders)
        self.app.push_screen(
            DrillScreen(self.open_score, self.passage, self.folders, self.facing, make, self.aim)
        )
