"""Whether an exercise can be played as it is written: notes, scores, parts, bars and claims.

What the form cannot tell. Every drill is opened and laid on its clock exactly as it will be
for the student, so that a teacher learns at home, not in the lesson, that the bars are
counted otherwise in her score.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path

from companion.click.plan.plan import planned
from companion.errors import CompanionError, RequestError
from companion.exercise.drill_scores import Laid, lay_drill, made_score, score_path
from companion.exercise.drill_settings import click_settings_of_drill
from companion.exercise.file.exercise_file import ExerciseFile
from companion.exercise.file.faults import ExerciseError, Fault
from companion.exercise.pattern.pattern import PatternError
from companion.findings.conflicts import Conflict, onsets
from companion.findings.hemiola import hemiolas
from companion.findings.interlock import Interlock, interlocks
from companion.findings.polymeter import polymeters
from companion.rhythm.meter import Meter
from companion.score.passage import Passage
from companion.score.readers.opening import read_score
from companion.score.texture import texture_of


def lay_drills(
    written: ExerciseFile, folder: Path, made: Path, cache: Path | None = None
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


def _score(written: ExerciseFile, number: int, folder: Path, made: Path) -> Path:
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


def _laid(written: ExerciseFile, number: int, path: Path, cache: Path | None) -> Laid:
    drill, at = written.exercise.drills[number - 1], number - 1
    try:
        opened = read_score(path, cache)
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


def _checked(written: ExerciseFile, laid: Laid) -> Laid:
    faults = [*_false_claims(written, laid), *_faults_of_click(written, laid)]
    if faults:
        raise ExerciseError(written.name, faults)
    return laid


def _false_claims(written: ExerciseFile, laid: Laid) -> Iterator[Fault]:
    for claim in laid.drill.shows:
        if not is_shown(claim, laid.passage, laid.conflicts, bool(laid.drill.silences)):
            path = ("drill", laid.number - 1, "shows")
            what = f"“{claim}” is not found in these bars of {laid.passage.part_name}"
            yield written.fault(path, what, "companion exercise show tells what is there.")


def _faults_of_click(written: ExerciseFile, laid: Laid) -> Iterator[Fault]:
    """What keeps the click from being planned: a part in its layers that is not there."""
    try:
        planned(laid.passage, laid.conflicts, click_settings_of_drill(laid))
    except RequestError as fault:
        key = "layers" if "part" in fault.what or "could be" in fault.what else "repeat"
        yield written.fault(("drill", laid.number - 1, key), fault.what, fault.next)


# Whether a drill shows what it says it shows.


ENTRIES = 2
"""Entries after a beat of rest or more that make a drill one for entries."""


def is_shown(
    claim: str, passage: Passage, conflicts: Sequence[Conflict], has_silences: bool
) -> bool:
    """Whether a claim is true of a passage; ones nobody knows are not."""
    if claim == "silences":
        return has_silences
    if ":" in claim:
        ratio, _, level = claim.partition(" in the ")
        mine, theirs = (int(number) for number in ratio.split(":"))
        return any(_is_ratio(one, passage, mine, theirs, level) for one in conflicts)
    return claim in _SHOWN and _SHOWN[claim](passage)


def _is_ratio(conflict: Conflict, passage: Passage, mine: int, theirs: int, level: str) -> bool:
    sides = {part: side.division for side in conflict.sides for part in side.parts}
    others = {side.division for side in conflict.sides if passage.part_id not in side.parts}
    is_even = not conflict.sides[0].groups
    here = is_even and conflict.first <= passage.last and passage.first <= conflict.last
    return (
        here
        and conflict.level == level
        and sides.get(passage.part_id) is not None
        and any(
            Fraction(sides[passage.part_id], other) == Fraction(mine, theirs) for other in others
        )
    )


def _has_hemiola(passage: Passage) -> bool:
    found = hemiolas(texture_of(passage.clock))
    return any(_is_here(passage, one.first, one.last, one.parts) for one in found)


def _interlocks(passage: Passage) -> list[Interlock]:
    found = interlocks(texture_of(passage.clock))
    return [one for one in found if _is_here(passage, one.first, one.last, one.parts)]


def _has_polymeter(passage: Passage) -> bool:
    found = polymeters(texture_of(passage.clock))
    return any(_is_here(passage, one.first, one.last, one.sides[0] + one.sides[1]) for one in found)


def _is_here(passage: Passage, first: int, last: int, parts: Sequence[str]) -> bool:
    return passage.part_id in parts and first <= passage.last and passage.first <= last


def _has_entries(passage: Passage) -> bool:
    """Whether the part comes in again and again after a beat of silence or more."""
    struck = onsets(passage.clock, passage.part, passage.start, passage.end)
    sounding = _sounding_until(passage)
    gaps = [at - sounding[before] for before, at in zip(struck, struck[1:], strict=False)]
    first = [struck[0] - passage.start] if struck else []
    return sum(gap >= passage.beat_on_clock for gap in [*first, *gaps]) >= ENTRIES


def _sounding_until(passage: Passage) -> dict[Fraction, Fraction]:
    """Clock time at which what is struck at a clock time stops, ties counted in."""
    texture = texture_of(passage.clock)
    stream = texture.of(passage.part_id)
    return {sound.at * texture.grain: sound.end * texture.grain for sound in stream.sounds}


def _has_relation(relation: str) -> Callable[[Passage], bool]:
    def is_shown_by(passage: Passage) -> bool:
        return any(
            told.what == "tempo relation"
            and told.value == relation
            and passage.first < told.bar <= passage.last
            for told in passage.clock.assumptions
        )

    return is_shown_by


def _has_additive_meter(passage: Passage) -> bool:
    return any(meter is not None and not meter.is_even for meter in _meters(passage))


def _has_mixed_meter(passage: Passage) -> bool:
    clock = passage.clock
    return clock.barlines_coincide and any(
        len({clock.meter_at(part, bar) for part in range(len(clock.places))}) > 1
        for bar in passage.bars
    )


def _meters(passage: Passage) -> list[Meter | None]:
    return [passage.clock.meter_at(passage.part, bar) for bar in passage.bars]


_SHOWN: Mapping[str, Callable[[Passage], bool]] = {
    "hemiola": _has_hemiola,
    "beat = beat": _has_relation("beat = beat"),
    "note = note": _has_relation("note = note"),
    "interlock": lambda passage: any(one.on_the_beat is None for one in _interlocks(passage)),
    "after-beats": lambda passage: any(one.on_the_beat is not None for one in _interlocks(passage)),
    "entries from rests": _has_entries,
    "additive meter": _has_additive_meter,
    "mixed meter": _has_mixed_meter,
    "travelling barlines": _has_polymeter,
}
