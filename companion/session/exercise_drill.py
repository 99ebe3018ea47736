"""A drill of an exercise that was opened, ready to be played."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.tempo_plan import Fixed, Ladder, LadderPlace
from companion.errors import RequestError
from companion.exercise.assignment import Assignment
from companion.exercise.drill_on_score import click_settings_of_drill, drill_on_score
from companion.files.folders import Folders
from companion.score.passage import Passage
from companion.score.readers.opening import Opened
from companion.session.drill import Drill, open_drill
from companion.session.open_score import OpenScore, open_for_practice
from companion.session.settings import Setting


@dataclass(frozen=True, slots=True)
class PlayableDrill:
    """A drill as a screen needs it."""

    open_score: OpenScore
    """Laid by the student's choices."""
    passage: Passage
    click_settings: ClickSettings


def playable_drill(assignment: Assignment, number: int, folders: Folders) -> PlayableDrill:
    """Drill `number`, from 1. Raises CompanionError if its score cannot be read any more."""
    drills = assignment.exercise.drills
    if not 1 <= number <= len(drills):
        raise RequestError(
            f"there is no drill {number}",
            where=assignment.exercise.title,
            next=f"It has {len(drills)}.",
        )
    open_score = open_for_practice(assignment.score_of(number), folders)
    on_score = drill_on_score(
        drills[number - 1], number, Opened(open_score.score, open_score.digest, open_score.path)
    )
    passage = replace(on_score.passage, clock=open_score.clock)
    return PlayableDrill(open_score, passage, click_settings_of_drill(on_score))


def drill_of_exercise(playable: PlayableDrill, folders: Folders) -> Drill:
    """A drill set as the teacher asked. May be called in any thread."""
    drill = open_drill(playable.open_score, playable.passage, folders)
    drill.request(setting_of_exercise(drill.setting, playable.click_settings))
    if drill.setting.ladder is not None:
        drill.climb(drill.setting.ladder)
    return drill


def setting_of_exercise(setting: Setting, click_settings: ClickSettings) -> Setting:
    """A setting with the tempo, the layers, the count-in and the silences of the exercise."""
    asked = replace(
        setting,
        layers=click_settings.layers,
        count_in=click_settings.count_in,
        silences=click_settings.silences,
        climb=LadderPlace(),
    )
    if isinstance(click_settings.tempo, Ladder):
        return replace(asked, tempo=Fixed(click_settings.tempo.start), ladder=click_settings.tempo)
    return replace(asked, tempo=click_settings.tempo, ladder=None)
