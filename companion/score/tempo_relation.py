"""Which tempo relation holds at a change of meter, and who said so.

In order: the player's own setting, a mark in the score, the custom of the trade. A mark is
two note values, or words for the same tempo, or a new number: a metronome mark decides only
where it shows that the beat or the note value stays. Where it is simply another tempo it
belongs to the tempo map, and the clock goes on by custom: the clock counts music, not seconds.
"""

from __future__ import annotations

import re
from fractions import Fraction

from msgspec import Struct

from companion.rhythm.meter import Meter, note_name
from companion.rhythm.relation import Same, by_custom, pace_after, what_stayed
from companion.score.model import TempoMark

_SAME_TEMPO = re.compile(
    r"\b(l\W?istesso|(lo )?stesso|medesimo) (tempo|movimento)\b|\bm[eê]me (tempo|mouvement)\b"
    r"|\b(dasselbe|gleiches) (tempo|zeitma(ß|ss))|\bsame tempo\b",
    re.I,
)
"""Words by which the beat stays (common practice, no source)."""


class Change(Struct, frozen=True):
    """How one part goes from one meter into the next."""

    pace: Fraction
    """Clock time of a written quarter after the change."""
    value: str
    """What was assumed, in words."""
    because: str
    """`player`, `mark` or `custom`."""


def change(
    old: Meter,
    new: Meter,
    pace: Fraction,
    *,
    player: Same | None,
    marks: tuple[TempoMark, ...],
    is_same_tempo: bool = False,
    quarters_before: Fraction | None,
) -> Change:
    """Decide the pace after a change of meter.

    `pace` is the clock time of a quarter before; `marks` are the tempo marks at the change,
    the part's own first; `is_same_tempo` tells that words there keep the tempo;
    `quarters_before` is the tempo in force before it in quarters a minute, if any is known.
    """
    if player is not None:
        return Change(pace_after(player, old, new, pace), player.value, "player")
    for mark in marks:
        if mark.equals is not None:
            after = _related(mark, old, new, pace)
            same = what_stayed(old, new, pace, after)
            return Change(after, same.value if same else _relation_text(mark), "mark")
    if is_same_tempo:
        return Change(pace_after(Same.BEAT, old, new, pace), Same.BEAT.value, "mark")
    for mark in sorted(marks, key=lambda mark: not mark.is_printed):
        if mark.per_minute is not None and quarters_before is not None:
            after = pace * quarters_before / (mark.beat * mark.per_minute)
            same = what_stayed(old, new, pace, after)
            if same is not None:
                return Change(after, same.value, "mark")
    custom = by_custom(old, new)
    return Change(pace_after(custom, old, new, pace), custom.value, "custom")


def keeps_tempo(text: str) -> bool:
    """Whether words say that the tempo stays: L'istesso tempo."""
    return _SAME_TEMPO.search(text) is not None


def _related(mark: TempoMark, old: Meter, new: Meter, pace: Fraction) -> Fraction:
    """Pace after a two-note mark. MusicXML leaves open which side is the old value: it is
    the left one unless only the other way round do both sides name their meter's beat."""
    assert mark.equals is not None
    is_reversed = mark.beat == new.beat and mark.equals == old.beat and mark.beat != old.beat
    before, after = (mark.equals, mark.beat) if is_reversed else (mark.beat, mark.equals)
    return pace * before / after


def _relation_text(mark: TempoMark) -> str:
    assert mark.equals is not None
    return f"{note_name(mark.beat)} = {note_name(mark.equals)}"
