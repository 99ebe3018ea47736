"""What a drill wants of the click, in the click's own terms."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import AnyLayer, Layer, PartRhythm, in_order
from companion.click.plan.silences import Fade
from companion.click.plan.tempo_plan import Fixed, Ladder, Marked, Ramp, TempoPlan, Turns
from companion.click.words.layer_words import parse_fade, parse_silence, part_in
from companion.exercise.drill_scores import Laid
from companion.exercise.file.exercise import ExerciseDrill
from companion.score.bar_numbers import find_part
from companion.score.model import Score
from companion.score.passage import Passage
from companion.score.tempo_map import CUSTOMARY, tempo_map


def click_settings_of_drill(laid: Laid) -> ClickSettings:
    """The drill's click. Raises RequestError for a part that is not in the score."""
    drill, score = laid.drill, laid.opened.score
    return ClickSettings(
        tempo=tempo_of_drill(drill, laid.passage),
        layers=in_order(_strand(word, score) for word in drill.layers),
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


def _strand(word: str, score: Score) -> AnyLayer:
    name = part_in(word)
    if name is None:
        return Layer(word)
    part = find_part(score, name)
    return PartRhythm(part, score.parts[part].name)


def _fades(drill: ExerciseDrill, score: Score) -> Iterator[Fade]:
    for text in drill.fades:
        word, over, comes = parse_fade(text)
        yield Fade(_strand(word, score), over, comes)
