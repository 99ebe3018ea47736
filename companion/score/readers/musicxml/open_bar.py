"""The bar being read, and the cursor that moves through it.

MusicXML is a stream of instructions to a cursor. Two are kept: the one the file
counts (`raw`), to which backups and forwards refer, and the true one (`at`),
which differs from it inside tuplets the file rounds off. With one alone, three
rounded triplets would either miss the beat or drag every later voice with them.
"""

from __future__ import annotations

from fractions import Fraction

from lxml.etree import _Element
from msgspec import Struct, field

from companion.rhythm.meter import parse
from companion.score.model import Mark, Note, TempoMark
from companion.score.reader_error import ReaderError
from companion.score.readers.musicxml.text import decimal, tidy
from companion.score.readers.musicxml.ticks import TickGrid


class OpenBar(Struct):
    """One bar of one part while it is being read."""

    part: InForce
    ordinal: int
    label: str
    is_implicit: bool = False
    raw: int = 0
    """Where the file's own count stands, in ticks."""
    at: int = 0
    """Where the music stands, in ticks."""
    filled: int = 0
    """The furthest reach of contents, in ticks."""
    notes: list[Note] = field(default_factory=list)
    went_back: bool = False
    """Whether notes may be out of order of time."""
    marks: list[Mark] = field(default_factory=list)
    tempos: list[TempoMark] = field(default_factory=list)
    places: dict[int, int] = field(default_factory=dict)
    """Where the music stands at places of the file's count, once they have differed."""
    repeat_starts: bool = False
    repeat_ends: int = 0
    """How many times the stretch ending at the right barline is played."""
    after_jump: bool = False
    ending: tuple[int, ...] = ()
    closes: bool = False
    ends_bar_before: int = 0
    """As `repeat_ends`, where the sign stands at this bar's left barline."""
    rest_bars: int = 0
    """Bars of a multi-bar rest beginning here."""
    is_abbreviated: bool = False
    """Whether a note carries slashes or a tremolo."""

    def slip(self, sentence: str) -> None:
        """Note something mended or left in this bar."""
        self.part.slips.add(self.ordinal, f"{self.part.name}: {sentence}")

    def refusal(self, what: str) -> ReaderError:
        """The error for contents that cannot be read."""
        place = f"{self.part.name}, measure {self.label}"
        return ReaderError(what, where=place, next="Mend it in the program that wrote the file.")

    def length(self, text: str | None) -> int:
        """Ticks of a duration as the file writes it; never negative."""
        ticks = self._ticks(text)
        if ticks is None:
            self.slip(f"a duration “{tidy(text, 20)}” is not a number and was taken as 0")
            return 0
        if ticks < 0:
            self.slip("a negative duration was taken as 0")
            return 0
        return ticks

    def offset(self, text: str | None) -> int:
        """Ticks of a distance that may be negative."""
        return self._ticks(text) or 0

    def _ticks(self, text: str | None) -> int | None:
        """Ticks of a number of divisions; None for what is not a number. The same few return
        thousands of times, so each is worked out once."""
        counted = self.part.counted
        if text not in counted:
            counted[text] = self._worked_out(text)
        return counted[text]

    def _worked_out(self, text: str | None) -> int | None:
        value = decimal(text)
        if value is None:
            return None
        return self.part.grid.fit(value * Fraction(self.part.unit, self.part.grid.ticks))

    def advance(self, raw: int, ticks: int, *, is_content: bool) -> None:
        """Move on by a length as the file counts it and as it truly is, past contents or past
        a rest that says nothing of how long the bar is."""
        self.raw += raw
        self.at += ticks
        if raw != ticks or self.places:
            self.places.setdefault(self.raw, self.at)
        if is_content and self.at > self.filled:
            self.filled = self.at


def move_back(bar: OpenBar, element: _Element) -> None:
    """<backup>: the cursor goes back, never past the left barline."""
    _jump(bar, bar.raw - bar.length(element.findtext("duration")))


def move_on(bar: OpenBar, element: _Element) -> None:
    """<forward>: the cursor goes on, as over an unwritten rest."""
    _jump(bar, bar.raw + bar.length(element.findtext("duration")))
    bar.filled = max(bar.filled, bar.at)


def _jump(bar: OpenBar, raw: int) -> None:
    if raw < 0:
        bar.slip("a voice began before the barline and was moved onto it")
        raw = 0
    bar.raw = raw
    bar.at = bar.places.get(raw, raw)
    bar.went_back = True


# What stands in force in a part from bar to bar.


class InForce(Struct):
    """What a part carries from one bar into the next."""

    name: str
    grid: TickGrid
    slips: ReadingNotes
    """Where to note what had to be mended."""
    unit: int
    """Ticks in one division; a quarter until the file says otherwise."""
    counted: dict[str | None, int | None] = field(default_factory=dict)
    """Ticks of a count in these divisions, by its text; None if that is not a number."""
    is_uneven: bool = False
    """Whether a quarter is so odd a number of divisions that plain notes must be rounded."""
    meter: str | None = None
    bar_ticks: int = 0
    """Ticks in one full bar of the meter; 0 if unmeasured, or where no note could fill it."""
    has_time: bool = False
    fifths: int = 0
    semitones: int | None = None
    """From written to sounding pitch, once stated."""
    staves: int = 1
    ending: tuple[int, ...] = ()
    starts_repeat: bool = False
    """Whether the right barline before began a repeated stretch."""
    next_meter: tuple[str | None] | None = None
    """A meter written inside the bar before, in a tuple of one."""
    next_fifths: int | None = None
    """A key signature written inside the bar before."""

    def set_unit(self, unit: int) -> None:
        """Count in other divisions."""
        self.unit = unit
        self.counted = {}
        divisions = self.grid.ticks // unit if unit else 0
        self.is_uneven = divisions > 8 and divisions % 8 != 0

    def set_meter(self, meter: str | None) -> None:
        """Put a meter in force."""
        self.meter = meter
        self.has_time = True
        ticks = parse(meter).length * self.grid.ticks if meter else Fraction(0)
        self.bar_ticks = int(ticks) if ticks.denominator == 1 else 0

    def cross_barline(self) -> None:
        """Put in force what the bar before announced."""
        if self.next_meter:
            self.set_meter(self.next_meter[0])
            self.next_meter = None
        if self.next_fifths is not None:
            self.fifths = self.next_fifths
            self.next_fifths = None


# What the reader had to mend or leave, said once each.


_MOST = 200
"""Different sentences worth telling; a file with more is beyond mending."""


class ReadingNotes:
    """The sentences collected while one score is read."""

    __slots__ = ("_seen",)

    def __init__(self) -> None:
        self._seen: dict[str, list[int]] = {}

    def add(self, bar: int, sentence: str) -> None:
        """Note a slip in the bar with this ordinal position; 0 for the whole score."""
        if len(self._seen) >= _MOST and sentence not in self._seen:
            bar, sentence = 0, "the file has more faults than are listed here"
        found = self._seen.setdefault(sentence, [bar, 0])
        found[1] += 1

    def told(self) -> tuple[tuple[int, str], ...]:
        """(ordinal bar, sentence) in order of bars."""
        rows = [
            (bar, sentence if count == 1 else f"{sentence} ({count} times)")
            for sentence, (bar, count) in self._seen.items()
        ]
        return tuple(sorted(rows, key=lambda row: row[0]))
