"""What a sound file says about itself, so that a year later one still knows what it is."""

from __future__ import annotations

from dataclasses import dataclass

from companion.click.plan.plan import ClickPlan
from companion.click.plan.tempo_plan import Marked
from companion.click.words.tempo_words import tempo_in_words
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class Tags:
    """Words kept next to the samples."""

    title: str
    """`A study: Viola, bars 13–20`."""
    album: str
    """The score."""
    comment: str
    """Tempo, layers and count-in."""
    software: str = "companion"


def tags_of(plan: ClickPlan, passage: Passage) -> Tags:
    """What to say about a click. `passage` is the one it was planned from."""
    score = passage.clock.score.title
    bars = span_name(passage.clock, passage.first, passage.last)
    word = "bar" if passage.first == passage.last else "bars"
    told_of = [
        tag_tempo_told(plan),
        ", ".join(layer.value for layer in plan.click_settings.layers),
        f"{plan.repeat} times through" if plan.repeat > 1 else "once through",
    ]
    if plan.click_settings.count_in:
        told_of.append(f"count-in {plan.click_settings.count_in}")
    return Tags(f"{score}: {passage.part_name}, {word} {bars}", score, "; ".join(told_of))


def tag_tempo_told(plan: ClickPlan) -> str:
    """`dotted quarter = 60 to 90 by 4, twice each`, or `as marked (dotted quarter = 72)`."""
    if isinstance(plan.click_settings.tempo, Marked):
        return f"{tempo_in_words(plan.click_settings.tempo)} ({plan.tempo})"
    return f"{note_name(plan.tempo.beat)} = {tempo_in_words(plan.click_settings.tempo)}"
