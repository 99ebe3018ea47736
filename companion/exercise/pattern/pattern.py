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

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from companion.errors import CompanionError, RequestError
from companion.exercise.pattern.notation import (
    DYNAMICS,
    HAIRPINS,
    UNPITCHED,
    NotationEvent,
    TempoWord,
    read_pattern_note,
    read_tempo,
    tuplet_groups,
)
from companion.rhythm.meter import Meter, note_name, parse

_MOST_LINES = 12
"""Parts at most."""
_MOST_NOTES = 6000
"""Notes in all at most."""
FINEST = 1_000_000
"""Pieces of a quarter at most on which every note must fall."""


def read_pattern(text: str) -> tuple[PatternLine, ...]:
    """Read a pattern. Raises PatternError with every fault."""
    faults: list[PatternFault] = []
    lines: list[PatternLine] = []
    for begin, row in _rows(text):
        lines.append(read_line(row, begin, lines, faults))
        if len(lines) > _MOST_LINES:
            raise PatternError([PatternFault(begin, f"a pattern has at most {_MOST_LINES} lines")])
    if not lines:
        faults.append(PatternFault(0, "the pattern has no notes", "Write 2/4 q q | h."))
    elif not faults:
        faults += _faults_between(lines, [begin for begin, _ in _rows(text)])
    if faults:
        raise PatternError(faults)
    return tuple(lines)


def divisions(lines: Sequence[PatternLine]) -> int:
    """The fewest pieces of a quarter on which everything falls."""
    lengths = {event.length for line in lines for bar in line.bars for event in bar.events}
    return lcm(
        *(length.denominator for length in lengths),
        *(bar.meter.length.denominator for line in lines for bar in line.bars),
    )


def barlines_travel(lines: Sequence[PatternLine]) -> bool:
    """Whether the lines have barlines of their own."""
    return len({len(line.bars) for line in lines}) > 1


def _rows(text: str) -> Iterator[tuple[int, str]]:
    """Lines that are not blank, with where they begin."""
    begin = 0
    for row in text.split("\n"):
        if row.strip():
            yield begin, row
        begin += len(row) + 1


def _faults_between(lines: Sequence[PatternLine], begins: Sequence[int]) -> Iterator[PatternFault]:
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
            yield PatternFault(
                begin, f"line {number} and line 1 must both begin with a pickup, or neither"
            )
    if sum(len(bar.events) for line in lines for bar in line.bars) > _MOST_NOTES:
        yield PatternFault(0, f"a pattern has at most {_MOST_NOTES} notes")
    if divisions(lines) > FINEST:
        yield PatternFault(0, "these notes cut the quarter too finely to be written together")


def _length(line: PatternLine) -> Fraction:
    return sum((bar.length for bar in line.bars), Fraction(0))


# Reads one line of a pattern, bar after bar, and adds every bar up against its meter.


_MOST_BARS = 400
"""Bars in a line at most."""

_WORD = re.compile(r"\|+|[^\s|]+")
LINE_NAME = re.compile(r"\s*([^\s:|][^:|]{0,39}?)\s*:(?=\s|$)")
"""What a line is called, before its colon."""


def read_line(
    row: str, begin: int, before: Sequence[PatternLine], faults: list[PatternFault]
) -> PatternLine:
    """The line that begins at a place of the pattern; what is wrong with it joins the faults.

    `before` are the lines above it, of which the first lends its meters.
    """
    return _LineReader(row, begin, len(before) + 1, before[0] if before else None, faults).line()


