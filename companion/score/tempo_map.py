"""The tempos a score states, along the shared clock, and how long that makes it.

A metronome mark counts the note it prints, in the pace of the part that carries it;
here every mark becomes felt beats (clock time) a minute, so that marks in 6/8 and in
2/4 can stand on one line. Words like *ritardando* say a direction and not a number: they
are listed, and drawn as a ramp only where a player says how far. So are fermatas. What can
be counted in words (*Tempo I*, *doppio movimento*) is a tempo like any other.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from companion.score.clock import Clock
from companion.score.direction_words import (
    TempoWordMeaning,
    begins_with_tempo,
    tempo_word_meaning,
)
from companion.score.model import TempoMark

CUSTOMARY = Fraction(60)
"""Felt beats a minute if the page states none; a guess, and shown as one."""


class StatedTempo(Struct, frozen=True):
    """A tempo the source states."""

    at: Fraction
    mark: TempoMark
    rate: Fraction
    words: str = ""
    """The words that say so, such as *Tempo I*; empty for a mark."""


class TempoWordMark(Struct, frozen=True):
    """Words about tempo."""

    at: Fraction
    text: str
    meaning: TempoWordMeaning
    pace: Fraction


class GradualChange(Struct, frozen=True):
    """A *rit.* or *accel.*, which does not say how far."""

    start: Fraction
    """Clock time of the words."""
    end: Fraction
    """Clock time of the next tempo in words or numbers, or of the next movement; else the end of
    the score."""
    text: str
    is_faster: bool


class Step(Struct, frozen=True):
    """A stretch of one tempo."""

    start: Fraction
    rate: Fraction
    seconds: Fraction
    """Seconds from the beginning of the score to its start."""


class TempoMap(Struct, frozen=True):
    """Tempos along the whole score."""

    stated: tuple[StatedTempo, ...]
    """Every tempo the source states, in order; a printed mark before a device's."""
    gradual_changes: tuple[GradualChange, ...]
    """Every *rit.* or *accel.*, in order."""
    holds: tuple[Fraction, ...]
    """Clock times at which notes under a fermata end as written: there they are held on."""
    steps: tuple[Step, ...]
    """The tempo at every moment, in order from 0."""

    def rate_at(self, time: Fraction) -> Fraction:
        """Clock time a minute, at a clock time."""
        return self._step(time).rate

    def seconds_at(self, time: Fraction) -> Fraction:
        """Seconds from the beginning of the score to a clock time, exactly."""
        step = self._step(time)
        return step.seconds + (time - step.start) * 60 / step.rate

    def _step(self, time: Fraction) -> Step:
        return self.steps[max(0, bisect_right(self.steps, time, key=lambda s: s.start) - 1)]


def tempo_map(
    clock: Clock,
    *,
    ramps: Mapping[Fraction, Fraction] | None = None,
    hold: Fraction = Fraction(0),
) -> TempoMap:
    """The tempos of a laid score.

    `ramps` draws them: by the clock time of the words, the share of the tempo reached at
    their end (1/2: half as fast), in equal steps of one beat. `hold` is how much longer than
    written a fermata is held, in beats.
    """
    stated = stated_tempos(clock)
    changes, holds = _gradual_changes(clock, stated), _fermatas(clock)
    rates = {Fraction(0): stated[0].rate if stated and not stated[0].at else CUSTOMARY}
    rates |= {mark.at: mark.rate for mark in stated}
    for change in _unbroken(changes):
        if ramps and change.start in ramps:
            _draw(rates, change, ramps[change.start])
    rates.setdefault(clock.end, rates[max(rates)])
    held = {at: hold for at in holds}
    return TempoMap(stated, changes, holds, tuple(_steps(rates, held)))


def _steps(rates: Mapping[Fraction, Fraction], held: Mapping[Fraction, Fraction]) -> Iterator[Step]:
    """Steps in order; the time a fermata adds has passed where its note ends."""
    over = {at: beats for at, beats in held.items() if beats}
    seconds = Fraction(0)
    rate = before = Fraction(0)
    for at in sorted({*rates, *over}):
        if rate:
            seconds += (at - before + over.get(at, 0)) * 60 / rate
        rate, before = rates.get(at, rate), at
        yield Step(at, rate, seconds)


