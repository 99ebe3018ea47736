"""Ways to write a small score in a test without its whole frame."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from companion.score.model import PartBar, Score
from companion.score.readers.musicxml.reading import read_musicxml

ScoreOf = Callable[..., Score]
BarsOf = Callable[..., tuple[PartBar, ...]]

FRAME = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
  <part-list><score-part id="P1"><part-name>Viola</part-name></score-part></part-list>
  <part id="P1">{measures}</part>
</score-partwise>"""


def partwise(*measures: str) -> str:
    """A score of one viola part; a measure may bring its own <measure> tag."""
    return FRAME.format(
        measures="".join(
            measure
            if measure.lstrip().startswith("<measure")
            else f'<measure number="{number}">{measure}</measure>'
            for number, measure in enumerate(measures, 1)
        )
    )


@pytest.fixture(scope="session")
def score_of() -> ScoreOf:
    """Reads a score of one part from the contents of its measures."""
    return lambda *measures: read_musicxml(partwise(*measures).encode(), "untitled")


@pytest.fixture(scope="session")
def bars_of() -> BarsOf:
    """Reads the bars of one part from the contents of its measures."""
    return lambda *measures: read_musicxml(partwise(*measures).encode(), "untitled").parts[0].bars
