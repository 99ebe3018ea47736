"""The bars of ABC added up against their meter, as those of a pattern are.

What reads ABC for us fills or stretches a wrong bar without a word. Lengths here go by the ABC
standard 2.1: the unit note (3.1.7), note lengths (4.3), broken rhythm (4.4), tuplets (4.13).
A bar with a sign that is not known here is not judged.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from companion.errors import RequestError
from companion.exercise.pattern.pattern import PatternFault
from companion.rhythm.meter import Meter, parse

_TOKEN = re.compile(
    r"""(?P<skip>\s+|%[^\n]*|\\|"[^"\n]*"|![^!\n]*!|\+[^+\n]*\+|\{[^}\n]*\}|[-)~.uvTHLMOPSJRy`$*&]
         |\((?![0-9]))
    | (?P<barline>[:|\]]*\|[:|\]]*|::|\[\|)(?:\[?[1-9][0-9,\-]*)?
    | \[(?P<field>[A-Za-z]):(?P<value>[^\]\n]*)\]
    | \((?P<tuplet>[2-9])(?::(?P<time>[0-9]*))?(?::(?P<notes>[0-9]*))?
    | (?P<broken>>{1,3}|<{1,3})
    | (?:\[[^\]\n|]*\]|[=^_]*[A-Ga-g][,']*|[zx])(?P<length>[0-9]*/*[0-9]*)
    | (?P<rest>[ZX])[0-9]*
    | (?P<other>.)""",
    re.X,
)
_HEADER = re.compile(r"^([A-Za-z+]):(.*)$")
_INSIDE = re.compile(r"[A-Ga-g][,']*([0-9]*/*[0-9]*)")
_NAMES = {"C": "4/4", "C|": "2/2"}


def abc_faults(text: str) -> list[PatternFault]:
    """Every bar that is longer or shorter than its meter; a pickup, what completes it and the
    two halves of a bar at a repeat sign are none."""
    return _Adding(text).faults()


@dataclass(slots=True)
class _AbcBar:
    """One bar of one voice."""

    at: int
    """Letters from the beginning of the text."""
    number: int
    meter: Meter
    length: Fraction
    """Whole notes, as notated; what is short of that of the meter is its lead."""
    is_known: bool
    at_repeat: bool
    """Whether a double barline or a repeat sign is at either end."""

    @property
    def missing(self) -> Fraction:
        """Whole notes short of the meter; negative if it is too long."""
        return self.meter.length / 4 - self.length


@dataclass(slots=True)
class _Voice:
    """What is read of one voice so far."""

    bars: list[_AbcBar] = field(default_factory=list)
    at: int | None = None
    """Where its bar began; None if it has no notes yet."""
    length: Fraction = Fraction(0)
    last: Fraction = Fraction(0)
    """Of the note before, for broken rhythm."""
    factor: Fraction = Fraction(1)
    """For the note after a sign of broken rhythm."""
    tuplet: tuple[int, Fraction] = (0, Fraction(1))
    """Notes left in it, and how long each is."""
    is_known: bool = True
    after_repeat: bool = False


class _Adding:
    """Adds up a tune, line after line."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.meter: Meter | None = None
        self.unit: Fraction | None = None
        self.voices: dict[str, _Voice] = {}
        self.voice = self._of("")

    def _of(self, name: str) -> _Voice:
        return self.voices.setdefault(name, _Voice())

    def faults(self) -> list[PatternFault]:
        begin = 0
        for row in self.text.split("\n"):
            header = _HEADER.match(row)
            if header:
                self._field(header[1], header[2])
            elif not row.startswith("%"):
                self._row(row, begin)
            begin += len(row) + 1
        for voice in self.voices.values():
            self._close(voice, at_repeat=True)
        return [fault for voice in self.voices.values() for fault in _wrong(voice.bars)]

    def _field(self, name: str, value: str) -> None:
        word = value.split("%")[0].strip()
        if name == "V" and word:
            self.voice = self._of(word.split()[0])
        elif name == "L" and re.fullmatch(r"[1-9][0-9]*(/[1-9][0-9]*)?", word):
            self.unit = Fraction(word)
        elif name == "M":
            try:
                self.meter = parse(_NAMES.get(word, word))
            except RequestError:
                self.meter = None

    def _row(self, row: str, begin: int) -> None:
        for match in _TOKEN.finditer(row):
            voice = self.voice
            if match["field"]:
                self._field(match["field"], match["value"])
            elif match["barline"]:
                self._close(voice, at_repeat=match["barline"] not in ("|",))
            elif match["tuplet"]:
                voice.tuplet = self._tuplet(match)
                voice.at = begin + match.start() if voice.at is None else voice.at
            elif match["broken"]:
                self._break(voice, match["broken"])
            elif match["length"] is not None:
                self._note(voice, match, begin + match.start())
            elif match["rest"] or match["other"]:
                voice.is_known = False
                voice.at = begin + match.start() if voice.at is None else voice.at

    def _tuplet(self, match: re.Match[str]) -> tuple[int, Fraction]:
        count = int(match["tuplet"])
        compound = self.meter is not None and self.meter.is_compound
        usual = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}.get(count, 3 if compound else 2)
        time = int(match["time"] or usual)
        return int(match["notes"] or count), Fraction(time, count)

    def _break(self, voice: _Voice, sign: str) -> None:
        short = Fraction(1, 2 ** len(sign))
        before, voice.factor = (2 - short, short) if sign[0] == ">" else (short, 2 - short)
        voice.length += voice.last * (before - 1)

    def _note(self, voice: _Voice, match: re.Match[str], at: int) -> None:
        if voice.at is None:
            voice.at = at
        length = _times(match["length"])
        if match[0].startswith("[") and (inside := _INSIDE.search(match[0])):
            length *= _times(inside[1])
        left, share = voice.tuplet
        if left:
            length *= share
            voice.tuplet = (left - 1, share)
        voice.last = length * voice.factor * self._unit()
        voice.factor = Fraction(1)
        voice.length += voice.last

    def _unit(self) -> Fraction:
        """A unit note, in whole notes."""
        if self.unit is not None:
            return self.unit
        is_short = self.meter is not None and self.meter.length / 4 < Fraction(3, 4)
        return Fraction(1, 16 if is_short else 8)

    def _close(self, voice: _Voice, *, at_repeat: bool) -> None:
        if voice.at is not None and self.meter is not None:
            number = len(voice.bars) + 1
            edge = at_repeat or voice.after_repeat
            bar = _AbcBar(voice.at, number, self.meter, voice.length, voice.is_known, edge)
            voice.bars.append(bar)
        voice.at, voice.length, voice.last = None, Fraction(0), Fraction(0)
        voice.tuplet, voice.is_known, voice.after_repeat = (0, Fraction(1)), True, at_repeat


def _times(text: str) -> Fraction:
    """`3`, `/2`, `3/2`, `//`."""
    top, slashes, bottom = re.fullmatch(r"([0-9]*)(/*)([0-9]*)", text).groups()  # type: ignore[union-attr]
    below = int(bottom) if bottom else 2 ** len(slashes)
    return Fraction(int(top or 1), below or 1)


def _wrong(bars: list[_AbcBar]) -> Iterator[PatternFault]:
    owed = Fraction(0)
    for bar in bars:
        if not bar.is_known or not bar.missing:
            continue
        is_first, is_last = bar is bars[0], bar is bars[-1]
        is_part = bar.missing > 0 and (is_first or (is_last and owed) or _halves(bars, bar))
        if is_first:
            owed = bar.missing
        if not is_part:
            unit = Fraction(1, int(bar.meter.text.split("/")[-1]))
            takes, lasts = bar.meter.length / 4 / unit, bar.length / unit
            what = f"bar {bar.number} of this ABC lasts {_counted(lasts)} of {_counted(takes)}"
            yield PatternFault(bar.at, f"{what} notes of 1/{unit.denominator}")


def _halves(bars: list[_AbcBar], bar: _AbcBar) -> bool:
    """Whether it makes one bar with the one beside it, at a repeat sign."""
    at = bars.index(bar)
    beside = bars[max(0, at - 1) : at] + bars[at + 1 : at + 2]
    return bar.at_repeat and any(
        one.at_repeat and one.length + bar.length == bar.meter.length / 4 for one in beside
    )


def _counted(number: Fraction) -> str:
    whole, rest = divmod(number, 1)
    return str(whole) if not rest else f"{whole} {rest}" if whole else str(rest)
