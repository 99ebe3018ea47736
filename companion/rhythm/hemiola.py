"""Hemiola in the narrow sense: bars of three articulated as if they were of two, in succession.

Two bars of 3/4 become three groups of two beats; a bar of 6/8 becomes three quarters; a bar
of 3/4 becomes two dotted quarters. (The New Grove, 1980, as quoted in an encyclopedia, has
the first as the narrow meaning.) Three notes against two *at the same time* are a conflict
(`conflicts.py`), never called hemiola here; but a hemiola in some parts while others keep
the bar is a pull too, and the finding says against whom. Where nobody keeps the bar, all
change their feel together.

A part shows a hemiola in the very bars, from barline to barline, in one of these ways:

- `rhythm`: it strikes at the heads of the groups and nowhere else, held over the middle or
  all equally long, ties counted in; or all three groups have one rhythm of unequal notes;
- `pitch`: it plays equal notes and the highest change at the heads of the groups and only
  there, the next bar's first included;
- `accent`: it has accents at the heads of the groups and only there;
- a repeated figure of that length fills the bars (`crossing.py`), shown by what repeats; the
  finding then reaches as far as the figure does.

What it cannot see: a hemiola of harmonies alone, where every part goes on in plain beats.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from companion.rhythm.crossing import Figure, figures
from companion.rhythm.hemiola_signs import signs
from companion.rhythm.meter import Meter
from companion.rhythm.meter_runs import MeterRun, meter_runs
from companion.rhythm.stream import Span, Stream, Texture

ACROSS_BARS = "three twos across two bars"
THREE_IN_TWO = "three in a bar of two"
TWO_IN_THREE = "two in a bar of three"


@dataclass(frozen=True, slots=True)
class Hemiola:
    """A stretch of bars that some parts articulate so."""

    first: int
    """Ordinal position of its first bar."""
    last: int
    """Ordinal position of its last bar."""
    kind: str
    """ACROSS_BARS, THREE_IN_TWO (3/4 feel in 6/8) or TWO_IN_THREE (6/8 feel in 3/4)."""
    meter: Meter
    """The meter as written."""
    parts: tuple[str, ...]
    """Ids of the parts that do it, from the top of the page."""
    against: tuple[str, ...]
    """Ids of the parts that strike where the written meter wants it and the hemiola does not:
    on the barline in the middle, on a beat the groups pass over."""
    evidence: tuple[str, ...]
    """`accent`, `pitch`, `rhythm`: what shows it, in one part or another."""
    answering: tuple[str, ...] = ()
    """Of those against, the ones that strike once in every group, always as long after its
    head: they go with the groups, and meet the written meter only on their way."""

    @property
    def is_change_of_feel(self) -> bool:
        """Whether nobody keeps the written meter."""
        return not self.against


@dataclass(frozen=True, slots=True)
class Shape:
    """One way to regroup bars."""

    kind: str
    """As in Hemiola."""
    bars: int
    """How many bars it takes."""
    groups: int
    """Into how many equal groups they are cut."""


@dataclass(frozen=True, slots=True)
class _Place:
    """Bars that can be regrouped."""

    shape: Shape
    meter: Meter
    start: int
    end: int
    middle: tuple[int, ...]
    """Grains where the written meter has its barline or beat and the groups have no head."""


def shapes(meter: Meter) -> tuple[Shape, ...]:
    """The hemiolas a meter can have: none but in three beats or in two compound ones."""
    if not meter.is_even:
        return ()
    if len(meter.beats) == 2 and meter.is_compound:
        return (Shape(THREE_IN_TWO, 1, 3),)
    if len(meter.beats) != 3:
        return ()
    across = Shape(ACROSS_BARS, 2, 3)
    return (across,) if meter.is_compound else (across, Shape(TWO_IN_THREE, 1, 2))


def hemiolas(texture: Texture, known: Sequence[Figure] | None = None) -> tuple[Hemiola, ...]:
    """Every hemiola, in order of bars; `known` are the texture's figures if at hand already."""
    doing: dict[_Place, dict[str, set[str]]] = {}
    reach: dict[_Place, list[int]] = {}
    for figure in figures(texture) if known is None else known:
        places = figure_places(figure)
        for place in places:
            doing.setdefault(place, {}).setdefault(figure.part, set()).update(figure.evidence)
        for place, at in zip(
            places[:1] + places[-1:], (figure.start, figure.end - 1), strict=False
        ):
            reach.setdefault(place, []).append(at)
    for stream in texture.streams:
        for place, evidence in _shown(stream):
            doing.setdefault(place, {}).setdefault(stream.part, set()).update(evidence)
    order = [stream.part for stream in texture.streams]
    found: list[Hemiola] = []
    for place in sorted(doing, key=lambda place: (place.start, place.end)):
        _append(found, _hemiola(texture, place, doing[place], reach.get(place, [])), order)
    return tuple(sorted(found, key=lambda h: (h.first, h.last, h.kind)))


