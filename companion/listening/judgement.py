"""How a take or taps went against the page: facts, from which `wording/` makes sentences.

A performance is held against the player's own tempo, with the moment it began at and a slow
drift taken off; both are told. What counts as late is taken from what is known of human
timing, and grows with the length of the notes:

- A tone that is off an even row is noticed from 6 ms on, from 2.5 % of the row's interval if
  that is over 240 ms (Friberg & Sundberg, J. Acoust. Soc. Am. 98, 1995). A side is called late
  from there on, and never under 15 ms, which is within what hands and microphones do.
- A note belongs to its place within 50 ms and within a twelfth of the beat: half of what lies
  between the second of three and the second of two. A side that is later has left its place.
- Onsets that belong together scatter by 30 to 50 ms in good ensembles, strings by 37 to 49,
  and are not heard as uneven (Rasch, Acustica 43, 1979); taps scatter by 2 to 4 % of their
  interval (Repp, Psychon. Bull. Rev. 12, 2005). Unsteady is more than 20 ms and 4 %.

What this comes to as an outcome is in `practice/proposed_outcome.py`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import sqrt
from statistics import fmean, median

import numpy as np
from numpy.typing import NDArray

from companion.listening.due_notes import OFF_THE_BEAT, ON_THE_BEAT, DueNote
from companion.listening.due_times import Due, DueBeat, SilentBars
from companion.listening.hearing import HeardTake
from companion.listening.tempo_curve import TempoCurve, tempo_curve

_ENOUGH = 4
"""Notes from which there is anything to say about a side or a take."""
_CLEARLY = 1 / 3
"""Share of a side's notes that must be clearly heard: few notes say nothing of the rest. On bowed
cellos to develop on, sides above it were at most 8 ms wrong, but for one in 28, by 24 ms."""
_IN_A_ROW = 4
"""Notes missed one after another from which the music broke down there."""
_STEP = 1e-4
"""Seconds within which two moments of the page are one."""


@dataclass(frozen=True, slots=True)
class JudgedNote:
    """One due note."""

    note: DueNote
    beat: int
    """Number of the beat it begins in, from 1; 0 if it lies before the first."""
    begun_s: float | None
    """Seconds in the take."""
    late: float | None
    """Seconds after the moment at which the player's own tempo has it; negative is early."""
    is_certain: bool

    @property
    def is_missed(self) -> bool:
        """Whether it was clearly left out."""
        return self.begun_s is None and self.is_certain


@dataclass(frozen=True, slots=True)
class JudgedSide:
    """All notes of one side that were clearly heard."""

    name: str
    late: float
    """Seconds, their mean; 0 for the side that the others are held against."""
    spread: float
    """Seconds, standard deviation around their mean."""
    notes: int
    limit: float
    """Seconds from which a side with notes of this length counts as late or early."""
    window: float
    """Seconds within which a note of it belongs to its place."""
    interval: float
    """Seconds between a note of it and the one before, as a rule."""
    is_reference: bool
    played: int
    """How many of its notes can be heard and were not left out."""
    is_told: bool
    """Whether enough of them, and of those it is held against, were clearly heard."""

    @property
    def is_off(self) -> bool:
        """Whether it is late or early by more than nobody would notice, and not by chance."""
        if self.is_reference or self.notes < _ENOUGH or not self.is_told:
            return False
        by_chance = 2 * self.spread / sqrt(self.notes)
        return abs(self.late) > max(self.limit, by_chance)

    @property
    def is_unsteady(self) -> bool:
        """Whether its notes scatter by more than practised players' do."""
        return (
            self.is_told and self.notes >= _ENOUGH and self.spread > max(0.02, 0.04 * self.interval)
        )


@dataclass(frozen=True, slots=True)
class BeatRatio:
    """How one beat was divided."""

    beat: DueBeat
    side: str
    """Whose notes divide it; empty if all do."""
    printed: tuple[float, ...]
    """Shares of the beat on the page, adding up to 1."""
    played: tuple[float, ...]
    """Shares as played."""


@dataclass(frozen=True, slots=True)
class DividedBeats:
    """All beats that the page divides alike."""

    side: str
    printed: tuple[float, ...]
    played: tuple[float, ...]
    """Mean shares as played."""
    first: tuple[float, ...]
    """The same in the first third of these beats."""
    last: tuple[float, ...]
    """The same in the last third: with `first` the trend."""
    beats: int


