"""A click as a standard MIDI file, for programs that play or show one.

Format 1: a conductor track with the player's own meters and tempos, then one track a
layer, all on channel 10 with percussion keys. Count-in and repeats are written out.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

from mido import Message, MetaMessage, MidiFile, MidiTrack

from companion.click.export.conductor_track import TICKS, conduct, measures, quarters_at, ticks
from companion.click.plan.beats import Weight
from companion.click.plan.layers import AnyLayer, in_order, layer_sound_in
from companion.click.plan.plan import ClickPlan
from companion.click.plan.strokes import Stroke
from companion.files.whole_file import whole_file
from companion.score.passage import Passage

_PERCUSSION = 9
"""Channel 10, counted from 0."""
VELOCITIES = {Weight.PLAIN: 80, Weight.GROUP: 96, Weight.FIRST: 112}
"""How hard a stroke is struck at its layer's usual level."""
_SHORT = TICKS // 8
"""Ticks a note lasts (a 32nd), unless its next stroke comes sooner."""


def write(plan: ClickPlan, passage: Passage, path: Path) -> None:
    """Write the whole plan. `passage` is the one it was planned from.

    Raises NotWritten if the file cannot be written, RequestError where a tempo is too
    slow for a MIDI file (more than 16.7 seconds a quarter).
    """
    file = midi_file(plan, passage)
    with whole_file(path) as out:
        file.save(file=out)


def midi_file(plan: ClickPlan, passage: Passage) -> MidiFile:
    """The file before it is written."""
    rod = measures(plan, passage)
    end = ticks(quarters_at(rod, plan.length))
    struck: dict[AnyLayer, list[tuple[int, int]]] = {}
    for stroke in plan.strokes:
        place = ticks(quarters_at(rod, stroke.at)), _velocity(plan, stroke)
        struck.setdefault(stroke.layer, []).append(place)
    file = MidiFile(type=1, ticks_per_beat=TICKS, charset="utf-8")
    file.tracks.append(_track(conduct(plan, passage, rod), end))
    for layer in in_order(struck):
        file.tracks.append(_track(_strokes(plan, layer, struck[layer], end), end))
    return file


def _velocity(plan: ClickPlan, stroke: Stroke) -> int:
    """How hard: by weight, by the layer's own level, by what a fade leaves of it."""
    level = plan.click_settings.mix.choice(stroke.layer).level * float(stroke.share)
    return min(127, max(1, round(VELOCITIES[stroke.weight] * level)))


def _strokes(
    plan: ClickPlan, layer: AnyLayer, struck: list[tuple[int, int]], end: int
) -> Iterable[tuple[int, Message | MetaMessage]]:
    yield 0, MetaMessage("track_name", name=layer.value)
    key = layer_sound_in(plan.click_settings.mix, layer).key
    for (at, velocity), (until, _) in pairwise([*struck, (end, 0)]):
        yield at, Message("note_on", channel=_PERCUSSION, note=key, velocity=velocity)
        length = min(_SHORT, until - at)
        yield at + length, Message("note_off", channel=_PERCUSSION, note=key, velocity=0)


def _track(messages: Iterable[tuple[int, Message | MetaMessage]], end: int) -> MidiTrack:
    """A track of (tick, message) in order, ending where the plan does."""
    track = MidiTrack()
    now = 0
    for at, message in [*messages, (end, MetaMessage("end_of_track"))]:
        track.append(message.copy(time=at - now))
        now = at
    return track
