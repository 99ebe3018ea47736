"""Laying a written score on the shared clock.

The rule: where all parts have the same bars, barlines coincide and a part whose
meter differs is scaled inside the bar, exactly. Where a part has barlines of its
own, the written unit coincides instead (second half of this file).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby, repeat, zip_longest

from msgspec import Struct
from msgspec.structs import replace

from companion.rhythm.meter import Meter
from companion.rhythm.tempo_relation import Same
from companion.score.bar_numbers import bar_names, movements, printed_labels
from companion.score.clock import Assumption, Bar, BarPlace, Clock, written_meter
from companion.score.meter_changes import (
    MetersInForce,
    RelationEvidence,
    first_meters,
    keeps_tempo,
    next_meters,
)
from companion.score.model import Part, PartBar, Score, TempoMark

BarRow = tuple[PartBar | None, ...]
_NONE = Fraction(0)


def lay(score: Score, player: Mapping[int, Same] | None = None) -> Clock:
    """Lay every part's bars in common time.

    `player` holds the player's own tempo relations by the ordinal bar they begin at.
    """
    if has_free_barlines(score):
        clock = lay_freely(score)
        # A bar of one part is none of the score: it is told in words.
        read = [
            Assumption(0, "reading", f"{text} (in bar {bar} of its part, counted from 1)", "source")
            for bar, text in score.slips
        ]
    else:
        clock = _Walk(score, player or {}).clock()
        read = [Assumption(bar, "reading", text, "source") for bar, text in score.slips]
    told = sorted([*read, *clock.assumptions], key=lambda assumption: assumption.bar)
    return replace(clock, assumptions=tuple(told))


class _Walk:
    """Goes through the bars once, holding what the next bar needs of the last."""

    def __init__(self, score: Score, player: Mapping[int, Same]) -> None:
        self.score = score
        self.player = player
        self.footing: MetersInForce | None = None
        self.last: BarRow = ()
        self.rate: Fraction | None = None
        self.owed = _NONE
        self.assumptions: list[Assumption] = []
        self.meters = _believed_meters(score, self.assumptions)

    def clock(self) -> Clock:
        parts = self.score.parts
        longest = max((part.bars for part in parts), key=len, default=())
        of_movement = movements([bar.label for bar in longest])
        labels = printed_labels([bar.label for bar in longest], of_movement)
        names = list(bar_names(labels, of_movement))
        bars: list[Bar] = []
        places: list[list[BarPlace]] = [[] for _ in parts]
        start = _NONE
        rows = zip_longest(*(part.bars for part in parts))
        for index, (label, row) in enumerate(zip(labels, rows, strict=True)):
            opens = index == 0 or of_movement[index] != of_movement[index - 1]
            footing = self._step(index + 1, row, opens=opens)
            length, lead = self._extent(index + 1, row, footing, opens=opens)
            for part, own in enumerate(row):
                if own is not None:
                    pace, meter = footing.paces[part], footing.meters[part]
                    places[part].append(BarPlace(start, length, pace, lead, meter))
            bars.append(Bar(index + 1, label, of_movement[index], start, length, names[index]))
            start += length
        self._tell_missing_bars(len(labels))
        columns = tuple(tuple(column) for column in places)
        return Clock(self.score, tuple(bars), columns, tuple(self.assumptions), True)

    def _step(self, number: int, row: BarRow, *, opens: bool) -> MetersInForce:
        """The footing of this bar, and the tempo the next one starts from.

        A movement that opens keeps nothing of the last, so nothing is told of it.
        """
        now = self.footing
        meters = tuple(
            self.meters[part][number - 1] if bar else (now.meters[part] if now else None)
            for part, bar in enumerate(row)
        )
        if now is None:
            now = first_meters(meters)
        elif meters != now.meters:
            here = RelationEvidence(
                number,
                self.player.get(number),
                _marks_at(row, self.last),
                self.rate,
                _keeps_tempo(row),
            )
            now, told = next_meters(now, meters, here)
            self.assumptions += [] if opens else [self._with_ids(each) for each in told]
        self.footing, self.last = now, row
        self.rate = _last_rate(row, now) or self.rate
        return now

    def _extent(
        self, number: int, row: BarRow, footing: MetersInForce, *, opens: bool
    ) -> tuple[Fraction, Fraction]:
        """How long the bar lasts, and how much of its meter is missing before it."""
        if not any(footing.meters):
            quarters = [
                Fraction(bar.filled, self.score.ticks) * footing.paces[part]
                for part, bar in enumerate(row)
                if bar
            ]
            return max(quarters), _NONE
        found = filling(row, footing.meters, self.score.ticks)
        if found is FULL:
            self.owed = _NONE
            return footing.full, _NONE
        length = footing.full * found.share
        missing = footing.full - length if found.share < 1 else _NONE
        implicit = any(bar.is_implicit for bar in row if bar)
        is_pickup = bool(missing) and (opens or implicit or self.owed == length)
        self._tell_length(number, found, footing, is_pickup=is_pickup)
        self.owed = _NONE if is_pickup else missing
        return length, missing if is_pickup else _NONE

    def _tell_length(
        self, number: int, found: Filling, footing: MetersInForce, *, is_pickup: bool
    ) -> None:
        meter = next(meter for meter in footing.meters if meter is not None)
        if found.share != 1:
            what = "pickup" if is_pickup else "short bar" if found.share < 1 else "long bar"
            # Unequal beats have no share in common: 2 of 5 pulses, not 4/5 of 2 beats.
            count, unit = (
                (len(meter.beats), "beats") if meter.is_even else (sum(meter.divisions), "pulses")
            )
            value = f"{found.share * count} of {count} {unit}"
            self.assumptions.append(Assumption(number, what, value, "source"))
        if found.odd:
            ids = tuple(self.score.parts[part].id for part in found.odd)
            value = "its notes end before the bar does"
            self.assumptions.append(Assumption(number, "short bar", value, "source", ids))

    def _tell_missing_bars(self, count: int) -> None:
        for part in self.score.parts:
            if len(part.bars) < count:
                value = "silent from here on"
                self.assumptions.append(
                    Assumption(len(part.bars) + 1, "missing bars", value, "source", (part.id,))
                )

    def _with_ids(self, assumption: Assumption) -> Assumption:
        ids = tuple(self.score.parts[int(part)].id for part in assumption.parts)
        return replace(assumption, parts=ids)


def _believed_meters(score: Score, told: list[Assumption]) -> list[list[Meter | None]]:
    """Every part's meter in each of its bars. Adds to `told` each time signature that the notes
    contradict: there the meter which they do fill, and which the other parts have, is taken."""
    columns = [[written_meter(bar.meter) for bar in part.bars] for part in score.parts]
    stated = [tuple(column) for column in columns]
    if len({meter for column in stated for meter in column}) > 1:
        for part, column in enumerate(columns):
            for first, after in _runs(stated[part]):
                meter = _contradicted(score, stated, part, first, after)
                if meter is not None and (written := column[first]) is not None:
                    column[first:after] = [meter] * (after - first)
                    value = f"{written.text} read as {meter.text}, which its notes fill"
                    ids = (score.parts[part].id,)
                    told.append(Assumption(first + 1, "time signature", value, "source", ids))
    return columns


def _runs(meters: Sequence[Meter | None]) -> Iterator[tuple[int, int]]:
    """(first, after the last) index of each stretch of bars in one meter."""
    first = 0
    for _, bars in groupby(meters):
        after = first + len(list(bars))
        yield first, after
        first = after


def _contradicted(
    score: Score, stated: Sequence[tuple[Meter | None, ...]], part: int, first: int, after: int
) -> Meter | None:
    """The other parts' meter, if every bar with notes in the stretch is as long as a bar of it
    and not of the part's own; None if the part's own meter may be believed."""
    own, candidates = stated[part][first], None
    if own is None:
        return None
    for index in range(first, after):
        filled = Fraction(score.parts[part].bars[index].filled, score.ticks)
        if not filled:
            continue
        others = {
            column[index]
            for other, column in enumerate(stated)
            if other != part and index < len(column)
        }
        fitting = {meter for meter in others if meter and meter.length == filled != own.length}
        candidates = fitting if candidates is None else candidates & fitting
        if not candidates:
            return None
    return min(candidates, key=lambda meter: meter.text) if candidates else None


def _keeps_tempo(row: BarRow) -> bool:
    marks = (mark for bar in row if bar for mark in bar.marks)
    return any(mark.kind == "words" and not mark.onset and keeps_tempo(mark.text) for mark in marks)


def _last_rate(row: BarRow, now: MetersInForce) -> Fraction | None:
    """Clock time a minute by the last metronome mark of a bar, the topmost of several there."""
    stated = [
        ((mark.onset * pace, mark.is_printed), mark.beat * mark.per_minute * pace)
        for bar, pace in zip(row, now.paces, strict=True)
        for mark in (bar.tempos if bar else ())
        if mark.per_minute is not None
    ]
    return max(stated, key=lambda told: told[0])[1] if stated else None


def _marks_at(row: BarRow, last: BarRow) -> tuple[tuple[TempoMark, ...], ...]:
    """Each part's tempo marks at a barline: on its first note; a
    relation of two note values also where it stands after the last note before."""
    marks: list[tuple[TempoMark, ...]] = []
    for part, bar in enumerate(row):
        before = last[part] if part < len(last) else None
        late = before.tempos if before is not None and before.filled else ()
        marks.append(
            tuple(mark for mark in late if before and mark.equals and mark.onset >= before.filled)
            + tuple(mark for mark in (bar.tempos if bar else ()) if mark.onset == 0)
        )
    return tuple(marks)


# How much of its meter a bar's contents fill: full bars, pickups and slips.


class Filling(Struct, frozen=True):
    """How much of one full bar is really there."""

    share: Fraction
    """Length of the bar against a full bar of its meter; 1 for an ordinary bar."""
    odd: tuple[int, ...]
    """Indices of the parts that fill less than the bar they stand in."""


FULL = Filling(Fraction(1), ())
"""An ordinary bar."""


def filling(
    row: tuple[PartBar | None, ...], meters: tuple[Meter | None, ...], ticks: int
) -> Filling:
    """Compare what the parts' bars (None: the part has ended) hold with their meters.

    Empty bars and whole-bar rests say nothing; where nobody says anything the bar is full.
    Only notes make a bar long: rests written past its end are an encoder's padding.
    """
    if all(map(_is_full, row, meters, repeat(ticks))):  # as nearly every bar is
        return FULL
    shares: dict[int, Fraction] = {}
    for index, (bar, meter) in enumerate(zip(row, meters, strict=True)):
        if bar is None or meter is None or not bar.filled:
            continue
        length = meter.length
        reach, full = bar.filled * length.denominator, ticks * length.numerator
        if reach > full:
            reach = max(full, _sounding(bar) * length.denominator)
        shares[index] = Fraction(reach, full)
    if all(share == 1 for share in shares.values()):
        return FULL
    longest = max(shares.values())
    return Filling(longest, tuple(index for index, share in shares.items() if share < longest))


def _is_full(bar: PartBar | None, meter: Meter | None, ticks: int) -> bool:
    """Whether a bar holds just what its meter asks for, or says nothing about it."""
    if bar is None or meter is None or not bar.filled:
        return True
    length = meter.length
    return bar.filled * length.denominator == ticks * length.numerator


def _sounding(bar: PartBar) -> int:
    """Ticks the notes of a bar reach, rests not counted."""
    return max((note.onset + note.length for note in bar.notes if not note.is_rest), default=0)


# Parts whose barlines do not stand together: the written unit is common instead.


def has_free_barlines(score: Score) -> bool:
    """Whether any part has barlines of its own.

    A part that merely stops early (its bar numbers are the beginning of a longer part's)
    does not count: that is a missing bar, not a polymeter.
    """
    if any(bar.is_free for part in score.parts for bar in part.bars):
        return True
    if len({len(part.bars) for part in score.parts}) <= 1:
        return False
    longest = max(score.parts, key=lambda part: len(part.bars))
    labels = [bar.label for bar in longest.bars]
    return any(
        [bar.label for bar in part.bars] != labels[: len(part.bars)]
        or _written_length(part, score.ticks) == _written_length(longest, score.ticks)
        for part in score.parts
        if part is not longest
    )


def lay_freely(score: Score) -> Clock:
    """Lay each part's bars one after another by its own written lengths."""
    lead = counted_part(score)
    first = written_meter(score.parts[lead].bars[0].meter) if score.parts[lead].bars else None
    pace = 1 / first.beat if first else Fraction(1)
    places = tuple(_places(part, score.ticks, pace) for part in score.parts)
    of_movement = movements([bar.label for bar in score.parts[lead].bars])
    labels = printed_labels([bar.label for bar in score.parts[lead].bars], of_movement)
    names = bar_names(labels, of_movement)
    rows = zip(labels, of_movement, places[lead], names, strict=True)
    bars = tuple(
        Bar(number, label, movement, place.start, place.length, name)
        for number, (label, movement, place, name) in enumerate(rows, 1)
    )
    told = Assumption(0, "barlines", "unit = unit; barlines travel apart", "source")
    return Clock(score, bars, places, (told,), barlines_coincide=False)


def counted_part(score: Score) -> int:
    """The part whose bars are the score's: the topmost with only controlling barlines."""
    for index, part in enumerate(score.parts):
        if part.bars and not any(bar.is_free for bar in part.bars):
            return index
    return 0


def _places(part: Part, ticks: int, pace: Fraction) -> tuple[BarPlace, ...]:
    start = Fraction(0)
    placed: list[BarPlace] = []
    for index, bar in enumerate(part.bars):
        meter = written_meter(bar.meter)
        quarters = _quarters(bar.filled, meter, ticks)
        full = meter.length if meter else quarters
        is_pickup = quarters < full and (index == 0 or bar.is_implicit)
        lead = (full - quarters) * pace if is_pickup else Fraction(0)
        placed.append(BarPlace(start, quarters * pace, pace, lead, meter))
        start += quarters * pace
    return tuple(placed)


def _quarters(filled: int, meter: Meter | None, ticks: int) -> Fraction:
    if filled or meter is None:
        return Fraction(filled, ticks)
    return meter.length


def _written_length(part: Part, ticks: int) -> Fraction:
    return sum(
        (_quarters(bar.filled, written_meter(bar.meter), ticks) for bar in part.bars), Fraction(0)
    )
