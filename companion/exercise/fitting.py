"""An exercise on another instrument, moved as a string player would move it.

On violin, viola and cello a line stays on its strings, so that every fingering stays: from
violin to viola it goes a fifth down, to the cello an octave more. A line of open strings goes
string by string. To and from the double bass, tuned in fourths, it goes by octaves if it can,
else by a fifth or a fourth. So it does where somebody else has notes, too: at the octave the
others keep theirs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from companion.errors import RequestError
from companion.exercise.file.exercise import Exercise, ExerciseDrill
from companion.exercise.instruments import Instrument, height, instrument_of
from companion.exercise.pattern.notation import UNPITCHED
from companion.exercise.pattern.pattern import PatternLine, read_pattern
from companion.exercise.pattern.transposition import (
    Interval,
    LineChange,
    key_moved,
    moved,
    rewritten,
)
from companion.score.typed_numbers import is_whole

_AS_WRITTEN = Interval()
_OCTAVES = tuple(Interval(0, octaves) for octaves in (0, -1, 1, -2, 2, -3, 3))
_FIFTHS = tuple(
    Interval(fifths, octaves) for octaves in (0, 1, -1, 2, -2, -3, 3) for fifths in (-1, 1)
)


@dataclass(frozen=True, slots=True)
class Move:
    """How the notes of one drill are moved."""

    interval: Interval = _AS_WRITTEN
    by_string: bool = False
    """Whether open strings go to open strings, one by one, and no interval tells how."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """How an exercise is played on an instrument, or why it is not."""

    instrument: Instrument
    moves: tuple[Move, ...] = ()
    """One for each drill; none if it cannot be played."""
    why_not: str = ""
    """Why it cannot be played; empty if it can."""


@dataclass(frozen=True, slots=True)
class _Line:
    """The student's line of one drill."""

    lines: tuple[PatternLine, ...]
    part: int
    pitches: tuple[str, ...]
    """Each once; none where it is clapped."""

    @property
    def heights(self) -> tuple[int, ...]:
        return tuple(map(height, self.pitches))

    @property
    def home(self) -> Instrument | None:
        return instrument_of(self.lines[self.part].name)

    @property
    def is_of_open_strings(self) -> bool:
        home = self.home
        return home is not None and len(self.pitches) > 1 and set(self.heights) <= set(home.strings)

    @property
    def has_company(self) -> bool:
        return any(line.is_pitched for at, line in enumerate(self.lines) if at != self.part)


def range_of_exercise(exercise: Exercise) -> tuple[str, str] | None:
    """The lowest and the highest note the student plays in patterns; None if all is clapped.

    Raises PatternError if a pattern cannot be read.
    """
    pitches = [pitch for line in _lines(exercise) for pitch in line.pitches]
    return (min(pitches, key=height), max(pitches, key=height)) if pitches else None


def is_for(exercise: Exercise, instrument: Instrument) -> bool:
    """Whether an instrument plays it just as it is written.

    Raises PatternError if a pattern cannot be read.
    """
    if any(not drill.pattern for drill in exercise.drills):
        return True  # whoever has the score knows whose part it is
    return all(not line.pitches or line.home == instrument for line in _lines(exercise))


def fitting(exercise: Exercise, instrument: Instrument) -> Fitting:
    """How an exercise is played on an instrument, or why it is not.

    Raises PatternError if a pattern cannot be read.
    """
    moves: list[Move] = []
    for drill in exercise.drills:
        if not drill.pattern:
            return Fitting(instrument, why_not="only patterns are moved, not scores or ABC")
        line = _line(drill)
        move = _move(line, instrument)
        if move is None:
            low, high = _span([line])
            return Fitting(
                instrument,
                why_not=f"{low} to {high} is wider than the {instrument.name} in low positions",
            )
        moves.append(move)
    return Fitting(instrument, tuple(moves))


def fitted(exercise: Exercise, instrument: Instrument) -> Exercise:
    """The exercise on an instrument. Raises RequestError if it cannot be played on it."""
    found = fitting(exercise, instrument)
    if found.why_not:
        raise RequestError(
            f"this exercise does not fit the {instrument.name}: {found.why_not}",
            where=exercise.title,
            next="companion exercise list --library --instrument shows those that do.",
        )
    drills = tuple(
        _fitted_drill(drill, move, instrument)
        for drill, move in zip(exercise.drills, found.moves, strict=True)
    )
    if drills == exercise.drills:
        return exercise
    title = f"{exercise.title[:_LONGEST_TITLE]} ({instrument.name})"
    return replace(exercise, title=title, drills=drills)


_LONGEST_TITLE = 180
"""Letters of a title to which an instrument can be added: a file takes 200."""


def _move(line: _Line, instrument: Instrument) -> Move | None:
    """How a line is moved; None if it does not fit in any way."""
    if not line.pitches or line.home == instrument:
        return Move()
    strings = _strings_apart(line, instrument)
    if line.is_of_open_strings and not line.has_company:
        return Move(strings, by_string=strings == _AS_WRITTEN)
    for interval in _candidates(line, strings, instrument):
        if _can_move(line, interval, instrument):
            return Move(interval)
    return None


