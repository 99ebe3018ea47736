"""What is in force at a barline: every part's meter, its pace, and how long a full bar lasts.

Where some part keeps its meter across a barline, its bar keeps its length: a player
whose page shows no change has no reason to play faster. Only where every part changes
does the tempo relation have to be decided.
"""

from __future__ import annotations

import re
from fractions import Fraction

from msgspec import Struct

from companion.rhythm.meter import Meter, note_name
from companion.rhythm.tempo_relation import Same, by_custom, pace_after, what_stayed
from companion.score.clock import Assumption
from companion.score.model import TempoMark

Meters = tuple[Meter | None, ...]


class MetersInForce(Struct, frozen=True):
    """Meters and paces of all parts in one bar."""

    meters: Meters
    paces: tuple[Fraction, ...]
    """Clock time of a written quarter, for each part."""
    full: Fraction
    """Clock time of a full bar; the last measured one's where all are unmeasured."""


class RelationEvidence(Struct, frozen=True):
    """What bears on the tempo relation at one change of meter."""

    bar: int
    player: Same | None
    """The player's own setting for this bar."""
    marks: tuple[tuple[TempoMark, ...], ...]
    rate: Fraction | None
    """Tempo before it in clock time a minute, where the page tells one."""
    is_same_tempo: bool
    """Whether words at its left barline say that the tempo stays."""

    def rule(self, part: int, old: Meter, new: Meter, pace: Fraction) -> TempoRelation:
        """How one part would change by itself; its own marks outrank the others'."""
        marks = sum(self.marks, self.marks[part])
        return tempo_relation(
            old,
            new,
            pace,
            player=self.player,
            marks=marks,
            is_same_tempo=self.is_same_tempo,
            quarters_before=self.rate / pace if self.rate else None,
        )


def first_meters(meters: Meters) -> MetersInForce:
    """The clock's unit is the felt beat of the topmost measured part."""
    lead = next((meter for meter in meters if meter is not None), None)
    pace = 1 / lead.beat if lead else Fraction(1)
    full = lead.length * pace if lead else Fraction(0)
    return MetersInForce(meters, _paces(meters, full, (pace,) * len(meters)), full)


def next_meters(
    now: MetersInForce, meters: Meters, here: RelationEvidence
) -> tuple[MetersInForce, tuple[Assumption, ...]]:
    """Carry the clock across a change of meter, and tell what was assumed for whom."""
    full = _full_bar(now, meters, here)
    after = MetersInForce(meters, _paces(meters, full, now.paces), full)
    told: dict[tuple[str, str], list[int]] = {}
    for part, (old, new) in enumerate(zip(now.meters, meters, strict=True)):
        if old is None or new is None or old == new:
            continue
        rule = here.rule(part, old, new, now.paces[part])
        told.setdefault(
            _relation_kept(rule, old, new, now.paces[part], after.paces[part]), []
        ).append(part)
    return after, tuple(
        Assumption(here.bar, "tempo relation", value, because, tuple(str(p) for p in parts))
        for (value, because), parts in told.items()
    )


def _full_bar(now: MetersInForce, meters: Meters, here: RelationEvidence) -> Fraction:
    moves = [
        (part, old, new)
        for part, (old, new) in enumerate(zip(now.meters, meters, strict=True))
        if old is not None and new is not None
    ]
    changed = [move for move in moves if move[1] != move[2]]
    if changed and (here.player is not None or len(changed) == len(moves)):
        part, old, new = changed[0]
        return new.length * here.rule(part, old, new, now.paces[part]).pace
    if moves:
        return now.full
    for part, meter in enumerate(meters):
        if meter is not None:
            return meter.length * now.paces[part]
    return now.full


def _relation_kept(
    rule: TempoRelation, old: Meter, new: Meter, before: Fraction, after: Fraction
) -> tuple[str, str]:
    if rule.pace == after:
        return rule.value, rule.because
    same = what_stayed(old, new, before, after)
    return (same.value if same else "bar = bar"), "barlines"


def _paces(meters: Meters, full: Fraction, before: tuple[Fraction, ...]) -> tuple[Fraction, ...]:
    return tuple(
        full / meter.length if meter else pace for meter, pace in zip(meters, before, strict=True)
    )


# Which tempo relation holds at a change of meter, and who decided it.


_SAME_TEMPO = (
    r"\b(l\W?istesso|(lo )?stesso|medesimo) (tempo|movimento)\b|\bm[eê]me (tempo|mouvement)\b"
    r"|\b(dasselbe|gleiches) (tempo|zeitma(ß|ss))|\bsame tempo\b"
)
"""Words by which the beat stays (common practice, no source); compiled when first searched for."""


class TempoRelation(Struct, frozen=True):
    """How one part goes from one meter into the next."""

    pace: Fraction
    """Clock time of a written quarter after the change."""
    value: str
    """What was assumed, in words."""
    because: str
    """`player`, `mark` or `custom`."""


def tempo_relation(
    old: Meter,
    new: Meter,
    pace: Fraction,
    *,
    player: Same | None,
    marks: tuple[TempoMark, ...],
    is_same_tempo: bool = False,
    quarters_before: Fraction | None,
) -> TempoRelation:
    """Decide the pace after a change of meter.

    `pace` is the clock time of a quarter before; `marks` are the tempo marks at the change,
    the part's own first; `is_same_tempo` tells that words there keep the tempo;
    `quarters_before` is the tempo in force before it in quarters a minute, if any is known.
    """
    if player is not None:
        return TempoRelation(pace_after(player, old, new, pace), player.value, "player")
    for mark in marks:
        if mark.equals is not None:
            after = _related(mark, old, new, pace)
            same = what_stayed(old, new, pace, after)
            return TempoRelation(after, same.value if same else _relation_text(mark), "mark")
    if is_same_tempo:
        return TempoRelation(pace_after(Same.BEAT, old, new, pace), Same.BEAT.value, "mark")
    for mark in sorted(marks, key=lambda mark: not mark.is_printed):
        if mark.per_minute is not None and quarters_before is not None:
            after = pace * quarters_before / (mark.beat * mark.per_minute)
            same = what_stayed(old, new, pace, after)
            if same is not None:
                return TempoRelation(after, same.value, "mark")
    custom = by_custom(old, new)
    return TempoRelation(pace_after(custom, old, new, pace), custom.value, "custom")


def keeps_tempo(text: str) -> bool:
    """Whether words say that the tempo stays: L'istesso tempo."""
    return re.search(_SAME_TEMPO, text, re.I) is not None


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
