"""The passage as notes on a page, cut to the paper it needs."""

from __future__ import annotations

import re
from html import escape

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.part.engraving.engrave import engrave
from companion.part.extraction import excerpt
from companion.publish.handout.lesson import Lesson
from companion.score.readers.opening import musicxml_of

_UNITS = 25
"""The engraver's units in one of the page's."""
_INNER = re.compile(r'(<svg class="definition-scale"[^>]*?)viewBox="0 0 (\d+) (\d+)"')
_OUTER = re.compile(r'<svg viewBox="0 0 [\d.]+ [\d.]+"')
_HEIGHTS = re.compile(r'd="M[\d.-]+[ ,]([\d.-]+)|translate\([\d.-]+, ([\d.-]+)|\by="([\d.-]+)')
_BORDER = 600
"""What is left free around the notes, in the engraver's units: a third of a staff's height."""


def engraved(lesson: Lesson, folders: Folders) -> list[str]:
    """The passage as SVG elements, one for each page of it.

    Raises CompanionError if the engraver is missing or cannot read the part.
    """
    open_score, where = lesson.open_score, lesson.passage
    source = musicxml_of(open_score.path, folders.cache)
    pages = engrave(excerpt(source, open_score.clock, where.part, where.first, where.last))
    many = len(pages) > 1
    return [
        _for_the_page(
            page,
            f"{lesson.part_name}, {lesson.bars}, as notes" + (f", page {number}" if many else ""),
        )
        for number, page in enumerate(pages, 1)
    ]


def why_not(problem: CompanionError) -> str:
    """What a player is told in place of the notes."""
    return (
        f"The notes are not on this page: {problem.what}. Please play from your own part; "
        "everything else here holds."
    )


def _for_the_page(svg: str, label: str) -> str:
    """One picture to those who cannot see it, no taller than its notes."""
    body = re.sub(r"<\?xml[^>]*\?>|<desc>.*?</desc>", "", svg, flags=re.S).strip()
    body = _cropped(body)
    opening = f'<svg class="notes" role="img" aria-label="{escape(label)}"'
    return body.replace("<svg", opening, 1)


def _cropped(svg: str) -> str:
    inner = _INNER.search(svg)
    if inner is None:
        return svg
    margin = re.search(r'class="page-margin" transform="translate\((\d+), (\d+)\)"', svg)
    left, above = (int(margin[1]), int(margin[2])) if margin else (0, 0)
    music = svg[inner.end() :]
    heights = [float(next(filter(None, found))) for found in _HEIGHTS.findall(music)]
    top = max(0.0, min(heights[1:], default=0.0) + above - _BORDER)
    bottom = min(float(inner[3]), max(heights, default=float(inner[3])) + above + 2 * _BORDER)
    x, width = left - _BORDER, int(inner[2]) - 2 * (left - _BORDER)
    box = f'viewBox="{x} {top:.0f} {width} {bottom - top:.0f}"'
    svg = svg[: inner.start()] + inner[1] + box + svg[inner.end() :]
    size = f'viewBox="0 0 {width / _UNITS:.0f} {(bottom - top) / _UNITS:.0f}"'
    return _OUTER.sub(f"<svg {size}", svg, count=1)
