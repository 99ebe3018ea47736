"""What a player asks of a click, in words, and what these words mean in this score.

Parts and layers are named as they are typed. Both can only be understood with the score open,
so an order keeps the words and `click_settings_of_order` reads them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import DEFAULT, AnyLayer, Layer, LayerChoice, Mix, PartRhythm
from companion.click.plan.silences import Fade, Silence
from companion.click.plan.tempo_plan import Fixed, TempoPlan
from companion.click.words.layer_words import part_in
from companion.errors import RequestError
from companion.findings.conflicts import Conflict
from companion.score.bar_numbers import bar_name, find_bars, find_part
from companion.score.passage import Passage, passage
from companion.session.open_score import OpenScore, part_meant

MINE, THEIRS = "mine", "theirs"
"""Whose meter a count-in is counted in."""


@dataclass(frozen=True, slots=True)
class ClickOrder:
    """What a player asks for, in the words that were typed."""

    part: str
    """Name, beginning of a name, or number from 1."""
    bars: str
    """`97-100`, `II:225-230`, `C-C+3`."""
    bpm: Fraction | None = None
    """Felt beats a minute of that part in the first bar, where one tempo is enough."""
    tempo: TempoPlan | None = None
    """How the tempo goes, where it is not."""
    layers: tuple[str, ...] = DEFAULT
    """What sounds: layers, or `rhythm:` and a part."""
    levels: Mapping[str, float] = field(default_factory=dict)
    """By layer, a share of its usual level."""
    voices: Mapping[str, str] = field(default_factory=dict)
    """By layer, the name of another sound."""
    places: Mapping[str, float] = field(default_factory=dict)
    """By layer, −1 left to 1 right."""
    silences: tuple[Silence, ...] = ()
    """Where the click is silent."""
    fades: tuple[tuple[str, int, bool], ...] = ()
    """(layer, times through, whether it comes)."""
    count_in: int = 0
    """Bars counted in."""
    counted_by: str = MINE
    """`mine`, `theirs`, or a part: whose meter is counted in."""
    repeat: int | None = None
    """Times through; None for as many as the tempo takes."""
    rate: int = 48000
    """Samples a second of a sound file."""
    bits: int = 16
    """Bits of a sample of a sound file."""


def passage_of(open_score: OpenScore, order: ClickOrder) -> Passage:
    """Where in the score an order belongs. Raises RequestError for no such part or bars."""
    part = part_meant(open_score, order.part)
    first, last = find_bars(open_score.clock, order.bars)
    return passage(open_score.clock, part, first, last)


def click_settings_of_order(
    open_score: OpenScore, order: ClickOrder, chosen: Passage
) -> ClickSettings:
    """What an order asks of a passage. Raises RequestError for what cannot be meant."""
    layers = {word: layer_named(open_score, chosen, word) for word in order.layers}
    wanted = dict.fromkeys((*order.levels, *order.voices, *order.places))
    for word in (*wanted, *(word for word, _, _ in order.fades)):
        if layer_named(open_score, chosen, word) not in layers.values():
            raise RequestError(
                f"“{word}” is not among the layers that sound", next="Add it to the layers first."
            )
    choices = tuple(
        LayerChoice(
            layer_named(open_score, chosen, word),
            level=order.levels.get(word, 1.0),
            voice=order.voices.get(word, ""),
            place=order.places.get(word),
        )
        for word in wanted
    )
    return ClickSettings(
        tempo=_tempo(order),
        layers=tuple(layers.values()),
        count_in=order.count_in,
        counted_by=_counted_by(open_score, order, chosen),
        repeat=order.repeat,
        silences=order.silences,
        fades=tuple(
            Fade(layer_named(open_score, chosen, word), over, comes)
            for word, over, comes in order.fades
        ),
        mix=Mix(choices),
    )


def layer_named(open_score: OpenScore, chosen: Passage, word: str) -> AnyLayer:
    """The layer a word means; another part's rhythm is looked up in the score."""
    name = part_in(word)
    if name is None:
        return Layer(word)
    part = find_part(open_score.score, name)
    if part == chosen.part:
        return Layer.RHYTHM
    return PartRhythm(part, open_score.score.parts[part].name)


def _tempo(order: ClickOrder) -> TempoPlan:
    if order.tempo is not None:
        return order.tempo
    if order.bpm is None:
        raise RequestError("a click needs a tempo", next="Give beats a minute, such as 60.")
    return Fixed(order.bpm)


def _counted_by(open_score: OpenScore, order: ClickOrder, chosen: Passage) -> int | None:
    if order.counted_by == MINE:
        return None
    if order.counted_by == THEIRS:
        return other_side(chosen, open_score.conflicts)
    return find_part(open_score.score, order.counted_by)


def other_side(chosen: Passage, conflicts: tuple[Conflict, ...]) -> int:
    """The topmost part that pulls against mine in the first bar, or has another meter there.

    Raises RequestError if nobody does.
    """
    ids = [part.id for part in chosen.clock.score.parts]
    for conflict in conflicts:
        if conflict.first <= chosen.first <= conflict.last and not conflict.is_notated:
            for mine, other in (conflict.sides, conflict.sides[::-1]):
                if chosen.part_id in mine.parts and chosen.part_id not in other.parts:
                    return min(ids.index(part) for part in other.parts)
    for part in range(len(ids)):
        meter = chosen.clock.meter_at(part, chosen.bars[0])
        if meter is not None and meter != chosen.meter:
            return part
    raise RequestError(
        "nobody is on another side in the first bar",
        where=f"bar {bar_name(chosen.clock, chosen.bars[0])}",
        next="Count in by “mine”, or name a part.",
    )
