"""Calendars and bars as cells of one character, darker for more; they read without colour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from companion.practice.mastery.progress_series import TempoPoint, Week
from companion.practice.mastery.states import MasteryState
from companion.wording.phrases import bpm_told

SHADES = "·░▒▓█"
BOUNDS = (15, 30, 60)
"""Minutes from which a day is drawn darker than its lightest shade."""

STATES = {
    MasteryState.NEW: "·",
    MasteryState.TAKING_SHAPE: "░",
    MasteryState.WITH_CLICK: "▒",
    MasteryState.HOLDS: "▓",
    MasteryState.READY: "█",
    MasteryState.RETURN: "!",
}
UNTOUCHED = " "
_A_ROW = 60
_A_GROUP = 10


def shade(minutes: float) -> int:
    """0 for a day without practice to 4 for an hour or more."""
    if minutes <= 0:
        return 0
    return 1 + sum(minutes >= bound for bound in BOUNDS)


def calendar_lines(weeks: Sequence[Week]) -> Iterator[str]:
    """One line a week: its Monday, its days, its minutes."""
    yield f"{'':10}  M T W T F S S"
    for week in weeks:
        days = " ".join(SHADES[shade(minutes)] for minutes in week.minutes)
        yield f"{week.monday.isoformat()}  {days}  {week.total:5.0f} min"
    yield (
        f"{SHADES[0]} none  {SHADES[1]} under {BOUNDS[0]} min  {SHADES[2]} under {BOUNDS[1]}  "
        f"{SHADES[3]} under {BOUNDS[2]}  {SHADES[4]} more"
    )


def heat_lines(
    heat: Sequence[MasteryState | None], names: Sequence[str], width: int = 80
) -> Iterator[str]:
    """The bars of a part in groups of ten, as many to a line as fit, sixty at most, after the
    name of its first bar."""
    widest = max(map(len, names[::_A_GROUP]), default=0)
    groups_fit = (width - widest - 2) // (_A_GROUP + 1)
    a_row = _A_GROUP * min(max(1, groups_fit), _A_ROW // _A_GROUP)
    margin = max(map(len, names[::a_row]), default=0)
    for begin in range(0, len(heat), a_row):
        row = [STATES[how] if how else UNTOUCHED for how in heat[begin : begin + a_row]]
        groups = ("".join(row[at : at + _A_GROUP]) for at in range(0, len(row), _A_GROUP))
        yield f"{names[begin]:>{margin}} │{'│'.join(groups)}│"
    yield "  ".join(f"{cell} {how.value}" for how, cell in STATES.items()) + "  (blank) no passage"


# A passage's tempo over time, drawn in characters.


ALONE, WITH_CLICK, FAILED = "●", "○", "×"
GOAL = "┄"
_LEGEND = f"{ALONE} held without the click  {WITH_CLICK} held with it  {FAILED} did not hold"
_AXIS = 6
"""Columns for the numbers at the left."""


def curve(
    points: Sequence[TempoPoint], goal: Fraction | None, width: int = 72, height: int = 12
) -> list[str]:
    """Lines of `width` columns; `height` of them are the picture. None for no points."""
    if not points:
        return []
    tempos = [point.tempo for point in points] + ([goal] if goal else [])
    low, high = min(tempos), max(tempos)
    columns = max(1, width - _AXIS)
    rows = [[" "] * columns for _ in range(height)]
    if goal is not None:
        rows[_row(goal, low, high, height)] = [GOAL] * columns
    first, last = points[0].day, points[-1].day
    for point in points:
        column = _column(point.day, first, last, columns)
        rows[_row(point.tempo, low, high, height)][column] = sign(point)
    numbers = {_row(tempo, low, high, height): tempo for tempo in (low, high, goal) if tempo}
    drawn = [
        f"{_number(numbers.get(index)):>{_AXIS - 2}} │{''.join(row)}".rstrip()
        for index, row in enumerate(rows)
    ]
    return [*drawn, " " * (_AXIS - 1) + "└" + "─" * columns, _days(first, last, columns), _LEGEND]


def sign(point: TempoPoint) -> str:
    """How a day is drawn."""
    if not point.has_held:
        return FAILED
    return ALONE if point.is_alone else WITH_CLICK


def _row(tempo: Fraction, low: Fraction, high: Fraction, height: int) -> int:
    """The row of a tempo, from the top; a picture of one tempo has it in the middle."""
    if high == low:
        return height // 2
    return round((high - tempo) / (high - low) * (height - 1))


def _column(day: date, first: date, last: date, columns: int) -> int:
    span = (last - first).days
    return (day - first).days * (columns - 1) // span if span else 0


def _number(tempo: Fraction | None) -> str:
    return bpm_told(tempo) if tempo else ""


def _days(first: date, last: date, columns: int) -> str:
    begin, end = first.isoformat(), last.isoformat() if last != first else ""
    return " " * _AXIS + begin + end.rjust(columns - len(begin))
