"""Which layer strikes when: beats, the sides of conflicts and written rhythms, in order."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from msgspec.structs import replace

from companion.click.plan.beats import Beat, Weight, bar_cuts, beat_cuts, beats, is_inside, own_bars
from companion.click.plan.count_in import CountIn
from companion.click.plan.layers import AnyLayer, Layer, PartRhythm, rank
from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict, divided_bar, onsets
from companion.score.clock import BarPlace
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class Stroke:
    """One stroke of the click."""

    at: Fraction
    """Clock time from the start of the plan, or of the time through where it stands in one."""
    layer: AnyLayer
    weight: Weight
    """Whether it stands out: the first of a bar, a meeting, the beginning of a group."""
    bar: int
    """Ordinal position of the score's bar it falls in; 0 in the count-in."""
    beat: int = 0
    """Felt beats of my part that begin in the time through up to it; 0 in the count-in."""
    is_contested: bool = False
    """Whether two sides pull in its beat."""
    share: Fraction = Fraction(1)
    """Of the layer's level, where the layer fades."""

    @property
    def is_accented(self) -> bool:
        """Whether it is the first of a bar, or both sides of a conflict meet on it."""
        return self.weight is Weight.FIRST


Struck = tuple[Fraction, AnyLayer, Weight]
"""(clock time, layer, how it stands out)."""


def counting(count_in: CountIn, layers: Sequence[AnyLayer]) -> tuple[Stroke, ...]:
    """The strokes of a count-in, from its own start: beats always, pulses and bars if wanted."""
    wanted = {Layer.BEAT, *layers}
    struck = (one for one in _of_beats(count_in.beats, wanted) if one[0] < count_in.length)
    return tuple(Stroke(*one, 0) for one in sorted(struck, key=_in_time))


def through(
    passage: Passage,
    conflicts: Sequence[Conflict],
    layers: Sequence[AnyLayer],
    *,
    marks_upbeat: bool = False,
) -> tuple[Stroke, ...]:
    """The strokes of one time through, in clock time from its beginning.

    `marks_upbeat` strikes the beginning of a pickup although no beat falls there: without a
    count-in nothing else would tell a player when to come in.
    """
    pulling = sides(passage, conflicts, is_with_triplet=Layer.TRIPLET in layers)
    found: list[Struck] = []
    for place in own_bars(passage):
        struck = _of_beats(beats(place), set(layers))
        found += (one for one in struck if _is_in(passage, place, one[0]))
    found += _of_sides(pulling, layers)
    found += _of_rhythms(passage, layers)
    if Layer.PERIOD in layers:
        found += _of_periods(passage, conflicts)
    is_silent = all(at != passage.start for at, _, _ in found)
    if marks_upbeat and is_silent and Layer.BEAT in layers:
        found.append((passage.start, Layer.BEAT, Weight.PLAIN))
    starts = beat_starts(passage)
    return tuple(_placed(passage, starts, pulling, sorted(found, key=_in_time)))


def beat_starts(passage: Passage) -> tuple[Fraction, ...]:
    """Clock times at which felt beats of the player's own part begin in a passage, in order."""
    counted = ((place, beat.at) for place in own_bars(passage) for beat in beats(place))
    return tuple(at for place, at in counted if _is_in(passage, place, at))


def _is_in(passage: Passage, place: BarPlace, at: Fraction) -> bool:
    return max(place.start, passage.start) <= at < min(place.end, passage.end)


def _placed(
    passage: Passage, starts: Sequence[Fraction], pulling: Sides, struck: Iterable[Struck]
) -> Iterator[Stroke]:
    """The strokes with the bar and the beat they fall in."""
    contested = {bisect_right(starts, at) for at in pulling.resultant}
    bars, bar, beat = passage.bars, 0, 0
    for at, layer, weight in struck:
        while bar + 1 < len(bars) and bars[bar + 1].start <= at:
            bar += 1
        while beat < len(starts) and starts[beat] <= at:
            beat += 1
        number = bars[bar].number
        yield Stroke(at - passage.start, layer, weight, number, beat, beat in contested)


def _of_beats(counted: Iterable[Beat], layers: set[AnyLayer]) -> Iterator[Struck]:
    for beat in counted:
        if Layer.BAR in layers and beat.is_first:
            yield beat.at, Layer.BAR, Weight.FIRST
        if Layer.BEAT in layers:
            yield beat.at, Layer.BEAT, beat.weight
        if Layer.DIVISION in layers:
            for at in beat.cuts(beat.division):
                weight = beat.pulse_weight if at == beat.at else Weight.PLAIN
                yield at, Layer.DIVISION, weight