def _unbroken(changes: tuple[GradualChange, ...]) -> Iterator[GradualChange]:
    """Changes as they are drawn: a second *rit.* on the way goes on with the first, whether it
    urges it or another part merely has it later."""
    whole: GradualChange | None = None
    for change in changes:
        if whole and whole.end == change.start and whole.is_faster == change.is_faster:
            whole = replace(whole, end=change.end)
            continue
        if whole:
            yield whole
        whole = change
    if whole:
        yield whole


def _draw(rates: dict[Fraction, Fraction], change: GradualChange, share: Fraction) -> None:
    """Replace the change by steps of one beat, the last of them at the tempo reached."""
    start_rate = rates[max(at for at in rates if at <= change.start)]
    rates.setdefault(change.end, start_rate)
    count = max(1, int(change.end - change.start))
    for number in range(1, count + 1):
        at = change.start + (change.end - change.start) * Fraction(number - 1, count)
        rates[at] = start_rate * (1 + (share - 1) * Fraction(number, count))


def stated_tempos(clock: Clock) -> tuple[StatedTempo, ...]:
    """Every tempo the source states, in order; a printed mark before a device's, and words only
    where there is neither."""
    return _stated(clock, _words(clock))


def _stated(clock: Clock, words: tuple[TempoWordMark, ...]) -> tuple[StatedTempo, ...]:
    found: dict[Fraction, StatedTempo] = {}
    ticks = clock.score.ticks
    for part, places in zip(clock.score.parts, clock.places, strict=True):
        for bar, place in zip(part.bars, places, strict=True):
            for mark in bar.tempos:
                if mark.per_minute is None:
                    continue
                at = place.start + Fraction(mark.onset, ticks) * place.pace
                stated = StatedTempo(at, mark, mark.per_minute * mark.beat * place.pace)
                kept = found.get(at)
                if kept is None or (mark.is_printed and not kept.mark.is_printed):
                    found[at] = stated
    for word in words:
        worded = None if word.at in found else _stated_in_words(clock, word, found)
        if worded is not None:
            found[word.at] = worded
    return tuple(found[at] for at in sorted(found))


def _stated_in_words(
    clock: Clock, word: TempoWordMark, found: Mapping[Fraction, StatedTempo]
) -> StatedTempo | None:
    """*Tempo I* and *doppio movimento* count the note values of the tempo they refer to."""
    if word.meaning not in (TempoWordMeaning.FIRST, TempoWordMeaning.TWICE):
        return None
    begins = max((bar for bar in clock.bars if bar.start <= word.at), key=lambda bar: bar.number)
    first = min(bar.start for bar in clock.bars if bar.movement == begins.movement)
    before = [found[at] for at in sorted(found) if first <= at < word.at]
    if not before:
        return None
    meant = before[0].mark if word.meaning is TempoWordMeaning.FIRST else before[-1].mark
    per_minute = (meant.per_minute or CUSTOMARY) * (
        2 if word.meaning is TempoWordMeaning.TWICE else 1
    )
    mark = TempoMark(0, meant.beat, per_minute)
    return StatedTempo(word.at, mark, per_minute * meant.beat * word.pace, word.text)


def _words(clock: Clock) -> tuple[TempoWordMark, ...]:
    """Words about tempo in order, whichever part carries them."""
    found: dict[Fraction, TempoWordMark] = {}
    for part, places in zip(clock.score.parts, clock.places, strict=True):
        for bar, place in zip(part.bars, places, strict=True):
            for mark in bar.marks:
                if mark.kind == "words" and (meaning := tempo_word_meaning(mark.text)):
                    at = place.start + Fraction(mark.onset, clock.score.ticks) * place.pace
                    found.setdefault(at, TempoWordMark(at, mark.text, meaning, place.pace))
    return tuple(found[at] for at in sorted(found))


