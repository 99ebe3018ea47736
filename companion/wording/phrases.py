"""Small pieces of which sentences for players are made: lists, counts, note values.

Findings know bars as ordinals and parts as ids. What the page prints is the caller's to
say; by asking for both here, no sentence can name a bar that the page does not show.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING

from companion.practice.pace import WrittenPace, tempo_at
from companion.rhythm.counting import common_grid, count_aloud, is_spoken_by_halves, where_it_falls
from companion.rhythm.meter import note_name

if TYPE_CHECKING:
    from pathlib import Path

    from companion.practice.attempt import Bars

BarNaming = Callable[[int, int], str]
"""Names a span of bars, first and last as ordinals: `bars 14–19`, `bar 9`."""
PartNames = Mapping[str, str]
"""The printed name of each part by its id."""

_EASY, _MODERATE = 30, 50
"""Hardness below these is easy, or moderate; from there on hard (convention, no source)."""
_TRIPLETS = {Fraction(4, 3): "half", Fraction(2, 3): "quarter", Fraction(1, 3): "eighth"}
_TRIPLETS |= {Fraction(1, 6): "16th", Fraction(1, 12): "32nd"}

_INTERVALS = (
    *("", "a semitone", "a tone", "a minor third", "a major third", "a fourth", "a tritone"),
    *("a fifth", "a minor sixth", "a major sixth", "a minor seventh", "a major seventh"),
)


def written_told(path: Path | str, about: str = "") -> str:
    """That a file was written, and what is in it: `Written: viola.pdf: Viola, with 3 cues`."""
    return f"Written: {path}{f': {about}' if about else ''}"


def listed(words: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def parts_listed(parts: Iterable[str], names: PartNames, me: str = "") -> str:
    """Parts by name, the player's own as `you` and first."""
    known = sorted(parts, key=lambda part: part != me)
    return listed(["you" if part == me else names.get(part, part) for part in known])


