"""MusicXML text into the written score.

Read once on the coarsest grid the divisions allow; where something falls between
its ticks (a rounded triplet, a decimal duration), read again on a finer one.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from lxml.etree import _Element

from companion.score.model import Part, Score
from companion.score.readers.musicxml.attributes import divisions_of
from companion.score.readers.musicxml.bars import read_bars, states_meter
from companion.score.readers.musicxml.grid import MOST_TICKS, Grid, coarsest
from companion.score.readers.musicxml.header import read_composer, read_title
from companion.score.readers.musicxml.parsing import parse_xml
from companion.score.readers.musicxml.partlist import Player, read_players
from companion.score.readers.musicxml.slips import Slips
from companion.score.readers.musicxml.standing import Standing
from companion.score.readers.refusal import ReaderError

ROOTS = ("score-partwise", "score-timewise")


def read_musicxml(data: bytes, name: str) -> Score:
    """Read a score-partwise or score-timewise document of any version.

    `name` stands in for a missing title. Raises ReaderError where the text is no
    score or makes no sense; whatever could be mended is told in `Score.slips`.
    """
    return read_tree(parse_xml(data), name)


def read_tree(root: _Element, name: str) -> Score:
    """As `read_musicxml`, from the outermost element of the document."""
    if root.tag not in ROOTS:
        raise ReaderError(f"it holds “{str(root.tag)[:40]}”, not a score in MusicXML")
    ticks = coarsest(_divisions(root))
    if not ticks:
        raise ReaderError(
            f"its parts cut the quarter so differently that over {MOST_TICKS:,} pieces are needed",
            next="Export it again with one number of divisions.",
        )
    grid = Grid(ticks)
    score = _read(root, name, grid)
    if grid.wanted:
        score = _read(root, name, Grid(grid.finer() or ticks, is_final=True))
    return score


def _divisions(root: _Element) -> Iterator[Fraction]:
    for element in root.iter("divisions"):
        value = divisions_of(element.text)
        if value is not None:
            yield value


def _read(root: _Element, name: str, grid: Grid) -> Score:
    slips = Slips()
    players = read_players(root, slips)
    parts = tuple(_part(player, grid, slips) for player in players)
    if not any(part.bars for part in parts):
        raise ReaderError("the score holds no bar of music")
    return Score(read_title(root, name), read_composer(root), grid.ticks, parts, slips.told())


def _part(player: Player, grid: Grid, slips: Slips) -> Part:
    standing = Standing(player.name, grid, slips, unit=grid.ticks)
    if not player.measures:
        slips.add(0, f"{player.name}: the part is empty")
    elif not any(states_meter(measure) for measure in player.measures):
        slips.add(0, f"{player.name}: no meter is stated; 4/4 was taken")
        standing.set_meter("4/4")
    bars = read_bars(standing, player.measures)
    return Part(
        player.id,
        player.name,
        bars,
        player.abbreviation,
        standing.semitones or 0,
        standing.staves,
        player.program,
    )
