"""A pattern: lines of bars in the short notation, read and checked as a musician would.

    violin: 6/8 D4q. A4q. | F#4e G4e A4e D5q.
    clap:   2/4 q q       | q q

One line of text is one part, `|` is a barline, `%` plays the bar before again, `-` is a bar
of rest, `up` in the first bar makes it a pickup. A line that states no meter has those of
the first. Lines with the same number of bars share their barlines, whatever the meters;
lines with different numbers must last equally long, and their barlines travel.

Every bar is added up against its meter and every fault is told with its place, because
one eighth too many in a bar typed by hand is the mistake everybody makes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm

from companion.exercise.pattern.line_reader import read_line
from companion.exercise.pattern.lines import Line, PatternError, PatternFault

MOST_LINES = 12
"""Parts at most."""
MOST_NOTES = 6000
"""Notes in all at most."""
FINEST = 1_000_000
"""Pieces of a quarter at most on which every note must fall."""


def read_pattern(text: str) -> tuple[Line, ...]:
    """Read a pattern. Raises PatternError with every fault."""
    faults: list[PatternFault] = []
    lines: list[Line] = []
    for begin, row in _rows(text):
        lines.append(read_line(row, begin, lines, faults))
        if len(lines) > MOST_LINES:
            raise PatternError([PatternFault(begin, f"a pattern has at most {MOST_LINES} lines")])
    if not lines:
        faults.append(PatternFault(0, "the pattern has no notes", "Write 2/4 q q | h."))
    elif not faults:
        faults += _faults_between(lines, [begin for begin, _ in _rows(text)])
    if faults:
        raise PatternError(faults)
    return tuple(lines)


def divisions(lines: Sequence[Line]) -> int:
    """The fewest pieces of a quarter on which everything falls."""
    lengths = {event.length for line in lines for bar in line.bars for event in bar.events}
    return lcm(
        *(length.denominator for length in lengths),
        *(bar.meter.length.denominator for line in lines for bar in line.bars),
    )


def barlines_travel(lines: Sequence[Line]) -> bool:
    """Whether the lines have barlines of their own."""
    return len({len(line.bars) for line in lines}) > 1


def _rows(text: str) -> Iterator[tuple[int, str]]:
    """Lines that are not blank, with where they begin."""
    begin = 0
    for row in text.split("\n"):
        if row.strip():
            yield begin, row
        begin += len(row) + 1


def _faults_between(lines: Sequence[Line], begins: Sequence[int]) -> Iterator[PatternFault]:
    first, length = lines[0], _length(lines[0])
    for number, (line, begin) in enumerate(zip(lines, begins, strict=True), 1):
        if len(line.bars) != len(first.bars) and _length(line) != length:
            yield PatternFault(
                begin,
                f"line {number} has {len(line.bars)} bars and line 1 has {len(first.bars)}, "
                "and they do not last equally long",
                "Give them the same number of bars, or the same length in all.",
            )
        if line.bars[0].is_pickup != first.bars[0].is_pickup:
            yield PatternFault(begin, f"line {number} and line 1 do not both begin with a pickup")
    if sum(len(bar.events) for line in lines for bar in line.bars) > MOST_NOTES:
        yield PatternFault(0, f"a pattern has at most {MOST_NOTES} notes")
    if divisions(lines) > FINEST:
        yield PatternFault(0, "these notes cut the quarter too finely to be written together")


def _length(line: Line) -> Fraction:
    return sum((bar.length for bar in line.bars), Fraction(0))
