"""The words of the short notation: one note, one rest, one dynamic, one tempo mark.

    q. e q      note values: w h q e s t (whole, half, quarter, eighth, 16th, 32nd), dotted `q.`
    rq r-       a rest has `r` before its value; a whole bar of rest is `-`
    e3 e2 s5    a number after the value: so many in the usual time (triplet, duplet,
                quintuplet …); `e5:3` says the usual time itself, five in the time of three
    D4q Bb3e    a pitch before the value; without one the note has none, as for clapping
    D3+A3q      a double stop
    q~ q> q'    after it: `~` tied on, `>` accented, `'` short
    qn qv       `n` down-bow, `v` up-bow, as they look above the staff
    (D4q E4q)   a slur: in one bow from the bracket that opens to the one that closes
    e*6 e3*9    six of them, nine of them
    p f cresc   before the note at which it begins
    q.=q q=72   at the beginning of a bar: what stays the same, or how fast

A word is a note, or a sentence about why it is none.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

UNPITCHED = "x"
"""The pitch of a note that has none, as in the score model."""

TYPES = {"w": "whole", "h": "half", "q": "quarter", "e": "eighth", "s": "16th", "t": "32nd"}
"""Names of the note values, as every musician has them."""

_QUARTERS = {letter: Fraction(4, 2**power) for power, letter in enumerate(TYPES)}
_SIGNS = {">": "accent", "'": "staccato", "n": "down-bow", "v": "up-bow"}
DYNAMICS = ("ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "fp", "sf")
"""The dynamics that have a sign of their own."""
HAIRPINS = {"cresc": "cresc.", "dim": "dim."}
"""Those that are words, and how they are printed."""
_MOST_AT_ONCE = 4
"""Notes of a double stop or chord at most: a string instrument has four strings."""
PITCH = r"[A-G](?:##?|bb?)?[0-9]"
"""The shape of a pitch."""
NOTE = re.compile(
    rf"(?P<opens>\()?(?P<rest>r)?(?P<pitch>{PITCH}(?:\+{PITCH})*)?(?P<value>[whqest])"
    r"(?P<dots>\.{0,2})(?P<tuplet>[0-9]{1,2}(?::[0-9]{1,2})?)?(?P<signs>[~>'nv]*)"
    r"(?:\*(?P<times>[0-9]{1,2}))?(?P<closes>\))?"
)
"""The shape of a note or rest."""
_TEMPO = re.compile(r"([whqest]\.?)=(?:([whqest]\.?)|([0-9]{1,3}(?:\.[0-9]{1,2})?))")


@dataclass(frozen=True, slots=True)
class NotationEvent:
    """One note or rest."""

    value: str
    """The letter of its note value."""
    dots: int
    pitch: str
    """As in the score model: `F#4`, `x` unpitched, empty for a rest."""
    tuplet: tuple[int, int] | None = None
    """(actual, normal), as 3 in the time of 2."""
    is_tied: bool = False
    signs: tuple[str, ...] = ()
    """`accent`, `staccato`, `down-bow`, `up-bow`."""
    below: tuple[str, ...] = ()
    """The other pitches of a double stop."""
    begins_slur: bool = False
    ends_slur: bool = False
    dynamics: tuple[str, ...] = ()
    """What stands under it: `p`, `cresc`."""

    @property
    def pitches(self) -> tuple[str, ...]:
        """All that sound at once; none for a rest."""
        return (self.pitch, *self.below) if self.pitch else ()

    @property
    def printed(self) -> Fraction:
        """Quarters that value and dots print."""
        return _QUARTERS[self.value] * (2 - Fraction(1, 2**self.dots))

    @property
    def length(self) -> Fraction:
        """Quarters it lasts."""
        actual, normal = self.tuplet or (1, 1)
        return self.printed * normal / actual


@dataclass(frozen=True, slots=True)
class TempoWord:
    """A tempo mark at the beginning of a bar."""

    beat: str
    """The note value on the left, `q.`."""
    equals: str = ""
    """The note value on the right; empty if a number stands there."""
    per_minute: str = ""


def read_pattern_note(word: str) -> list[NotationEvent] | str:
    """The notes a word stands for, or why it is none."""
    match = NOTE.fullmatch(word)
    if match is None:
        return _why(word)
    ratio, times = _ratio(match["tuplet"]), int(match["times"] or 1)
    if isinstance(ratio, str):
        return ratio
    if not 1 <= times <= 64:
        return f"“{word}” asks for {times} notes; 1 to 64 can be written so"
    if why := _wrong_together(word, match, times):
        return why
    signs, (pitch, *below) = match["signs"], (match["pitch"] or UNPITCHED).split("+")
    event = NotationEvent(
        match["value"],
        len(match["dots"]),
        "" if match["rest"] else pitch,
        ratio,
        "~" in signs,
        tuple(name for sign, name in _SIGNS.items() if sign in signs),
        tuple(below),
    )
    events = [event] * times
    if match["opens"]:
        events[0] = replace(events[0], begins_slur=True)
    if match["closes"]:
        events[-1] = replace(events[-1], ends_slur=True)
    return events


def _wrong_together(word: str, match: re.Match[str], times: int) -> str:
    """Why the pieces of a word do not go together; empty if they do."""
    signs, pitches = match["signs"], (match["pitch"] or "").split("+")
    is_slurred = match["opens"] or match["closes"]
    if match["rest"] and (match["pitch"] or signs or is_slurred):
        return f"“{word}” is a rest with a pitch or a sign"
    if "n" in signs and "v" in signs:
        return f"“{word}” is both down-bow and up-bow"
    if len(pitches) > _MOST_AT_ONCE or len(set(pitches)) < len(pitches):
        return f"“{word}” has a note twice, or more than {_MOST_AT_ONCE} at once"
    if match["opens"] and match["closes"] and times == 1:
        return f"“{word}” is a slur over one note"
    return ""


def read_tempo(word: str) -> TempoWord | None:
    """A tempo mark, or None if the word is none."""
    match = _TEMPO.fullmatch(word)
    return TempoWord(match[1], match[2] or "", match[3] or "") if match else None


def quarters_of(value: str) -> Fraction:
    """Quarters of a note value with or without a dot: `q.` is 3/2."""
    return _QUARTERS[value[0]] * (Fraction(3, 2) if value.endswith(".") else 1)


def _ratio(text: str | None) -> tuple[int, int] | None | str:
    if not text:
        return None
    up, _, down = text.partition(":")
    actual = int(up)
    normal = int(down) if down else usual_time(actual)
    if not 2 <= actual <= 16 or not 1 <= normal <= 16 or actual == normal:
        return f"“{text}” is not a tuplet; it takes 2 to 16 notes in the time of 1 to 16"
    return actual, normal


def usual_time(actual: int) -> int:
    """In whose time a tuplet stands where only its own number is printed: 3 in 2, 5 in 4, and
    in compound beats 2 in 3, 4 in 3, 8 in 6 (common practice, no source)."""
    if actual & (actual - 1):
        return 1 << (actual.bit_length() - 1)
    return 3 if actual == 2 else 3 * actual // 4


def _why(word: str) -> str:
    if re.fullmatch(r"[a-g](?:##?|bb?)?[0-9].*", word):
        return f"“{word}” is not a note; a pitch has a capital letter, as in D4q"
    if re.fullmatch(r"[A-G](?:##?|bb?)?[0-9]", word):
        return f"“{word}” has no note value; write {word}q for a quarter"
    if re.fullmatch(r"[A-G](?:##?|bb?)?[whqest].*", word):
        return f"“{word}” has no octave; write {word[0]}4{word[1:]} for the one above middle C"
    if word.strip("()") != word and not word.strip("()"):
        return f"“{word}” stands alone; a slur is written (D4q E4q)"
    return f"“{word}” is not a note; notes are written q, e., rq or D4q"


@dataclass(frozen=True, slots=True)
class TupletGroup:
    """Notes under one bracket."""

    first: int
    """Index of the first in its bar."""
    last: int
    """Index of the last."""
    is_complete: bool
    """Whether they fill the time the bracket stands for."""


def tuplet_groups(events: Sequence[NotationEvent]) -> list[TupletGroup]:
    """The brackets of one bar: each ends where its notes first fill a whole unit of time."""
    found: list[TupletGroup] = []
    at = 0
    while at < len(events):
        ratio = events[at].tuplet
        if ratio is None:
            at += 1
            continue
        end, is_complete = _end_of_group(events, at, ratio)
        found.append(TupletGroup(at, end - 1, is_complete))
        at = end
    return found


def _end_of_group(
    events: Sequence[NotationEvent], first: int, ratio: tuple[int, int]
) -> tuple[int, bool]:
    total, smallest, at = Fraction(0), Fraction(8), first
    while at < len(events) and events[at].tuplet == ratio:
        total += events[at].length
        smallest = min(smallest, _QUARTERS[events[at].value])
        at += 1
        if (total / (ratio[1] * smallest)).denominator == 1:
            return at, True
    return at, False
