"""Small scores with pitches, for those who play along.

    playing("Violin: A4 1, B4 1 | C5 2", "Cello: A2 4")

A bar is a row of `pitch quarters` with commas, `r` a rest, `-` after the quarters a tie, and
words after that are marks on the note. Every part is in 2/4 unless another meter is given.
"""

from __future__ import annotations

from fractions import Fraction

from companion.score.laying import lay
from companion.score.model import TIE_STARTS, TIE_STOPS, Mark, Note, Part, PartBar, Score
from companion.score.passage import Passage, passage

TICKS = 12


def playing(*lines: str, meters: tuple[str, ...] = (), semitones: tuple[int, ...] = ()) -> Passage:
    """The whole of a score, practised by its first part."""
    parts = tuple(
        _part(number, line, (*meters, *["2/4"] * 9)[number], (*semitones, *[0] * 9)[number])
        for number, line in enumerate(lines)
    )
    clock = lay(Score("A study", "", TICKS, parts))
    return passage(clock, 0, 1, len(clock.bars))


def _part(number: int, line: str, meter: str, semitones: int) -> Part:
    name, _, music = line.partition(":")
    bars: list[PartBar] = []
    tied = False
    for label, text in enumerate(music.split("|"), 1):
        notes: list[Note] = []
        marks: list[Mark] = []
        at = 0
        for word in text.split(","):
            pitch, quarters, *said = word.split()
            length = int(Fraction(quarters.rstrip("-")) * TICKS)
            starts = quarters.endswith("-")
            tie = TIE_STOPS * tied + TIE_STARTS * starts
            marks += [Mark(at, "pluck", one) for one in said if one in {"pizz", "arco"}]
            notes.append(
                Note(at, length, "" if pitch == "r" else pitch, tie=tie, marks=tuple(said))
            )
            tied = starts
            at += length
        bars.append(PartBar(str(label), meter, at, tuple(notes), tuple(marks)))
    return Part(f"P{number + 1}", name, tuple(bars), semitones=semitones)
