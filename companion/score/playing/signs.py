"""What all parts' barlines and words say about where the music goes, bar by bar.

A sign counts whichever part carries it: engravers write a repeat in every part, but a
segno or a Fine often over the top one only.
"""

from __future__ import annotations

from itertools import pairwise

from msgspec import Struct, field

from companion.score.bar_numbers import movements
from companion.score.direction_words import SECTION_WORD
from companion.score.model import PartBar, Score

JUMPS_BACK = frozenset({"dacapo", "dalsegno"})
SIGNS = JUMPS_BACK | {"segno", "coda", "fine", "tocoda"}
"""Kinds of marks that say where the music goes."""


class GuessedSign(Struct, frozen=True):
    """Something the signs leave open and a player would want to know was guessed."""

    bar: int
    """Index of the bar, from 0."""
    sentence: str


class BarSigns(Struct):
    """The playing signs of one bar: what stands at its barlines and over it."""

    starts: bool = False
    times: int = 0
    """How often in all the stretch ending at its right barline is played; 0 for none."""
    ending: tuple[int, ...] = ()
    """The endings it belongs to; 0 among them for one without a number."""
    after_jump: bool = False
    closes: bool = False
    meter: str | None = None
    signs: set[str] = field(default_factory=set)
    """Kinds of SIGNS that stand in it."""
    headings: list[str] = field(default_factory=list)
    has_tempo: bool = False
    section: str = ""
    """The first word of a heading of a new section over it, such as `trio`, in small letters."""


class PlayingSigns(Struct):
    """The bars of the longest part, and where each movement begins."""

    bars: list[BarSigns]
    movements: tuple[tuple[int, int], ...]
    """(first, after the last) index of each movement."""

    def ends_section(self, at: int, after: int) -> bool:
        """Whether a reader sees a section end with this bar, in a movement ending before
        `after`."""
        if at + 1 >= after:
            return True
        here, following = self.bars[at], self.bars[at + 1]
        if here.closes or here.times or following.starts or following.section:
            return True
        return following.meter != here.meter or "coda" in following.signs


def playing_signs(score: Score) -> PlayingSigns:
    """The signs that order the playing of a score, bar by bar."""
    longest = max((part.bars for part in score.parts), key=len, default=())
    every_bar = [BarSigns(meter=bar.meter) for bar in longest]
    for part in score.parts:
        followings: list[BarSigns | None] = [*every_bar[1:], None]
        for bar_signs, after, bar in zip(every_bar, followings, part.bars, strict=False):
            if bar.signs is not None:
                _take_barlines(bar_signs, bar)
            if bar.marks:
                _take_marks(bar_signs, bar, after)
            if bar.tempos:
                bar_signs.has_tempo |= not bar.tempos[0].onset
    return PlayingSigns(every_bar, _movements(longest, every_bar))


def _take_barlines(bar_signs: BarSigns, bar: PartBar) -> None:
    signs = bar.signs
    assert signs is not None
    bar_signs.starts |= signs.repeat_starts
    bar_signs.times = max(bar_signs.times, signs.repeat_ends)
    bar_signs.ending = bar_signs.ending or signs.ending
    bar_signs.after_jump |= signs.after_jump
    bar_signs.closes |= signs.closes


def _take_marks(bar_signs: BarSigns, bar: PartBar, after: BarSigns | None) -> None:
    """A segno behind the last note is drawn at the next bar."""
    for mark in bar.marks:
        if mark.kind in SIGNS:
            is_late = mark.kind == "segno" and mark.onset >= bar.filled > 0
            (after if is_late and after else bar_signs).signs.add(mark.kind)
        elif mark.kind == "words":
            if heading := SECTION_WORD.match(mark.text):
                bar_signs.section = heading.group(1).lower()
            if not mark.onset:
                bar_signs.headings.append(mark.text)


def _movements(bars: tuple[PartBar, ...], every_bar: list[BarSigns]) -> tuple[tuple[int, int], ...]:
    """A trio or a coda may be numbered afresh; it is no movement of its own."""
    numbers = movements([bar.label for bar in bars])
    firsts = [
        at
        for at, number in enumerate(numbers)
        if at == 0 or (numbers[at - 1] != number and not every_bar[at].section)
    ]
    return tuple(pairwise([*firsts, len(bars)]))