def _of_sides(pulling: Sides, layers: Sequence[AnyLayer]) -> Iterator[Struck]:
    for layer, struck in (
        (Layer.MINE, pulling.mine),
        (Layer.THEIRS, pulling.theirs),
        (Layer.RESULTANT, pulling.resultant),
        (Layer.COINCIDENCE, pulling.together),
        (Layer.TRIPLET, pulling.moved),
    ):
        if layer in layers:
            for at in struck:
                yield at, layer, Weight.FIRST if at in pulling.together else Weight.PLAIN


def _of_rhythms(passage: Passage, layers: Sequence[AnyLayer]) -> Iterator[Struck]:
    for layer in layers:
        part = passage.part if layer is Layer.RHYTHM else None
        if isinstance(layer, PartRhythm):
            part = layer.part
        if part is not None:
            for at in onsets(passage.clock, part, passage.start, passage.end):
                yield at, layer, Weight.PLAIN


def _of_periods(passage: Passage, conflicts: Sequence[Conflict]) -> Iterator[Struck]:
    # Looks through the whole score, so only when asked.
    from companion.findings.periods import heads_in, periods_of

    for at in heads_in(passage, periods_of(passage.clock, conflicts)):
        yield at, Layer.PERIOD, Weight.PLAIN


def _in_time(struck: Struck) -> tuple[Fraction, int]:
    return struck[0], rank(struck[1])


# The strokes of a conflict: my side, the other side, and both as one rhythm.


@dataclass(frozen=True, slots=True)
class Sides:
    """The strokes of all conflicts in one bar or more, as clock times, each once."""

    mine: set[Fraction] = field(default_factory=set)
    """Where my side strikes."""
    theirs: set[Fraction] = field(default_factory=set)
    """Where the other side strikes; both sides, where I am on neither."""
    together: set[Fraction] = field(default_factory=set)
    """Where the two sides of one conflict meet."""
    moved: set[Fraction] = field(default_factory=set)
    """Where short notes of dotted rhythms are struck with the triplet, not as written."""

    @property
    def resultant(self) -> set[Fraction]:
        """Where anybody strikes."""
        return self.mine | self.theirs


def sides(
    passage: Passage, conflicts: Sequence[Conflict], *, is_with_triplet: bool = False
) -> Sides:
    """Every stroke of the conflicts in a passage; where a dotted rhythm meets triplets, with its
    second note as written or with the triplet.

    None if barlines travel apart: there no bar is common to two sides.
    """
    found = Sides()
    if not passage.clock.barlines_coincide:
        return found
    for bar in passage.bars:
        for conflict in _heard(passage.part_id, bar.number, conflicts):
            if conflict.is_dotted and is_with_triplet:
                more, dotted = conflict.sides
                moved = replace(conflict, sides=(more, dotted.with_triplet))
                found.moved.update(
                    _strokes(passage, bar.number, moved, moved.sides[1])
                    - _strokes(passage, bar.number, conflict, dotted)
                )
                conflict = moved
            _strike(found, passage, bar.number, conflict)
    return found


def _heard(part: str, bar: int, conflicts: Sequence[Conflict]) -> Sequence[Conflict]:
    live = [c for c in conflicts if c.first <= bar <= c.last and not c.is_notated]
    own = [c for c in live if any(part in side.parts for side in c.sides)]
    return own or live


def _strike(found: Sides, passage: Passage, bar: int, conflict: Conflict) -> None:
    """Add one conflict in one bar, in the beats it sits in.

    A part on both sides (two hands at one instrument) has the side of more notes as its own.
    """
    a, b = (_strokes(passage, bar, conflict, side) for side in conflict.sides)
    found.together.update(a & b)
    me = passage.part_id
    if me in conflict.sides[0].parts:
        found.mine.update(a)
        found.theirs.update(b)
    elif me in conflict.sides[1].parts:
        found.mine.update(b)
        found.theirs.update(a)
    else:
        found.theirs.update(a | b)


def _strokes(passage: Passage, bar: int, conflict: Conflict, side: Side) -> set[Fraction]:
    cut = beat_cuts if conflict.level == "beat" else bar_cuts
    within = conflict.beats_in(bar)
    place = divided_bar(passage.clock, conflict, bar)
    return {at for at in cut(place, side.cuts) if is_inside(place, within, at)}
