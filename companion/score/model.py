"""The written score: what the source says, before anything is laid on a clock.

Positions are whole *ticks* after the barline of the part's own bar, with one
number of ticks to the quarter for the whole score, so that nothing is rounded
and a bar in 2/4 keeps its own quarters beside one in 6/8. Where bars stand in
common time is the shared clock's business (`clock.py`), never the model's:
adding up quarters part by part is the mistake this split prevents.

The records are msgspec structs because a quartet has some twenty thousand of
them: they are as cheap to make as tuples and are their own cache format.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

TIE_STARTS = 1
TIE_STOPS = 2


class Note(Struct, frozen=True, gc=False, array_like=True):
    """A note, or a rest, in one voice of one bar."""

    onset: int
    """Ticks after the barline."""
    length: int
    """Ticks it lasts in the bar; 0 for a grace note."""
    pitch: str = ""
    """As written (before transposition): `F#4`, `Bb3`, `C##5`; `x` unpitched; empty for a rest.
    A quarter tone up ends the name with `^`, a quarter tone down with `~`: `F^4`."""
    voice: str = "1"
    """The source's name of the voice."""
    staff: int = 1
    """Staff from the top, from 1."""
    tie: int = 0
    """TIE_STARTS, TIE_STOPS, their sum, or 0."""
    in_chord: bool = False
    """Whether it sounds together with the note before it in the list (a double stop)."""
    is_grace: bool = False
    is_cue: bool = False
    """Whether it is a cue: printed small, not played by this part."""
    fills_bar: bool = False
    """Whether it is a rest that stands for the whole bar, however long the bar is."""
    tuplet: tuple[int, int] | None = None
    """(actual, normal) with nested tuplets multiplied out, as 3 in the time of 2."""
    marks: tuple[str, ...] = ()
    """Signs on the note, in MusicXML's own words: `staccato`, `accent`, `harmonic`, `fermata` …"""
    begins_beam: bool = False

    @property
    def is_rest(self) -> bool:
        """Whether it is silence."""
        return not self.pitch

    @property
    def is_struck(self) -> bool:
        """Whether a new sound begins: no rest, cue or grace note, no tie from before."""
        return bool(self.pitch) and not (self.is_cue or self.is_grace or self.tie & TIE_STOPS)


class Mark(Struct, frozen=True, gc=False, array_like=True):
    """Something written at a place in a bar that is not a note."""

    onset: int
    kind: str
    """`words`, `dynamic`, `rehearsal`, `wedge`, `segno`, `coda`, `fine`, `tocoda`, `dacapo`,
    `dalsegno`, `pluck` (text `pizz` or `arco`), `clef`."""
    text: str = ""
    """What it says: `dolce`, `mf`, `C`, `crescendo`, `G2` …"""
    staff: int = 1


class TempoMark(Struct, frozen=True, gc=False, array_like=True):
    """A tempo the source states, or a relation between two note values."""

    onset: int
    beat: Fraction
    """The note value on the left, in quarters."""
    per_minute: Fraction | None = None
    """How many of them a minute; None if only a relation is stated."""
    equals: Fraction | None = None
    """The note value on the right of a two-note mark, in quarters."""
    is_printed: bool = True
    """Whether it is a metronome mark on the page; otherwise an instruction to a player device."""


class Signs(Struct, frozen=True, gc=False, array_like=True):
    """Repeat signs and endings of one bar."""

    repeat_starts: bool = False
    repeat_ends: int = 0
    """How many times in all the stretch ending at the right barline is played; 0 for none."""
    ending: tuple[int, ...] = ()
    """The endings (first, second …) this bar belongs to; 0 among them: one without a number."""
    after_jump: bool = False
    closes: bool = False


class PartBar(Struct, frozen=True, gc=False, array_like=True):
    """One bar of one part."""

    label: str
    meter: str | None
    """The meter in force, as written; None if unmeasured."""
    filled: int
    """Ticks the bar's contents reach, whole-bar rests not counted; 0 for an empty bar."""
    notes: tuple[Note, ...] = ()
    """In order of onset, chords together, voices one after another at one onset."""
    marks: tuple[Mark, ...] = ()
    tempos: tuple[TempoMark, ...] = ()
    signs: Signs | None = None
    fifths: int = 0
    """Key signature in force: sharps, or flats if negative."""
    is_implicit: bool = False
    """Whether the number is never shown (a pickup, the second half of a split bar)."""
    is_free: bool = False
    """Whether its left barline need not stand with the other parts' (`non-controlling`)."""
    rest_bars: int = 0
    """Where a multi-bar rest begins: how many bars it counts."""
    is_abbreviated: bool = False
    """Whether some notes abbreviate others: slashes, tremolos."""


class Part(Struct, frozen=True, gc=False, array_like=True):
    """One player's part."""

    id: str
    """The source's own identifier, such as `P1`."""
    name: str
    """As printed, such as `Violin I`; never empty."""
    bars: tuple[PartBar, ...]
    abbreviation: str = ""
    semitones: int = 0
    """Add to written pitch to get sounding pitch (double bass: −12)."""
    staves: int = 1
    program: int = 0
    """General MIDI program from 1; 0 if the source names none."""


class Score(Struct, frozen=True, gc=False, array_like=True):
    """A whole score as written."""

    title: str
    """Never empty: the file's name where the source has no title."""
    composer: str
    """Empty if the source names none."""
    ticks: int
    """Ticks to the quarter, for all parts."""
    parts: tuple[Part, ...]
    """From the top of the page."""
    slips: tuple[tuple[int, str], ...] = ()
    """(ordinal bar or 0, sentence): what the reader had to mend or leave."""
