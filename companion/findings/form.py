"""The large plan of a movement as letters: A B A′, with bars.

It is a heuristic and must be shown as one. It is built on what really returns, never on
keys or cadences: returns that follow each other in the order of their models make one large
section; what lies between has letters of its own. It is asked for one movement at a time.

What it does, in order: a passage repeated at once counts once, as under a repeat sign;
returns are chained where model and return go on in the same order and not more than a
quarter of the movement is missing between two of them; a chain that covers a twelfth of the
movement is a section; a section that returns changed, or departs before the next begins,
has a prime. Short gaps go to the section before them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from companion.findings.bar_likeness import SHORTEST
from companion.findings.returns import Return
from companion.wording.phrases import BarNaming


@dataclass(frozen=True, slots=True)
class Section:
    """A stretch of bars with its letter."""

    first: int
    """Ordinal of its first bar."""
    last: int
    """Ordinal of its last bar."""
    letter: str
    """`A` for the first kind of music, `B` for the second …"""
    is_changed: bool
    """Whether it is not, note for note, the first section of its letter."""
    departs: int | None
    """The first bar that is not as in the first section of its letter; None where all are."""

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
    """The sections of one movement, bars `first` to `last`, none where nothing large returns.

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
    """Each piece joined to the chain it goes on with, where there is one."""
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
    """Where the chain puts letters that are not there yet; nothing where it fits badly."""
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


def told(sections: Sequence[Section], name: BarNaming) -> str:
    """The plan in one line, said to be a reading of it: `A bars 1–9, B …`."""
    said = [f"{section} {name(section.first, section.last)}" for section in sections]
    if not said:
        return "No large section returns."
    departing = [
        f"{section} departs at {name(section.departs, section.departs)}"
        for section in sections
        if section.departs is not None
    ]
    return "; ".join([f"The plan, as its returns suggest: {', '.join(said)}", *departing]) + "."