@dataclass(slots=True)
class _LineReader:
    """Reads one line, bar after bar."""

    row: str
    begin: int
    number: int
    model: PatternLine | None
    """The first line, whose meters hold where this one states none."""
    faults: list[PatternFault]
    meter: Meter | None = None
    states_meter: bool = False
    is_lost: bool = False
    """Whether the meter in force cannot be told, so that no bar can be added up."""
    bars: list[LineBar] = field(default_factory=list)

    def line(self) -> PatternLine:
        """The line; what is wrong with it joins the faults."""
        named = LINE_NAME.match(self.row)
        start = named.end() if named else 0
        for words in _bars(self.row, start):
            if len(self.bars) == _MOST_BARS:
                self._fault(words[0][0], f"a line has at most {_MOST_BARS} bars")
                break
            self.bars.append(self._bar(words))
        if not self.bars:
            self._fault(0, f"line {self.number} has no notes")
        else:
            self._check_ties()
            self._check_slurs()
        return PatternLine(named[1] if named else f"Line {self.number}", tuple(self.bars))

    def _fault(self, at: int, what: str, advice: str = "") -> None:
        self.faults.append(PatternFault(self.begin + at, what, advice))

    def _bar(self, words: list[tuple[int, str]]) -> LineBar:
        at, rest = words[0][0], [word for word in words if word[1]]
        self._read_meter(rest)
        is_pickup = bool(rest) and rest[0][1] == "up"
        if is_pickup:
            place, _ = rest.pop(0)
            if self.bars:
                self._fault(place, "only the first bar can be a pickup")
        tempos: list[TempoWord] = []
        while rest and (tempo := read_tempo(rest[0][1])):
            tempos.append(tempo)
            rest.pop(0)
        meter = self._meter_here(at)
        signs = [word for _, word in rest]
        if signs == ["-"] or not signs:
            if not signs:
                self._fault(at, f"{self._here} is empty", "Write - for a bar of rest.")
            return LineBar(meter, (), tuple(tempos))
        if signs == ["%"]:
            events = self._again(at, meter)
        else:
            events = self._notes(rest)
            self._check_length(at, events, meter, is_pickup=is_pickup)
        return LineBar(meter, tuple(events), tuple(tempos), is_pickup)

    @property
    def _here(self) -> str:
        return f"bar {len(self.bars) + 1} of line {self.number}"

    def _read_meter(self, rest: list[tuple[int, str]]) -> None:
        if rest and "/" in rest[0][1]:
            at, word = rest.pop(0)
            try:
                self.states_meter = True
                self.meter = parse(word)
                self.is_lost = False
            except RequestError as fault:
                self.is_lost = True
                self._fault(at, fault.what, fault.next)

    def _meter_here(self, at: int) -> Meter:
        if not self.states_meter and self.model and len(self.bars) < len(self.model.bars):
            self.meter = self.model.bars[len(self.bars)].meter
        if self.meter is None and not self.is_lost:
            self._fault(at, "the first bar has no meter", "Begin it with one, such as 6/8.")
            self.is_lost = True
        return self.meter or parse("4/4")

    def _again(self, at: int, meter: Meter) -> list[NotationEvent]:
        if not self.bars or self.bars[-1].meter != meter or self.bars[-1].is_pickup:
            self._fault(at, "% repeats the bar before, and there is none in this meter")
            return []
        return list(self.bars[-1].events)

    def _notes(self, words: list[tuple[int, str]]) -> list[NotationEvent]:
        events: list[NotationEvent] = []
        waiting: tuple[str, ...] = ()
        for at, word in words:
            if word in DYNAMICS or word in HAIRPINS:
                waiting += (word,)
                continue
            read = read_pattern_note(word)
            if isinstance(read, str):
                self._fault(at, *_moved(word, read))
                continue
            events += [replace(read[0], dynamics=waiting), *read[1:]] if waiting else read
            waiting = ()
        if waiting:
            self._fault(words[-1][0], f"“{waiting[-1]}” has no note after it in this bar")
        return events

    def _check_length(
        self, at: int, events: list[NotationEvent], meter: Meter, *, is_pickup: bool
    ) -> None:
        if self.is_lost or any(self.begin + at <= fault.offset for fault in self.faults):
            return
        held, unit = sum((event.length for event in events), Fraction(0)), _unit(meter)
        if held != meter.length and not (is_pickup and held < meter.length):
            takes, name = _counted(meter.length / unit), note_name(unit)
            lasts = f"{_counted(held / unit)} {name}{'' if 0 < held <= unit else 's'}"
            what = f"{self._here} lasts {lasts}, but {meter} takes {takes}"
            self._fault(at, what, "Write up before the notes of a pickup." if is_pickup else "")
        for group in tuplet_groups(events):
            if not group.is_complete:
                self._fault(at, f"a tuplet in {self._here} is not filled")

    def _check_ties(self) -> None:
        events = [event for bar in self.bars for event in bar.events or (_REST,)]
        for event, after in zip(events, [*events[1:], _REST], strict=True):
            if event.is_tied and event.pitches != after.pitches:
                self._fault(0, f"a tie in line {self.number} does not reach a note of its pitch")
                return

    def _check_slurs(self) -> None:
        """That each slur closes before the next one opens."""
        events = (event for bar in self.bars for event in bar.events)
        signs = "".join("(" * one.begins_slur + ")" * one.ends_slur for one in events)
        if signs.replace("()", ""):
            what = f"a slur in line {self.number} is opened or closed once too often"
            self._fault(0, what, "Write (D4q E4q); slurs do not stand inside each other.")


