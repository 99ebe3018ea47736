"""From a passage to a plan of strokes: when each one falls, exactly.

The plan is the one thing a sound card, a WAV file, a MIDI file and a moving playhead
all draw from. Every position is a rational number of clock time counted from the
start of the plan, never a sum of rounded steps, so the last stroke of an hour is as
exact as the first. `frame` is the only place where such a position is rounded.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.click.count_in import count_in_for
from companion.click.layers import DEFAULT, Layer, in_order
from companion.click.strokes import counting, through
from companion.errors import RequestError
from companion.rhythm.conflicts import Conflict
from companion.rhythm.tempo import Tempo
from companion.score.passage import Passage

MOST_COUNT_IN = 16
"""Bars of count-in at most."""
MOST_REPEATS = 999
"""Times through at most."""
LONGEST = 2 * 3600
"""Seconds a click lasts at most: 1.4 gigabytes as a WAV file."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One stroke of the click."""

    at: Fraction
    """Clock time from the start of the plan."""
    layer: Layer
    """What it belongs to."""
    is_accented: bool
    """Whether it is the first of a bar, or both sides of a conflict meet on it."""
    bar: int
    """Ordinal position of the score's bar it falls in; 0 in the count-in."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole click: count-in, then the passage as often as asked."""

    strokes: tuple[Stroke, ...]
    """In order of time; at one time in order of `Layer`."""
    length: Fraction
    """Clock time of everything."""
    count_in: Fraction
    """Clock time of the count-in; 0 without one."""
    pass_length: Fraction
    """Clock time of one time through."""
    repeat: int
    """How many times through."""
    tempo: Tempo
    """Felt beats a minute of the part in the passage's first bar."""
    seconds_per_unit: Fraction
    """Seconds that one unit of clock time lasts."""
    bar_starts: tuple[tuple[int, Fraction], ...]
    """(ordinal bar, clock time from the start of the plan) for the first time through;
    the same bars come `pass_length` later in each repeat."""

    @property
    def seconds(self) -> Fraction:
        """How long everything lasts, in seconds."""
        return self.length * self.seconds_per_unit


def plan(
    passage: Passage,
    conflicts: Sequence[Conflict],
    *,
    tempo_bpm: Fraction,
    layers: Iterable[Layer] = DEFAULT,
    count_in: int = 0,
    repeat: int = 1,
) -> Plan:
    """Plan the click of a passage.

    `tempo_bpm` counts felt beats of the part in the passage's first bar; where the meter
    changes later, the shared clock says what that makes of them. `conflicts` are the whole
    score's; `count_in` is in bars and counts beats whatever the layers are.
    Raises RequestError for a click nobody can play: no layers, a tempo out of range, a
    count-in or a number of repeats out of range, more than two hours, or no time at all.
    """
    chosen = in_order(layers)
    _check(chosen, count_in, repeat)
    tempo = Tempo(tempo_bpm, passage.beat)
    seconds = tempo.seconds_per_beat / passage.beat_on_clock
    lead_in = count_in_for(passage, count_in)
    once = passage.end - passage.start
    length = lead_in.length + once * repeat
    _check_length(passage, once, length * seconds)

    starts = tuple((bar.number, bar.start - passage.start) for bar in passage.bars)
    strokes = [Stroke(at, layer, accent, 0) for at, layer, accent in counting(lead_in, chosen)]
    struck = [
        (at - passage.start, layer, accent, _bar_of(starts, at - passage.start))
        for at, layer, accent in through(passage, conflicts, chosen)
    ]
    for number in range(repeat):
        shift = lead_in.length + once * number
        strokes += [Stroke(at + shift, layer, accent, bar) for at, layer, accent, bar in struck]
    bar_starts = tuple((bar, at + lead_in.length) for bar, at in starts)
    return Plan(tuple(strokes), length, lead_in.length, once, repeat, tempo, seconds, bar_starts)


def frame(plan: Plan, at: Fraction, rate: int) -> int:
    """The sample on which a clock time of the plan falls.

    Nearest sample to the exact position, a half to the even one (1.5 and 2.5 both give 2),
    as Python rounds. Nothing has been rounded before.
    """
    return round(at * plan.seconds_per_unit * rate)


def bar_at(plan: Plan, at: Fraction) -> int:
    """Ordinal position of the bar that sounds at a clock time of the plan; 0 in the count-in."""
    if at < plan.count_in:
        return 0
    return _bar_of(plan.bar_starts, plan.count_in + (at - plan.count_in) % plan.pass_length)


def _bar_of(starts: Sequence[tuple[int, Fraction]], at: Fraction) -> int:
    return starts[bisect_right(starts, at, key=lambda start: start[1]) - 1][0]


def _check(layers: Sequence[Layer], count_in: int, repeat: int) -> None:
    if not layers:
        raise RequestError("a click needs at least one layer", next="Ask for the beat, say.")
    if not 0 <= count_in <= MOST_COUNT_IN:
        raise RequestError(
            f"a count-in of {count_in} bars is not possible", next=f"Choose 0–{MOST_COUNT_IN}."
        )
    if not 1 <= repeat <= MOST_REPEATS:
        raise RequestError(
            f"{repeat} times through is not possible", next=f"Choose 1–{MOST_REPEATS}."
        )


def _check_length(passage: Passage, once: Fraction, seconds: Fraction) -> None:
    where = f"bars {passage.first}–{passage.last}"
    if not once:
        raise RequestError("these bars hold no time", where=where, next="Choose longer ones.")
    if seconds > LONGEST:
        raise RequestError(
            f"this click would last {float(seconds / 3600):.1f} hours",
            where=where,
            next=f"The most is {LONGEST // 3600}: fewer bars, fewer repeats or a faster tempo.",
        )
