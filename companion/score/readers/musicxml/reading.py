"""MusicXML text into the written score.

Read once on the coarsest grid the divisions allow; where something falls between
its ticks (a rounded triplet, a decimal duration), read again on a finer one.
"""

from __future__ import annotations

from companion.score.model import Part, Score
from companion.score.reader_error import AGAIN, ReaderError
from companion.score.readers.musicxml.attributes import divisions_of
from companion.score.readers.musicxml.bars import read_bars, states_meter
from companion.score.readers.musicxml.document import Document, PartwiseText
from companion.score.readers.musicxml.header import (
    PlayerEntry,
    read_composer,
    read_players,
    read_title,
)
from companion.score.readers.musicxml.open_bar import InForce, ReadingNotes
from companion.score.readers.musicxml.ticks import MOST_TICKS, TickGrid, coarsest

_MOST_BARS = 1_000_000
ROOTS = ("score-partwise", "score-timewise")


def read_musicxml(data: bytes, name: str) -> Score:
    """Read a score-partwise or score-timewise document of any version.

    `name` stands in for a missing title. Raises ReaderError if the text is no
    score or makes no sense; whatever could be mended is told in `Score.slips`.
    """
    return read_document(Document(data), name)


def read_document(document: Document, name: str) -> Score:
    """As `read_musicxml`, a document on its way in."""
    try:
        return _read_finely(document, name)
    except PartwiseText:
        return _read_finely(document.in_one(), name)


def _read_finely(document: Document, name: str) -> Score:
    tag = document.root().tag
    if tag not in ROOTS:
        raise ReaderError(f"it holds “{str(tag)[:40]}”, not a score in MusicXML")
    stated = map(divisions_of, document.divisions())
    ticks = coarsest(value for value in stated if value is not None)
    if not ticks:
        raise ReaderError(
            f"its parts cut the quarter so differently that over {MOST_TICKS:,} pieces are needed",
            next="Export it again with one number of divisions.",
        )
    grid = TickGrid(ticks)
    score = _read(document, name, grid)
    if grid.wanted:
        score = _read(document, name, TickGrid(grid.finer() or ticks, is_final=True))
    return score


def _read(document: Document, name: str, grid: TickGrid) -> Score:
    slips = ReadingNotes()
    parts: list[Part] = []
    for player in read_players(document, slips):
        parts.append(_part(player, grid, slips))
        if sum(len(part.bars) for part in parts) > _MOST_BARS:
            raise ReaderError(f"its parts hold more than {_MOST_BARS:,} bars in all", next=AGAIN)
    if not any(part.bars for part in parts):
        raise ReaderError("the score holds no bar of music")
    root = document.root()
    title, composer = read_title(root, name), read_composer(root)
    return Score(title, composer, grid.ticks, tuple(parts), slips.told())


def _part(player: PlayerEntry, grid: TickGrid, slips: ReadingNotes) -> Part:
    standing = InForce(player.name, grid, slips, unit=grid.ticks)
    measures = player.measures()
    if not measures:
        slips.add(0, f"{player.name}: the part is empty")
    elif not any(states_meter(measure) for measure in measures):
        slips.add(0, f"{player.name}: no meter is stated; 4/4 was taken")
        standing.set_meter("4/4")
    bars = read_bars(standing, measures)
    return Part(
        player.id,
        player.name,
        bars,
        player.abbreviation,
        standing.semitones or 0,
        standing.staves,
        player.program,
    )
