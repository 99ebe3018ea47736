"""A passage as lanes in a page: where every part strikes, what lasts, and where beats fall.

Two bars to a line, so that a telephone shows them large enough. The page's script moves the
place along them; without it they are a picture like any other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from companion.publish.handout.lesson import Lesson
from companion.publish.svg import element, path, rect, text
from companion.score.clock import Bar
from companion.session.lanes import Lane, first_facing, lane

_WIDTH, _LEFT, _HEAD, _ROW, _FOOT = 400, 8, 22, 46, 12
"""In the picture's units: as wide as a line is, its margin, the bar numbers, a lane, the gap."""
_A_LINE = 2
MOST_LANES = 6
"""Parts that are drawn at most: mine, the one it faces, then from the top of the page."""
_INK, _PALE = "#1a1a1a", "#767676"


def lanes_picture(lesson: Lesson, parts: Sequence[int]) -> str:
    """The lanes of some parts, the player's own first, as an `svg` element.

    Each line is a group with the clock times at which it begins and ends.
    """
    passage = lesson.passage
    facing = first_facing(passage, lesson.open_score.conflicts)
    order = sorted(parts, key=lambda part: (part != passage.part, part != facing))[:MOST_LANES]
    bars = passage.bars
    lines = [bars[at : at + _A_LINE] for at in range(0, len(bars), _A_LINE)]
    height = _HEAD + _ROW * len(order) + _FOOT
    drawn = [
        _line(lesson, order, line, height * number, height) for number, line in enumerate(lines)
    ]
    names = ", ".join(lesson.open_score.score.parts[part].name for part in order)
    return element(
        "svg",
        *drawn,
        class_="lanes",
        role="img",
        aria_label=f"Lanes of {names}: a stroke where each note begins.",
        viewBox=f"0 0 {_WIDTH} {height * len(lines)}",
        font_family="sans-serif",
        fill=_INK,
    )


def _line(lesson: Lesson, order: Sequence[int], bars: Sequence[Bar], top: int, height: int) -> str:
    first, last, begin = bars[0].start, bars[-1].end, lesson.passage.start
    scale = Fraction(_WIDTH - 2 * _LEFT) / (last - first)

    def x(at: Fraction) -> float:
        return float(_LEFT + (at - first) * scale)

    foot = top + height - _FOOT
    pieces = [text(x(bar.start) + 2, top + 15, bar.name, 14, font_weight="bold") for bar in bars]
    for number, part in enumerate(order):
        own = lane(lesson.open_score.clock, part, bars)
        pieces += _lane(own, x, top + _HEAD + _ROW * number, is_mine=part == lesson.passage.part)
    pieces += [path(f"M{x(at):.1f} {top + 4}V{foot}", _PALE) for at in (first, last)]
    place = path(
        f"M{_LEFT} {top + 2}V{foot + 4}", "#b00020", 3, class_="place", visibility="hidden"
    )
    return element(
        "g",
        *pieces,
        place,
        class_="line",
        data_from=f"{float(first - begin):.9f}",
        data_to=f"{float(last - begin):.9f}",
        data_width=str(_WIDTH - 2 * _LEFT),
        data_left=str(_LEFT),
    )


def _lane(own: Lane, x: Callable[[Fraction], float], y: int, *, is_mine: bool) -> Iterator[str]:
    weight = "bold" if is_mine else None
    yield text(
        _LEFT + 2, y + 12, own.name, 13, font_weight=weight, fill=_INK if is_mine else "#4a4a4a"
    )
    line = y + 30
    for at in own.barlines:
        if x(at) <= _WIDTH - _LEFT and x(at) >= _LEFT:
            yield path(f"M{x(at):.1f} {y + 16}V{line + 12}", _PALE, 1.5)
    for at in own.beats:
        yield path(f"M{x(at):.1f} {line + 5}v7", _INK, 1.5)
    for begin, end in own.sounding:
        yield rect(x(begin), line - 2, max(1.0, x(end) - x(begin) - 2), 4, fill="#b8b8b8")
    for note in own.strokes:
        yield rect(x(note.at), line - 9, 5 if is_mine else 4, 18 if is_mine else 14, fill=_INK)
