"""How a player names a part or a bar, turned into positions.

A bar is its ordinal position (`97`), a printed label with its movement (`II:225`),
or a rehearsal mark (`C`, `C+3`, `II:C`). Printed labels repeat in a file with several
movements, so a plain number is never taken for a label; a label that is not a number (`X1`,
`2b`) is, where only one bar has it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from companion.errors import RequestError
from companion.score.clock import Bar, Clock
from companion.score.model import Score
from companion.score.part_names import named_alike

_DASH = re.compile(r"\s*[-–—]\s*")
_ROMAN = ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
_ADDRESS = re.compile(r"(?:(?P<movement>[IVX]+|\d+):)?(?P<name>[^:+]+?)(?:\+(?P<after>\d+))?")


def find_part(score: Score, text: str) -> int:
    """Index of the part a player means: its name, an unambiguous beginning of one, its
    abbreviation, its number from 1, the source's id, or its instrument in other words.

    Raises RequestError naming the parts there are.
    """
    wanted = text.strip().casefold()
    parts = score.parts
    if wanted.isdigit() and 1 <= int(wanted) <= len(parts):
        return int(wanted) - 1
    ways = (
        [i for i, part in enumerate(parts) if part.name.casefold() == wanted],
        [i for i, part in enumerate(parts) if part.id.casefold() == wanted],
        [i for i, part in enumerate(parts) if part.abbreviation.casefold() == wanted != ""],
        [i for i, part in enumerate(parts) if wanted and part.name.casefold().startswith(wanted)],
        named_alike([part.name for part in parts], wanted),
    )
    for found in ways:
        if len(found) == 1:
            return found[0]
        if found:
            raise RequestError(f"“{text}” could be {_listed(score, found)}", next="Say which.")
    raise RequestError(
        f"there is no part “{text}”",
        where=score.title,
        next=f"The parts are {_listed(score, list(range(len(parts))))}.",
    )


def _listed(score: Score, indices: list[int]) -> str:
    return ", ".join(f"{index + 1} {score.parts[index].name}" for index in indices)


def find_bars(clock: Clock, text: str) -> tuple[int, int]:
    """Ordinal positions of the first and last bar of a span such as `97-100` or `II:225-230`.

    A single address is a span of one bar. Raises RequestError if no such bars exist.
    """
    ends = _DASH.split(text.strip())
    if len(ends) > 2 or not all(ends):
        raise RequestError(f"“{text}” is not a span of bars", next=_HOW)
    first = find_bar(clock, ends[0])
    last = first if len(ends) == 1 else find_bar(clock, _inherited(ends[0], ends[1]))
    if last < first:
        raise RequestError(f"“{text}” ends before it begins", next="Write the earlier bar first.")
    return first, last


_HOW = "Write 97-100, II:225-230 (movement and printed number), or C-C+3 (rehearsal marks)."


def _inherited(first: str, last: str) -> str:
    """The end of a span is in the movement of its beginning unless it says otherwise."""
    if ":" in first and ":" not in last:
        return f"{first.split(':')[0]}:{last}"
    return last


def find_bar(clock: Clock, text: str) -> int:
    """Ordinal position of one bar. Raises RequestError if there is none."""
    wanted = text.strip()
    if wanted.isdigit():
        number = int(wanted)
        if 1 <= number <= len(clock.bars):
            return number
        there_are = f"It has bars 1–{len(clock.bars)}, counted through the file."
        raise RequestError(
            f"there is no bar {number}",
            where=clock.score.title,
            next=there_are + _printed(clock, wanted),
        )
    match = _ADDRESS.fullmatch(wanted)
    if match is None:
        raise RequestError(f"“{text}” does not name a bar", next=_HOW)
    movement = _movement(match["movement"])
    named = _named(clock, match["name"], movement)
    if named is None:
        raise RequestError(
            f"there is no bar or rehearsal mark “{text}”", where=clock.score.title, next=_HOW
        )
    number = named + int(match["after"] or 0)
    if number > len(clock.bars):
        raise RequestError(f"“{text}” lies after the last bar", where=clock.score.title, next=_HOW)
    return number


def _movement(text: str | None) -> int | None:
    if text is None:
        return None
    if text.isdigit():
        return int(text)
    return _ROMAN.index(text) if text in _ROMAN else -1


def _named(clock: Clock, name: str, movement: int | None) -> int | None:
    marks = rehearsal_marks(clock)
    for bar in clock.bars:
        if movement is not None and bar.movement != movement:
            continue
        if marks.get(bar.number, "").casefold() == name.casefold() or (
            movement is not None and bar.label == name
        ):
            return bar.number
    alone = [bar.number for bar in clock.bars if movement is None and bar.label == name]
    return alone[0] if len(alone) == 1 else None


def _printed(clock: Clock, label: str) -> str:
    """A sentence on how to name the bars that are printed so, if any are."""
    bars = [bar for bar in clock.bars if bar.label == label][:3]
    names = (f"{bar.number} or {_numeral(bar)}:{label}" for bar in bars)
    return f" Printed {label} is {', '.join(names)}." if bars else ""


def rehearsal_marks(clock: Clock) -> dict[int, str]:
    """Rehearsal marks by the ordinal position of their bar, whichever part carries them."""
    found: dict[int, str] = {}
    for part, places in zip(clock.score.parts, clock.places, strict=True):
        for index, bar in enumerate(part.bars):
            for mark in bar.marks:
                if mark.kind == "rehearsal":
                    number = index + 1
                    if not clock.barlines_coincide:
                        number = _bar_at(clock, places[index].start)
                    found.setdefault(number, mark.text)
    return found


def _bar_at(clock: Clock, time: Fraction) -> int:
    return max((bar.number for bar in clock.bars if bar.start <= time), default=1)


def bar_name(clock: Clock, bar: Bar) -> str:
    """How a bar is shown to a player: its printed label, after the movement where several are."""
    label = bar.label or f"({bar.number})"
    if clock.bars[-1].movement == 1:
        return label
    return f"{_numeral(bar)}:{label}"


def _numeral(bar: Bar) -> str:
    return _ROMAN[bar.movement] if bar.movement < len(_ROMAN) else str(bar.movement)


def span_name(clock: Clock, first: int, last: int) -> str:
    """A span of bars as shown to a player: `13–20`, `II:225–230`."""
    begin, end = bar_name(clock, clock.bars[first - 1]), bar_name(clock, clock.bars[last - 1])
    if first == last:
        return begin
    if ":" in begin and begin.split(":")[0] == end.split(":")[0]:
        end = end.split(":")[1]
    return f"{begin}–{end}"


# Movements in one file, told by printed bar numbers that start again.


_NUMBER = re.compile(r"\d+")


def movements(labels: Sequence[str]) -> tuple[int, ...]:
    """For each bar the movement it belongs to, from 1.

    A movement begins where the printed number falls back to 1 after it had reached at
    least 2, or to 0 if 1 follows (a pickup). A lone 0 in the middle is the unnumbered
    second half of a split bar.
    """
    numbers = [
        int(digits.group()) if (digits := _NUMBER.match(label)) else None for label in labels
    ]
    found: list[int] = []
    current = 1
    highest = 0
    for number, following in zip(numbers, [*numbers[1:], None], strict=True):
        restarts = number == 1 or (number == 0 and following == 1)
        if restarts and highest > 1:
            current += 1
            highest = 0
        highest = max(highest, number or 0)
        found.append(current)
    return tuple(found)
