"""Taking parts out of hand-written pages and of the scores a general library brings along."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from importlib.util import find_spec
from pathlib import Path

from lxml import etree
from lxml.etree import _Element

from companion.part.extraction import extract
from companion.part.player_entrances import Cues
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.model import Part, Score
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.readers.opening import musicxml_of

CORPUS = Path(find_spec("music21").origin or "").parent / "corpus"  # type: ignore[union-attr]


@dataclass(frozen=True)
class Taken:
    """A part and the score it was taken from."""

    clock: Clock
    musicxml: bytes
    added: Counter[str]
    root: _Element

    @property
    def measures(self) -> list[_Element]:
        return self.root.findall("part/measure")

    @cached_property
    def part(self) -> Part:
        """Read again by our own reader."""
        return self.read.parts[0]

    @cached_property
    def read(self) -> Score:
        return read_musicxml(self.musicxml, "part")

    def words(self, bar: int) -> list[str]:
        """Words of a bar, counted from 1."""
        found = self.measures[bar - 1].iterfind("direction/direction-type/words")
        return [words.text or "" for words in found]

    def cues(self, bar: int) -> list[str]:
        """The cue of a bar, a note as `0 A4 1/3`: quarters after the barline, pitch, quarters."""
        ticks = self.read.ticks
        return [
            f"{Fraction(note.onset, ticks)} {note.pitch or 'rest'} {Fraction(note.length, ticks)}"
            for note in self.part.bars[bar - 1].notes
            if note.is_cue
        ]

    def long_rests(self) -> dict[int, int]:
        """Ordinal bar → bars of the multi-bar rest beginning there."""
        return {
            number: bar.rest_bars for number, bar in enumerate(self.part.bars, 1) if bar.rest_bars
        }


@cache
def take(musicxml: bytes, part: int, cues: Cues = Cues.SHORT) -> Taken:
    """Take a part, counted from 1."""
    clock = lay(read_musicxml(musicxml, "score"))
    taken = extract(musicxml, clock, part - 1, cues)
    return Taken(clock, taken.musicxml, taken.added, etree.fromstring(taken.musicxml))


@cache
def corpus(name: str) -> bytes:
    """The MusicXML of a score by its path in the library's corpus."""
    return musicxml_of(CORPUS / name)
