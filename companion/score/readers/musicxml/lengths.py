"""How long a note lasts: as the file counts it, and as it truly is.

The two differ where a file rounds a tuplet to its divisions, or gives one note of
a double stop another length than the page shows. What is printed then decides.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from lxml.etree import _Element

from companion.score.readers.musicxml.grid import QUARTERS
from companion.score.readers.musicxml.openbar import OpenBar
from companion.score.readers.musicxml.text import whole

Nodes = dict[str, _Element]
"""The children of one note by name."""

_ROUNDED = "some note lengths are rounded off in the file; the exact ones were taken"
_UNLIKE = "some notes of chords are counted unlike they are printed; the print was taken"


def written_length(bar: OpenBar, nodes: Nodes) -> int:
    """Ticks as the file counts them; from the note's type where no duration is given."""
    if "duration" in nodes:
        text = nodes["duration"].text
        counted = bar.part.counted.get(text)
        # Nearly every note takes this way out, and there are twenty thousand of them.
        return counted if counted is not None and counted >= 0 else bar.length(text)
    quarters = QUARTERS.get(_type(nodes) or "")
    if quarters is None:
        bar.slip("a note has neither duration nor type and was taken to last no time")
        return 0
    bar.slip("a note has no duration; its type was taken")
    return bar.part.grid.fit(quarters)


def tuplet_ratio(bar: OpenBar, nodes: Nodes) -> tuple[int, int] | None:
    """(actual, normal) of a note in a tuplet."""
    numbers = {child.tag: child.text for child in nodes["time-modification"]}
    ratio = _ratio(numbers.get("actual-notes"), numbers.get("normal-notes"))
    if ratio is None:
        bar.slip("a tuplet does not say how many notes it holds and was taken as plain notes")
    return ratio


@lru_cache(maxsize=512)
def _ratio(actual: str | None, normal: str | None) -> tuple[int, int] | None:
    up, down = whole(actual, 1, 1024), whole(normal, 1, 1024)
    return None if up is None or down is None else (up, down)


def unrounded(
    bar: OpenBar, element: _Element, nodes: Nodes, raw: int, ratio: tuple[int, int] | None
) -> int:
    """Ticks of a note, mended where the file only rounds it to a division.

    Outside tuplets that happens where the part's divisions are uneven.
    """
    name = _type(nodes)
    if name is None:
        return raw
    dots = _dots(element, nodes)
    ticks = bar.part.grid.unrounded(raw, bar.part.unit, dots, name, ratio or (1, 1))
    if ticks != raw:
        bar.part.slips.add(bar.ordinal, _ROUNDED)
    return ticks


def like_its_chord(
    bar: OpenBar, element: _Element, nodes: Nodes, ticks: int, ratio: tuple[int, int] | None
) -> int:
    """Ticks of a chord note counted unlike the first note: the first note's, if that is what
    its own type, dots and tuplet say."""
    first = bar.notes[-1].length
    quarters = QUARTERS.get(_type(nodes) or "")
    if quarters is None:
        return ticks
    actual, normal = ratio or (1, 1)
    printed = quarters * (2 - Fraction(1, 2 ** min(_dots(element, nodes), 8))) * normal / actual
    if printed * bar.part.grid.ticks != first:
        return ticks
    bar.part.slips.add(bar.ordinal, _UNLIKE)
    return first


def _type(nodes: Nodes) -> str | None:
    return nodes["type"].text if "type" in nodes else None


def _dots(element: _Element, nodes: Nodes) -> int:
    return len(element.findall("dot")) if "dot" in nodes else 0
