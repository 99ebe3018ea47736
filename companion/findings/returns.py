"""Passages that return, so that what is learned once serves twice.

Bars are compared across all parts. Two kinds of return are told:

- note for note in every part, at the same pitch or all parts shifted alike;
- *changed*: in each bar at least half of the parts that sound have the same notes (octaves
  apart allowed), now and then a single bar is quite different, and every bar that is not
  the same throughout is named. Which passages deserve to be called so is a heuristic.

A return has at least four bars, at least three of them different from each other (an
accompaniment that turns on the spot is no form). A bar belongs to one return at most: long
exact ones go first, then those that keep most bars; of several earlier places the first is
named. Two pieces that follow each other with bars left out or put in between are one
return, shortened or extended.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from companion.findings.bar_likeness import (
    KEPT,
    SAME,
    SHORTEST,
    BarAlikeness,
    BarContents,
    LikeRun,
    content,
    runs,
    trimmed,
)
from companion.score.texture import Texture
from companion.wording.phrases import BarNaming, bar_spans, interval, sentence

STANDS_ALONE = 8
"""Bars from which an exact return is told by itself, not as the core of a changed one."""
WIDEST_GAP = 8
"""Most bars that may be left out or put in where two pieces of a return are joined."""


@dataclass(frozen=True, slots=True)
class Return:
    """A passage that was there before."""

    first: int
    """Ordinal of its first bar."""
    last: int
    """Ordinal of its last bar."""
    model_first: int
    """Ordinal of the first bar of what it brings back."""
    model_last: int
    """Ordinal of the last bar of what it brings back."""
    semitones: int
    """How much higher it is than its model in most of its bars."""
    kind: str
    """`exact`, `transposed`, `changed`, `shortened` or `extended`."""
    differing: tuple[int, ...]
    """Ordinals of its bars that are not, in all parts, those of the model."""
    differing_by_part: tuple[tuple[str, tuple[int, ...]], ...]
    """For each part (its id, from the top of the page) the bars in which it differs."""
    departs: int | None
    """The first bar, here or just after, that is not as in the model; None at the very end."""

    @property
    def is_repeat(self) -> bool:
        """Whether it follows its model at once or after a first ending of one or two bars."""
        return 1 <= self.first - self.model_last <= 3


def returns(texture: Texture) -> tuple[Return, ...]:
    """Every return, in order of time."""
    bars = content(texture)
    covered = bytearray(bars.count)
    chosen: list[LikeRun] = []
    for measure, fewest in ((SAME, STANDS_ALONE), (KEPT, SHORTEST)):
        for run in sorted(runs(bars, measure), key=lambda run: (-run.kept, run.first, -run.back)):
            for piece in list(_uncovered(bars, measure, run, covered)):
                if piece.kept >= fewest and _moves(bars, piece):
                    chosen.append(piece)
                    covered[piece.first : piece.last + 1] = b"\1" * (piece.last - piece.first + 1)
    chosen.sort(key=lambda run: run.first)
    parts = [stream.part for stream in texture.streams]
    return tuple(_joined([_return(bars, run, parts) for run in chosen]))


def _uncovered(
    bars: BarContents, measure: BarAlikeness, run: LikeRun, covered: bytearray
) -> Iterator[LikeRun]:
    """What no other return has taken of a run."""
    first = run.first
    while first <= run.last:
        if covered[first]:
            first += 1
            continue
        last = first
        while last < run.last and not covered[last + 1]:
            last += 1
        piece = trimmed(bars, measure, run._replace(first=first, last=last))
        if piece:
            yield piece
        first = last + 1


def _moves(bars: BarContents, run: LikeRun) -> bool:
    """Whether at least three of its bars differ from each other."""
    seen = {
        tuple([*(shape[bar] for shape in bars.shapes), *(height[bar] for height in bars.heights)])
        for bar in range(run.first, run.last + 1)
    }
    return len(seen) >= 3


def _return(bars: BarContents, run: LikeRun, parts: Sequence[str]) -> Return:
    within = range(run.first, run.last + 1)
    agreeing = Counter(
        rise
        for bar in within
        for rise in bars.rises(bar - run.back, bar)
        if rise is not None and (rise - run.rise) % 12 == 0
    )
    semitones = agreeing.most_common(1)[0][0]
    by_part = tuple(
        (part, tuple(b + 1 for b in within if bars.differs(at, b - run.back, b, semitones)))
        for at, part in enumerate(parts)
    )
    differing = tuple(sorted({bar for _, of_part in by_part for bar in of_part}))
    first, last = run.first + 1, run.last + 1
    after = last + 1 if last < bars.count else None
    return Return(
        first=first,
        last=last,
        model_first=first - run.back,
        model_last=last - run.back,
        semitones=semitones,
        kind="changed" if differing else "transposed" if semitones else "exact",
        differing=differing,
        differing_by_part=by_part,
        departs=differing[0] if differing else after,
    )


def _joined(found: list[Return]) -> list[Return]:
    """Neighbours that go on in the same model after leaving bars out, or putting bars in."""
    made: list[Return] = []
    for one in found:
        before = made[-1] if made else None
        joined = _continued(before, one) if before else None
        if joined:
            made[-1] = joined
        else:
            made.append(one)
    return made


def _continued(one: Return, other: Return) -> Return | None:
    put_in = other.first - one.last - 1
    left_out = other.model_first - one.model_last - 1
    same_height = (other.semitones - one.semitones) % 12 == 0
    if not same_height or put_in == left_out or not 0 <= left_out <= WIDEST_GAP:
        return None
    if put_in > WIDEST_GAP or other.model_last >= one.first:
        return None
    between = tuple(range(one.last + 1, other.first))
    differing = one.differing + between + other.differing
    return replace(
        one,
        last=other.last,
        model_last=other.model_last,
        kind="shortened" if left_out > put_in else "extended",
        differing=differing,
        differing_by_part=tuple(
            (part, before + between + after)
            for (part, before), (_, after) in zip(
                one.differing_by_part, other.differing_by_part, strict=True
            )
        ),
        departs=min([other.first, *differing]),
    )


def told(found: Return, me: str, name: BarNaming) -> str:
    """What a return saves a player and where it needs care, in one sentence."""
    here, there = name(found.first, found.last), name(found.model_first, found.model_last)
    text = f"{here}: {there} again"
    if found.semitones:
        text += f" {interval(found.semitones)}"
    if found.kind in ("shortened", "extended"):
        text += f", {found.kind}"
    mine = dict(found.differing_by_part).get(me, found.differing)
    if not found.differing:
        text += ", note for note"
    elif not mine:
        text += f", your notes the same; others differ in {bar_spans(found.differing, name)}"
    elif len(mine) > found.last - found.first:
        text += ", your notes changed throughout"
    else:
        same = sorted(set(range(found.first, found.last + 1)) - set(mine))
        word, bars = ("the same", same) if len(same) < len(mine) else ("different", mine)
        text += f", your notes {word} only in {bar_spans(bars, name)}"
    if found.departs == found.last + 1 and not found.is_repeat:
        text += f"; from {name(found.departs, found.departs)} on it goes another way"
    return sentence(text)
