"""The part under the knife: its own measures, and the others' to borrow from.

The reader's order of parts and bars is taken over as it is, so that bar 12 of the
part here is bar 12 on the shared clock, in partwise and timewise files alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from lxml.etree import _Element

from companion.part.measure_cursor import units
from companion.part.xml_elements import make
from companion.score.clock import Clock
from companion.score.model import Part
from companion.score.readers.musicxml.bars import MeasureElement
from companion.score.readers.musicxml.document import Document
from companion.score.readers.musicxml.header import read_players
from companion.score.readers.musicxml.open_bar import ReadingNotes


@dataclass(slots=True)
class Sheet:
    """A score's XML with one part marked as the player's own."""

    clock: Clock
    """The score on the shared clock."""
    own: int
    """Index of the player's part."""
    root: _Element
    """The source's root element."""
    element: _Element
    """The <part> that becomes the player's; changed in place."""
    others: dict[int, list[_Element | None]]
    """The measures of every other part, by its index; None for one left out."""
    units: list[Fraction]
    """Divisions of the quarter at the beginning of each own measure."""

    @property
    def part(self) -> Part:
        """The player's part as the model has it."""
        return self.clock.score.parts[self.own]

    @property
    def measures(self) -> list[_Element]:
        """The player's own measures."""
        return list(self.element)


def open_sheet(musicxml: bytes, clock: Clock, own: int) -> Sheet:
    """Find the parts of a laid score again in its source.

    Raises ReaderError if the source is no readable XML.
    """
    document = Document(musicxml, in_one=True)
    players = read_players(document, ReadingNotes())
    measures = [_own_measure(measure) for measure in players[own].measures()]
    element = make("part", None, tuple(measures), {"id": players[own].id})
    others = {
        index: [measure.contents for measure in player.measures()]
        for index, player in enumerate(players)
        if index != own
    }
    return Sheet(clock, own, document.root(), element, others, units(measures))


def _own_measure(measure: MeasureElement) -> _Element:
    """A measure of a partwise part, put together from a timewise one where need be."""
    if measure.contents is measure.head:
        return measure.head
    children = tuple(measure.contents) if measure.contents is not None else ()
    return make("measure", None, children, {str(k): str(v) for k, v in measure.head.items()})
