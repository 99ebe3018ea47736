"""The shared clock over real scores: every MusicXML file of music21's corpus.

The default run takes a fixed eighth of them (by a hash of the name); COMPANION_CORPUS=all
takes every one. What must hold is design, not taste: parts of a score with coinciding
barlines start every bar together, fill the clock to its end, and sound no note outside
its bar.
"""

import os
from collections.abc import Iterator
from fractions import Fraction
from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path

import pytest

from companion.score.bar_numbers import bar_name, find_bar
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.playing.order import playing_order
from companion.score.readers.opening import read_score


def corpus() -> Iterator[object]:
    package = find_spec("music21")
    assert package is not None and package.origin is not None
    folder = Path(package.origin).parent / "corpus"
    everything = os.environ.get("COMPANION_CORPUS") == "all"
    for path in sorted(folder.rglob("*")):
        if path.suffix in {".xml", ".mxl", ".musicxml"}:
            name = str(path.relative_to(folder))
            if everything or sha256(name.encode()).digest()[0] < 32:
                yield pytest.param(path, id=name)


@pytest.mark.parametrize("path", corpus())
def test_parts_stay_together_to_the_last_bar(path: Path) -> None:
    clock = lay(read_score(path).score)
    assert clock.barlines_coincide
    assert all(find_bar(clock, bar_name(clock, bar)) == bar.number for bar in clock.bars)
    for part, places in enumerate(clock.places):
        assert [place.start for place in places] == [bar.start for bar in clock.bars]
        assert sum((place.length for place in places), Fraction(0)) == clock.end
        assert_notes_stay_inside(clock, part)
    order = playing_order(clock.score).bars
    assert set(order) <= set(range(1, len(clock.bars) + 1)) and order


def assert_notes_stay_inside(clock: Clock, part: int) -> None:
    for bar, place in zip(clock.score.parts[part].bars, clock.places[part], strict=True):
        for note in bar.notes:
            if not note.is_rest:
                length = Fraction(note.length, clock.score.ticks) * place.pace
                start = place.start + Fraction(note.onset, clock.score.ticks) * place.pace
                assert place.start <= start and start + length <= place.end
