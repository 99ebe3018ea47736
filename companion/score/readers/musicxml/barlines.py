"""<barline>: repeat signs, endings, segno and coda.

A sign may stand at either barline, and some files close a repeat at the left
barline of the bar after it; it is told of the bar it closes.
"""

from __future__ import annotations

import re

from lxml.etree import _Element

from companion.score.model import Mark
from companion.score.readers.musicxml.open_bar import OpenBar
from companion.score.readers.musicxml.text import whole

_MOST_TIMES = 99
UNNUMBERED = (0,)
"""An ending whose number the file leaves out."""
_NUMBER = re.compile(r"(\d{1,3})(?:\s*[-–]\s*(\d{1,3}))?", re.ASCII)
"""A number, or a range."""
_RIGHT = (None, "right")
_CLOSING = frozenset({"light-light", "light-heavy", "heavy-heavy", "heavy-light"})


def read_barline(bar: OpenBar, element: _Element) -> None:
    """Take over repeats and endings of one barline."""
    location = element.get("location")
    is_left = location == "left"
    for child in element:
        if child.tag == "repeat":
            _repeat(bar, child, is_left=is_left)
        elif child.tag == "ending":
            _ending(bar, child, is_left=is_left)
        elif child.tag in ("segno", "coda"):
            bar.marks.append(Mark(0 if is_left else bar.at, child.tag))
        elif child.tag == "bar-style" and location in _RIGHT and child.text in _CLOSING:
            bar.closes = True
    if location == "middle" and element.find("repeat") is not None:
        bar.slip("a repeat sign inside a bar was taken to stand at its end")


def _repeat(bar: OpenBar, element: _Element, *, is_left: bool) -> None:
    if element.get("direction") == "forward":
        if is_left:
            bar.repeat_starts = True
        else:
            bar.part.starts_repeat = True
        return
    times = whole(element.get("times"), 1, _MOST_TIMES) or 2
    if is_left:
        bar.ends_bar_before = times
    else:
        bar.repeat_ends = times
        bar.part.ending = ()  # an ending is over where the music goes back, stop or no stop
    bar.after_jump = element.get("after-jump") == "yes"


def _ending(bar: OpenBar, element: _Element, *, is_left: bool) -> None:
    numbers = _numbers(element.get("number") or "")
    if element.get("type") == "start":
        bar.part.ending = bar.ending = numbers
    elif is_left:
        bar.part.ending = bar.ending = ()
    else:
        bar.ending = bar.ending or numbers
        bar.part.ending = ()


def _numbers(text: str) -> tuple[int, ...]:
    """`1, 2` and `1-3`, which the schema does not know and files have all the same."""
    found: list[int] = []
    for first, last in _NUMBER.findall(text):
        found += range(int(first), min(int(last or first), _MOST_TIMES) + 1)
    return tuple(number for number in found if number) or UNNUMBERED
