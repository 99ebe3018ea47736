"""Figures that repeat at a length of their own, across the beats or the bars they stand in.

Every note may lie on the common grid and still a coach says "you are in threes there":
a figure of three eighths over four. Comparing divisions cannot see it, because the
division is the same; what repeats has to be looked at.

What a repetition is, `repetitions.py` says; here it is held against the meter. A figure
longer than a bar but shorter than two counts if more than its rhythm repeats. A stretch
ends at a change of the part's own meter.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import cache

from msgspec import Struct
from msgspec.structs import replace

from companion.findings.repetitions import (
    Notes,
    Repetition,
    Returning,
    notes_of,
    repetitions,
    returning_signs,
)
from companion.rhythm.meter import crossed
from companion.score.texture import MeterRun, PartStream, Texture


class Figure(Struct, frozen=True):
    """A stretch of one part that repeats a figure which does not fit its meter."""

    part: str
    run: MeterRun
    start: int
    end: int
    """Grain at which the repetition is over; the last repeat may be broken off."""
    length: int
    evidence: tuple[str, ...]
    """What repeats: `accent`, `beam`, `low`, `pitch`, `rhythm`, `slur`, in this order."""

    head: int | None = None
    """Grain at which a group begins, if equal notes, accents, slurs or beams say so."""

    is_equal_notes: bool = False

    @property
    def repeats(self) -> int:
        """How many whole times the figure is played."""
        return (self.end - self.start) // self.length

    @property
    def quarters(self) -> Fraction:
        """Written length of the figure once, in quarters."""
        return self.length / self.run.quarter


def figures(texture: Texture) -> tuple[Figure, ...]:
    """All such figures, part by part, in order of time."""
    return tuple(figure for stream in texture.streams for figure in figures_of(stream))


def figures_of(stream: PartStream) -> tuple[Figure, ...]:
    """All such figures of one part, in order of time."""
    found: list[Figure] = []
    for notes in notes_of(stream):
        repeated = [
            _figure(stream.part, notes, repetition, sign)
            for repetition, sign in repetitions(notes, _wanted(notes.run))
        ]
        repeated += [
            Figure(stream.part, notes.run, one.start, one.end, one.length, (one.sign,), _head(one))
            for one in returning_signs(notes)
        ]
        found += _without_multiples(_joined(figure for figure in repeated if _crosses(figure)))
    return tuple(found)


def _figure(part: str, notes: Notes, repetition: Repetition, what: str) -> Figure:
    """The last repeat ends as long after its last note as the one before it."""
    last, before = repetition.end - 1, repetition.end - 1 - repetition.size
    length = notes.at[last] - notes.at[before]
    end = notes.at[before + 1] + length
    start = notes.at[repetition.start]
    # Equal notes are all beginnings; of a longer figure nothing says which note it begins with.
    is_equal = what == "rhythm" and repetition.size == 1
    head = start if is_equal else None
    return Figure(part, notes.run, start, end, length, (what,), head, is_equal)


def _head(groups: Returning) -> int | None:
    """A low note shows how long a group is; the group may begin before it."""
    return None if groups.sign == "low" else groups.start


def _wanted(run: MeterRun) -> Callable[[int], bool]:
    """Whether a figure so many grains long may cross the meter."""
    quarter, longest = run.quarter, 2 * run.full

    @cache
    def is_wanted(length: int) -> bool:
        return length < longest and crossed(length / quarter, run.meter) is not None

    return is_wanted


def _crosses(figure: Figure) -> bool:
    if figure.length >= figure.run.full and figure.evidence == ("rhythm",):
        return False
    return (
        figure.length < 2 * figure.run.full
        and crossed(figure.quarters, figure.run.meter) is not None
    )


def _joined(figures: Iterable[Figure]) -> list[Figure]:
    """One figure if the same length shows in several ways at overlapping places."""
    found: list[Figure] = []
    for figure in sorted(figures, key=lambda f: (f.length, f.start, f.end)):
        before = found[-1] if found else None
        if before and before.length == figure.length and figure.start < before.end:
            evidence = tuple(sorted({*before.evidence, *figure.evidence}))
            end = max(before.end, figure.end)
            head = figure.head if before.head is None else before.head
            is_equal = before.is_equal_notes and figure.is_equal_notes
            found[-1] = replace(
                before, end=end, evidence=evidence, head=head, is_equal_notes=is_equal
            )
        else:
            found.append(figure)
    return found


def _without_multiples(figures: list[Figure]) -> list[Figure]:
    """Without those that only say again, in multiples, what a shorter figure says."""
    kept = [
        figure
        for figure in figures
        if not any(
            figure.length > other.length
            and figure.length % other.length == 0
            and other.start <= figure.start
            and figure.end <= other.end
            for other in figures
        )
    ]
    return sorted(kept, key=lambda figure: (figure.start, figure.end))
