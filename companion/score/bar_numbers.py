"""How a player names a part or a bar, turned into positions, and back.

A bar is named by its printed number (`13`; `II:225` if a file has several movements), by a
rehearsal mark (`C`, `C+3`, `II:C`), or by its place in the file (`@97`). The last is how a bar
without a number of its own is shown: unnumbered, numbered like another bar of its movement
(the halves of a split bar), or played again in an unfolded score.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction

from companion.errors import RequestError
from companion.score.clock import Bar, Clock
from companion.score.model import Score
from companion.score.part_names import named_alike
from companion.score.typed_numbers import index_typed

_DASH = re.compile(r"\s*[-–—]\s*")
_ROMAN = ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
_ADDRESS = re.compile(
    r"(?:@(?P<place>\d{1,9})|(?:(?P<movement>[IVX]+|\d+):)?(?P<name>[^:+@]+?))"
    r"(?:\+(?P<after>\d{1,9}))?"
)
_PRINTED = re.compile(r"\d[^\s:+@()\-–—]*")
"""A label that a page prints as a number and that can be typed: `13`, `12a`. Not `X1`, which
programs write for bars they do not count, nor `(5)`, which is played again."""


def find_part(score: Score, text: str) -> int:
    """Index of the part a player means: its name, an unambiguous beginning of one, its
    abbreviation, its number from 1, the source's id, or its instrument in other words.

    Raises RequestError naming the parts there are.
    """
    wanted = text.strip().casefold()
    parts = score.parts
    if (place := index_typed(wanted, len(parts))) is not None:
        return place
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


def find_bars(clock: Clock, text: str, movement: int | None = None) -> tuple[int, int]:
    """Ordinal positions of the first and last bar of a span such as `97-100` or `II:225-230`.

    A single address is a span of one bar. `movement` is as in `find_bar`. Raises RequestError
    if no such bars exist or several could be meant.
    """
    ends = _DASH.split(text.strip())
    if len(ends) > 2 or not all(ends):
        raise RequestError(f"“{text}” is not a span of bars", next=_HOW)
    first = last = find_bar(clock, ends[0], movement)
    if len(ends) == 2:
        last = find_bar(clock, _end_in_full(clock, ends, first), movement)
    if last < first:
        raise RequestError(f"“{text}” ends before it begins", next="Write the earlier bar first.")
    return first, last


def _end_in_full(clock: Clock, ends: list[str], first: int) -> str:
    """The end of a span is a place after a place, and in the movement of its beginning, unless
    it says otherwise."""
    begin, end = ends
    if begin.startswith("@") and end.isdecimal():
        return f"@{end}"
    is_elsewhere = ":" in end or end.startswith("@") or clock.bars[-1].movement == 1
    if is_elsewhere or not (":" in begin or end[0].isdecimal()):
        return end
    return f"{movement_name(clock.bars[first - 1].movement)}:{end}"


_HOW = (
    "Write 97-100, II:225-230 (movement and bar number), C-C+3 (rehearsal marks) or @97-@100 "
    "(places in the file)."
)


def find_bar(clock: Clock, text: str, movement: int | None = None) -> int:
    """Ordinal position of one bar.

    `movement` is the one (from 1) that a bare number is about if several movements have it;
    None if nothing says so. Raises RequestError if there is no such bar, or several.
    """
    match = _ADDRESS.fullmatch(text.strip())
    if match is None:
        raise RequestError(f"“{text}” does not name a bar", next=_HOW)
    if match["place"]:
        number = int(match["place"])
        if not 1 <= number <= len(clock.bars):
            raise _no_such_bar(clock, match[0])
    else:
        number = _named(clock, match["name"], _movement(match["movement"]), movement)
    number += int(match["after"] or 0)
    if number > len(clock.bars):
        raise RequestError(f"“{text}” lies after the last bar", where=clock.score.title, next=_HOW)
    return number


def _movement(text: str | None) -> int | None:
    if text is None:
        return None
    if text.isdecimal():
        return int(text)
    return _ROMAN.index(text) if text in _ROMAN else -1


def _named(clock: Clock, name: str, movement: int | None, here: int | None) -> int:
    """The bar with a label, else the first with a rehearsal mark, in a movement or in any."""
    bars = [bar for bar in clock.bars if movement in (None, bar.movement)]
    found = [bar for bar in bars if bar.label == name]
    is_mark = not found
    if is_mark:
        marks = rehearsal_marks(clock)
        found = [bar for bar in bars if marks.get(bar.number, "").casefold() == name.casefold()]
    if movement is None:
        found = [bar for bar in found if bar.movement == here] or found
    if len(found) == 1 or (found and is_mark):
        return found[0].number
    said = name if movement is None else f"{movement_name(movement)}:{name}"
    if not found:
        raise _no_such_bar(clock, said)
    names = [bar_name(clock, bar) for bar in found[:_MOST_LISTED]]
    if len(found) > _MOST_LISTED:
        names.append(f"{len(found) - _MOST_LISTED} more")
    raise RequestError(
        f"{said} is {', '.join(names[:-1])} and {names[-1]}",
        where=clock.score.title,
        next="Say which.",
    )


_MOST_LISTED = 12


def _no_such_bar(clock: Clock, said: str) -> RequestError:
    if not said.strip("@")[:1].isdecimal() and ":" not in said:
        return RequestError(
            f"there is no bar or rehearsal mark “{said}”", where=clock.score.title, next=_HOW
        )
    ends: dict[int, int] = {bar.movement: bar.number for bar in clock.bars}
    first, spans = 1, []
    for last in ends.values():
        spans.append(span_name(clock, first, last))
        first = last + 1
    count = len(clock.bars)
    there_are = f"@1–@{count}" if said.startswith("@") else ", ".join(spans)
    return RequestError(
        f"there is no bar {said}", where=clock.score.title, next=f"It has bars {there_are}."
    )


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
    """How a bar is shown and typed: `13`, `II:225` if there are several movements, `@97`."""
    if clock.bars[-1].movement == 1 or bar.name.startswith("@"):
        return bar.name
    return f"{movement_name(bar.movement)}:{bar.name}"


def movement_name(movement: int) -> str:
    """`II`; `13` beyond the twelfth."""
    return _ROMAN[movement] if 0 < movement < len(_ROMAN) else str(movement)


def span_name(clock: Clock, first: int, last: int) -> str:
    """A span of bars as shown and typed: `13–20`, `II:225–230`, `@97–@100`."""
    begin, end = bar_name(clock, clock.bars[first - 1]), bar_name(clock, clock.bars[last - 1])
    return begin if first == last else names_joined(begin, end, last)


def names_joined(begin: str, end: str, last: int) -> str:
    """The name of a span from those of its two bars; `last` is the second's position, because
    a bare number after a place would be a place."""
    if begin.startswith("@"):
        return f"{begin}–@{last}"
    movement, colon, number = end.partition(":")
    return f"{begin}–{number if colon and begin.startswith(movement + colon) else end}"


def bar_names(labels: Sequence[str], of_movement: Sequence[int]) -> Iterator[str]:
    """How each bar is named inside its movement: its label if the page prints it there and
    nowhere else in the movement, else its place."""
    counts = Counter(zip(of_movement, labels, strict=True))
    for number, (movement, label) in enumerate(zip(of_movement, labels, strict=True), 1):
        is_clear = counts[movement, label] == 1 and _PRINTED.fullmatch(label)
        yield label if is_clear else f"@{number}"


def printed_labels(labels: Sequence[str], of_movement: Sequence[int]) -> list[str]:
    """Labels as the page has them: a 0 that does not open a movement (a pickup) stands in files
    for the second half of a split bar, and no page prints it."""
    opens = [here != before for before, here in zip((0, *of_movement), of_movement, strict=False)]
    return [
        "" if label == "0" and not first else label
        for label, first in zip(labels, opens, strict=True)
    ]


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
