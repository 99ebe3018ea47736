"""A screen as text: its lines, and how they look on a terminal of each grade of colour.

The lines come first, so that the number of a line in the file is that of the row on the screen.
Below, for each grade: the look of most signs, then every other look with its places, such as
`3-4: 1-12 20` for columns 1 to 12 and 20 of rows 3 and 4. Of a blank only the background counts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from rich.color import ANSI_COLOR_NAMES, Color, ColorSystem
from rich.style import Style
from textual.strip import Strip

Look = tuple[str, str]
"""Attributes and colour of the signs, empty for blanks; background, empty for the terminal's."""
Span = tuple[int, int]
"""The first and the last row or column, counted from 1."""
Run = tuple[Look, int, Span]
"""Neighbours in a row that look the same: how many words they hold, and their columns."""
SEEN_ON_BLANKS = ("underline", "underline2", "reverse", "strike")
NAMES = {number: name for name, number in ANSI_COLOR_NAMES.items()}
ATTRIBUTES = ("bold", "dim", "italic", "blink", *SEEN_ON_BLANKS)


@dataclass(frozen=True, slots=True)
class Seen:
    """What goes to a terminal: lines, and lines that tell their looks."""

    lines: tuple[str, ...]
    looks: tuple[str, ...]


def seen(strips: Sequence[Strip], colours: ColorSystem | None) -> Seen:
    """The rows of a screen on a terminal that has these colours."""
    rows = [list(_runs(strip, colours)) for strip in strips]
    return Seen(tuple(strip.text.rstrip() for strip in strips), tuple(_looks(rows)))


def as_text(grades: Mapping[str, Seen]) -> str:
    """One screen in all grades of colour; its lines are those of the first."""
    told = list(next(iter(grades.values())).lines)
    for grade, one in grades.items():
        told += ["", f"== {grade} ==", *one.looks]
    return "\n".join(told) + "\n"


def _runs(strip: Strip, colours: ColorSystem | None) -> Iterator[Run]:
    end = 0
    segments = [one for one in strip if not one.control]
    for style, found in groupby(segments, key=lambda one: one.style or Style.null()):
        same = list(found)
        text = "".join(one.text for one in same)
        begin, end = end + 1, end + sum(one.cell_length for one in same)
        yield _look(style, text, colours), len(text.split()), (begin, end)


def _look(style: Style, text: str, colours: ColorSystem | None) -> Look:
    words = [name for name in ATTRIBUTES if getattr(style, name)]
    background = _colour(style.bgcolor, colours)
    if not text.strip() and not set(words) & set(SEEN_ON_BLANKS):
        return "", background
    return " ".join([*words, _colour(style.color, colours) or "default"]), background


def _colour(colour: Color | None, colours: ColorSystem | None) -> str:
    if colour is None or colour.is_default or colours is None:
        return ""
    found = colour.downgrade(colours)
    return found.name if found.number is None else NAMES[found.number]


def _looks(rows: Sequence[Sequence[Run]]) -> Iterator[str]:
    """Each look in the order in which it appears, with its places."""
    words = Counter[Look]()
    places: dict[Look, dict[int, list[Span]]] = {}
    for number, row in enumerate(rows, 1):
        for look, count, columns in row:
            words[look] += count
            _join(places.setdefault(look, {}).setdefault(number, []), columns)
    usual = max(words, key=lambda look: words[look])
    yield f"most: {_told_look(usual)}"
    for look, found in places.items():
        if look not in (usual, ("", usual[1])):
            yield _told_look(look)
            yield from _told_places(found)


def _join(spans: list[Span], more: Span) -> None:
    """Add columns to those before them."""
    if spans and spans[-1][1] == more[0] - 1:
        more = spans.pop()[0], more[1]
    spans.append(more)


def _told_places(found: Mapping[int, Sequence[Span]]) -> Iterator[str]:
    """Rows below each other with the same columns are told in one line."""
    grouped: list[tuple[Span, str]] = []
    for row, spans in found.items():
        columns = " ".join(map(_told, spans))
        first = row
        if grouped and grouped[-1] == ((grouped[-1][0][0], row - 1), columns):
            first = grouped.pop()[0][0]
        grouped.append(((first, row), columns))
    for rows, columns in grouped:
        yield f"  {_told(rows)}: {columns}"


def _told_look(look: Look) -> str:
    signs, background = look
    return " ".join(filter(None, (signs, background and f"on {background}"))) or "blank"


def _told(span: Span) -> str:
    return str(span[0]) if span[0] == span[1] else f"{span[0]}-{span[1]}"
