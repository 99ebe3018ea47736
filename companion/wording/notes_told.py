"""A passage as text: every part's notes over the counts at which they fall.

    Violin  │ D4  E4  F#4 G4  ━ │
            │ 1   la  li  2   & │

For a sheet that is printed in a terminal; what pulls is told by sentences beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.findings.conflicts import Conflict
from companion.rhythm.counting import BETWEEN, count_places
from companion.score.model import Note, PartBar
from companion.score.passage import Passage

LEGEND = "━ it lasts  · rest  × no pitch; under the notes the count"
"""What the signs mean."""
_NAME = 12
"""Columns of a part's name at most."""


@dataclass(frozen=True, slots=True)
class _CountedBar:
    """One bar of one part: what sounds at each count."""

    columns: tuple[tuple[str, str], ...]
    """What sounds, and the count under it."""

    @property
    def width(self) -> int:
        return sum(max(len(above), len(count)) + 1 for above, count in self.columns) + 1


def notes_told(passage: Passage, conflicts: Sequence[Conflict], width: int = 78) -> Iterator[str]:
    """The lines, the player's own part first."""
    score, me = passage.clock.score, passage.part
    parts = [me, *(part for part in range(len(score.parts)) if part != me)]
    drawn = {part: _bars(passage, part, conflicts) for part in parts}
    groups = [parts] if passage.clock.barlines_coincide else [[part] for part in parts]
    gutter = 2 + max(min(len(score.parts[part].name), _NAME) for part in parts)
    for group in groups:
        begin = 0
        while begin < len(drawn[group[0]]):
            end = _end_of_line([drawn[part] for part in group], begin, width - gutter)
            for part in group:
                name = score.parts[part].name[:_NAME].ljust(gutter)
                yield from _line(name, [drawn[one] for one in group], drawn[part], begin, end)
            begin = end


def _end_of_line(parts: Sequence[Sequence[_CountedBar]], begin: int, room: int) -> int:
    """The bar before which a line ends."""
    end, taken = begin, 1  # the last barline
    while end < len(parts[0]):
        taken += 1 + max(bars[end].width for bars in parts)
        if taken > room and end > begin:
            return end
        end += 1
    return end


def _line(
    name: str,
    parts: Sequence[Sequence[_CountedBar]],
    own: Sequence[_CountedBar],
    begin: int,
    end: int,
) -> Iterator[str]:
    above, below = name, " " * len(name)
    for bar in range(begin, end):
        wide = max(bars[bar].width for bars in parts)
        notes = counts = " "
        for note, count in own[bar].columns:
            column = max(len(note), len(count)) + 1
            notes += note.ljust(column)
            counts += count.ljust(column)
        above += f"│{notes.ljust(wide)}"
        below += f"│{counts.ljust(wide)}"
    yield f"{above}│"
    yield f"{below}│"


def _bars(passage: Passage, part: int, conflicts: Sequence[Conflict]) -> list[_CountedBar]:
    clock = passage.clock
    ticks = clock.score.ticks
    found = []
    for index, place in enumerate(clock.places[part]):
        if not (place.end > passage.start and place.start < passage.end):
            continue
        bar = clock.score.parts[part].bars[index]
        struck = [note for note in bar.notes if not (note.is_cue or note.is_grace)]
        counts: dict[Fraction, str] = {}
        onsets = [Fraction(note.onset, ticks) for note in struck if note.is_struck]
        if place.meter is not None:
            lead = place.lead / place.pace  # a pickup is counted as the end of its bar
            counts = dict(count_places(place.meter, [onset + lead for onset in onsets]))
            division = _division(conflicts, clock.score.parts[part].id, index + 1)
            if division:
                step = place.meter.length / division
                counts = {step * number: str(number + 1) for number in range(division)}
            counts = {at - lead: count for at, count in counts.items() if at >= lead}
        places = sorted({*counts, *onsets})
        shown = [at for at in places if at < _length(bar, ticks) or at in onsets]
        found.append(
            _CountedBar(tuple((_sign(struck, at, ticks), _spoken(counts, at)) for at in shown))
        )
    return found


def _length(bar: PartBar, ticks: int) -> Fraction:
    """Quarters a bar lasts as written; a bar of rest as long as its meter."""
    return Fraction(bar.filled, ticks) if bar.filled else Fraction(99)


def _division(conflicts: Sequence[Conflict], part: str, bar: int) -> int:
    """How many a part makes of a whole bar in which that pulls; 0 if nothing does so, or only
    in some of its beats."""
    for one in conflicts:
        if one.is_notated or not one.first <= bar <= one.last:
            continue
        if one.level == "bar" and not one.beats_in(bar):
            for side in one.sides:
                if part in side.parts and not side.groups:
                    return side.division
    return 0


def _spoken(counts: dict[Fraction, str], at: Fraction) -> str:
    return counts.get(at, "").replace(BETWEEN, "")


def _sign(notes: Sequence[Note], at: Fraction, ticks: int) -> str:
    """What sounds at a place: a pitch as it begins, that it lasts, or nothing."""
    begins = [one for one in notes if Fraction(one.onset, ticks) == at and one.is_struck]
    if begins:
        return "+".join("×" if one.pitch == "x" else one.pitch for one in begins)
    here = [
        one
        for one in notes
        if Fraction(one.onset, ticks) <= at < Fraction(one.onset + one.length, ticks)
    ]
    return "━" if any(not one.is_rest for one in here) else "·"
