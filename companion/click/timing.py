"""From a tempo plan to a timetable: what each time through costs in seconds."""

from __future__ import annotations

from fractions import Fraction

from companion.click.beats import beats
from companion.click.own_bars import own_bars
from companion.click.pace import Pace, paced, sloping, steady
from companion.click.tempo_plan import Fixed, Ladder, Marked, Ramp, TempoPlan, Turns
from companion.click.timetable import Timetable
from companion.errors import RequestError
from companion.rhythm.tempo import Tempo
from companion.score.passage import Passage
from companion.score.tempo_map import TempoMap, tempo_map


def timetable_of(
    tempo: TempoPlan, passage: Passage, *, count_in: Fraction, times: int
) -> Timetable:
    """When each time through a passage begins.

    `count_in` is its clock time; it is counted at the tempo the passage begins with. `times`
    is how many a ramp lasts that does not say so itself. Raises RequestError where the
    score's own tempos cannot be played to.
    """
    once = passage.end - passage.start
    if not once:
        raise RequestError(
            "these bars hold no time",
            where=f"bars {passage.first}–{passage.last}",
            next="Choose longer ones.",
        )
    opening, round_ = _paces(tempo, passage, once, times)
    first = (*opening, *round_)[0].stretches[0].pace
    return Timetable(steady(first, count_in), opening, round_)


def first_tempo(passage: Passage, table: Timetable) -> Tempo:
    """The tempo at the beginning, in felt beats of the part in the passage's first bar.

    Raises RequestError where nobody could play to it.
    """
    pace = table.pace(0).stretches[0].pace
    return Tempo(60 / (pace * passage.beat_on_clock), passage.beat)


def _paces(
    tempo: TempoPlan, passage: Passage, once: Fraction, times: int
) -> tuple[tuple[Pace, ...], tuple[Pace, ...]]:
    """(times through that come once, times through that come round)."""

    def at(bpm: Fraction) -> Pace:
        return steady(_pace(passage, bpm), once)

    if isinstance(tempo, Fixed):
        return (), (at(tempo.bpm),)
    if isinstance(tempo, Ladder):
        climbed = [pace for bpm in tempo.rungs for pace in [at(bpm)] * tempo.each]
        return tuple(climbed[:-1]), (climbed[-1],)
    if isinstance(tempo, Turns):
        one, other = [at(tempo.first)] * tempo.each, [at(tempo.second)] * tempo.each
        return (), (*one, *other)
    if isinstance(tempo, Ramp):
        return _ramped(tempo, passage, once, tempo.over or times), (at(tempo.goal),)
    return (), (_as_marked(tempo, passage, once),)


def _pace(passage: Passage, bpm: Fraction) -> Fraction:
    """Seconds that a unit of clock time lasts at so many felt beats a minute."""
    return 60 / bpm / passage.beat_on_clock


def _ramped(ramp: Ramp, passage: Passage, once: Fraction, over: int) -> tuple[Pace, ...]:
    start, goal = _pace(passage, ramp.start), _pace(passage, ramp.goal)
    ends = [start + (goal - start) * Fraction(k, over) for k in range(over + 1)]
    return tuple(sloping(ends[k], ends[k + 1], once) for k in range(over))


def _as_marked(marked: Marked, passage: Passage, once: Fraction) -> Pace:
    """The score's own tempos in the passage, in stretches of one tempo."""
    tempos = marked_tempos(marked, passage)
    start, end = passage.start, passage.end
    turns = {start} | {step.start for step in tempos.steps if start < step.start < end}
    longer = dict(_held_beats(marked, passage, tempos)) if marked.hold else {}
    turns |= {at for span in longer for at in span if start < at < end}
    bends = []
    for at in sorted(turns):
        stretched = next((by for (a, b), by in longer.items() if a <= at < b), Fraction(1))
        pace = 60 / (tempos.rate_at(at) * marked.share) * stretched
        bends.append((at - start, pace, Fraction(0)))
    return paced(bends, once)


def marked_tempos(marked: Marked, passage: Passage) -> TempoMap:
    """The score's tempos, with every *rit.* and *accel.* drawn as far as was asked."""
    tempos = tempo_map(passage.clock)
    if marked.rit is None:
        return tempos
    shares = {bend.start: 1 / marked.rit if bend.is_faster else marked.rit for bend in tempos.bends}
    return tempo_map(passage.clock, ramps=shares)


def _held_beats(
    marked: Marked, passage: Passage, tempos: TempoMap
) -> list[tuple[tuple[Fraction, Fraction], Fraction]]:
    """((from, to), how many times as long) of every beat of mine in which a note under a fermata
    ends: the beats before it go on in time."""
    counted = [beat for place in own_bars(passage) for beat in beats(place)]
    found = []
    for beat in counted:
        end = beat.at + beat.length
        if any(beat.at < hold <= end for hold in tempos.holds):
            found.append(((beat.at, end), 1 + marked.hold))
    return found