def _headings(clock: Clock) -> set[Fraction]:
    """Clock times of words such as *Allegro*, which begin a tempo and give no number."""
    return {
        place.start + Fraction(mark.onset, clock.score.ticks) * place.pace
        for part, places in zip(clock.score.parts, clock.places, strict=True)
        for bar, place in zip(part.bars, places, strict=True)
        for mark in bar.marks
        if mark.kind == "words" and begins_with_tempo(mark.text)
    }


def _new_movements(clock: Clock) -> set[Fraction]:
    """Clock times at which a movement but the first begins."""
    bars = pairwise(clock.bars)
    return {bar.start for before, bar in bars if bar.movement != before.movement}


def _gradual_changes(clock: Clock, stated: tuple[StatedTempo, ...]) -> tuple[GradualChange, ...]:
    words = _words(clock)
    ends = {mark.at for mark in stated} | {word.at for word in words} | {clock.end}
    ends |= _headings(clock) | _new_movements(clock)
    return tuple(
        GradualChange(
            word.at,
            min((end for end in ends if end > word.at), default=clock.end),
            word.text,
            word.meaning is TempoWordMeaning.FASTER,
        )
        for word in words
        if word.meaning in (TempoWordMeaning.SLOWER, TempoWordMeaning.FASTER)
    )


def without_number(clock: Clock) -> tuple[TempoWordMark, ...]:
    """Words that ask for another tempo and give neither a number nor a mark with them, in order."""
    words = _words(clock)
    return _unnumbered(words, _stated(clock, words))


def _unnumbered(
    words: tuple[TempoWordMark, ...], tempos: tuple[StatedTempo, ...]
) -> tuple[TempoWordMark, ...]:
    stated = {tempo.at for tempo in tempos}
    lost = (TempoWordMeaning.ANOTHER, TempoWordMeaning.FIRST, TempoWordMeaning.TWICE)
    return tuple(word for word in words if word.meaning in lost and word.at not in stated)


class PrintedRates(Struct, frozen=True):
    """The tempos that the page gives in numbers, and where they end to be known."""

    rates: tuple[tuple[Fraction, Fraction | None], ...]
    """(clock time, felt beats a minute from there on) in order; None from where a movement
    begins, words ask for another tempo, or only a playback device is told one."""
    marks: dict[Fraction, TempoMark]
    """The printed marks by clock time."""

    def at(self, time: Fraction) -> Fraction | None:
        """Felt beats a minute at a clock time; None if the page does not say."""
        return self._rate(bisect_right(self.rates, time, key=lambda pair: pair[0]))

    def before(self, time: Fraction) -> Fraction | None:
        """Felt beats a minute just before a clock time."""
        return self._rate(bisect_left(self.rates, time, key=lambda pair: pair[0]))

    def _rate(self, after: int) -> Fraction | None:
        return self.rates[after - 1][1] if after else None


def printed_rates(clock: Clock) -> PrintedRates:
    """What the page, and nobody else, says about the tempo in numbers."""
    words = _words(clock)
    stated = _stated(clock, words)
    unknown = {word.at for word in _unnumbered(words, stated)}
    unknown |= _new_movements(clock)
    told_at = {told.at: told for told in stated}
    rates: dict[Fraction, Fraction | None] = {}
    now: Fraction | None = None
    for at in sorted(unknown | told_at.keys()):
        now = None if at in unknown else now
        if (told := told_at.get(at)) is not None:
            # A device told the tempo that goes on anyway takes nothing back.
            now = told.rate if told.mark.is_printed or told.rate == now else None
        rates[at] = now
    marks = {told.at: told.mark for told in stated if told.mark.is_printed}
    return PrintedRates(tuple(rates.items()), marks)


def _fermatas(clock: Clock) -> tuple[Fraction, ...]:
    found: set[Fraction] = set()
    for part, places in zip(clock.score.parts, clock.places, strict=True):
        for bar, place in zip(part.bars, places, strict=True):
            for note in bar.notes:
                if "fermata" in note.marks:
                    end = Fraction(note.onset + note.length, clock.score.ticks)
                    found.add(place.end if note.fills_bar else place.start + end * place.pace)
    return tuple(sorted(found))