def figures_listed(number: int | Fraction) -> str:
    """A number as a player writes it: `12`, `2 1/2`, `1/3`."""
    whole, rest = divmod(Fraction(number), 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def counted(number: int | Fraction, one: str, many: str = "") -> str:
    """`1 beat`, `12 beats`, `2 1/2 beats`, `0 beats`; `many` if it is not `one` with an s."""
    return f"{figures_listed(number)} {one if 0 < number <= 1 else many or one + 's'}"


def values(length: Fraction) -> str:
    """Notes of a length in quarters, in the plural: `eighths`, `eighth triplets`."""
    if length in _TRIPLETS:
        return f"{_TRIPLETS[length]} triplets"
    name = note_name(length)
    return f"{name}s" if has_plain_name(length) else f"notes of {name}"


def has_plain_name(length: Fraction) -> bool:
    """Whether a length in quarters is a note value a player would name: not 1/10 of a quarter."""
    name = note_name(length)
    return length in _TRIPLETS or not ("quarters" in name or "of a" in name)


def bar_spans(bars: Iterable[int], name: BarNaming) -> str:
    """Bars by name, neighbours joined to spans: `bars 3–5 and 9`."""
    runs: list[list[int]] = []
    for bar in sorted(set(bars)):
        if runs and runs[-1][1] == bar - 1:
            runs[-1][1] = bar
        else:
            runs.append([bar, bar])
    told = [name(first, last) for first, last in runs]
    bare = [one.removeprefix("bars ").removeprefix("bar ") for one in told]
    is_worded = all(one.startswith("bar") for one in told)
    return f"bars {listed(bare)}" if is_worded and len(told) > 1 else listed(told)


def sentence(text: str) -> str:
    """With a capital at the head and one full stop at the end."""
    return text[:1].upper() + text[1:].rstrip(".") + "."


def sentences(*texts: str) -> str:
    """Each as a sentence, one after the other."""
    return " ".join(map(sentence, texts))


def interval(semitones: int) -> str:
    """How far up or down: `a fourth higher`, `two octaves lower`."""
    octaves, rest = divmod(abs(semitones), 12)
    words = [_INTERVALS[rest]] if rest else []
    if octaves:
        words.insert(0, "an octave" if octaves == 1 else f"{octaves} octaves")
    return f"{listed(words)} {'higher' if semitones > 0 else 'lower'}"


# Days, and lengths of time.


_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def day_told(day: date | int) -> str:
    """`3 May 2026`, whatever language the machine is set to; an int is an ordinal."""
    told = date.fromordinal(day) if isinstance(day, int) else day
    return f"{told.day} {_MONTHS[told.month - 1]} {told.year}"


def moment_told(at: datetime) -> str:
    """`2026-05-03 18:30`, as a list of the log has it."""
    return f"{at:%Y-%m-%d %H:%M}"


def ago_told(days: int) -> str:
    """`today`, `yesterday`, `24 days ago`."""
    if days <= 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"


def times_told(count: int) -> str:
    """`once`, `3 times`."""
    return "once" if count == 1 else f"{count} times"


def play_time(seconds: float | Fraction) -> str:
    """`2:10`, minutes and seconds."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02}"


# Tempos: felt beats a minute with at most one decimal, always with the beat they count.


def bpm_told(bpm: Fraction) -> str:
    """`66`, `66.5`."""
    return f"{round(float(bpm), 1):g}"


def tempo_told(beat: str, bpm: Fraction) -> str:
    """`dotted quarter = 66`."""
    return f"{beat} = {bpm_told(bpm)}"


def pace_told(pace: WrittenPace, beat: str) -> str:
    """A pace as a tempo that counts the named beat."""
    return tempo_told(beat, tempo_at(pace, beat))


# Bars in words, the same everywhere: as the page prints them.


def bars_told(first: int, last: int, printed: str) -> str:
    """`bars 13–20`, `bar II:225`; without a printed name their places, `bars @14–@21`."""
    if not printed or printed.startswith("("):  # as unnumbered bars were once noted
        printed = f"@{first}–@{last}" if last > first else f"@{first}"
    return f"bars {printed}" if last > first else f"bar {printed}"


def passage_told(bars: Bars, part_name: str, printed: str) -> str:
    """`Viola bars 13–20`."""
    return f"{part_name or bars.part_id} {bars_told(bars.first, bars.last, printed)}"


# Conflicts in words, the same for an open score and for one in the index of a library.


def hardness_told(score: int) -> str:
    """One word for 0 to 100."""
    return "easy" if score < _EASY else "moderate" if score < _MODERATE else "hard"


def against_told(numbers: tuple[str, str]) -> str:
    """`3 against 2`, `4 against 3+2+3`."""
    return " against ".join(numbers)


def division_told(
    numbers: tuple[str, str], level: str, basis: str, sides: Iterable[tuple[str, Iterable[str]]]
) -> str:
    """`3 against 2 in the beat, as written: Violin II, Cello in 3 · Viola in 2`; `sides` are
    each side's division and the printed names of its parts. A dotted rhythm against triplets is
    told as the choice it is."""
    if basis == "dotted":
        (_, triplets), (_, dotted) = sides
        agree = "the short note with the third triplet, or after it"
        if numbers[0] != "dotted":
            agree = "the second note with the second triplet, or before it"
        return (
            f"{against_told(numbers)} in the {level}: {', '.join(dotted)} dotted · "
            f"{', '.join(triplets)} in triplets; agree: {agree}"
        )
    how = {"meter": "as written", "notated": "on the page only"}.get(basis, "in the notes")
    who = " · ".join(f"{', '.join(parts)} in {division}" for division, parts in sides)
    return f"{against_told(numbers)} in the {level}, {how}: {who}"


def dotted_count_told(*, is_short_first: bool) -> str:
    """How both ways are counted, on the twelve that triplets and fourths have in common."""
    note, written, moved = ("second", 4, 5) if is_short_first else ("short", 10, 9)
    return (
        f"count 12: triplets on 1, 5 and 9; the {note} note on {written} as written, "
        f"on {moved} with the triplet"
    )


def count_told(mine: int, theirs: int) -> str:
    """How to count one span in my division, and where the other falls.

    `1 2& 3` if halves say it all; else `1 2 3 4; the threes fall on 1, a third after 2 and two
    thirds after 3; or count 12: 1 4 7 10 and 1 5 9`.
    """
    more, fewer = max(mine, theirs), min(mine, theirs)
    if is_spoken_by_halves(more, fewer):
        return count_aloud(more, fewer)
    told = f"{count_aloud(mine, theirs).replace('&', '')}; the {_side_named(theirs)} fall on "
    told += where_it_falls(mine, theirs)
    if lcm(mine, theirs) <= _SPOKEN:
        told += f"; or count {common_grid(mine, theirs)}"
    return told


def _side_named(division: int) -> str:
    """`threes`."""
    named = dict(enumerate("twos threes fours fives sixes sevens eights nines".split(), 2))
    return named.get(division, f"{division}s")


_SPOKEN = 12
"""The most that one counts on a common grid (common practice, no source)."""


def silences_named(words: str, silent: str = "") -> str:
    """Silences by the words they are typed and kept in, so that nobody takes what sounds for
    what is silent: `every 4 bars, mine only` as `every 4 bars, in conflicts only mine sounds`.
    `silent` is said before those in time, where nothing else says what they are."""
    found = words.split(", ") if words else []
    sides = {
        word: f"in conflicts only {word.split()[0]} sounds" for word in ("mine only", "theirs only")
    }
    timed = ", ".join(word.removeprefix(silent) for word in found if word not in sides)
    return ", ".join(
        [*filter(None, [timed and silent + timed]), *(sides[one] for one in found if one in sides)]
    )
