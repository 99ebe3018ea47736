"""A judgement in words: one sentence of advice, and the numbers behind it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from statistics import fmean
from typing import TYPE_CHECKING

from companion.listening.due_notes import OFF_THE_BEAT, ON_THE_BEAT
from companion.practice.proposed_outcome import DRIFT, LEAST, proposed_outcome
from companion.score.bar_numbers import span_name
from companion.wording.phrases import BarNaming, bars_told, counted, listed, sentence
from companion.wording.timing_strip import STRIP_LEGEND, timing_strip

if TYPE_CHECKING:
    from companion.listening.judgement import (
        DividedBeats,
        InSilence,
        JudgedNote,
        JudgedSide,
        Judgement,
    )
    from companion.score.clock import Clock

TUNING_IS_NOT_JUDGED = "Tuning is not judged."
_MOST = 4
"""Bars named one by one."""

_SIDES = {
    ON_THE_BEAT: "the notes on the beat",
    OFF_THE_BEAT: "the notes off the beat",
    "mine": "your own notes",
    "theirs": "the other side's notes",
}
_NEXT = {
    OFF_THE_BEAT: "play it slower with the divisions sounding (d)",
    "mine": "play it slower with both sides sounding (m, t)",
}


def side_named(name: str) -> str:
    """`the notes off the beat`, `your own notes`."""
    return _SIDES.get(name, name)


def advice(judged: Judgement, name: BarNaming) -> str:
    """One sentence: what to work on first, in which bar, on which beat."""
    if judged.heard < LEAST:
        return "Too few notes were heard to judge."
    return sentence(next(_advice(judged, name)))


def _advice(judged: Judgement, name: BarNaming) -> Iterator[str]:
    """What there is to say, the gravest first."""
    if judged.broke_down:
        bar = judged.broke_down[0]
        what = "stopped" if judged.stops else "lost the place"
        yield f"you {what} in {name(bar, bar)}: begin there, slower, then lead into it"
    if len(judged.missed) > len(judged.notes) / 20:
        yield f"{_missed(judged, name)}: play there slower, every note"
    yield from _off(judged, name)
    yield from _pace(judged, name)
    if judged.missed:
        yield _missed(judged, name)
    yield from _untold(judged)
    first, last = judged.notes[0].note.position, judged.notes[-1].note.position
    if judged.added:
        yield f"{name(first, last)}: in time, with {counted(len(judged.added), 'note')} put in"
    yield f"{name(first, last)}: in time, on every beat and on every side"


def _off(judged: Judgement, name: BarNaming) -> Iterator[str]:
    """Sides that are late as a whole, single notes, scatter."""
    off = [side for side in judged.sides if side.is_off]
    if off:
        yield _late(judged, max(off, key=lambda side: abs(side.late) / side.limit), name)
    if judged.astray:
        worst = max(judged.astray, key=lambda one: abs(one.late or 0))
        told = _ms_late(worst.late or 0)
        yield f"in {_where(worst, name)} a note comes {told}: play from the bar before into it"
    loose = [side for side in judged.sides if side.is_unsteady]
    if loose:
        side = max(loose, key=lambda one: one.spread)
        yield (
            f"{side_named(side.name)} scatter by {side.spread * 1000:.0f} ms, most in"
            f" {_loosest(judged, side, name)}: play it slower until they are even"
        )


def _untold(judged: Judgement) -> Iterator[str]:
    """Sides that would be compared if more of their notes were clear."""
    for side in judged.sides:
        if not (side.is_reference or side.is_told):
            of = [one for one in judged.sides if one is side or one.is_reference]
            few = min(of, key=lambda one: one.notes / max(1, one.played))
            yield (
                f"whether {side_named(side.name)} come early or late cannot be told: of"
                f" {side_named(few.name)} only {few.notes} of {few.played} were heard clearly;"
                " record it from nearer, or plucked"
            )


def _pace(judged: Judgement, name: BarNaming) -> Iterator[str]:
    """The tempo from beginning to end, and in the silent bars."""
    if abs(judged.drift) > DRIFT:
        how = "faster" if judged.drift > 0 else "slower"
        first, last = judged.notes[0].note.position, judged.notes[-1].note.position
        yield (
            f"you got {abs(judged.drift):.0%} {how} from {name(first, first)} to"
            f" {name(last, last)}: play it with silent bars and see where you come out"
        )
    for one in judged.in_silence:
        beat = fmean(float(note.note.beat) for note in judged.notes)
        if abs(one.late) > max(0.03, DRIFT * beat):
            yield f"{_in_silence(one, name)}: count through them"


def _in_silence(one: InSilence, name: BarNaming) -> str:
    bars = name(one.bars.first, max(one.bars.first, one.bars.last))
    way = "behind" if one.late > 0 else "ahead"
    return f"in the silent {bars} you came out {abs(one.late) * 1000:.0f} ms {way}"


def _late(judged: Judgement, side: JudgedSide, name: BarNaming) -> str:
    """`the notes off the beat come 31 ms late, most in bar 14, beat 2 (53:47, not 50:50): …`."""
    own = [one for one in judged.notes if one.note.side == side.name and one.late is not None]
    worst = _worst_place(own, side.late > 0)
    where = f", most in {_where(worst, name)}" if worst else ""
    divided = [one for one in judged.divided if one.side in ("", side.name)]
    ratio = max(divided, key=lambda one: one.beats, default=None)
    told = f" ({_ratio(ratio.played)}, not {_ratio(ratio.printed)})" if ratio else ""
    who = side_named(side.name)
    todo = _NEXT.get(side.name, "play it slower with both sides sounding (m, t)")
    return f"{who} come {_ms_late(side.late)}{where}{told}: {todo}"


def _worst_place(own: Sequence[JudgedNote], is_late: bool) -> JudgedNote | None:
    """A note of the bar and beat in which this side is off most, on the average."""
    places: defaultdict[tuple[int, int], list[JudgedNote]] = defaultdict(list)
    for one in own:
        if one.is_certain and one.beat:
            places[one.note.position, one.beat].append(one)
    sign = 1 if is_late else -1
    ranked = sorted(
        places.values(), key=lambda notes: -sign * fmean(one.late or 0.0 for one in notes)
    )
    return ranked[0][0] if ranked else None


def _loosest(judged: Judgement, side: JudgedSide, name: BarNaming) -> str:
    own = [one for one in judged.notes if one.note.side == side.name and one.late is not None]
    worst = max(own, key=lambda one: abs((one.late or 0) - side.late))
    return _where(worst, name)


def _where(one: JudgedNote, name: BarNaming) -> str:
    bar = name(one.note.position, one.note.position)
    return f"{bar}, beat {one.beat}" if one.beat else bar


def _missed(judged: Judgement, name: BarNaming) -> str:
    places = list(dict.fromkeys(_where(one, name) for one in judged.missed))
    shown = places[:_MOST]
    more = [f"{len(places) - _MOST} other places"] if len(places) > _MOST else []
    count = len(judged.missed)
    verb = "was" if count == 1 else "were"
    return f"{counted(count, 'note')} {verb} left out, in {listed([*shown, *more])}"


def _ms_late(late: float) -> str:
    return f"{abs(late) * 1000:.0f} ms {'late' if late > 0 else 'early'}"


def _ratio(shares: Sequence[float]) -> str:
    """`53:47`, in hundredths of the beat."""
    return ":".join(f"{share * 100:.0f}" for share in shares)


# The numbers, on request.


def numbers_told(judged: Judgement, name: BarNaming) -> list[str]:
    """What was measured, a line each."""
    if judged.heard < LEAST:
        return [_told_of(judged), TUNING_IS_NOT_JUDGED]
    return [
        *(_side(side, _beat_of(judged, side)) for side in judged.sides),
        *map(_divided, judged.divided),
        f"Tempo: {judged.bpm:.1f} beats a minute, {_drift(judged.drift)}.",
        *([_lead(judged.lead)] if judged.lead is not None else []),
        *(sentence(_in_silence(one, name)) for one in judged.in_silence),
        *([sentence(_missed(judged, name))] if judged.missed else []),
        *([_added(judged.added)] if judged.added else []),
        _told_of(judged),
        TUNING_IS_NOT_JUDGED,
    ]


def _beat_of(judged: Judgement, side: JudgedSide) -> float:
    """Seconds of a beat under the notes of a side, their mean."""
    beats = [float(one.note.beat) for one in judged.notes if one.note.side == side.name]
    return sum(beats) / len(beats)


def _side(side: JudgedSide, beat: float) -> str:
    who = side_named(side.name)
    spread = f"spread {side.spread * 1000:.0f} ms"
    notes = counted(side.notes, "note")
    if side.is_reference:
        return sentence(f"{who}: {spread}, {notes}; the others are held against them")
    if side.notes < LEAST:
        return sentence(f"{who}: {notes}, too few to judge")
    if not side.is_told:
        return sentence(f"{who}: {notes} heard clearly, too few of them to tell if they are late")
    mean = "in time" if abs(side.late) < 0.0005 else _ms_late(side.late)
    share = round(100 * abs(side.late) / beat)
    part = f" ({share} % of the beat)" if share else ""
    within = "" if side.is_off else ", too little to notice"
    return sentence(f"{who}: {mean}{part} on the average{within}, {spread}, {notes}")


def _divided(one: DividedBeats) -> str:
    who = f" ({one.side})" if one.side else ""
    told = f"Beats of {_ratio(one.printed)}{who}: played {_ratio(one.played)}"
    trend = ""
    if one.beats >= 6 and max(abs(a - b) for a, b in zip(one.first, one.last, strict=True)) > 0.01:
        trend = f", from {_ratio(one.first)} at first to {_ratio(one.last)} at last"
    return sentence(f"{told}{trend}; {counted(one.beats, 'beat')}")


def _drift(drift: float) -> str:
    if abs(drift) < 0.005:
        return "steady"
    return f"{abs(drift):.1%} {'faster' if drift > 0 else 'slower'} at the end"


def _lead(lead: float) -> str:
    way = "after" if lead > 0 else "before"
    return (
        f"All of it came {abs(lead) * 1000:.0f} ms {way} the click, which is not held against it."
    )


def _added(added: Sequence[float]) -> str:
    at = [f"{seconds:.1f} s" for seconds in added[:_MOST]]
    more = [f"{len(added) - _MOST} more"] if len(added) > _MOST else []
    return f"Put in: {counted(len(added), 'note')}, at {listed([*at, *more])} of the take."


def _told_of(judged: Judgement) -> str:
    heard = f"{judged.heard} of {counted(len(judged.notes), 'note')} heard clearly"
    if not judged.untold:
        return f"{heard}."
    return (
        f"{heard}; of {judged.untold} it cannot be told when they began (a slurred repeated"
        " pitch, or too soft a beginning)."
    )


def judgement_told(
    judged: Judgement,
    name: BarNaming,
    *,
    with_numbers: bool,
    earlier: Sequence[Judgement] = (),
) -> list[str]:
    """What a screen or a command shows: the advice, the strip, the outcome."""
    lines = [advice(judged, name), ""]
    if strip := timing_strip(judged, name, earlier):
        lines += [*strip, STRIP_LEGEND, ""]
    if with_numbers:
        lines += [*numbers_told(judged, name), ""]
    return [*lines, outcome_told(judged)]


def outcome_told(judged: Judgement) -> str:
    """`Proposed outcome: held.`"""
    outcome = proposed_outcome(judged)
    return f"Proposed outcome: {outcome.value}." if outcome else "No outcome is proposed."


def judgement_record(judged: Judgement, clock: Clock) -> dict[str, object]:
    """Everything about a judgement, for programs."""

    def name(first: int, last: int) -> str:
        return bars_told(first, last, span_name(clock, first, last))

    outcome = proposed_outcome(judged)
    return {
        "notes": [
            {
                "position": one.note.position,
                "printed": span_name(clock, one.note.position, one.note.position),
                "quarters": str(one.note.quarters),
                "side": one.note.side,
                "begun_s": None if one.begun_s is None else round(one.begun_s, 4),
                "early_late_ms": _ms(one.late),
                "certain": one.is_certain,
            }
            for one in judged.notes
        ],
        "added": [{"at_s": round(at, 4)} for at in judged.added],
        "sides": {
            side.name: {
                "mean_ms": _ms(side.late) if side.is_told or side.is_reference else None,
                "spread_ms": _ms(side.spread),
                "notes": side.notes,
            }
            for side in judged.sides
        },
        "tempo": {
            "beats_a_minute": round(judged.bpm, 2),
            "drift_percent": round(judged.drift * 100, 2),
        },
        "advice": advice(judged, name),
        "outcome": outcome.value if outcome else None,
    }


def _ms(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds * 1000, 1)
