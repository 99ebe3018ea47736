"""One player's part out of a score: what would be put on the stand.

The source's own XML is kept and added to, never rebuilt from the model, so that no
slur, fingering or lyric is lost on the way.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from companion.score.clock import Clock
from companion.score.extraction.barlines import borrow_barlines
from companion.score.extraction.borrowed import borrow_marks
from companion.score.extraction.cues import add_cues
from companion.score.extraction.documents import text_of
from companion.score.extraction.entries import Cues
from companion.score.extraction.heading import build_score
from companion.score.extraction.layout import strip_layout
from companion.score.extraction.long_rests import count_rests
from companion.score.extraction.meter_words import tell_meters
from companion.score.extraction.sheet import open_sheet


@dataclass(frozen=True, slots=True)
class Extract:
    """A part as MusicXML, and what it has that the score's staff had not."""

    musicxml: bytes
    """A score-partwise document in UTF-8."""
    added: Counter[str]
    """How many `cues`, `multi-bar rests`, `rehearsal marks`, `tempo marks`, `signs`,
    `repeats and endings` and `meter notes` it has gained."""


def extract(musicxml: bytes, clock: Clock, part: int, cues: Cues = Cues.SHORT) -> Extract:
    """Take one part out of the score that `clock` was laid from.

    `musicxml` is the text that score was read from, partwise or timewise. Raises
    ReaderError where it is no readable XML.
    """
    sheet = open_sheet(musicxml, clock, part)
    strip_layout(sheet.measures)
    added = borrow_marks(sheet) + borrow_barlines(sheet)
    added += tell_meters(sheet)
    added += add_cues(sheet, cues)
    added += count_rests(sheet)
    return Extract(text_of(build_score(sheet)), added)
