"""Whether an exercise can be played as it is written: notes, scores, parts, bars and claims.

What the form cannot tell. Every drill is opened and laid on its clock exactly as it will be
for the student, so that a teacher learns at home, not in the lesson, that the bars are
counted otherwise in her score.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from companion.click.plan import planned
from companion.errors import CompanionError, RequestError
from companion.exercise.claims import is_shown
from companion.exercise.file.faults import ExerciseError, Fault
from companion.exercise.file.reading import Written
from companion.exercise.laid import Laid, lay_drill
from companion.exercise.pattern.lines import PatternError
from companion.exercise.sources import made_score, score_path
from companion.exercise.wish import wish_of
from companion.score.opening import open_score


def lay_drills(
    written: Written, folder: Path, made: Path, cache: Path | None = None
) -> tuple[Laid, ...]:
    """Every drill on its score. Raises ExerciseError with every fault, form apart.

    Scores lie beside the exercise in `folder`; those of patterns and ABC are written into
    `made`. Raises OSError where they cannot be.
    """
    made.mkdir(parents=True, exist_ok=True)
    faults: list[Fault] = []
    laid: list[Laid] = []
    for number in range(1, len(written.exercise.drills) + 1):
        try:
            path = _score(written, number, folder, made)
            laid.append(_checked(written, _laid(written, number, path, cache)))
        except ExerciseError as error:
            faults += error.faults
    if faults:
        raise ExerciseError(written.name, faults)
    return tuple(laid)


def _score(written: Written, number: int, folder: Path, made: Path) -> Path:
    """The score file of a drill, made where it brings its own notes."""
    drill, at = written.exercise.drills[number - 1], number - 1
    path = score_path(folder, made, written.exercise, number)
    if drill.abc and not _KEY.search(drill.abc):
        what = "this ABC says no key"
        fault = written.fault(
            ("drill", at, "abc"), what, "Add a line such as K:D before the notes."
        )
        raise ExerciseError(written.name, [fault])
    try:
        if not drill.score:
            path.write_bytes(made_score(drill, written.exercise.named(number)))
    except PatternError as error:
        inside = written.places.inside
        raise ExerciseError(
            written.name,
            [
                Fault(*inside(("drill", at, "pattern"), one.offset), one.what, one.advice)
                for one in error.faults
            ],
        ) from None
    return path


_KEY = re.compile(r"^K:", re.M)


def _laid(written: Written, number: int, path: Path, cache: Path | None) -> Laid:
    drill, at = written.exercise.drills[number - 1], number - 1
    try:
        opened = open_score(path, cache)
    except CompanionError as fault:
        key = "score" if drill.score else "abc" if drill.abc else "pattern"
        name = f"“{drill.score}”: " if drill.score else ""
        place = written.fault(("drill", at, key), f"{name}{fault.what}", fault.next)
        raise ExerciseError(written.name, [place]) from None
    try:
        return lay_drill(drill, number, opened)
    except CompanionError as fault:
        key = "part" if "part" in fault.what or "could be" in fault.what else "bars"
        place = written.fault(("drill", at, key), fault.what, fault.next)
        raise ExerciseError(written.name, [place]) from None


def _checked(written: Written, laid: Laid) -> Laid:
    faults = [*_false_claims(written, laid), *_faults_of_click(written, laid)]
    if faults:
        raise ExerciseError(written.name, faults)
    return laid


def _false_claims(written: Written, laid: Laid) -> Iterator[Fault]:
    for claim in laid.drill.shows:
        if not is_shown(claim, laid.passage, laid.conflicts, bool(laid.drill.silences)):
            path = ("drill", laid.number - 1, "shows")
            what = f"“{claim}” is not found in these bars of {laid.passage.part_name}"
            yield written.fault(path, what, "companion exercise show tells what is there.")


def _faults_of_click(written: Written, laid: Laid) -> Iterator[Fault]:
    """What keeps the click from being planned: a part in its layers that is not there."""
    try:
        planned(laid.passage, laid.conflicts, wish_of(laid))
    except RequestError as fault:
        key = "layers" if "part" in fault.what or "could be" in fault.what else "repeat"
        yield written.fault(("drill", laid.number - 1, key), fault.what, fault.next)
