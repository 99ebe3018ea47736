"""What can be written to a file from a screen: what is open there decides."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from textual.screen import Screen

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.score.passage import Passage
from companion.session.drill import Drill
from companion.session.open_score import OpenScore, part_meant
from companion.tui.screens.new_exercise_screen import NewExerciseScreen
from companion.tui.screens.writing_forms import (
    click_writing,
    handout_writing,
    part_writing,
    report_writing,
)

Way = tuple[str, Callable[[], Screen[Any]]]
"""What is written, and the form that does it."""


def writings(screen: Screen[Any], open_score: OpenScore | None, folders: Folders) -> list[Way]:
    """The nearest first: the drill's click, the passage, the part, the log."""
    drill = getattr(screen, "drill", None)
    passage = getattr(screen, "passage", None)
    found: list[Way] = []
    if isinstance(drill, Drill):
        found.append(("This click, as it is set", partial(click_writing, drill, folders)))
    if open_score is not None:
        if isinstance(passage, Passage):
            found += _of_passage(open_score, passage, folders)
        part = _part(screen, open_score, passage)
        name = open_score.score.parts[part].name
        form = partial(part_writing, open_score, part, folders)
        found.append((f"{name}, or another part", form))
    return [*found, ("A report for your teacher", partial(report_writing, folders))]


def _of_passage(open_score: OpenScore, passage: Passage, folders: Folders) -> list[Way]:
    return [
        (
            "A handout of these bars",
            partial(handout_writing, open_score, passage, folders),
        ),
        ("These bars as an exercise", partial(NewExerciseScreen, open_score, passage, folders)),
    ]


def _part(screen: Screen[Any], open_score: OpenScore, passage: Passage | None) -> int:
    """The part that is on the screen, else mine, else the first."""
    here = passage.part if passage is not None else getattr(screen, "part", None)
    if isinstance(here, int):
        return here
    try:
        return part_meant(open_score, None)
    except CompanionError:
        return 0
