"""A passage's tempo over time, drawn in characters.

Our own forty lines rather than a plotting library: what matters on this picture is which
days held with the click, which without and which not at all, and that a goal stands above
them. Of the two libraries looked at, one draws its points in one sign, labels every row with
a number of nine digits and loads numpy with its first picture (150 ms); the other brings a
compiled kernel, without a wheel for every machine, and 76 ms. It reads without colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from companion.practice.progress import TempoPoint

ALONE, WITH_CLICK, FAILED = "●", "○", "×"
GOAL = "┄"
LEGEND = f"{ALONE} held without the click  {WITH_CLICK} held with it  {FAILED} did not hold"
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
    return [*drawn, " " * (_AXIS - 1) + "└" + "─" * columns, _days(first, last, columns), LEGEND]


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
    return f"{round(float(tempo), 1):g}" if tempo else ""


def _days(first: date, last: date, columns: int) -> str:
    begin, end = first.isoformat(), last.isoformat() if last != first else ""
    return " " * _AXIS + begin + end.rjust(columns - len(begin))
