"""Form: passages that return, so that what is learned once serves twice, and the large plan.

Bars are compared across all parts. Two kinds of return are found:

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
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from companion.findings.similar_bars import (
    MOSTLY_SAME,
    SAME,
    SHORTEST,
    BarContents,
    Similarity,
    SimilarRun,
    bar_contents,
    similar_runs,
    trimmed,
)
from companion.score.texture import Texture

STANDS_ALONE = 8
"""Bars from which an exact return is told by itself, not as the core of a changed one."""
WIDEST_GAP = 8
"""Most bars that may be left out or put in where two pieces of a return are joined."""


@dataclass(frozen=True, slots=True)
class Return:
    """A passage that was there before."""

    first: int
    last: int
    model_first: int
    model_last: int
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
    bars = bar_contents(texture)
    covered = bytearray(bars.count)
    chosen: list[SimilarRun] = []
    for similarity, fewest in ((SAME, STANDS_ALONE), (MOSTLY_SAME, SHORTEST)):
        for run in sorted(
            similar_runs(bars, similarity), key=lambda run: (-run.kept, run.first, -run.back)
        ):
            for piece in list(_uncovered(bars, similarity, run, covered)):
                if piece.kept >= fewest and _moves(bars, piece):
                    chosen.append(piece)
                    covered[piece.first : piece.last + 1] = b"\1" * (piece.last - piece.first + 1)
    chosen.sort(key=lambda run: run.first)
    parts = [stream.part for stream in texture.streams]
    return tuple(_joined([_return(bars, run, parts) for run in chosen]))


def _uncovered(
    bars: BarContents, similarity: Similarity, run: SimilarRun, covered: bytearray
) -> Iterator[SimilarRun]:
    """What no other return has taken of a run."""
    first = run.first
    while first <= run.last:
        if covered[first]:
            first += 1
            continue
        last = first
        while last < run.last and not covered[last + 1]:
            last += 1
        piece = trimmed(bars, similarity, run._replace(first=first, last=last))
        if piece:
            yield piece
        first = last + 1


def _moves(bars: BarContents, run: SimilarRun) -> bool:
    """Whether at least three of its bars differ from each other."""
    seen = {
        tuple([*(shape[bar] for shape in bars.shapes), *(height[bar] for height in bars.heights)])
        for bar in range(run.first, run.last + 1)
    }
    return len(seen) >= 3


def _return(bars: BarContents, run: SimilarRun, parts: Sequence[str]) -> Return:
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


# The large plan of a movement as letters, A B A′: a heuristic, to be shown as one. It is built
# on what really returns, never on keys or cadences, one movement at a time:
# - a passage repeated at once counts once, as under a repeat sign;
# - returns are chained if model and return go on in the same order and not more than a quarter
#   of the movement is missing between two of them;
# - a chain that covers a twelfth of the movement is a section, what lies between has letters
#   of its own, and short gaps go to the section before them;
# - a section that returns changed, or departs before the next begins, has a prime.


@dataclass(frozen=True, slots=True)
class Section:
    """A stretch of bars with its letter."""

    first: int
    last: int
    letter: str
    """`A` for the first kind of music, `B` for the second …"""
    is_changed: bool
    """Whether it is not, note for note, the first section of its letter."""
    departs: int | None
    """The first bar that is not as in the first section of its letter; None if all are."""

    def __str__(self) -> str:
        return self.letter + "′" * self.is_changed


class _Piece(NamedTuple):
    """A return, or a chain of them, in places that count repeated bars once."""

    model: int
    model_end: int
    here: int
    end: int
    """One past the last, like `model_end`."""
    weight: int
    """How many of its places are covered by returns."""
    departs: int | None
    """Ordinal of the first bar that differs within."""


class _Labelled(NamedTuple):
    at: int
    end: int
    label: int
    departs: int | None
    is_return: bool


def large_plan(found: Sequence[Return], first: int, last: int) -> tuple[Section, ...]:
    """The sections of one movement, bars `first` to `last`, none if nothing large returns.

    `found` may hold the returns of the whole file.
    """
    inside = [
        _clipped(one, last) for one in found if first <= one.model_first and one.first <= last
    ]
    places, bars = _places(inside, first, last)
    pieces = [piece for one in inside if (piece := _piece(one, places))]
    chains = sorted(_chained(pieces, bars), key=lambda chain: -chain.weight)
    fewest = max(SHORTEST, len(bars) // 12)
    labelled: list[_Labelled] = []
    for chain in chains:
        if chain.weight >= fewest:
            labelled += _labels(chain, labelled)
    return tuple(_sections(_filled(sorted(labelled), bars), bars, last))


def _clipped(one: Return, last: int) -> Return:
    """The part of a return that lies in the movement."""
    over = max(0, one.last - last)
    if not over:
        return one
    return replace(
        one,
        last=last,
        model_last=max(one.model_first, one.model_last - over),
        differing=tuple(bar for bar in one.differing if bar <= last),
    )


def _places(found: Sequence[Return], first: int, last: int) -> tuple[dict[int, int], list[int]]:
    """A place for every bar, and the first bar of each place.

    Bars repeated at once share one, and a first ending shares that of the bar before it.
    """
    model_of: dict[int, int] = {}
    for one in found:
        if one.is_repeat and len(one.differing) <= 1:
            back = one.first - one.model_first
            model_of |= {bar: bar - back for bar in range(one.first, one.last + 1)}
            model_of |= dict.fromkeys(range(one.model_last + 1, one.first), one.model_last)
    places: dict[int, int] = {}
    bars: list[int] = []
    for bar in range(first, last + 1):
        if bar in model_of:
            places[bar] = places[model_of[bar]]
        else:
            places[bar] = len(bars)
            bars.append(bar)
    return places, bars


def _piece(one: Return, places: dict[int, int]) -> _Piece | None:
    model, model_end = places[one.model_first], places[one.model_last] + 1
    here, end = places[one.first], places[one.last] + 1
    if not model < model_end <= here < end:
        return None
    return _Piece(model, model_end, here, end, end - here, min(one.differing, default=None))


def _chained(pieces: Sequence[_Piece], bars: Sequence[int]) -> list[_Piece]:
    """Each piece joined to the chain it goes on with, if there is one."""
    chains: list[_Piece] = []
    widest = len(bars) // 4
    for piece in pieces:
        fitting = [
            chain
            for chain in chains
            if 0 <= piece.model - chain.model_end <= widest
            and 0 <= piece.here - chain.end <= widest
            and piece.model_end <= chain.here
        ]
        if not fitting:
            chains.append(piece)
            continue
        chain = min(fitting, key=lambda chain: abs(piece.model - chain.model_end))
        departs = chain.departs
        if departs is None:
            goes_on = (piece.model, piece.here) == (chain.model_end, chain.end)
            departs = piece.departs if goes_on else bars[chain.end]
        weight = chain.weight + piece.weight
        chains[chains.index(chain)] = _Piece(
            chain.model, piece.model_end, chain.here, piece.end, weight, departs
        )
    return chains


def _labels(chain: _Piece, labelled: Sequence[_Labelled]) -> list[_Labelled]:
    """Where the chain puts letters that are not there yet; nothing if it fits badly."""
    if any(one.at < chain.end and chain.here < one.end for one in labelled):
        return []
    met = [one for one in labelled if one.at < chain.model_end and chain.model < one.end]
    if not met:
        label = len({one.label for one in labelled})
        model = _Labelled(chain.model, chain.model_end, label, None, False)
        return [model, _Labelled(chain.here, chain.end, label, chain.departs, True)]
    known = met[0]
    shared = min(known.end, chain.model_end) - max(known.at, chain.model)
    if (
        len(met) > 1
        or 2 * shared < chain.model_end - chain.model
        or 3 * shared < known.end - known.at
    ):
        return []
    return [_Labelled(chain.here, chain.end, known.label, chain.departs, True)]


def _filled(labelled: list[_Labelled], bars: Sequence[int]) -> Iterator[_Labelled]:
    """The same without gaps: short ones go to the section before, others are sections."""
    if not labelled:
        return
    shortest = max(SHORTEST, len(bars) // 20)
    opening = labelled[0].at
    if opening >= shortest:
        yield _Labelled(0, opening, -1, None, False)
    else:
        labelled[0] = labelled[0]._replace(at=0)
    for one, until in zip(labelled, [*(one.at for one in labelled[1:]), len(bars)], strict=True):
        gap = until - one.end
        closes = until == len(bars) and one.is_return and gap < one.end - one.at
        if gap >= shortest and not closes:
            yield one
            yield _Labelled(one.end, until, -one.end - 1, None, False)
        elif gap and one.is_return and one.departs is None:
            yield one._replace(end=until, departs=bars[one.end])
        else:
            yield one._replace(end=until)


def _sections(filled: Iterable[_Labelled], bars: Sequence[int], last: int) -> Iterator[Section]:
    letters: dict[int, str] = {}
    for one in filled:
        number = len(letters)
        letter = letters.setdefault(one.label, chr(ord("A") + number % 26) * (number // 26 + 1))
        until = bars[one.end] - 1 if one.end < len(bars) else last
        yield Section(bars[one.at], until, letter, one.departs is not None, one.departs)
