"""A drill made audible, and the way between its frames and the music.

A player counts frames, a screen needs the place in the score, and when the tempo changes
the place must stay while the frame moves. Every such question is answered here, exactly:
from a frame to a rational clock time and back, never by adding up what went by.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from companion.click.plan.beats import Beat, beats, own_bars
from companion.click.plan.count_in import count_in_for
from companion.click.plan.plan import ClickPlan, planned, with_mix, with_tempo
from companion.click.plan.tempo_plan import Fixed, Ramp
from companion.click.plan.timetable import COUNTING
from companion.findings.conflicts import Conflict
from companion.rhythm.tempo import nearest_tempo
from companion.score.passage import Passage
from companion.session.accompaniment import Others, mixed
from companion.session.settings import Setting, click_settings_for

if TYPE_CHECKING:
    from companion.click.synth.render import LiveClick
    from companion.sound.combined_sources import CountInSource
    from companion.sound.sound_source import Source


@dataclass(frozen=True, slots=True, eq=False)
class StartingPoint:
    """A count-in into the middle of a passage."""

    click: LiveClick
    """What counts in: the click of the bar one enters at."""
    sound: CountInSource
    """The counting, and the music after it."""


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A passage in one setting, ready to sound round and round."""

    setting: Setting
    """What it was made from."""
    click: LiveClick
    """Its strokes, and where in the music a frame lies."""
    music: Source
    """The click and those who play along."""
    counted: tuple[CountedBeat, ...]
    """The beats of the count-in and of one time through."""
    entry: StartingPoint | None = None
    """How one enters in the middle; None from the beginning."""

    @property
    def plan(self) -> ClickPlan:
        """The strokes of its click."""
        return self.click.plan

    @property
    def source(self) -> Source:
        """What a player plays."""
        return self.music if self.entry is None else self.entry.sound


@dataclass(frozen=True, slots=True)
class DrillPlace:
    """A moment of a drill, in the terms of the music."""

    passes: int
    """Complete times through before it."""
    into: Fraction
    """Clock time after the passage begins; in a count-in negative, until one enters."""


def render_track(
    passage: Passage,
    conflicts: Sequence[Conflict],
    setting: Setting,
    rate: int,
    *,
    others: Others | None = None,
    before: Track | None = None,
) -> Track:
    """Make the sound of a drill. May be called in any thread.

    `others` and `before`, the track that sounds, spare work where little has changed.
    Raises RequestError for a setting nobody can play to.
    """
    from companion.click.synth.render import LiveClick

    click = LiveClick(_planned(passage, conflicts, setting, before), rate)
    channels = (others or Others(passage)).channels(
        setting.accompaniment, click, is_on=setting.are_others_on
    )
    music = mixed(click, channels)
    entry = None
    counted = counted_beats(passage, setting.count_in)
    if setting.first is not None and setting.first != passage.first:
        entered = replace(passage, first=setting.first, last=setting.first)
        entry = _entry(passage, entered, click, music)
        counting = counted_beats(entered, setting.count_in)
        counted = tuple(beat for beat in counting if beat.into < 0) + tuple(
            beat for beat in counted if beat.into >= 0
        )
    return Track(setting, click, music, counted, entry)


def from_the_start(track: Track) -> Track:
    """The same without an entry: every bar of it can be gone to."""
    if track.entry is None:
        return track
    return replace(track, setting=replace(track.setting, first=None), entry=None)


def _planned(
    passage: Passage, conflicts: Sequence[Conflict], setting: Setting, before: Track | None
) -> ClickPlan:
    click_settings = click_settings_for(setting)
    if (
        before is None
        or replace(before.plan.click_settings, tempo=click_settings.tempo, mix=click_settings.mix)
        != click_settings
    ):
        return planned(passage, conflicts, click_settings)
    return with_mix(with_tempo(before.plan, passage, click_settings.tempo), click_settings.mix)


def _entry(passage: Passage, entered: Passage, click: LiveClick, music: Source) -> StartingPoint:
    """The count-in into one bar, at the tempo the first time through has there."""
    from companion.click.synth.render import LiveClick
    from companion.sound.combined_sources import CountInSource

    into = entered.start - passage.start
    bpm = nearest_tempo(bpm_at(click.plan, entered, DrillPlace(0, into)))
    click_settings = replace(click.plan.click_settings, tempo=Fixed(bpm), silences=())
    counting = LiveClick(planned(entered, (), click_settings), click.rate)
    lead = counting.read(0, counting.frame(0, Fraction(0)))
    return StartingPoint(counting, CountInSource(lead, music, click.frame(0, into)))


def bpm_at(plan: ClickPlan, passage: Passage, place: DrillPlace) -> Fraction:
    """Felt beats a minute at a place, in the beats of the first bar of `passage`."""
    stretch = plan.timetable.pace(place.passes).stretch_at(place.into)
    pace = stretch.pace + stretch.change * max(Fraction(0), place.into - stretch.into)
    return 60 / pace / passage.beat_on_clock


FINE = 100
"""The largest denominator of a tempo that is noted where it changes all the while."""


