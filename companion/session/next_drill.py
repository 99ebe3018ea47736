"""A drill straight from an item of today's plan, as its passage screen would open it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from companion.files.folders import Folders
from companion.practice.plan.day_plan import Item
from companion.score.passage import Passage
from companion.session.assigned_exercises import assignment_named
from companion.session.drill import Drill, drill_at, open_drill
from companion.session.exercise_drill import drill_of_exercise, playable_drill
from companion.session.open_score import OpenScore
from companion.session.todays_plan import ladder_of_item, passage_of_item, tempo_of_item


def drill_of_item(
    folders: Folders, item: Item, open_score: OpenScore
) -> tuple[OpenScore, Passage, Callable[[], Drill]]:
    """What it is about, and what makes its drill in any thread; an exercise brings its own score.

    Raises CompanionError if its score or its exercise is not there any more.
    """
    if item.exercise:
        playable = playable_drill(assignment_named(folders, item.exercise), item.drill, folders)
        make = partial(drill_of_exercise, playable, folders)
        return playable.open_score, playable.passage, make
    chosen = passage_of_item(open_score, item)
    tempo = ladder_of_item(chosen, item) or tempo_of_item(chosen, item)
    if tempo is None:
        return open_score, chosen, partial(open_drill, open_score, chosen, folders)
    return open_score, chosen, partial(drill_at, open_score, chosen, folders, tempo)
