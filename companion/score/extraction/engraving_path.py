"""The outlines in engraved pages, as the four strokes every printing format knows.

Outlines come as SVG path data (W3C, SVG 1.1, chapter 8.3), where a point may be said
from the last one and a curve may leave out what follows from the one before.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

Point = tuple[float, float]

_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Z": 0}
"""How many numbers each command takes."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One move of the pen, in absolute coordinates."""

    kind: str
    """`M` set down, `L` straight, `C` curve, `Z` back to where the outline began."""
    points: tuple[Point, ...] = ()
    """Where to; for a curve its two control points before."""


@dataclass(slots=True)
class _Pen:
    at: Point = (0.0, 0.0)
    start: Point = (0.0, 0.0)
    control: Point | None = None


def strokes(path: str) -> Iterator[Stroke]:
    """The strokes of path data. Raises ValueError at a command the engraver never writes."""
    pen = _Pen()
    for command, numbers in _commands(path):
        kind = command.upper()
        if kind == "Z":
            pen.at, pen.control = pen.start, None
            yield Stroke("Z")
            continue
        base = pen.at if command.islower() else (0.0, 0.0)
        stroke = _MADE[kind](pen, base, numbers)
        pen.control = stroke.points[1] if stroke.kind == "C" else None
        pen.at = stroke.points[-1]
        if stroke.kind == "M":
            pen.start = pen.at
        yield stroke


def _commands(path: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with its numbers; a command said once holds for all numbers after it."""
    tokens = _TOKEN.findall(path)
    at, command = 0, ""
    while at < len(tokens):
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        count = _TAKES.get(command.upper())
        numbers = [float(token) for token in tokens[at : at + (count or 0)]]
        if count is None or len(numbers) < count:
            raise ValueError(f"path data: {command}")
        yield command, numbers
        at += count
        if command in "mM":
            command = "l" if command == "m" else "L"
        elif command in "zZ" and at < len(tokens) and not tokens[at].isalpha():
            raise ValueError("path data: numbers after Z")


def _pairs(base: Point, numbers: list[float]) -> tuple[Point, ...]:
    return tuple(
        (base[0] + x, base[1] + y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)
    )


def _smooth(pen: _Pen, base: Point, numbers: list[float]) -> Stroke:
    """A curve whose first control point mirrors the last one of the curve before."""
    before = pen.control or pen.at
    mirrored = (2 * pen.at[0] - before[0], 2 * pen.at[1] - before[1])
    return Stroke("C", (mirrored, *_pairs(base, numbers)))


_MADE: dict[str, Callable[[_Pen, Point, list[float]], Stroke]] = {
    "M": lambda pen, base, numbers: Stroke("M", _pairs(base, numbers)),
    "L": lambda pen, base, numbers: Stroke("L", _pairs(base, numbers)),
    "H": lambda pen, base, numbers: Stroke("L", ((base[0] + numbers[0], pen.at[1]),)),
    "V": lambda pen, base, numbers: Stroke("L", ((pen.at[0], base[1] + numbers[0]),)),
    "C": lambda pen, base, numbers: Stroke("C", _pairs(base, numbers)),
    "S": _smooth,
}