def tempo_after(plan: ClickPlan, passage: Passage, behind: int, times: int) -> Fraction:
    """Felt beats a minute of the last of `behind` times through, if some `times` of them count;
    else of the one that is on."""
    tempo = plan.click_settings.tempo
    if isinstance(tempo, Fixed):
        return tempo.bpm
    last = behind - 1 if times and behind else behind
    begun = bpm_at(plan, passage, DrillPlace(last, Fraction(0)))
    if isinstance(tempo, Ramp) and last < behind:  # it may slow down: then the next begins slower
        begun = min(begun, bpm_at(plan, passage, DrillPlace(behind, Fraction(0))))
    return begun.limit_denominator(FINE)


def place_of(track: Track, frame: int) -> DrillPlace:
    """The moment that sounds at an absolute frame."""
    if track.entry is not None:
        sound = track.entry.sound
        if frame < len(sound.lead):
            _, into = track.entry.click.place_at(frame)
            return DrillPlace(0, into - track.entry.click.plan.count_in_length)
        frame = sound.music_frame(frame)
    number, into = track.click.place_at(frame)
    if number == COUNTING:
        return DrillPlace(0, into - track.plan.count_in_length)
    return DrillPlace(number, into)


def frame_of(track: Track, place: DrillPlace) -> int:
    """The absolute frame nearest to a moment; the first one for a moment before it."""
    if place.into < 0:
        counting = track.click if track.entry is None else track.entry.click
        return max(0, counting.frame(COUNTING, place.into + counting.plan.count_in_length))
    click = track.click
    frame = click.frame(place.passes, place.into)
    frame = min(frame, click.frame(place.passes + 1, Fraction(0)) - 1)
    return frame if track.entry is None else track.entry.sound.frame(frame)


def carried_place(old: Track, new: Track, place: DrillPlace) -> DrillPlace:
    """A place of one track in another: a plan of several tempos begins with its first."""
    begins = old.setting.tempo != new.setting.tempo and not isinstance(new.setting.tempo, Fixed)
    return DrillPlace(0, place.into) if begins else place


def carry_frame(old: Track, new: Track) -> Callable[[int], int]:
    """From a frame of one track to the frame of another at which the same music sounds."""
    return lambda frame: frame_of(new, carried_place(old, new, place_of(old, frame)))


# Where a drill is, in the terms of the music, and which bar that is.


@dataclass(frozen=True, slots=True)
class Position:
    """What is heard now."""

    place: DrillPlace
    """Where in the drill."""
    time: Fraction | None
    """Clock time in the score; None in the count-in."""
    beat: CountedBeat | None
    """The beat that is on; None if a passage begins between beats."""
    bar: int
    """Ordinal position of the bar that sounds; in a count-in of the one that is entered."""


def position_of(track: Track, frame: int, passage: Passage) -> Position:
    """What a frame of a track is in the music."""
    place = place_of(track, frame)
    beat = beat_at(track.counted, place.into)
    if place.into < 0:
        return Position(place, None, beat, track.setting.first or passage.first)
    time = passage.start + place.into
    return Position(place, time, beat, bar_number_at(passage, time))


def bar_number_at(passage: Passage, time: Fraction) -> int:
    """Ordinal position of the bar of a passage that sounds at a clock time."""
    found = bisect_right(passage.bars, time, key=lambda bar: bar.start)
    return passage.bars[max(0, found - 1)].number


def bars_away(position: Position, passage: Passage, by: int) -> DrillPlace:
    """The beginning of a bar, so many after the one that sounds, or before if negative.

    Going back leads to the beginning of the present bar first, where more than a beat of it
    has gone by. After the last bar comes the first one again; before the first there is none.
    """
    bars = passage.bars
    index = position.bar - passage.first
    into = bars[index].start - passage.start
    if by < 0 and position.place.into - into > passage.beat_on_clock:
        by += 1
    around, index = divmod(index + by, len(bars))
    passes = position.place.passes + around
    if passes < 0:
        passes, index = 0, 0
    return DrillPlace(passes, bars[index].start - passage.start)


# The beat a player sees: which number it has, in the count-in and in every bar.


@dataclass(frozen=True, slots=True)
class CountedBeat:
    """One felt beat with its number."""

    into: Fraction
    """Clock time after the passage begins; negative in the count-in."""
    number: int
    """Its number in its bar, from 1."""
    bar: int
    """Ordinal position of the score's bar it falls in; 0 in the count-in."""


def counted_beats(passage: Passage, count_in: int) -> tuple[CountedBeat, ...]:
    """Every beat of the count-in (in bars) and of one time through, in order."""
    counted = count_in_for(passage, count_in)
    found = [
        CountedBeat(beat.at - counted.length, number, 0)
        for beat, number in _numbered(counted.beats)
        if beat.at < counted.length
    ]
    starts = [bar.start for bar in passage.bars]
    for place in own_bars(passage):
        for beat, number in _numbered(tuple(beats(place))):
            if passage.start <= beat.at < min(place.end, passage.end):
                bar = passage.bars[bisect_right(starts, beat.at) - 1].number
                found.append(CountedBeat(beat.at - passage.start, number, bar))
    return tuple(found)


def beat_at(counted: Sequence[CountedBeat], into: Fraction) -> CountedBeat | None:
    """The beat that is on at a clock time after the passage begins; None before the first."""
    found = bisect_right(counted, into, key=lambda beat: beat.into)
    return counted[found - 1] if found else None


def _numbered(counted: Sequence[Beat]) -> list[tuple[Beat, int]]:
    numbered: list[tuple[Beat, int]] = []
    for beat in counted:
        number = 1 if beat.is_first or not numbered else numbered[-1][1] + 1
        numbered.append((beat, number))
    return numbered
