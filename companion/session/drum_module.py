"""The click of a drill for a drum module: its strokes, and the ticks of a MIDI clock.

The strokes are those of the track that is heard, taken from the same plan at the same
frames, so that the module and the sound card can never play two different clicks.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import lru_cache
from heapq import merge
from typing import TYPE_CHECKING

from companion.click.plan.beats import own_bars
from companion.click.plan.timetable import COUNTING
from companion.errors import CompanionError
from companion.score.passage import Passage
from companion.session.transport import Transport

if TYPE_CHECKING:
    from companion.click.plan.timetable import Pace
    from companion.click.synth.ensemble import Moments
    from companion.click.synth.render import LiveClick
    from companion.session.track import Track
    from companion.sound.device_choice import SoundChoice
    from companion.sound.midi_out import Heard, MidiOut, MidiStroke

TICKS_A_QUARTER = 24
"""MIDI clock messages to the quarter (MIDI 1.0 specification, "System Real Time Messages")."""


class TrackRoll:
    """The strokes of a track by its own frames, and clock ticks where wanted."""

    def __init__(self, track: Track, passage: Passage, *, with_clock: bool) -> None:
        self.rate = track.click.rate
        self._track = track
        self._passage = passage
        self._with_clock = with_clock
        self._ticks = lru_cache(maxsize=4)(self._ticks_of)

    def between(self, first: int, last: int) -> list[MidiStroke]:
        """Strokes and ticks from frame `first` up to but not including `last`, in order."""
        entry = self._track.entry
        if entry is None:
            return list(self._of(self._track.click, first, last, 0))
        enters = len(entry.sound.lead)
        counted = self._of(entry.click, first, min(last, enters), 0)
        shift = enters - entry.sound.at
        begin = max(first, enters) - shift
        return [*counted, *self._of(self._track.click, begin, last - shift, shift)]

    def _of(self, click: LiveClick, first: int, last: int, shift: int) -> Iterator[MidiStroke]:
        if first >= last:
            return
        struck = self._strokes(click, first, last, shift)
        if not self._with_clock:
            yield from struck
            return
        yield from merge(
            self._clock(click, first, last, shift), struck, key=lambda stroke: stroke.frame
        )

    def _strokes(self, click: LiveClick, first: int, last: int, shift: int) -> Iterator[MidiStroke]:
        from companion.click.export.midi import VELOCITIES
        from companion.click.plan.layers import layer_sound_in
        from companion.click.plan.plan import timed_strokes
        from companion.sound.midi_out import MidiStroke

        mix = click.plan.click_settings.mix
        for frame, stroke in timed_strokes(click.plan, click.rate, first, last, is_endless=True):
            level = mix.choice(stroke.layer).level * float(stroke.share)
            velocity = min(127, max(1, round(VELOCITIES[stroke.weight] * level)))
            yield MidiStroke(frame + shift, layer_sound_in(mix, stroke.layer).key, velocity)

    def _clock(self, click: LiveClick, first: int, last: int, shift: int) -> Iterator[MidiStroke]:
        from companion.sound.midi_out import MidiStroke

        table = click.plan.timetable
        for number in range(click.pass_at(first), click.pass_at(last) + 1):
            begin = table.begin(number) * click.rate
            ticks = self._ticks(table.pace(number), number == COUNTING, click).frames(begin)
            for frame in ticks:
                if first <= frame < last:
                    yield MidiStroke(frame + shift, None)

    def _ticks_of(self, pace: Pace, is_counting: bool, click: LiveClick) -> Moments:
        from companion.click.synth.ensemble import moments

        count_in = click.plan.count_in
        spans = [(Fraction(0), count_in.length, count_in.pace)] if is_counting else self._spans()
        intos = []
        for begin, end, quarter in spans:
            step = quarter / TICKS_A_QUARTER
            intos += [begin + step * k for k in range(-((begin - end) // step))]
        return moments(pace, click.rate, intos)

    def _spans(self) -> list[tuple[Fraction, Fraction, Fraction]]:
        """(from, to, clock time of a quarter) of each of my bars in the passage."""
        start, end = self._passage.start, self._passage.end
        return [
            (max(place.start, start) - start, min(place.end, end) - start, place.pace)
            for place in own_bars(self._passage)
        ]


def drums_for(
    choice: SoundChoice,
    transport: Transport,
    passage: Passage,
    clock: Callable[[], float] = time.perf_counter,
) -> tuple[MidiOut | None, str]:
    """The MIDI output that follows the drill, or None and why it could not be opened. Begin and
    close it."""
    if choice.midi is None:
        return None, ""
    from companion.sound.midi_out import MidiOut, open_port

    try:
        port = open_port(choice.midi)
    except CompanionError as fault:
        return None, fault.sentence()

    @lru_cache(maxsize=4)
    def roll(track: Track) -> TrackRoll:
        return TrackRoll(track, passage, with_clock=choice.midi_clock)

    def heard() -> Heard | None:
        found = transport.hearing() if transport.state == "playing" else None
        return None if found is None else (roll(found[0]), found[1])

    return MidiOut(port, heard, clock), ""
