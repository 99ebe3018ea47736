"""A drill on its score: the score, the passage in it and the click.

Whichever way the teacher wrote the notes, what lies in the student's folder is a score file,
so that everything else (the map, the click, the log) treats an exercise like any other music.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path, PurePosixPath

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import AnyLayer, Layer, PartRhythm, in_order
from companion.click.plan.silences import Fade
from companion.click.plan.tempo_plan import Fixed, Ladder, Marked, Ramp, TempoPlan, Turns
from companion.click.words.layer_words import parse_fade, parse_silence, part_in
from companion.exercise.file.exercise import Exercise, ExerciseDrill
from companion.exercise.pattern.pattern import read_pattern
from companion.exercise.pattern.pattern_score import write_musicxml
from companion.findings.conflicts import Conflict, conflicts_of
from companion.score.bar_numbers import find_bars, find_part
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.model import Score
from companion.score.passage import Passage, passage
from companion.score.readers.opening import Opened
from companion.score.tempo_map import CUSTOMARY, tempo_map

FILE_NAME = "exercise.toml"
"""What the exercise file itself is called once it was opened."""

_HEADER = re.compile(r"^[A-Za-z]:", re.M)


def scores_beside(exercise: Exercise) -> list[str]:
    """The score files an exercise needs, each once, relative to it."""
    return list(dict.fromkeys(drill.score for drill in exercise.drills if drill.score))


def made_name(exercise: Exercise, number: int) -> str:
    """What the score file of a drill that brings its own notes is called: `drill-1.musicxml`."""
    ending = "abc" if exercise.drills[number - 1].abc else "musicxml"
    return f"drill-{number}.{ending}"


def made_scores(exercise: Exercise) -> Iterator[tuple[str, bytes]]:
    """(name, content) of the scores that are made from patterns and ABC.

    Raises PatternError if a pattern cannot be played.
    """
    for number, drill in enumerate(exercise.drills, 1):
        if not drill.score:
            yield made_name(exercise, number), made_score(drill, exercise.named(number))


def made_score(drill: ExerciseDrill, title: str) -> bytes:
    """One of them. Raises PatternError."""
    if drill.pattern:
        lines = read_pattern(drill.pattern)
        return write_musicxml(lines, title, drill.key, is_early=drill.is_early)
    return _tune(drill.abc, title).encode()


def _tune(abc: str, title: str) -> str:
    """ABC with the number and the title a tune must have, where the teacher left them out."""
    text = abc.strip("\n")
    heads = {match[0][0] for match in _HEADER.finditer(text)}
    lines = [] if "X" in heads else ["X:1"]
    if "T" not in heads:
        lines.append(f"T:{' '.join(title.split())}")
    if lines and "X" in heads:
        first, _, rest = text.partition("\n")
        return "\n".join([first, *lines, rest]) + "\n"
    return "\n".join([*lines, text]) + "\n"


def score_path(folder: Path, made: Path, exercise: Exercise, number: int) -> Path:
    """Where the score of a drill lies: next to the exercise in `folder`, or in `made`."""
    drill = exercise.drills[number - 1]
    if drill.score:
        return folder.joinpath(*PurePosixPath(drill.score).parts)
    return made / made_name(exercise, number)


def write_made(exercise: Exercise, made: Path) -> None:
    """Write the scores made from patterns and ABC into a folder. Raises OSError, PatternError."""
    made.mkdir(parents=True, exist_ok=True)
    for name, content in made_scores(exercise):
        (made / name).write_bytes(content)


# A drill on its score, laid on the shared clock as it will be for the student.


@dataclass(frozen=True, slots=True)
class DrillOnScore:
    """A drill on its score."""

    drill: ExerciseDrill
    number: int
    """Which of the exercise, from 1."""
    opened: Opened
    clock: Clock
    """On the shared clock, tempo relations as the score and custom have them."""
    conflicts: tuple[Conflict, ...]
    passage: Passage
    """The student's part in the bars that are asked for."""


def drill_on_score(drill: ExerciseDrill, number: int, opened: Opened) -> DrillOnScore:
    """A drill on its opened score. Raises RequestError if its part or bars are not in it."""
    clock = lay(opened.score)
    part = find_part(opened.score, drill.part)
    bars = find_bars(clock, drill.bars) if drill.bars else (1, len(clock.bars))
    chosen = passage(clock, part, *bars)
    return DrillOnScore(drill, number, opened, clock, conflicts_of(clock), chosen)


# What a drill wants of the click, in the click's own terms.


def click_settings_of_drill(on_score: DrillOnScore) -> ClickSettings:
    """The drill's click. Raises RequestError for a part that is not in the score."""
    drill, score = on_score.drill, on_score.opened.score
    return ClickSettings(
        tempo=tempo_of_drill(drill, on_score.passage),
        layers=in_order(_layer(word, score) for word in drill.layers),
        count_in=drill.count_in,
        repeat=drill.repeat,
        silences=tuple(parse_silence(text, drill.seed) for text in drill.silences),
        fades=tuple(_fades(drill, score)),
    )


def tempo_of_drill(drill: ExerciseDrill, passage: Passage) -> TempoPlan:
    """Its tempo plan; without one the score's own mark, or else the customary tempo."""
    return drill.tempo if drill.tempo is not None else Fixed(marked_bpm(passage))


def marked_bpm(passage: Passage) -> Fraction:
    """Felt beats a minute that the score states where the passage begins, or the custom."""
    stated = [mark for mark in tempo_map(passage.clock).stated if mark.at <= passage.start]
    return stated[-1].rate / passage.beat_on_clock if stated else CUSTOMARY


def goal_tempo(drill: ExerciseDrill, passage: Passage) -> Fraction:
    """Felt beats a minute at which the drill is reached: its own, or where its plan ends."""
    if drill.goal.tempo is not None:
        return drill.goal.tempo
    tempo = tempo_of_drill(drill, passage)
    if isinstance(tempo, Ladder | Ramp):
        return tempo.goal
    if isinstance(tempo, Turns):
        return max(tempo.first, tempo.second)
    if isinstance(tempo, Marked):
        return marked_bpm(passage) * tempo.share
    return tempo.bpm


def _layer(word: str, score: Score) -> AnyLayer:
    name = part_in(word)
    if name is None:
        return Layer(word)
    part = find_part(score, name)
    return PartRhythm(part, score.parts[part].name)


def _fades(drill: ExerciseDrill, score: Score) -> Iterator[Fade]:
    for text in drill.fades:
        word, over, comes = parse_fade(text)
        yield Fade(_layer(word, score), over, comes)
