"""A passage on the stand written down as an exercise, its goal and date with it."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from companion.desk.exercises.writing import exercise_of_passage, write_exercise
from companion.desk.finding import as_path
from companion.desk.folders import Folders
from companion.desk.goal_by import goal_at
from companion.desk.stand import Stand
from companion.desk.suggested import bars_of_passage
from companion.errors import RequestError
from companion.exercise.exercise import Aim, Drill
from companion.score.passage import Passage

_LONGEST_NAME = 40


def title_of_passage(stand: Stand, passage: Passage) -> str:
    """What such an exercise is called where nothing better is said."""
    return exercise_of_passage(stand, passage, Drill()).title


def name_of_file(title: str) -> str:
    """A file in the home folder, named after the title: `~/study-13-20.toml`."""
    plain = re.sub(r"[^a-z0-9]+", "-", title.casefold())[:_LONGEST_NAME].strip("-")
    return f"~/{plain or 'exercise'}.toml"


def write_passage(folders: Folders, stand: Stand, passage: Passage, title: str, typed: str) -> Path:
    """Write it to a typed path, the score beside it. Returns where it lies.

    The goal that is set for just these bars becomes the exercise's, its day the day it is
    due. Raises RequestError for no path, CompanionError where it cannot be written.
    """
    if not typed.strip():
        raise RequestError("the file has no name", next="Type one, such as ~/exercise.toml.")
    found = goal_at(folders, bars_of_passage(stand, passage))
    aim = Aim() if found is None else Aim(tempo=found[0].tempo)
    made = exercise_of_passage(stand, passage, Drill(aim=aim), " ".join(title.split()))
    if found is not None:
        made = replace(made, due=found[1])
    return write_exercise(made, as_path(typed.strip()), (stand.path,))