@dataclass(frozen=True, slots=True)
class InSilence:
    """Bars without click, and where the player came out of them."""

    bars: SilentBars
    late: float
    """Seconds by which the player fell behind meanwhile; negative is ahead."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """A take or taps against the page."""

    notes: tuple[JudgedNote, ...]
    sides: tuple[JudgedSide, ...]
    """As they first come."""
    beats: tuple[DueBeat, ...]
    """The beats of the passage, in order."""
    ratios: tuple[BeatRatio, ...]
    """Beats that are divided, in order, as far as every note of them was heard."""
    divided: tuple[DividedBeats, ...]
    added: tuple[float, ...]
    """Seconds in the take."""
    broke_down: tuple[int, ...]
    """Ordinal bars in which the player stopped, or lost the place."""
    stops: int
    """How often the player stopped and began again."""
    bpm: float
    """Felt beats a minute, over the whole."""
    drift: float
    """Change of tempo from beginning to end as a share; negative is slower."""
    in_silence: tuple[InSilence, ...]
    lead: float | None = None
    """Seconds by which all of it came after the click; negative is before. None if that
    cannot be known, as in a recording."""

    @property
    def missed(self) -> tuple[JudgedNote, ...]:
        """The notes that were left out."""
        return tuple(note for note in self.notes if note.is_missed)

    @property
    def heard(self) -> int:
        """How many notes were clearly heard."""
        return sum(note.is_certain and note.begun_s is not None for note in self.notes)

    @property
    def untold(self) -> int:
        """Of how many notes nothing can be told."""
        return sum(not note.is_certain for note in self.notes)

    @property
    def astray(self) -> tuple[JudgedNote, ...]:
        """Notes far from their place, and farther than their side's usual."""
        by_name = {side.name: side for side in self.sides}
        return tuple(note for note in self.notes if _is_astray(note, by_name[note.note.side]))


def judgement(
    heard: HeardTake, due: Due, *, reference: str = "", lead: float | None = None
) -> Judgement:
    """Judge what was heard. `reference` is the side that the others are held against: by
    default the notes on the beat, else the side with most notes."""
    notes = [one.note for one in heard.notes]
    sides = [note.side for note in notes]
    against = reference or (
        ON_THE_BEAT if ON_THE_BEAT in sides else max(dict.fromkeys(sides), key=sides.count)
    )
    curve = _curve(heard, sides, against)
    judged = tuple(
        JudgedNote(
            one.note,
            _beat_number(due.beats, one.note),
            one.begun_s,
            None if one.begun_s is None else one.begun_s - float(place),
            one.is_certain,
        )
        for one, place in zip(heard.notes, curve.expected, strict=True)
    )
    ratios = tuple(_ratios(judged, due.beats))
    return Judgement(
        notes=judged,
        sides=tuple(_sides(judged, curve, against)),
        beats=due.beats,
        ratios=ratios,
        divided=tuple(_divided(ratios)),
        added=heard.added,
        broke_down=tuple(dict.fromkeys(_broke_down(judged, heard.stops))),
        stops=len(heard.stops),
        bpm=_bpm(due.beats) / curve.slowness,
        drift=curve.drift,
        in_silence=tuple(_in_silence(judged, curve, due.silent)),
        lead=lead,
    )


def _curve(heard: HeardTake, sides: Sequence[str], reference: str) -> TempoCurve:
    """The player's own tempo, through what was clearly heard."""
    due = np.array([float(one.note.seconds) for one in heard.notes])
    clear = [one.begun_s if one.is_certain else None for one in heard.notes]
    begun = np.array([np.nan if at is None else at for at in clear])
    return tempo_curve(due, begun, sides, _runs(heard), reference)


def _runs(heard: HeardTake) -> NDArray[np.int_]:
    """The number of the stretch without a stop that each note belongs to."""
    numbers, number = [], 0
    for one in heard.notes:
        if one.begun_s is not None:
            number = sum(stop < one.begun_s for stop in heard.stops)
        numbers.append(number)
    return np.array(numbers)


def _beat_number(beats: Sequence[DueBeat], note: DueNote) -> int:
    found = bisect_right(beats, float(note.seconds) + _STEP, key=lambda beat: beat.seconds)
    return beats[found - 1].number if found else 0


def _bpm(beats: Sequence[DueBeat]) -> float:
    return 60 * len(beats) / sum(beat.length for beat in beats) if beats else 0.0


# Sides.


def _sides(notes: Sequence[JudgedNote], curve: TempoCurve, reference: str) -> Iterator[JudgedSide]:
    intervals = _intervals(notes)
    played = Counter(one.note.side for one in notes if one.note.is_audible and not one.is_missed)
    clear = Counter(one.note.side for one in notes if one.is_certain and one.begun_s is not None)
    told_of = {name for name in played if clear[name] >= _CLEARLY * played[name]}
    for name in dict.fromkeys(one.note.side for one in notes):
        own = [n for n, one in enumerate(notes) if one.note.side == name]
        told = [n for n in own if notes[n].is_certain and notes[n].late is not None]
        weights = curve.weights[told]
        off = np.array([notes[n].late for n in told], float) - curve.late[name]
        spread = 0.0
        if len(told) > 1:
            spread = float(np.sqrt((weights * off**2).sum() / max(1.0, weights.sum() - 1)))
        beat = median(float(notes[n].note.beat) for n in own)
        interval = median(intervals[n] for n in own)
        window = min(0.05, beat / 12)
        limit = min(window, max(0.015, 0.025 * interval))
        yield JudgedSide(
            name,
            curve.late[name],
            spread,
            len(told),
            limit,
            window,
            interval,
            name == reference,
            played[name],
            {name, reference} <= told_of,
        )


