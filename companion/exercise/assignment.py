"""An exercise in a student's folder: what it is, since when, and where its scores lie.

    <id>/opened.json            when it was opened, and every drill's goal by value
    <id>/files/exercise.toml    the exercise as the teacher wrote it, its scores next to it
    <id>/made/drill-1.musicxml  scores made from patterns and ABC

The goals stand there by value so that a list of forty exercises reads no score, and so
that the log finds its drills again although a later version might draw a pattern otherwise.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from pathlib import Path, PurePath
from typing import Any

from companion.errors import CompanionError
from companion.exercise.drill_goal import Target
from companion.exercise.drill_on_score import FILE_NAME, score_path
from companion.exercise.file.exercise import Exercise
from companion.exercise.file.exercise_file import read_exercise
from companion.exercise.pack import PackRevision
from companion.practice.attempt import Bars, Outcome

RECORD = "opened.json"
FILES = "files"
MADE = "made"
_FORMAT = 1


@dataclass(frozen=True, slots=True)
class Assignment:
    """An exercise that was opened."""

    id: str
    """What it and its scores hold, in 64 hexadecimal digits: the same on every machine."""
    folder: Path
    exercise: Exercise
    opened: datetime
    """When the student first opened it, with the offset of the local clock."""
    came_from: str
    """The name of the file it came in."""
    targets: tuple[Target, ...]
    revision: PackRevision
    """Which version it is."""

    @property
    def name(self) -> str:
        """The name of that file without its ending."""
        return PurePath(self.came_from).stem

    def score_of(self, number: int) -> Path:
        """The score file of a drill, from 1."""
        return score_path(self.folder / FILES, self.folder / MADE, self.exercise, number)


BEING_OPENED = ".opening-"
"""How the name of a folder begins that is not in the list yet."""


def folders_in(place: Path) -> list[Path]:
    """The folders of a student's exercises; none if there is no list yet."""
    try:
        return sorted(
            entry
            for entry in place.iterdir()
            if entry.is_dir() and not entry.name.startswith(BEING_OPENED)
        )
    except OSError:
        return []


def folder_name(id_: str) -> str:
    """The folder of an exercise inside the student's."""
    return id_[:16]


def write_record(
    id_: str, opened: datetime, came_from: str, targets: Sequence[Target], revision: PackRevision
) -> bytes:
    """The content of `opened.json`."""
    told = {
        "format": _FORMAT,
        "id": id_,
        "opened": opened.isoformat(),
        "came_from": came_from,
        "first": revision.first,
        "revision": revision.number,
        "targets": [_plain(target) for target in targets],
    }
    return json.dumps(told, indent=1).encode() + b"\n"


def read_assignment(folder: Path) -> Assignment:
    """The exercise in a folder. Raises CompanionError if it cannot be read any more."""
    try:
        told = json.loads((folder / RECORD).read_bytes())
        if told["format"] > _FORMAT:
            raise CompanionError(
                "this exercise was opened by a later version of companion",
                where=str(folder),
                next="Update companion.",
            )
        written = read_exercise((folder / FILES / FILE_NAME).read_bytes(), FILE_NAME)
        return Assignment(
            told["id"],
            folder,
            written.exercise,
            _moment(told["opened"]),
            told["came_from"],
            tuple(_target(target) for target in told["targets"]),
            PackRevision(told.get("first", told["id"]), told.get("revision", 1)),
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError, ArithmeticError):
        raise CompanionError(
            "this exercise cannot be read any more",
            where=str(folder),
            next="Take it off the list with companion exercise close, and open its file again.",
        ) from None


def _moment(text: str) -> datetime:
    at = datetime.fromisoformat(text)
    if at.utcoffset() is None:
        raise ValueError("no offset")
    return at


def _plain(target: Target) -> dict[str, object]:
    bars = target.bars
    return {
        "score": bars.score_digest,
        "part": bars.part_id,
        "first": bars.first,
        "last": bars.last,
        "title": target.score_title,
        "part_name": target.part_name,
        "label": target.bars_label,
        "tempo": str(target.tempo),
        "beat": target.beat,
        "outcome": target.outcome.value,
        "times": target.times,
        "days": target.days,
        "earlier": [[one.score_digest, one.part_id, one.first, one.last] for one in target.earlier],
    }


def _target(told: Mapping[str, Any]) -> Target:
    return Target(
        Bars(told["score"], told["part"], int(told["first"]), int(told["last"])),
        told["title"],
        told["part_name"],
        told["label"],
        Fraction(told["tempo"]),
        told["beat"],
        Outcome(told["outcome"]),
        int(told["times"]),
        int(told["days"]),
        tuple(Bars(*one) for one in told.get("earlier", ())),
    )
