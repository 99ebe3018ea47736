"""What a change of meter leaves as it was and what it changes, exactly.

"Beat stays; eighths go from 3 to 2 a beat, so an eighth becomes half as long again": a
player who only reads the new meter gets either the beat or the eighth wrong. Lengths are
compared as the score was laid, never guessed from the signs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from companion.rhythm.meter import Meter, note_name

_LONG = {
    Fraction(1, 4): "a quarter as long",
    Fraction(1, 3): "a third as long",
    Fraction(1, 2): "half as long",
    Fraction(2, 3): "two thirds as long",
    Fraction(3, 4): "three quarters as long",
    Fraction(1): "as long as before",
    Fraction(5, 4): "a quarter as long again",
    Fraction(4, 3): "a third as long again",
    Fraction(3, 2): "half as long again",
    Fraction(2): "twice as long",
    Fraction(3): "three times as long",
    Fraction(4): "four times as long",
}


@dataclass(frozen=True, slots=True)
class Feel:
    """One change of meter of one part."""

    bar: int
    """Ordinal position of the first bar in the new meter."""
    old: Meter
    """The meter before."""
    new: Meter
    """The meter from here on."""
    quarter: Fraction
    """How long a written quarter, and so every note value, lasts now: 1 as before, 3/2 half
    as long again."""
    beat: Fraction
    """The same of the (first) felt beat."""
    pulse: Fraction
    """The same of the natural division of the (first) beat, whatever its note value."""
    whole_bar: Fraction
    """The same of the bar."""

    @property
    def keeps_beat(self) -> bool:
        """Whether the felt beat lasts as long as before; unequal beats keep nothing."""
        return self.beat == 1 and self.old.is_even and self.new.is_even

    @property
    def keeps_notes(self) -> bool:
        """Whether note values last as long as before."""
        return self.quarter == 1


def feel(bar: int, old: Meter, new: Meter, before: Fraction, after: Fraction) -> Feel:
    """The facts of one change; `before` and `after` are lengths of a written quarter.

    In any unit, the same for both: grains, clock time, seconds.
    """
    quarter = after / before
    return Feel(
        bar,
        old,
        new,
        quarter,
        quarter * new.beat / old.beat,
        quarter * pulse(new) / pulse(old),
        quarter * new.length / old.length,
    )


def changes_of_feel(bars: Iterable[tuple[int, Meter | None, Fraction]]) -> Iterator[Feel]:
    """Every change along (ordinal bar, meter, length of a written quarter) in order.

    Unmeasured bars are passed over; a change of the quarter's length under one meter counts.
    """
    before: tuple[Meter, Fraction] | None = None
    for number, meter, quarter in bars:
        if meter is None:
            continue
        if before is not None and before != (meter, quarter):
            yield feel(number, before[0], meter, before[1], quarter)
        before = meter, quarter


def pulse(meter: Meter) -> Fraction:
    """The natural division of the first beat, in written quarters: an eighth in 6/8 and 2/4."""
    return meter.beat / meter.divisions[0]


def feel_told(change: Feel, bpm: Fraction | None = None) -> str:
    """One sentence without a full stop; `bpm` is the felt beats a minute before the change."""
    at = f" at {float(bpm):g}" if bpm is not None else ""
    if change.keeps_beat and change.keeps_notes:
        return f"beat stays{at}, note values too; {_bars_told(change)}"
    if change.keeps_beat:
        return f"beat stays{at}; {_pulses_told(change)}"
    if change.keeps_notes:
        becomes = f", so the beat becomes {how_long(change.beat)}{_new_tempo(change, bpm)}"
        if not (change.old.is_even and change.new.is_even):
            becomes = ""
        return f"note values stay; {_beats_told(change)}{becomes}; {_bars_told(change)}"
    return (
        f"beat and note values change: the beat becomes {how_long(change.beat)}"
        f"{_new_tempo(change, bpm)}, every note value {how_long(change.quarter)}"
    )


def how_long(ratio: Fraction) -> str:
    """A proportion in words: `half as long again` for 3/2, `two thirds as long` for 2/3."""
    return _LONG.get(ratio, f"{ratio} times as long")


def _new_tempo(change: Feel, bpm: Fraction | None) -> str:
    return f" ({float(bpm):g} to {float(bpm / change.beat):.4g})" if bpm is not None else ""


def _pulses_told(change: Feel) -> str:
    old, new = note_name(pulse(change.old)), note_name(pulse(change.new))
    was, now = change.old.divisions[0], change.new.divisions[0]
    if old == new and was != now:
        return (
            f"{_plural(old)} go from {was} to {now} a beat, "
            f"so {_one(old)} becomes {how_long(change.quarter)}"
        )
    return (
        f"it is now {_one(note_name(change.new.beat))} instead of "
        f"{_one(note_name(change.old.beat))}, so every note value becomes "
        f"{how_long(change.quarter)}"
    )


def _beats_told(change: Feel) -> str:
    return f"beats go from {_beats_of(change.old)} to {_beats_of(change.new)}"


def _beats_of(meter: Meter) -> str:
    if meter.is_even:
        return _plural(note_name(meter.beat))
    unit = note_name(pulse(meter))
    return f"{' + '.join(map(str, meter.divisions))} {_plural(unit)}"


def _bars_told(change: Feel) -> str:
    was, now = len(change.old.beats), len(change.new.beats)
    count = f"{was} beats a bar become {now}" if was != now else f"still {now} beats a bar"
    return f"{count}, the bar {how_long(change.whole_bar)}"


def _one(name: str) -> str:
    return f"an {name}" if name[0] in "aeiou" or name.startswith("8") else f"a {name}"


def _plural(name: str) -> str:
    return f"{name[:-1]}ves" if name.endswith("half") else f"{name}s"
