"""What a player wishes otherwise in a drill: from one setting to the next.

Nothing here sounds or waits; a wish that cannot be had is refused before anything changes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from companion.click.plan.layers import AnyLayer, Layer, in_order
from companion.click.plan.tempo_plan import (
    Fixed,
    Ladder,
    LadderPlace,
    TempoPlan,
    Turns,
    is_before,
    place_after,
    place_at,
    tempo_on,
)
from companion.click.words.layer_words import NO_SILENCES, parse_layers, parse_silence
from companion.click.words.tempo_words import parse_tempo
from companion.errors import RequestError
from companion.practice.attempt import Outcome
from companion.rhythm.tempo import nearest_tempo
from companion.score.passage import Passage
from companion.session.accompaniment import (
    ALL,
    Accompaniment,
    checked_font,
    parse_accompaniment,
    parts_named,
)
from companion.session.click_order import layer_named
from companion.session.open_score import OpenScore
from companion.session.settings import Setting

_MOST_COUNT_IN = 2
"""Bars of count-in that can be chosen in a drill."""


def at_tempo(setting: Setting, bpm: Fraction) -> Setting:
    """One tempo from now on, within 10–400; a ladder or another plan is left."""
    return replace(setting, tempo=Fixed(nearest_tempo(bpm)), ladder=None, climb=LadderPlace())


def nudged(setting: Setting, bpm: Fraction, by: int) -> Setting:
    """So many beats a minute faster than `bpm`, which is heard now. A ladder goes on from there
    with the next of its steps, two tempos by turns both move; any other plan is left."""
    if setting.ladder is not None:
        return at_place(setting, setting.ladder, nearest_tempo(bpm + by))
    if isinstance(setting.tempo, Turns):
        first, second = (
            nearest_tempo(one + by) for one in (setting.tempo.first, setting.tempo.second)
        )
        return replace(setting, tempo=replace(setting.tempo, first=first, second=second))
    return at_tempo(setting, bpm + by)


def at_place(setting: Setting, ladder: Ladder, bpm: Fraction) -> Setting:
    """A ladder at a tempo, which may lie between two of its steps."""
    return replace(setting, tempo=Fixed(bpm), ladder=ladder, climb=place_at(ladder, bpm))


def with_layers(setting: Setting, layers: Iterable[AnyLayer]) -> Setting:
    """Other layers. Raises RequestError for none."""
    chosen = in_order(layers)
    if not chosen:
        raise RequestError("one layer must stay on", next="Turn another one on first.")
    return replace(setting, layers=chosen)


def toggled(setting: Setting, layer: Layer) -> Setting:
    """A layer that is off turned on, or the other way round. Raises as `with_layers`."""
    return with_layers(setting, set(setting.layers) ^ {layer})


def with_next_count_in(setting: Setting) -> Setting:
    """A bar more of count-in, and none after two."""
    return replace(setting, count_in=(setting.count_in + 1) % (_MOST_COUNT_IN + 1))


def with_others_toggled(setting: Setting, open_score: OpenScore, passage: Passage) -> Setting:
    """The others on or off; all of them, where nobody was chosen yet."""
    accompaniment = setting.accompaniment
    if not accompaniment.parts and accompaniment.drone is None:
        parts = parts_named(open_score.score, passage.part, ALL)
        if not parts:
            raise RequestError("there is nobody else in this score", next="Choose a drone instead.")
        accompaniment = replace(accompaniment, parts=parts)
    if accompaniment.font is not None and not setting.are_others_on:
        checked_font(accompaniment.font, accompaniment.a)
    return replace(setting, accompaniment=accompaniment, are_others_on=not setting.are_others_on)


def on_ladder(setting: Setting, ladder: Ladder) -> Setting:
    """A ladder from its first step."""
    return replace(setting, tempo=Fixed(ladder.start), ladder=ladder, climb=LadderPlace())


def with_plan(setting: Setting, words: str) -> Setting:
    """A tempo plan in words, such as `60 to 90 by 4, twice each`. Raises RequestError."""
    return with_tempo(setting, parse_tempo(words))


def with_tempo(setting: Setting, plan: TempoPlan) -> Setting:
    """A tempo plan, from its beginning."""
    if isinstance(plan, Ladder):
        return on_ladder(setting, plan)
    return replace(setting, tempo=plan, ladder=None, climb=LadderPlace())


def with_silences(setting: Setting, words: str) -> Setting:
    """Silences in words, such as `every 4, theirs only`; `none` for none. Raises RequestError."""
    wanted = [word.strip() for word in words.split(",") if word.strip()]
    if wanted in ([], [NO_SILENCES]):
        return replace(setting, silences=())
    return replace(setting, silences=tuple(parse_silence(word) for word in wanted))


def with_layers_named(
    setting: Setting, open_score: OpenScore, passage: Passage, words: str
) -> Setting:
    """Layers in words, such as `beat, theirs, rhythm:cello`. Raises RequestError."""
    named = (layer_named(open_score, passage, word) for word in parse_layers(words))
    return with_layers(setting, named)


def with_accompaniment(
    setting: Setting, open_score: OpenScore, passage: Passage, words: str
) -> Setting:
    """Who plays along, in words; they do from now on. Raises RequestError."""
    accompaniment = parse_accompaniment(open_score.score, passage.part, words)
    if not accompaniment.parts and accompaniment.drone is None:
        accompaniment = replace(setting.accompaniment, parts=(), drone=None)
    return with_others(setting, accompaniment)


def with_others(setting: Setting, accompaniment: Accompaniment) -> Setting:
    """Who plays along from now on; off if that is nobody."""
    is_on = bool(accompaniment.parts) or accompaniment.drone is not None
    return replace(setting, accompaniment=accompaniment, are_others_on=is_on)


def setting_after(setting: Setting, outcome: Outcome, times: int) -> Setting:
    """What so many times through make of it: a step on the ladder, up or down, if there is one.

    A tempo beside the ladder's steps stays until it is time for another step.
    """
    ladder = setting.ladder
    if ladder is None or not isinstance(setting.tempo, Fixed):
        return setting
    has_held = outcome >= Outcome.HELD
    climb = place_after(ladder, setting.climb, has_held=has_held, times=times)
    if climb.index == setting.climb.index:
        return replace(setting, climb=climb)
    if has_held and is_before(ladder, setting.tempo.bpm, ladder.start):
        climb = LadderPlace()
    return replace(setting, tempo=Fixed(tempo_on(ladder, climb)), climb=climb)
