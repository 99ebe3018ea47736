"""A corrected exercise in the place of its earlier version, with what was practised so far.

The list counts attempts at the earlier version's bars towards the drill; the log and what is
told of progress find them by the same way as a corrected edition of a score (`carry`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from companion.errors import CompanionError, RequestError
from companion.exercise.assignment import Assignment, folders_in, read_assignment
from companion.exercise.drill_goal import Target
from companion.exercise.file.exercise import Exercise
from companion.exercise.pack import PackRevision
from companion.files.folders import Folders
from companion.practice.attempt import Bars
from companion.session.carry import carry_correction
from companion.session.open_score import open_for_practice


def earlier_versions(place: Path, id_: str, revision: PackRevision) -> list[Assignment]:
    """Those of a student's list that an exercise corrects, the latest first.

    Raises RequestError if a later version is in the list.
    """
    found = []
    for folder in folders_in(place):
        try:
            one = read_assignment(folder)
        except CompanionError:
            continue
        if one.revision.first == revision.first and one.id != id_:
            found.append(one)
    found.sort(key=lambda one: -one.revision.number)
    if found and found[0].revision.number > revision.number:
        raise RequestError(
            f"a later version of “{found[0].exercise.title}” is in the list",
            next="To go back to this one, remove the later one first.",
        )
    return found


def built_in_revision(
    place: Path, name: str, id_: str, exercise: Exercise, parts: Iterable[str]
) -> PackRevision | None:
    """Which version a built-in exercise is, if a student's list has it as an earlier companion
    brought it along: the same file, title and instruments with other notes; else None."""
    played = set(parts)
    found = []
    for folder in folders_in(place):
        try:
            one = read_assignment(folder)
        except CompanionError:
            continue
        is_same = (one.came_from, one.exercise.title) == (name, exercise.title)
        if is_same and one.id != id_ and played == {target.part_name for target in one.targets}:
            found.append(one.revision)
    latest = max(found, key=lambda revision: revision.number, default=None)
    return PackRevision(latest.first, latest.number + 1) if latest else None


def with_earlier(
    exercise: Exercise, targets: Sequence[Target], earlier: Sequence[Assignment]
) -> list[Target]:
    """The goals of a corrected exercise, each with the bars of its drill in earlier versions."""
    made = []
    for number, target in enumerate(targets, 1):
        before: dict[Bars, None] = {}
        for one in earlier:
            drill = _same_drill(exercise, number, one.exercise)
            if drill:
                same = one.targets[drill - 1]
                before |= dict.fromkeys((same.bars, *same.earlier))
        before.pop(target.bars, None)
        made.append(replace(target, earlier=tuple(before)))
    return made


def carry_attempts(folders: Folders, earlier: Assignment, later: Assignment) -> None:
    """Let the log know which bar of each earlier drill is which of the later one.

    Raises CompanionError if it cannot be kept.
    """
    for number in range(1, len(later.targets) + 1):
        drill = _same_drill(later.exercise, number, earlier.exercise)
        if not drill:
            continue
        try:
            old = open_for_practice(earlier.score_of(drill), folders)
        except CompanionError:  # what cannot be read any more cannot be compared
            continue
        new = open_for_practice(later.score_of(number), folders)
        if old.digest != new.digest:
            carry_correction(folders, old, new)


def _same_drill(later: Exercise, number: int, earlier: Exercise) -> int:
    """Which drill of an earlier version one is, from 1: by its title, else by its number; 0 if
    it was not there."""
    title = later.drills[number - 1].title
    titled = [at for at, one in enumerate(earlier.drills, 1) if title and one.title == title]
    if len(titled) == 1:
        return titled[0]
    is_there = number <= len(earlier.drills) and not _is_elsewhere(later, number, earlier)
    return number if is_there else 0


def _is_elsewhere(later: Exercise, number: int, earlier: Exercise) -> bool:
    """Whether the earlier drill of that number is another drill of the later version."""
    title = earlier.drills[number - 1].title
    return bool(title) and title in {one.title for one in later.drills}
