"""Progress as SVG 1.1, for a teacher's folder or a printed page; as PNG with a small extra.

Every sign differs in shape or darkness as well as in colour, and every state is named next to
its sign.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

from companion.errors import CompanionError, RequestError
from companion.files.whole_file import write_whole
from companion.practice.mastery.progress_series import TempoPoint, Week
from companion.practice.mastery.states import MasteryState
from companion.publish.svg import element, path, rect, text, title
from companion.publish.text_charts import BOUNDS, shade

WIDTH, HEIGHT = 720, 320
_LEFT, _TOP, _RIGHT, _BOTTOM = 56, 44, 20, 56
_INK, _PALE, _GOAL = "#1f2933", "#9aa5b1", "#b44d12"
_SHADES = ("#f2f4f7", "#cfe0ea", "#93bcd1", "#4a86a8", "#174e6e")
_STATES = {
    MasteryState.NEW: "#f2f4f7",
    MasteryState.TAKING_SHAPE: "#cfe0ea",
    MasteryState.WITH_CLICK: "#93bcd1",
    MasteryState.HOLDS: "#4a86a8",
    MasteryState.READY: "#174e6e",
    MasteryState.RETURN: "#f0b37e",
}
_CELL = 14


def curve_svg(points: Sequence[TempoPoint], goal: Fraction | None, heading: str) -> str:
    """A passage's tempo over time: filled without the click, hollow with it, a cross for none."""
    tempos = [float(point.tempo) for point in points] + ([float(goal)] if goal else [])
    low, high = min(tempos, default=0.0), max(tempos, default=1.0)
    first = points[0].day if points else date.min
    span = max(1, (points[-1].day - first).days) if points else 1
    wide, tall = WIDTH - _LEFT - _RIGHT, HEIGHT - _TOP - _BOTTOM

    def across(day: date) -> float:
        return _LEFT + wide * (day - first).days / span

    def down(tempo: float) -> float:
        return _TOP + (tall * (high - tempo) / (high - low) if high > low else tall / 2)

    base = HEIGHT - _BOTTOM
    parts = [
        _text(_LEFT, 24, heading, size=16),
        _line(_LEFT, base, WIDTH - _RIGHT, base, _PALE),
        _line(_LEFT, _TOP, _LEFT, base, _PALE),
        *(_text(_LEFT - 8, down(t) + 4, f"{t:g}", anchor="end") for t in sorted({low, high})),
    ]
    if goal is not None:
        at = down(float(goal))
        parts.append(_line(_LEFT, at, WIDTH - _RIGHT, at, _GOAL, dashes="6 4"))
        parts.append(_text(WIDTH - _RIGHT, at - 6, "goal", anchor="end"))
    parts += [_mark(point, across(point.day), down(float(point.tempo))) for point in points]
    if points:
        parts.append(_text(_LEFT, base + 18, first.isoformat()))
        parts.append(_text(WIDTH - _RIGHT, base + 18, points[-1].day.isoformat(), anchor="end"))
    legend = "filled: held without the click · hollow: held with it · cross: did not hold"
    parts.append(_text(_LEFT, HEIGHT - 12, legend))
    return _whole(WIDTH, HEIGHT, parts)


def _mark(point: TempoPoint, x: float, y: float) -> str:
    if not point.has_held:
        return path(f"M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8", _INK, 1.5)
    fill = _SHADES[4] if point.is_alone else "white"
    return element("circle", cx=x, cy=y, r=4, fill=fill, stroke=_SHADES[4])