def figure_places(figure: Figure) -> tuple[_Place, ...]:
    """The bars that a repeated figure regroups as a hemiola; none where it is none."""
    for shape in shapes(figure.run.meter):
        if figure.length * shape.groups == figure.run.full * shape.bars:
            inside = [
                bar
                for bar in figure.run.bars
                if figure.start <= bar.start and bar.end <= figure.end
            ]
            windows = [inside[i : i + shape.bars] for i in range(0, len(inside), shape.bars)]
            places = [_place(window, shape, figure.run) for window in windows]
            return tuple(place for place in places if place)
    return ()


def _shown(stream: Stream) -> Iterator[tuple[_Place, tuple[str, ...]]]:
    """Where one part shows a hemiola by itself, and how."""
    for run in meter_runs(stream):
        for shape in shapes(run.meter):
            free = run.start
            for index, bar in enumerate(run.bars):
                place = _place(run.bars[index : index + shape.bars], shape, run)
                if place is None or bar.start < free:
                    continue
                evidence = signs(stream, place.start, place.end, shape.groups)
                if evidence:
                    free = place.end
                    yield place, evidence


def _place(bars: Sequence[Span], shape: Shape, run: MeterRun) -> _Place | None:
    """The bars as a place for a hemiola; None where they are too few or not full."""
    if len(bars) < shape.bars or any(bar.length != run.full for bar in bars):
        return None
    meter = run.meter
    start, end = bars[0].start, bars[-1].end
    if shape.bars > 1:
        return _Place(shape, meter, start, end, tuple(bar.start for bar in bars[1:]))
    group, beat = (end - start) // shape.groups, (end - start) // len(meter.beats)
    middle = tuple(at for at in range(start + beat, end, beat) if (at - start) % group)
    return _Place(shape, meter, start, end, middle)


def _hemiola(
    texture: Texture, place: _Place, doing: dict[str, set[str]], reach: Sequence[int]
) -> Hemiola:
    """`reach` are grains to which figures go on before and after the whole bars."""
    against = [
        stream
        for stream in texture.streams
        if stream.part not in doing
        and any(stream.strikes_between(at, at + 1) for at in place.middle)
    ]
    return Hemiola(
        texture.bar_at(min(place.start, *reach, place.start)).number,
        texture.bar_at(max(place.end - 1, *reach, place.start)).number,
        place.shape.kind,
        place.meter,
        tuple(stream.part for stream in texture.streams if stream.part in doing),
        tuple(stream.part for stream in against),
        tuple(sorted(set().union(*doing.values()))),
        tuple(stream.part for stream in against if _answers(stream, place)),
    )


def _answers(stream: Stream, place: _Place) -> bool:
    group = (place.end - place.start) // place.shape.groups
    struck = stream.strikes_between(place.start, place.end)
    after = {(at - place.start) % group for at in struck}
    return len(struck) == place.shape.groups and len(after) == 1 and after != {0}


def _append(found: list[Hemiola], new: Hemiola, order: Sequence[str]) -> None:
    """Lengthens the one before where the same parts go on, still against others or still not."""
    for index, old in enumerate(found[-4:], max(0, len(found) - 4)):
        same = (old.kind, old.meter, old.parts) == (new.kind, new.meter, new.parts)
        if same and bool(old.against) == bool(new.against) and old.last + 1 >= new.first:
            found[index] = replace(
                old,
                last=max(old.last, new.last),
                against=tuple(part for part in order if part in old.against + new.against),
                evidence=tuple(sorted({*old.evidence, *new.evidence})),
                answering=tuple(
                    part for part in order if part in old.answering and part in new.answering
                ),
            )
            return
    found.append(new)
