"""<barline>: repeat signs and endings.

A sign may stand at either barline, and some files close a repeat at the left
barline of the bar after it; it is told of the bar it closes.
"""

from __future__ import annotations

import re

from lxml.etree import _Element

from companion.score.readers.musicxml.openbar import OpenBar
from companion.score.readers.musicxml.text import whole

MOST_TIMES = 99
_NUMBER = re.compile(r"\d{1,3}", re.ASCII)


def read_barline(bar: OpenBar, element: _Element) -> None:
    """Take over repeats and endings of one barline."""
    is_left = element.get("location") == "left"
    for child in element:
        if child.tag == "repeat":
            _repeat(bar, child, is_left=is_left)
        elif child.tag == "ending":
            _ending(bar, child, is_left=is_left)
    if element.get("location") == "middle" and element.find("repeat") is not None:
        bar.slip("a repeat sign inside a bar was taken to stand at its end")


def _repeat(bar: OpenBar, element: _Element, *, is_left: bool) -> None:
    if element.get("direction") == "forward":
        if is_left:
            bar.repeat_starts = True
        else:
            bar.part.starts_repeat = True
        return
    times = whole(element.get("times"), 1, MOST_TIMES) or 2
    if is_left:
        bar.ends_bar_before = times
    else:
        bar.repeat_ends = times
        bar.part.ending = ()  # an ending is over where the music goes back, stop or no stop
    bar.after_jump = element.get("after-jump") == "yes"


def _ending(bar: OpenBar, element: _Element, *, is_left: bool) -> None:
    numbers = tuple(int(number) for number in _NUMBER.findall(element.get("number") or ""))
    if element.get("type") == "start":
        if not numbers:
            bar.slip("an ending without a number was left out")
        bar.part.ending = bar.ending = numbers
    elif is_left:
        bar.part.ending = bar.ending = ()
    else:
        bar.ending = bar.ending or numbers
        bar.part.ending = ()