_REST = NotationEvent("q", 0, "")


def _moved(word: str, why: str) -> tuple[str, str]:
    """What is said of words that stand in the wrong place."""
    if "/" in word or word == "up" or read_tempo(word):
        return f"“{word}” can only stand at the beginning of a bar", "Put a | before it."
    if word in ("-", "%"):
        return f"“{word}” stands for a whole bar", "Let it stand alone in its bar."
    return why, ""


def _bars(row: str, start: int) -> Iterator[list[tuple[int, str]]]:
    """The words of each bar with their places; barlines at either end mean nothing."""
    words: list[tuple[int, str]] = []
    is_first = True
    last = (start, "")
    for match in _WORD.finditer(row, start):
        last = (match.start(), "")
        if not match[0].startswith("|"):
            words.append((match.start(), match[0]))
            continue
        if words or not is_first:
            yield words or [last]
        words, is_first = [], False
    if words:
        yield words


def _unit(meter: Meter) -> Fraction:
    """The note a meter is counted in."""
    return Fraction(4, max(int(bottom) for bottom in re.findall(r"/([0-9]+)", meter.text)))


def _counted(number: Fraction) -> str:
    """`5`, `5 1/3`."""
    whole, rest = divmod(number, 1)
    return str(whole) if not rest else f"{whole} {rest}" if whole else str(rest)


# Lines of bars, as a pattern has them, and what can be wrong with them.


class PatternFault(NamedTuple):
    """One thing wrong in a pattern."""

    offset: int
    """Letters from the beginning of the pattern."""
    what: str
    """What is wrong, without a full stop."""
    advice: str = ""


class PatternError(CompanionError):
    """A pattern cannot be played as it is written."""

    def __init__(self, faults: Sequence[PatternFault]) -> None:
        self.faults = tuple(sorted(set(faults)))
        first = self.faults[0]
        super().__init__(first.what, where=f"letter {first.offset + 1}", next=first.advice)


@dataclass(frozen=True, slots=True)
class LineBar:
    """One bar of one line."""

    meter: Meter
    events: tuple[NotationEvent, ...]
    """Its notes in order; none for a whole bar of rest."""
    tempos: tuple[TempoWord, ...] = ()
    is_pickup: bool = False
    """Whether it is shorter than its meter on purpose."""

    @property
    def length(self) -> Fraction:
        """Quarters it lasts."""
        filled = sum((event.length for event in self.events), Fraction(0))
        return filled if self.is_pickup else self.meter.length


@dataclass(frozen=True, slots=True)
class PatternLine:
    """One part."""

    name: str
    """What stands before its colon, else `Line 1`."""
    bars: tuple[LineBar, ...]

    @property
    def is_pitched(self) -> bool:
        """Whether any note has a pitch."""
        return any(event.pitch not in ("", UNPITCHED) for bar in self.bars for event in bar.events)
