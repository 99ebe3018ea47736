"""The passage as notes on a page, cut to the paper it needs, and when each note sounds."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from html import escape
from itertools import groupby

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.part.engraving.engrave import EngravedNote, engrave_column
from companion.part.extraction import excerpt
from companion.publish.handout.lesson import Lesson
from companion.score.passage import Passage
from companion.score.readers.opening import musicxml_of
from companion.session.lanes import first_facing, in_bar
from companion.wording.phrases import listed

_UNITS = 25
"""The engraver's units in one of the page's."""
_INNER = re.compile(r'(<svg class="definition-scale"[^>]*?)viewBox="0 0 (\d+) (\d+)"')
_OUTER = re.compile(r'<svg viewBox="0 0 [\d.]+ [\d.]+"')
_HEIGHTS = re.compile(r'd="M[\d.-]+[ ,]([\d.-]+)|translate\([\d.-]+, ([\d.-]+)|\by="([\d.-]+)')
_BORDER = 600
"""What is left free around the notes, in the engraver's units: a third of a staff's height."""
_MOST_STAVES = 4
"""Parts of an exercise that are engraved at most."""


@dataclass(frozen=True, slots=True)
class TimedNote:
    """A note of the page and when it sounds, in clock time after the passage begins."""

    id: str
    begins: Fraction
    ends: Fraction


@dataclass(frozen=True, slots=True)
class EngravedPassage:
    """The passage in notes."""

    pages: tuple[str, ...]
    """SVG elements; several if parts cannot stand one above the other."""
    notes: tuple[TimedNote, ...]


def engraved(lesson: Lesson, parts: Sequence[int], folders: Folders) -> EngravedPassage:
    """The passage as it is drawn: of an exercise `parts`, of a score the player's part and the
    one that pulls against it.

    Parts whose bars are counted alike stand one above the other, others apart.
    Raises CompanionError if the engraver is missing or cannot read a part.
    """
    open_score, where = lesson.open_score, lesson.passage
    source = musicxml_of(open_score.path, folders.cache)
    drawn = sorted(parts[:_MOST_STAVES]) if lesson.target else _against_each_other(lesson)
    pages: list[str] = []
    timed: list[TimedNote] = []
    for _, alike in groupby(drawn, key=lambda part: _bars_of(where, part)):
        staves = list(alike)
        cut = excerpt(source, open_score.clock, staves, where.first, where.last)
        svgs, notes = engrave_column(cut)
        names = listed([open_score.score.parts[part].name for part in staves])
        pages += (_for_the_page(svg, f"{names}, {lesson.bars}, as notes") for svg in svgs)
        timed += _timed(where, staves[0], notes)
    return EngravedPassage(tuple(pages), tuple(timed))


def _against_each_other(lesson: Lesson) -> list[int]:
    """The player's part, and the one it pulls against first, if it does in the passage."""
    where, conflicts = lesson.passage, lesson.open_score.conflicts
    sides = {
        part
        for bar in where.bars
        for conflict in in_bar(conflicts, bar.number)
        for side in conflict.sides
        for part in side.parts
    }
    pulls = where.part_id in sides
    return sorted({where.part, first_facing(where, conflicts)} if pulls else {where.part})


def _bars_of(where: Passage, part: int) -> list[tuple[Fraction, Fraction, str]]:
    """What parts must have in common to stand one above the other: barlines and meters."""
    return [
        (place.start, place.pace, place.meter.text if place.meter else "")
        for place in where.clock.places[part]
        if place.end > where.start and place.start < where.end
    ]


def _timed(where: Passage, part: int, notes: Sequence[EngravedNote]) -> Iterator[TimedNote]:
    places = where.clock.places[part]
    first = where.clock.own_bar_at(part, where.start)

    def at(bar: int, quarters: Fraction) -> Fraction:
        place = places[min(first + bar, len(places) - 1)]
        return place.start + quarters * place.pace - where.start

    for note in notes:
        yield TimedNote(note.id, at(note.bar, note.begins), at(note.end_bar, note.ends))


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