def calendar_svg(weeks: Sequence[Week], heading: str) -> str:
    """Minutes a day: a column a week, Monday on top, darker for more."""
    step = _CELL + 3
    width = max(360, _LEFT + step * len(weeks) + _RIGHT)
    parts = [_text(_LEFT, 24, heading, size=16)]
    for number, day in enumerate("MTWTFSS"):
        parts.append(_text(_LEFT - 10, _TOP + step * number + 11, day, anchor="end"))
    for column, week in enumerate(weeks):
        x = _LEFT + step * column
        for row, minutes in enumerate(week.minutes):
            fill = _SHADES[shade(minutes)]
            parts.append(_cell(x, _TOP + step * row, fill, f"{minutes:.0f} min"))
    base = _TOP + step * 7
    if weeks:
        begin, end = weeks[0].monday.isoformat(), weeks[-1].monday.isoformat()
        parts.append(_text(_LEFT, base + 16, f"weeks of {begin} to {end}"))
    bounds = ["none", *(f"under {bound} min" for bound in BOUNDS), "more"]
    parts += _legend(zip(bounds, _SHADES, strict=True), base + 28)
    return _whole(width, base + 52, parts)


def heat_svg(heat: Sequence[MasteryState | None], names: Sequence[str], heading: str) -> str:
    """The bars of a part, thirty to a line, each in the shade of its state."""
    row = 30
    step = _CELL + 3
    parts = [_text(_LEFT, 24, heading, size=16)]
    for index, how in enumerate(heat):
        x, y = _LEFT + step * (index % row), _TOP + (step + 6) * (index // row)
        if index % row == 0:
            parts.append(_text(_LEFT - 8, y + 11, names[index], anchor="end"))
        told = f"bar {names[index]}: {how.value if how else 'no passage'}"
        parts.append(_cell(x, y, _STATES[how] if how else "none", told))
    base = _TOP + (step + 6) * -(-len(heat) // row)
    parts += _legend(((how.value, fill) for how, fill in _STATES.items()), base + 8)
    return _whole(WIDTH, base + 34, parts)


def _legend(entries: Iterable[tuple[str, str]], y: float) -> list[str]:
    parts, x = [], float(_LEFT)
    for name, fill in entries:
        parts.append(_cell(x, y, fill, name))
        parts.append(_text(x + _CELL + 4, y + 11, name, size=11))
        x += _CELL + 16 + 6.2 * len(name)
    return parts


def _cell(x: float, y: float, fill: str, told: str) -> str:
    look: dict[str, str | float] = {"fill": fill, "stroke": _PALE, "stroke_width": 0.5, "rx": 2}
    return rect(x, y, _CELL, _CELL, title(told), **look)


def _line(x1: float, y1: float, x2: float, y2: float, ink: str, dashes: str | None = None) -> str:
    return path(f"M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}", ink, stroke_dasharray=dashes)


def _text(x: float, y: float, words: str, *, size: int = 12, anchor: str | None = None) -> str:
    return text(x, y, words, size, text_anchor=anchor, fill=_INK)


def _whole(width: float, height: float, parts: Iterable[str]) -> str:
    picture = element(
        "svg",
        rect(0, 0, width, height, fill="white"),
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        version="1.1",
        viewBox=f"0 0 {width:.0f} {height:.0f}",
        width=width,
        height=height,
        font_family="sans-serif",
    )
    return picture + "\n"


# A picture written to a file, as its ending says: SVG by ourselves, PNG by a small library.


_ENDINGS = (".svg", ".png")
"""What a picture can be written as."""

_PAINTER = "resvg_py"
_ZOOM = 2
"""A PNG has twice as many pixels as the SVG has units, for paper and good screens."""


def write_picture(svg: str, out: Path) -> None:
    """Write a picture. Raises RequestError for another ending, CompanionError where it fails."""
    ending = out.suffix.lower()
    if ending not in _ENDINGS:
        raise RequestError(
            f"a picture cannot be written as “{out.suffix or out.name}”",
            where=str(out),
            next=f"End its name in {' or '.join(_ENDINGS)}.",
        )
    content = svg.encode("utf-8") if ending == ".svg" else _painted(svg)
    write_whole(out, content)


def _painted(svg: str) -> bytes:
    if find_spec(_PAINTER) is None:
        raise CompanionError(
            f"a PNG needs the library {_PAINTER}, which is not installed",
            next=f"Install it with: pip install {_PAINTER}, or write .svg.",
        )
    from resvg_py import svg_to_bytes

    return bytes(svg_to_bytes(svg_string=svg, zoom=_ZOOM))
