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

Texts = dict[str, str | None]
"""What the plain children of one note say, by name."""
Nodes = dict[str, _Element]
"""The children of one note that hold more than a text, by name."""

_ROUNDED = "some note lengths are rounded off in the file; the exact ones were taken"
_UNLIKE = "some notes of chords are counted unlike they are printed; the print was taken"


def written_length(bar: OpenBar, texts: Texts) -> int:
    """Ticks as the file counts them; from the note's type where no duration is given."""
    if "duration" in texts:
        return bar.length(texts["duration"])
    quarters = QUARTERS.get(texts.get("type") or "")
    if quarters is None:
        bar.slip("a note has neither duration nor type and was taken to last no time")
        return 0
    bar.slip("a note has no duration; its type was taken")
    return bar.part.grid.fit(quarters)


def tuplet_ratio(bar: OpenBar, nodes: Nodes) -> tuple[int, int] | None:
    """(actual, normal) of a note in a tuplet."""
    if "time-modification" not in nodes:
        return None
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
    bar: OpenBar, element: _Element, texts: Texts, raw: int, ratio: tuple[int, int] | None
) -> int:
    """Ticks of a note, mended where the file only rounds it to a division.

    Outside tuplets that happens where a quarter does not fall into eighths of itself.
    """
    if ratio is None and not _is_uneven(bar.part.grid.ticks, bar.part.unit):
        return raw
    if "type" not in texts:
        return raw
    dots = _dots(element, texts)
    ticks = bar.part.grid.unrounded(raw, bar.part.unit, dots, texts["type"], ratio or (1, 1))
    if ticks != raw:
        bar.part.slips.add(bar.ordinal, _ROUNDED)
    return ticks


def _is_uneven(ticks: int, unit: int) -> bool:
    """Whether the file counts a quarter in so odd a number that it must round plain notes."""
    divisions = ticks // unit if unit else 0
    return divisions > 8 and divisions % 8 != 0


def like_its_chord(
    bar: OpenBar, element: _Element, texts: Texts, ticks: int, ratio: tuple[int, int] | None
) -> int:
    """Ticks of a chord note counted unlike the first note: the first note's, if that is what
    its own type, dots and tuplet say."""
    first = bar.notes[-1].length
    quarters = QUARTERS.get(texts.get("type") or "")
    if quarters is None:
        return ticks
    actual, normal = ratio or (1, 1)
    printed = quarters * (2 - Fraction(1, 2 ** min(_dots(element, texts), 8))) * normal / actual
    if printed * bar.part.grid.ticks != first:
        return ticks
    bar.part.slips.add(bar.ordinal, _UNLIKE)
    return first


def _dots(element: _Element, texts: Texts) -> int:
    return len(element.findall("dot")) if "dot" in texts else 0
