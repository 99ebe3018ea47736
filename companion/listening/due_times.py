"""What is due in a whole click: the notes, beats and silent bars of every time through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from companion.click.plan.beats import beats, own_bars
from companion.click.plan.plan import ClickPlan, sounding_strokes
from companion.listening.due_notes import DueNote, due_notes
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class DueBeat:
    """One felt beat of the player's part."""

    seconds: float
    """From the beginning of the first time through."""
    length: float
    """Seconds until the next."""
    position: int
    """Ordinal bar it falls in."""
    number: int
    """In its own bar, from 1."""


@dataclass(frozen=True, slots=True)
class SilentBars:
    """Bars in a row in which the click was silent."""

    first: int
    """Ordinal."""
    last: int
    """Ordinal; before `first` if they go on in the next time through."""
    since: float
    """Seconds from the beginning of the first time through."""
    until: float
    """Seconds, likewise."""


@dataclass(frozen=True, slots=True)
class Due:
    """All that is due, in order."""

    notes: tuple[DueNote, ...]
    beats: tuple[DueBeat, ...]
    silent: tuple[SilentBars, ...] = ()


def due_in(passage: Passage, click: ClickPlan, times: int | None = None) -> Due:
    """What is due in so many times through, by default as many as the click has; seconds are
    counted from the end of the count-in."""
    click = replace(click, repeat=times or click.repeat)
    table = click.timetable
    notes: list[DueNote] = []
    counted: list[DueBeat] = []
    for number in range(click.repeat):
        begin = table.begin(number) - table.begin(0)
        pace = table.pace(number)
        notes += (replace(note, seconds=note.seconds + begin) for note in due_notes(passage, pace))
        for into, length, position, beat in _beats(passage):
            seconds = pace.seconds_at(into)
            long = pace.seconds_at(into + length) - seconds
            counted.append(DueBeat(float(begin + seconds), float(long), position, beat))
    return Due(tuple(notes), tuple(counted), tuple(_silent(passage, click)))


def _beats(passage: Passage) -> Iterator[tuple[Fraction, Fraction, int, int]]:
    """(clock time into the passage, length, ordinal bar, number in the bar)."""
    number = 0
    for place in own_bars(passage):
        for beat in beats(place):
            number = 1 if beat.is_first else number + 1
            if max(place.start, passage.start) <= beat.at < min(place.end, passage.end):
                bar = max(bar.number for bar in passage.bars if bar.start <= beat.at)
                yield beat.at - passage.start, beat.length, bar, number


def _silent(passage: Passage, click: ClickPlan) -> Iterator[SilentBars]:
    """The bars that silences leave without any stroke."""
    settings = click.click_settings
    if not settings.silences:
        return
    whole = replace(click, click_settings=replace(settings, silences=()))
    silent = sorted(_struck(whole) - _struck(click))
    bars, table = passage.bars, click.timetable
    start = table.begin(0)

    def edge(number: int, index: int) -> float:
        into = bars[index].start if index < len(bars) else passage.end
        return float(table.seconds(number, into - passage.start) - start)

    run: list[tuple[int, int]] = []
    for place, after in zip(silent, [*silent[1:], None], strict=True):
        run.append(place)
        follows = (place[0], place[1] + 1) if place[1] + 1 < len(bars) else (place[0] + 1, 0)
        if after != follows:
            (number, index), (last_number, last) = run[0], run[-1]
            yield SilentBars(
                bars[index].number,
                bars[last].number,
                edge(number, index),
                edge(last_number, last + 1),
            )
            run = []


def _struck(click: ClickPlan) -> set[tuple[int, int]]:
    """(time through, index of the bar in the passage) of every bar in which something sounds."""
    first = click.bar_starts[0][0]
    begin = click.count_in_length
    return {
        (int((stroke.at - begin) // click.pass_length), stroke.bar - first)
        for stroke in sounding_strokes(click)
        if stroke.at >= begin
    }
