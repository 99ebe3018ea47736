"""Real scores for the analyses: the built-in quartet and the corpus a general library brings.

What a passage of a corpus score is, is said beside each check: general knowledge of the
pieces, from memory. What it *holds* is read from the score itself, bar by bar.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from companion.score.laying import lay
from companion.score.model import Part, Score
from companion.score.playing.order import playing_order, unfolded
from companion.score.readers.opening import read_score
from companion.score.texture import Texture, texture_of

CORPUS = Path(find_spec("music21").origin or "").parent / "corpus"  # type: ignore[union-attr]
DEMO = Path(__file__).parents[2] / "assets" / "demo" / "chain_ferry.musicxml"

Written = tuple[tuple[int, int, str], ...]
"""Onset, length and written pitch of every note of a part's bar. Ties are left aside: where
a repeat is unfolded a page may tie into nothing."""


@dataclass(frozen=True)
class Real:
    """A score and its sounds."""

    score: Score
    texture: Texture

    @property
    def names(self) -> dict[str, str]:
        return {part.id: part.name for part in self.score.parts}

    def notes(self, bar: int) -> tuple[Written, ...]:
        """What the page has in a bar (by ordinal), part by part: the direct comparison."""
        return tuple(_written(part, bar) for part in self.score.parts)


def _written(part: Part, bar: int) -> Written:
    notes = [note for note in part.bars[bar - 1].notes if not (note.is_grace or note.is_rest)]
    return tuple((note.onset, note.length, note.pitch) for note in notes)


@cache
def demo() -> Real:
    return _real(read_score(DEMO, None).score)


@cache
def corpus(path: str, *, as_played: bool = False) -> Real:
    """A corpus score; `as_played` with its repeats and da capo."""
    score = read_score(CORPUS / path, None).score
    if as_played:
        score = unfolded(score, playing_order(score))
    return _real(score)


def _real(score: Score) -> Real:
    return Real(score, texture_of(lay(score)))
