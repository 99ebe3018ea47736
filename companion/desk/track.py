"""A drill made audible, and the way between its frames and the music.

A player counts frames, a screen needs the place in the score, and when the tempo changes
the place must stay while the frame moves. Every such question is answered here, exactly:
from a frame to a rational clock time and back, never by adding up what went by.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from companion.click.layers import Layer
from companion.click.plan import Plan, plan
from companion.desk.beat_count import CountedBeat, counted_beats
from companion.rhythm.conflicts import Conflict
from companion.score.passage import Passage

if TYPE_CHECKING:
    from companion.sound.source import Rendered


@dataclass(frozen=True, slots=True)
class Setting:
    """What a player can set in a drill."""

    bpm: Fraction
    """Felt beats a minute in the passage's first bar."""
    layers: tuple[Layer, ...]
    """What sounds."""
    count_in: int
    """Bars counted in."""


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A passage in one setting, ready to sound round and round."""

    setting: Setting
    """What it was made from."""
    plan: Plan
    """Its strokes."""
    source: Rendered
    """Its sound: the count-in once, then the passage for ever."""
    counted: tuple[CountedBeat, ...]
    """The beats of the count-in and of one time through."""

    @property
    def frames_a_unit(self) -> Fraction:
        """Frames that one unit of clock time lasts."""
        return self.plan.seconds_per_unit * self.source.rate

    @property
    def loop_from(self) -> int:
        """The frame at which the passage begins."""
        return self.source.loop_from or 0

    @property
    def loop(self) -> int:
        """Frames of one time through."""
        return len(self.source.samples) - self.loop_from


@dataclass(frozen=True, slots=True)
class Place:
    """A moment of a drill, in the terms of the music."""

    passes: int
    """Complete times through before it."""
    into: Fraction
    """Clock time after the passage begins; negative in the count-in."""


def record(passage: Passage, conflicts: Sequence[Conflict], setting: Setting, rate: int) -> Track:
    """Make the sound of a drill. May be called in any thread; long passages take a while.

    Raises RequestError for a setting nobody can play to.
    """
    from companion.click.samples import render_loop
    from companion.sound.source import Rendered

    planned = plan(
        passage,
        conflicts,
        tempo_bpm=setting.bpm,
        layers=setting.layers,
        count_in=setting.count_in,
        repeat=1,
    )
    samples, loop_from = render_loop(planned, rate)
    samples.setflags(write=False)
    counted = counted_beats(passage, setting.count_in)
    return Track(setting, planned, Rendered(samples, rate, loop_from), counted)


def place_of(track: Track, frame: int) -> Place:
    """The moment that sounds at an absolute frame."""
    if frame < track.loop_from:
        return Place(0, frame / track.frames_a_unit - track.plan.count_in)
    passes, rest = divmod(frame - track.loop_from, track.loop)
    into = rest / track.frames_a_unit
    # A loop is rounded to whole frames, so its last one may lie on the next time through.
    return Place(passes, into) if into < track.plan.pass_length else Place(passes + 1, Fraction(0))


def frame_of(track: Track, place: Place) -> int:
    """The absolute frame nearest to a moment; the first one for a moment before it."""
    if place.into < 0:
        return max(0, round((place.into + track.plan.count_in) * track.frames_a_unit))
    rest = min(round(place.into * track.frames_a_unit), track.loop - 1)
    return track.loop_from + place.passes * track.loop + rest


def carry(old: Track, new: Track) -> Callable[[int], int]:
    """From a frame of one track to the frame of another at which the same music sounds."""
    return lambda frame: frame_of(new, place_of(old, frame))
