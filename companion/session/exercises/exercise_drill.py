"""A drill of an opened exercise, ready to be played."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.plan import ClickPlan, planned
from companion.click.plan.tempo_plan import Climb, Fixed, Ladder
from companion.errors import RequestError
from companion.exercise.assignment import Assignment
from companion.exercise.drill_scores import lay_drill
from companion.exercise.drill_settings import click_settings_of_drill
from companion.files.folders import Folders
from companion.score.passage import Passage
from companion.score.readers.opening import Opened
from companion.session.drill import Drill, open_drill
from companion.session.open_score import OpenScore, open_for_practice
from companion.session.settings import Setting


@dataclass(frozen=True, slots=True)
class OpenDrill:
    """A drill as a screen needs it."""

    open_score: OpenScore
    """Its score, laid by the student's choices."""
    passage: Passage
    """The student's part and bars."""
    click_settings: ClickSettings
    """The click the teacher asked for."""

    def plan(self) -> ClickPlan:
        """That click. Raises RequestError if nobody can play to it."""
        return planned(self.passage, self.open_score.conflicts, self.click_settings)


def open_drill_of_exercise(assignment: Assignment, number: int, folders: Folders) -> OpenDrill:
    """Drill `number`, from 1. Raises CompanionError if its score cannot be read any more."""
    drills = assignment.exercise.drills
    if not 1 <= number <= len(drills):
        raise RequestError(
            f"there is no drill {number}",
            where=assignment.exercise.title,
            next=f"It has {len(drills)}.",
        )
    open_score = open_for_practice(assignment.score_of(number), folders)
    laid = lay_drill(
        drills[number - 1], number, Opened(open_score.score, open_score.digest, open_score.path)
    )
    passage = replace(laid.passage, clock=open_score.clock)
    return OpenDrill(open_score, passage, click_settings_of_drill(laid))


# The drill of an exercise, set as the teacher asked: tempo plan, layers, count-in, silences.


def drill_as_asked(opened_for_practice: OpenDrill, folders: Folders) -> Drill:
    """A drill that begins as the exercise has it. May be called in any thread."""
    drill = open_drill(opened_for_practice.open_score, opened_for_practice.passage, folders)
    drill.want(setting_asked(drill.setting, opened_for_practice.click_settings))
    return drill


def setting_asked(setting: Setting, click_settings: ClickSettings) -> Setting:
    """A setting with what the exercise says of tempo, layers, count-in and silences."""
    asked = replace(
        setting,
        layers=click_settings.layers,
        count_in=click_settings.count_in,
        silences=click_settings.silences,
        climb=Climb(),
    )
    if isinstance(click_settings.tempo, Ladder):
        return replace(asked, tempo=Fixed(click_settings.tempo.start), ladder=click_settings.tempo)
    return replace(asked, tempo=click_settings.tempo, ladder=None)