def _intervals(notes: Sequence[JudgedNote]) -> list[float]:
    """Seconds from the note before of the same player or hand to each note."""
    found = [float(one.note.beat) for one in notes]
    last: dict[str, float] = {}
    for n, one in enumerate(notes):
        at, stream = float(one.note.seconds), _stream(one.note)
        if stream in last:
            found[n] = at - last[stream]
        last[stream] = at
    return found


def _stream(note: DueNote) -> str:
    """Whose notes follow each other: one player's on and off the beat do."""
    return "" if note.side in (ON_THE_BEAT, OFF_THE_BEAT) else note.side


def _is_astray(one: JudgedNote, side: JudgedSide) -> bool:
    if one.late is None or not one.is_certain or not side.is_told:
        return False
    return abs(one.late - side.late) > max(side.window, 3 * side.spread)


# Ratios.


def _ratios(notes: Sequence[JudgedNote], beats: Sequence[DueBeat]) -> Iterator[BeatRatio]:
    """Of each beat whose first note, inner notes and next beat's note were all heard."""
    for stream in dict.fromkeys(_stream(one.note) for one in notes):
        own = [one for one in notes if _stream(one.note) == stream]
        starts = [float(one.note.seconds) for one in own]
        for beat in beats:
            first = bisect_right(starts, beat.seconds - _STEP)
            last = bisect_right(starts, beat.seconds + beat.length - _STEP)
            inside = own[first : last + 1]
            if last - first < 2 or len(inside) != last - first + 1:
                continue
            end = beat.seconds + beat.length
            if abs(starts[first] - beat.seconds) > _STEP or abs(starts[last] - end) > _STEP:
                continue
            begun = [one.begun_s for one in inside if one.is_certain and one.begun_s is not None]
            if len(begun) == len(inside) and begun == sorted(begun) and begun[-1] > begun[0]:
                yield BeatRatio(beat, stream, _shares(starts[first : last + 1]), _shares(begun))


def _shares(moments: Sequence[float]) -> tuple[float, ...]:
    whole = moments[-1] - moments[0]
    return tuple(round((after - before) / whole, 6) for before, after in pairwise(moments))


def _divided(ratios: Sequence[BeatRatio]) -> Iterator[DividedBeats]:
    kinds = dict.fromkeys((one.side, one.printed) for one in ratios)
    for side, printed in kinds:
        played = [one.played for one in ratios if (one.side, one.printed) == (side, printed)]
        third = max(1, len(played) // 3)
        yield DividedBeats(
            side, printed, _mean(played), _mean(played[:third]), _mean(played[-third:]), len(played)
        )


def _mean(shares: Iterable[tuple[float, ...]]) -> tuple[float, ...]:
    return tuple(fmean(column) for column in zip(*shares, strict=True))


# Where it went wrong.


def _broke_down(notes: Sequence[JudgedNote], stops: Sequence[float]) -> Iterator[int]:
    """Bars in which the player stopped, then those in which the place was lost."""
    for stop in stops:
        before = [one for one in notes if one.begun_s is not None and one.begun_s <= stop]
        after = [one for one in notes if one.begun_s is not None and one.begun_s > stop]
        if before:
            yield before[-1].note.position
        elif after:
            yield after[0].note.position
    audible = (one for one in notes if one.is_certain)
    for is_missed, group in groupby(audible, key=lambda one: one.is_missed):
        lost = list(group)
        if is_missed and len(lost) >= _IN_A_ROW:
            yield lost[0].note.position


def _in_silence(
    notes: Sequence[JudgedNote], curve: TempoCurve, silent: Sequence[SilentBars]
) -> Iterator[InSilence]:
    """How far off the click the player was after each silence, against before it."""
    off = [
        (float(one.note.seconds), one.begun_s - float(one.note.seconds) - curve.late[one.note.side])
        for one in notes
        if one.is_certain and one.begun_s is not None
    ]
    for bars in silent:
        before = [late for at, late in off if at < bars.since - _STEP][-_IN_A_ROW:]
        inside = [late for at, late in off if bars.since - _STEP <= at < bars.until - _STEP]
        if len(before) >= 2 and len(inside) >= 2:
            yield InSilence(bars, fmean(inside[-_IN_A_ROW:]) - fmean(before))
