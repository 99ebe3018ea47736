"""Which tempo relation holds at a change of meter, and who said so.

In order: the player's own setting, a mark in the score, the custom of the trade.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from companion.rhythm.meter import Meter, note_name
from companion.rhythm.relation import Same, by_custom, pace_after, what_stayed
from companion.score.model import TempoMark


@dataclass(frozen=True, slots=True)
class Change:
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
    quarters_before: Fraction | None,
) -> Change:
    """Decide the pace after a change of meter.

    `pace` is the clock time of a quarter before; `marks` are the tempo marks at the change;
    `quarters_before` is the tempo in force before it in quarters a minute, if any is known.
    """
    if player is not None:
        return Change(pace_after(player, old, new, pace), player.value, "player")
    for mark in marks:
        if mark.equals is not None:
            return _named(old, new, pace, _related(mark, old, new, pace), _relation_text(mark))
    for mark in sorted(marks, key=lambda mark: not mark.is_printed):
        if mark.per_minute is not None and quarters_before is not None:
            after = pace * quarters_before / (mark.beat * mark.per_minute)
            return _named(old, new, pace, after, _tempo_text(mark, quarters_before, old))
    custom = by_custom(old, new)
    return Change(pace_after(custom, old, new, pace), custom.value, "custom")


def _related(mark: TempoMark, old: Meter, new: Meter, pace: Fraction) -> Fraction:
    """Pace after a two-note mark. MusicXML leaves open which side is the old value: it is
    the left one unless only the other way round do both sides name their meter's beat."""
    assert mark.equals is not None
    is_reversed = mark.beat == new.beat and mark.equals == old.beat and mark.beat != old.beat
    before, after = (mark.equals, mark.beat) if is_reversed else (mark.beat, mark.equals)
    return pace * before / after


def _named(old: Meter, new: Meter, pace: Fraction, after: Fraction, text: str) -> Change:
    same = what_stayed(old, new, pace, after)
    return Change(after, same.value if same else text, "mark")


def _relation_text(mark: TempoMark) -> str:
    assert mark.equals is not None
    return f"{note_name(mark.beat)} = {note_name(mark.equals)}"


def _tempo_text(mark: TempoMark, quarters_before: Fraction, old: Meter) -> str:
    before = quarters_before / old.beat
    return (
        f"{note_name(mark.beat)} = {float(mark.per_minute or 0):g}, "
        f"was {note_name(old.beat)} = {float(before):g}"
    )