def _lines(exercise: Exercise) -> Iterator[_Line]:
    for drill in exercise.drills:
        if drill.pattern:
            yield _line(drill)


def _line(drill: ExerciseDrill) -> _Line:
    lines = read_pattern(drill.pattern)
    part = _part(drill.part, lines)
    return _Line(lines, part, _pitches(lines[part]))


def _pitches(line: PatternLine) -> tuple[str, ...]:
    found = (pitch for bar in line.bars for event in bar.events for pitch in event.pitches)
    return tuple(dict.fromkeys(pitch for pitch in found if pitch != UNPITCHED))


def _part(typed: str, lines: Sequence[PatternLine]) -> int:
    """The line an exercise names by its number or the beginning of its name; else the first."""
    if is_whole(typed):
        return min(max(int(typed), 1), len(lines)) - 1
    wanted = typed.casefold()
    return next((at for at, one in enumerate(lines) if one.name.casefold().startswith(wanted)), 0)


def _span(lines: Sequence[_Line]) -> tuple[str, str]:
    pitches = [pitch for line in lines for pitch in line.pitches]
    return min(pitches, key=height), max(pitches, key=height)


def _is_in_fifths(instrument: Instrument | None) -> bool:
    return instrument is not None and instrument.strings[1] - instrument.strings[0] == 7


def _strings_apart(line: _Line, instrument: Instrument) -> Interval:
    """The interval between the strings of two instruments that are tuned alike."""
    if line.home is None or not (_is_in_fifths(line.home) and _is_in_fifths(instrument)):
        return _AS_WRITTEN
    return next(
        interval
        for interval in (*_OCTAVES, *_FIFTHS)
        if interval.semitones == instrument.low - line.home.low
    )


def _candidates(line: _Line, strings: Interval, instrument: Instrument) -> Iterator[Interval]:
    """What is tried, the best first."""
    if not line.has_company and strings != _AS_WRITTEN:
        yield strings
    for kind in (_OCTAVES, (strings,), _FIFTHS):
        # with the same notes, the lowest that still fits keeps the hand in low positions
        fits = (one for one in kind if min(line.heights) + one.semitones >= instrument.low)
        yield from sorted(fits, key=lambda one: (one != _AS_WRITTEN, one.semitones))


def _can_move(line: _Line, by: Interval, instrument: Instrument) -> bool:
    try:
        return instrument.holds([height(moved(pitch, by)) for pitch in line.pitches])
    except RequestError:
        return False


def _fitted_drill(drill: ExerciseDrill, move: Move, instrument: Instrument) -> ExerciseDrill:
    line = _line(drill)
    if not line.pitches or line.home == instrument:
        return drill
    name = _free_name(line, instrument)
    if move.by_string:
        changes = {line.part: LineChange(_string_by_string(line, instrument), name)}
        key = ""
    else:
        new = {pitch: moved(pitch, move.interval) for pitch in line.pitches}
        changes = {line.part: LineChange(new, name)} | _of_the_others(line, move.interval)
        needs_none = not drill.key and all(len(pitch) == 2 for pitch in new.values())
        key = "" if needs_none else key_moved(drill.key, move.interval)
    old = f"rhythm:{line.lines[line.part].name}"
    return replace(
        drill,
        pattern=rewritten(drill.pattern, changes),
        key=key,
        part=str(line.part + 1),
        layers=tuple(f"rhythm:{name}" if word == old else word for word in drill.layers),
        fades=tuple(word.replace(old, f"rhythm:{name}") for word in drill.fades),
        is_early=False,
    )


def _string_by_string(line: _Line, instrument: Instrument) -> dict[str, str]:
    """Every open string of the home instrument, and the one in its place."""
    home = line.home or instrument
    return {
        pitch: _STRING_NAMES[instrument.strings[home.strings.index(height(pitch))]]
        for pitch in line.pitches
    }


_STRING_NAMES = {
    **{36: "C2", 40: "E2", 43: "G2", 45: "A2", 48: "C3", 50: "D3"},
    **{55: "G3", 57: "A3", 62: "D4", 69: "A4", 76: "E5"},
}


def _free_name(line: _Line, instrument: Instrument) -> str:
    """What the student's line is called: the instrument, numbered if another line is one."""
    name = instrument.name.capitalize()
    others = {one.name for at, one in enumerate(line.lines) if at != line.part}
    return f"{name} II" if name in others else name


def _of_the_others(line: _Line, by: Interval) -> dict[int, LineChange]:
    """The others go along by the fifth, at the octave at which their instrument has it."""
    if not by.fifths:
        return {}
    changes: dict[int, LineChange] = {}
    for at, other in enumerate(line.lines):
        pitches, home = _pitches(other), instrument_of(other.name)
        if at == line.part or not pitches:
            continue
        near = sorted((Interval(by.fifths, octave) for octave in range(-3, 4)), key=_size)
        fits = (one for one in near if home and _can_move(_with_part(line, at), one, home))
        best = next(fits, near[0])
        changes[at] = LineChange({pitch: moved(pitch, best) for pitch in pitches})
    return changes


def _size(by: Interval) -> int:
    return abs(by.semitones)


def _with_part(line: _Line, part: int) -> _Line:
    """Another line of the same drill."""
    return _Line(line.lines, part, _pitches(line.lines[part]))
