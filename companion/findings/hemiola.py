"""Hemiola in the narrow sense: bars of three articulated as if they were of two, in succession.

Two bars of 3/4 become three groups of two beats; a bar of 6/8 becomes three quarters; a bar
of 3/4 becomes two dotted quarters. (The New Grove, 1980, as quoted in an encyclopedia, has
the first as the narrow meaning.) Three notes against two *at the same time* are a conflict
(`conflicts.py`), never called hemiola here; but a hemiola in some parts while others keep
the bar is a pull too, and the finding says against whom. If nobody keeps the bar, all
change their feel together.

A part shows a hemiola in the very bars, from barline to barline, in one of these ways:

- `rhythm`: it strikes at the heads of the groups and nowhere else, held over the middle or
  all equally long, ties counted in; or all three groups have one rhythm of unequal notes;
- `pitch`: it plays equal notes and the highest change at the heads of the groups and only
  there, the next bar's first included;
- `accent`: it has accents at the heads of the groups and only there;
- a repeated figure of that length fills the bars (`figures.py`), shown by what repeats, or
  accents, slurs, beams or low notes begin such groups again and again; the
  finding then reaches as far as the figure does, but not into a bar that keeps the meter.

What it cannot see: a hemiola of harmonies alone, where every part goes on in plain beats.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from companion.findings.figures import Figure, figures
from companion.rhythm.meter import Meter
from companion.score.texture import BarSpan, MeterRun, PartStream, Sound, Texture

ACROSS_BARS = "three twos across two bars"
THREE_IN_TWO = "three in a bar of two"
TWO_IN_THREE = "two in a bar of three"


class Hemiola(Struct, frozen=True, tag=True):
    """A stretch of bars that some parts articulate so."""

    first: int
    last: int
    kind: str
    """ACROSS_BARS, THREE_IN_TWO (3/4 feel in 6/8) or TWO_IN_THREE (6/8 feel in 3/4)."""
    meter: Meter
    parts: tuple[str, ...]
    against: tuple[str, ...]
    """Ids of the parts that strike where the written meter wants it and the hemiola does not:
    on the barline in the middle, on a beat the groups pass over."""
    evidence: tuple[str, ...]
    """`accent`, `beam`, `low`, `pitch`, `rhythm`, `slur`: what shows it, in one part or another."""
    answering: tuple[str, ...] = ()
    """Of those against, the ones that strike once in every group, always as long after its
    head: they go with the groups, and meet the written meter only on their way. Where only
    every other bar is regrouped, in each of those."""
    alternates: bool = False
    """Whether only every other bar is regrouped, the last one too, and the ones between keep the
    meter: a pattern of two bars, 6/8 and 3/4."""
    start: int = 0
    """Grain of the first head."""

    @property
    def is_change_of_feel(self) -> bool:
        """Whether nobody keeps the written meter."""
        return not self.against


class Shape(Struct, frozen=True):
    """One way to regroup bars."""

    kind: str
    bars: int
    groups: int


class _Place(Struct, frozen=True):
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
    # Who regroups the bars of a place, and by what signs it shows; and the grains to which a
    # figure goes on before the first and after the last of its whole bars.
    doing: dict[_Place, dict[str, set[str]]] = {}
    reach: dict[_Place, list[int]] = {}
    for figure in figures(texture) if known is None else known:
        places = figure_places(figure)
        for place in places:
            doing.setdefault(place, {}).setdefault(figure.part, set()).update(figure.evidence)
        for place, at in zip(
            places[:1] + places[-1:], (figure.start, figure.end - 1), strict=False
        ):
            if not _leaves_the_bar(texture, figure, place, at):
                reach.setdefault(place, []).append(at)
    for stream in texture.streams:
        for place, evidence in _shown(stream):
            doing.setdefault(place, {}).setdefault(stream.part, set()).update(evidence)
    order = [stream.part for stream in texture.streams]
    found: list[Hemiola] = []
    for place in sorted(doing, key=lambda place: (place.start, place.end)):
        _append(found, _hemiola(texture, place, doing[place], reach.get(place, [])), order)
    found = _patterns_of_two_bars(texture, found)
    return tuple(sorted(found, key=lambda h: (h.first, h.last, h.kind)))


def figure_places(figure: Figure) -> tuple[_Place, ...]:
    """The bars that a repeated figure regroups as a hemiola; none if it is none."""
    for shape in shapes(figure.run.meter):
        if figure.length * shape.groups == figure.run.full * shape.bars:
            inside = [
                bar
                for bar in figure.run.bars
                if figure.start <= bar.start and bar.end <= figure.end
            ]
            # The first bar that begins with a group: of two bars of three only every other does.
            first = next((at for at, bar in enumerate(inside) if _is_head(figure, bar.start)), 0)
            windows = [inside[i : i + shape.bars] for i in range(first, len(inside), shape.bars)]
            places = [_place(window, shape, figure.run) for window in windows]
            return tuple(place for place in places if place and _is_head(figure, place.start))
    return ()


def _leaves_the_bar(texture: Texture, figure: Figure, place: _Place, at: int) -> bool:
    """Whether the bar of a figure's first or last grain keeps the meter all the same: the figure
    stops short of its beats, and they are struck there and not the heads of further groups."""
    bar = texture.bar_at(at)
    beat = (place.end - place.start) // len(place.meter.beats)
    beats = range(bar.start + beat, bar.end, beat)
    if place.shape.bars > 1 or any(figure.start < one < figure.end for one in beats):
        return False
    first = bar.start + (place.start - bar.start) % figure.length
    strikes = set(texture.of(figure.part).strikes_between(bar.start, bar.end))
    return strikes.issuperset(beats) and not strikes.issuperset(
        range(first, bar.end, figure.length)
    )


def _is_head(figure: Figure, at: int) -> bool:
    """Whether a group may begin there."""
    return figure.head is None or (at - figure.head) % figure.length == 0


def _shown(stream: PartStream) -> Iterator[tuple[_Place, tuple[str, ...]]]:
    """Where one part shows a hemiola by itself, and how."""
    strikes = set(stream.strikes)
    for run in stream.runs:
        for shape in shapes(run.meter):
            free = run.start  # bars before this belong to a hemiola already
            group = run.full * shape.bars // shape.groups
            reach = group * shape.groups
            for index, bar in enumerate(run.bars):
                # Most bars do not strike every head, which is quickly seen.
                if not strikes.issuperset(range(bar.start, bar.start + reach, group)):
                    continue
                bars = run.bars[index : index + shape.bars]
                if bar.start < free or not _are_full(bars, shape, run):
                    continue
                evidence = signs(stream, bar.start, bars[-1].end, shape.groups)
                place = _place(bars, shape, run) if evidence else None
                if place is not None:
                    free = place.end
                    yield place, evidence


def _are_full(bars: Sequence[BarSpan], shape: Shape, run: MeterRun) -> bool:
    return len(bars) == shape.bars == [bar.length for bar in bars].count(run.full)


def _place(bars: Sequence[BarSpan], shape: Shape, run: MeterRun) -> _Place | None:
    """The bars as a place for a hemiola; None if they are too few or not full."""
    if not _are_full(bars, shape, run):
        return None
    meter = run.meter
    start, end = bars[0].start, bars[-1].end
    if shape.bars > 1:
        return _Place(shape, meter, start, end, tuple(bar.start for bar in bars[1:]))
    # No group begins on them: in 3/4 taken as two the second and third beat, in 6/8 the second.
    beat = (end - start) // len(meter.beats)
    return _Place(shape, meter, start, end, tuple(range(start + beat, end, beat)))


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
    earliest = min(place.start, *reach, place.start)
    group = (place.end - place.start) // place.shape.groups
    return Hemiola(
        texture.bar_at(earliest).number,
        texture.bar_at(max(place.end - 1, *reach, place.start)).number,
        place.shape.kind,
        place.meter,
        tuple(stream.part for stream in texture.streams if stream.part in doing),
        tuple(stream.part for stream in against),
        tuple(sorted(set().union(*doing.values()))),
        tuple(stream.part for stream in against if _answers(stream, place)),
        start=place.start - (place.start - earliest) // group * group,
    )


def _answers(stream: PartStream, place: _Place) -> bool:
    group = (place.end - place.start) // place.shape.groups
    struck = stream.strikes_between(place.start, place.end)
    after = {(at - place.start) % group for at in struck}
    return len(struck) == place.shape.groups and len(after) == 1 and after != {0}


def _append(found: list[Hemiola], new: Hemiola, order: Sequence[str]) -> None:
    """Lengthens the one before if the same parts go on, still against others or still not."""
    # Hemiolas of other parts or kinds may lie between, but only a few at one place.
    for index, old in enumerate(found[-4:], max(0, len(found) - 4)):
        same = (old.kind, old.meter, old.parts) == (new.kind, new.meter, new.parts)
        if same and bool(old.against) == bool(new.against) and old.last + 1 >= new.first:
            found[index] = replace(
                old,
                last=max(old.last, new.last),
                against=tuple(part for part in order if part in old.against + new.against),
                evidence=tuple(sorted({*old.evidence, *new.evidence})),
                answering=_in_all((old.answering, new.answering)),
            )
            return
    found.append(new)


def _in_all(several: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    first, *others = several
    return tuple(part for part in first if all(part in other for other in others))


def _patterns_of_two_bars(texture: Texture, found: Sequence[Hemiola]) -> list[Hemiola]:
    """One finding if the same parts regroup every other bar and keep the meter between."""
    single: dict[tuple[object, ...], list[Hemiola]] = {}
    for hemiola in found:
        if hemiola.first == hemiola.last:
            single.setdefault((hemiola.kind, hemiola.meter, hemiola.parts), []).append(hemiola)
    left = list(found)
    for alike in single.values():
        for row in _every_other_bar(texture, alike):
            begins = row[0].first - _keeps_meter(texture, row[0].first - 1, row[0])
            against = {part for one in row for part in one.against}
            evidence = {sign for one in row for sign in one.evidence}
            left = [one for one in left if one not in row]
            left.append(
                replace(
                    row[0],
                    first=begins,
                    last=row[-1].last,
                    against=tuple(s.part for s in texture.streams if s.part in against),
                    evidence=tuple(sorted(evidence)),
                    answering=_in_all(one.answering for one in row),
                    alternates=True,
                )
            )
    return left


def _every_other_bar(texture: Texture, alike: Sequence[Hemiola]) -> Iterator[list[Hemiola]]:
    row: list[Hemiola] = []
    for hemiola in alike:
        if row and hemiola.first == row[-1].first + 2:
            if _keeps_meter(texture, hemiola.first - 1, hemiola):
                row.append(hemiola)
                continue
        if len(row) > 1:
            yield row
        row = [hemiola]
    if len(row) > 1:
        yield row


def _keeps_meter(texture: Texture, number: int, hemiola: Hemiola) -> bool:
    """Whether the hemiola's parts strike every beat of another bar in the same meter."""
    if number < 1:
        return False
    bar, beats = texture.bars[number - 1], len(hemiola.meter.beats)
    return bar.length % beats == 0 and all(
        texture.of(part).meters[number - 1] == hemiola.meter
        and all(
            texture.of(part).strikes_between(at, at + 1)
            for at in range(bar.start, bar.end, bar.length // beats)
        )
        for part in hemiola.parts
    )


# How one part shows, in its own bars, that it regroups them.


def signs(stream: PartStream, start: int, end: int, groups: int) -> tuple[str, ...]:
    """Which of `accent`, `pitch`, `rhythm` show equal groups from `start` to `end` in a part."""
    strikes = stream.strikes
    first, last = bisect_left(strikes, start), bisect_left(strikes, end)
    struck = strikes[first:last]
    heads = range(start, end, (end - start) // groups)
    if len(struck) < groups or struck[0] != start or not set(heads).issubset(struck):
        return ()
    # Two groups in a bar of three are shown by accents, or by two equal notes: a change of pitch
    # or a rhythm that comes twice happens in any bar.
    found: list[str] = []
    sounds = stream.melody[first:last]
    if any(sound.is_accented for sound in sounds) and _is_accented_at(sounds, heads):
        found.append("accent")
    is_even = struck == tuple(range(start, end, (end - start) // len(struck)))
    if groups > 2 and len(struck) > groups and is_even:
        if _changes_pitch_at(stream.melody, first, last, heads):
            found.append("pitch")
    if len(struck) == groups:
        if _are_groups(stream, first, last, start + (end - start) // 2):
            found.append("rhythm")
    elif groups > 2 and _is_one_rhythm(struck, heads):
        found.append("rhythm")
    return tuple(found)


def _is_accented_at(sounds: Sequence[Sound], heads: range) -> bool:
    """The head on the barline may do without: the barline is its accent in groups of three."""
    accented = {sound.at for sound in sounds if sound.is_accented}
    needed = set(heads[1:]) if len(heads) > 2 else set(heads)
    return needed <= accented <= set(heads)


def _are_groups(stream: PartStream, first: int, last: int, middle: int) -> bool:
    """Single notes group the bars if the one before the middle is held over it, or all
    last equally long: two notes of a bar and one of the next with rests between do not."""
    sounds = stream.melody[first:last]
    if len({sound.length for sound in sounds}) == 1:
        return True
    return len(sounds) > 2 and any(sound.at < middle < sound.end for sound in sounds)


def _changes_pitch_at(melody: Sequence[Sound], first: int, last: int, heads: range) -> bool:
    """Whether the pitch is another one exactly at the heads and after the last group."""
    if last < len(melody) and melody[last].pitch == melody[last - 1].pitch:
        return False
    changes = {
        melody[i].at for i in range(first, last) if not i or melody[i].pitch != melody[i - 1].pitch
    }
    return changes == set(heads)


def _is_one_rhythm(struck: Sequence[int], heads: range) -> bool:
    """Whether every group has the same rhythm, and one that does not repeat within it."""
    if len(struck) % len(heads):
        return False
    rhythm = [at - heads.start for at in struck[: len(struck) // len(heads)]]
    if list(struck) != [head + at for head in heads for at in rhythm]:
        return False
    lengths = [b - a for a, b in pairwise((*rhythm, heads.step))]
    count = len(lengths)
    return not any(
        count % size == 0 and lengths == lengths[:size] * (count // size)
        for size in range(1, count)
    )
