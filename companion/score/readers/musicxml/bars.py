"""From the <measure> elements of one part to its bars.

One loop over the children of each measure, in order, because every one of them
is an instruction to a moving cursor.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from operator import attrgetter
from typing import TypeVar

from lxml.etree import _Element
from msgspec import Struct
from msgspec.structs import replace

from companion.score.model import Mark, PartBar, Signs, TempoMark
from companion.score.readers.musicxml.attributes import read_attributes
from companion.score.readers.musicxml.barlines import read_barline
from companion.score.readers.musicxml.directions import read_direction, read_sound
from companion.score.readers.musicxml.notes import read_note
from companion.score.readers.musicxml.open_bar import InForce, OpenBar, move_back, move_on
from companion.score.readers.musicxml.text import tidy

_LONGEST = 10_000
"""Quarters; a longer bar is a fault in the file."""

Placed = TypeVar("Placed", Mark, TempoMark)

_by_onset = attrgetter("onset")

_READERS: dict[str, Callable[[OpenBar, _Element], None]] = {
    "note": read_note,
    "backup": move_back,
    "forward": move_on,
    "attributes": read_attributes,
    "direction": read_direction,
    "sound": read_sound,
    "barline": read_barline,
}


class MeasureElement(Struct, frozen=True):
    """One measure of one part, however the file is laid out."""

    head: _Element
    contents: _Element | None
    """The element with its music; None if a timewise file leaves the part out."""


def states_meter(measure: MeasureElement) -> bool:
    """Whether a meter is written in it."""
    return measure.contents is not None and measure.contents.find("attributes/time") is not None


def read_bars(part: InForce, measures: list[MeasureElement]) -> tuple[PartBar, ...]:
    """All bars of a part in order. Raises ReaderError if one makes no sense."""
    bars: list[PartBar] = []
    for ordinal, measure in enumerate(measures, 1):
        bar = _open(part, measure, ordinal)
        if measure.contents is None:
            bar.slip("the part is left out of some bars; they were taken as empty")
        else:
            for child in measure.contents:
                reader = _READERS.get(child.tag)
                if reader is not None:
                    reader(bar, child)
        if bar.ends_bar_before and bars:
            bars[-1] = _closing_before(bar, bars[-1])
        bars.append(_closed(bar, measure.head))
    return tuple(bars)


def _open(part: InForce, measure: MeasureElement, ordinal: int) -> OpenBar:
    """Cross the barline."""
    part.cross_barline()
    head = measure.head
    label = _label(head.get("text") or head.get("number"))
    bar = OpenBar(part, ordinal, label or str(ordinal), head.get("implicit") == "yes")
    if not label:
        bar.slip("bars without a number were given their place in the file")
    if part.ending:
        bar.ending = part.ending
    if part.starts_repeat:
        bar.repeat_starts = True
        part.starts_repeat = False
    return bar


@lru_cache(maxsize=4096)
def _label(text: str | None) -> str:
    return tidy(text, 40)


def _closed(bar: OpenBar, head: _Element) -> PartBar:
    """The finished bar, in order of time."""
    part = bar.part
    if max(bar.at, bar.filled) > _LONGEST * part.grid.ticks:
        raise bar.refusal(f"it lasts over {_LONGEST:,} quarters")
    if bar.went_back:
        bar.notes.sort(key=_by_onset)
    return PartBar(
        bar.label,
        part.meter,
        bar.filled,
        tuple(bar.notes),
        _in_order(bar.marks),
        _in_order(bar.tempos),
        _signs(bar),
        part.fifths,
        bar.is_implicit,
        head.get("non-controlling") == "yes",
        bar.rest_bars,
        bar.is_abbreviated,
    )


def _in_order(marks: list[Placed]) -> tuple[Placed, ...]:
    """In order of time, as most bars' none or one are already."""
    return tuple(marks) if len(marks) < 2 else tuple(sorted(marks, key=_by_onset))


def _signs(bar: OpenBar) -> Signs | None:
    """What its barlines say, where they say anything."""
    if not (bar.repeat_starts or bar.repeat_ends or bar.ending or bar.closes):
        return None
    return Signs(bar.repeat_starts, bar.repeat_ends, bar.ending, bar.after_jump, bar.closes)


def _closing_before(bar: OpenBar, before: PartBar) -> PartBar:
    """The bar before, closed by a repeat sign at this bar's left barline."""
    signs = before.signs or Signs()
    ends = replace(signs, repeat_ends=bar.ends_bar_before, after_jump=bar.after_jump)
    bar.after_jump = False
    return replace(before, signs=ends)
