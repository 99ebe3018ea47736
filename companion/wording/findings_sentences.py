"""What a score holds, told to the player of one part: a sentence or two for each finding."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from companion.findings.doublings import Doubling, SharedRhythm
from companion.findings.entrances import Entrance
from companion.findings.form import Return, Section
from companion.findings.handed_on import HandedOn, Statement
from companion.findings.heard_conflicts import HeardConflict
from companion.findings.interlock import Interlock
from companion.findings.polymeter import Polymeter
from companion.rhythm.counting import (
    count_aloud,
    count_pulses,
    is_spoken_by_halves,
    pulses_of_beats,
    where_it_falls,
)
from companion.rhythm.meter import Meter, note_name
from companion.rhythm.tempo_relation import MeterChange, pulse_length
from companion.score.texture import Sound
from companion.wording.phrases import (
    BarNaming,
    PartNames,
    against_told,
    bar_spans,
    count_told,
    counted,
    figures_listed,
    interval,
    listed,
    parts_listed,
    sentence,
    sentences,
    values,
)


def pull_told(
    conflict: Conflict, heard: HeardConflict, me: str, names: PartNames, name: BarNaming
) -> str:
    """A conflict between the player and others: who divides how, and how to count it."""
    more, fewer = conflict.sides
    mine, theirs = (more, fewer) if me in more.parts else (fewer, more)
    us, them = parts_listed(mine.parts, names, me), parts_listed(theirs.parts, names)
    where, what = name(conflict.first, conflict.last), against_told(conflict.numbers)
    place = place_told(conflict)
    it = "each" if place.startswith("beats") else "it"
    told = [
        f"{where}: {what} in {place}",
        f"{us} divide {it} into {conflict.name_of(mine)}, {them} into {conflict.name_of(theirs)}",
        count_sentence(conflict, is_mine_more=mine == more),
    ]
    strokes = heard.of(me)
    if strokes is not None and strokes.alone:
        told.append(alone_told(strokes.alone, strokes.strokes))
    return sentences(*told)


def place_told(conflict: Conflict) -> str:
    """The span both sides divide: `the bar`, `the half bar`, `the beat`, or the beats if each of
    its bars has the same: `beat 3`, `beats 1 and 3`."""
    beats = {conflict.beats_in(bar) for bar in range(conflict.first, conflict.last + 1)}
    named = beats.pop() if len(beats) == 1 and conflict.level == "beat" else ()
    if not named:
        return f"the {conflict.span}"
    return f"beat{'s' if len(named) > 1 else ''} {listed([str(beat) for beat in named])}"


def notated_told(conflict: Conflict, names: PartNames, name: BarNaming) -> str:
    """Two meters on the page of which nobody plays the other division."""
    more, fewer = conflict.sides
    return sentences(
        f"{name(conflict.first, conflict.last)}: {against_told(conflict.numbers)} stands on the "
        f"page only: {parts_listed(more.parts, names)} in {more.name}, "
        f"{parts_listed(fewer.parts, names)} in {fewer.name}",
        "Nobody plays the other division: take care in reading, there is nothing to drill",
    )


def pull_between_hands_told(conflict: Conflict, name: BarNaming) -> str:
    """A conflict between two staves of the player's own."""
    more, fewer = conflict.sides
    where, what = name(conflict.first, conflict.last), against_told(conflict.numbers)
    return sentences(
        f"{where}: {what} in the {conflict.span} between your own staves, "
        f"{conflict.division_of(more)} against {conflict.division_of(fewer)}",
        count_sentence(conflict),
    )


def count_sentence(conflict: Conflict, *, is_mine_more: bool = True) -> str:
    """How to count it from the side with more notes, or from the other."""
    return sentence(f"Count {_count_of(conflict, is_mine_more=is_mine_more)}")


def _count_of(conflict: Conflict, *, is_mine_more: bool = True) -> str:
    """The count of the ratio from one side, and how often it comes in the span."""
    if conflict.sides[0].groups:
        return unequal_count_told(conflict.sides)
    times = conflict.times if conflict.span == conflict.level else 1
    often = {1: "", 2: f", twice a {conflict.level}"}
    mine, theirs = conflict.ratio if is_mine_more else conflict.ratio[::-1]
    return count_told(mine, theirs) + often.get(times, f", {times} times a {conflict.level}")


def unequal_count_told(sides: tuple[Side, Side]) -> str:
    """`1 2 3 4 5 6 7 8: 4 divides at 1, 3, 5 and 7, 3+2+3 at 1, 4 and 6`."""
    places = [(side.name, pulses_of_beats(side.groups)) for side in sides]
    return f"{count_pulses(sides[0].groups)}: {_divided(places)}"


def divisions_told(
    conflict: Conflict, mine: Side | None, named: Callable[[Side], str] = lambda _: ""
) -> tuple[str, str]:
    """A count, and where each division is in it, my side's first: `1 2& 3` and `3 divides at
    every number, 2 at 1 and the & of 2`. `named` says whose a side is, if it is to be told."""
    more, fewer = conflict.sides
    if more.groups:
        count = count_pulses(more.groups)
        places = {side: pulses_of_beats(side.groups) for side in conflict.sides}
    else:
        # If halves name every stroke both sides say one count; otherwise each its own.
        is_common = is_spoken_by_halves(*map(conflict.division_of, (more, fewer)))
        own, other = (fewer, more) if mine == fewer and not is_common else (more, fewer)
        divisions = conflict.division_of(own), conflict.division_of(other)
        places = {own: "every number", other: where_it_falls(*divisions)}
        count = count_aloud(*divisions)
    order = (fewer, more) if mine == fewer else (more, fewer)
    whose = {side: f" ({who})" if (who := named(side)) else "" for side in order}
    return count, _divided([(conflict.name_of(one) + whose[one], places[one]) for one in order])


def _divided(places: Sequence[tuple[str, str]]) -> str:
    """Divisions have places, whether or not anybody strikes there."""
    (one, at), (other, at_too) = places
    return f"{one} divides at {at}, {other} at {at_too}"


def alone_told(alone: int, strokes: int) -> str:
    """`1 of your 4 notes falls alone`."""
    return f"{alone} of your {strokes} notes {'falls' if alone == 1 else 'fall'} alone"


def polymeter_told(found: Polymeter, me: str, names: PartNames, name: BarNaming) -> str:
    """The player's bars next to the others', and when their barlines meet."""
    mine = 0 if me in found.sides[0] else 1
    theirs = 1 - mine
    others = parts_listed(found.sides[theirs], names)
    ours, their = found.meters[mine], found.meters[theirs]
    text = f"{name(found.first, found.last)}: your bars are {ours}, those of {others} {their}"
    times = found.meets_after
    if not any(times):
        return sentences(text, "The barlines never meet")
    return sentences(
        text,
        f"Your barlines meet after {times[mine]} of your bars and {times[theirs]} of theirs",
    )


def return_told(found: Return, me: str, name: BarNaming) -> str:
    """What a return saves a player and where it needs care."""
    here, there = name(found.first, found.last), name(found.model_first, found.model_last)
    text = f"{here}: {there} again"
    if found.semitones:
        text += f" {interval(found.semitones)}"
    if found.kind in ("shortened", "extended"):
        text += f", {found.kind}"
    mine = dict(found.differing_by_part).get(me, found.differing)
    if not found.differing:
        text += ", note for note"
    elif not mine:
        text += f", your notes the same; others differ in {bar_spans(found.differing, name)}"
    elif len(mine) > found.last - found.first:
        text += ", your notes changed throughout"
    else:
        same = sorted(set(range(found.first, found.last + 1)) - set(mine))
        word, bars = ("the same", same) if len(same) < len(mine) else ("different", mine)
        text += f", your notes {word} only in {bar_spans(bars, name)}"
    if found.departs == found.last + 1 and not found.is_repeat:
        text += f"; different from {name(found.departs, found.departs)}"
    return sentence(text)


def form_told(sections: Sequence[Section], name: BarNaming) -> str:
    """The sections in one line, said to be a reading of it: `A bars 1–9, B …`."""
    if not sections:
        return "No large section returns."
    letters = ", ".join(f"{each} {name(each.first, each.last)}" for each in sections)
    changed = [
        f"{each} is different from {name(each.departs, each.departs)}"
        for each in sections
        if each.departs is not None
    ]
    return "; ".join([f"The form, as its returns suggest: {letters}", *changed]) + "."


def doubling_told(found: Doubling, me: str, names: PartNames, name: BarNaming) -> str:
    """Who plays the player's line too."""
    how = "in unison with" if found.is_unison else "in octaves with"
    return sentence(
        f"{name(found.first, found.last)}: you play {counted(found.notes, 'note')} {how} "
        f"{_others(found.parts, me, names)}: tune together"
    )


def shared_rhythm_told(found: SharedRhythm, me: str, names: PartNames, name: BarNaming) -> str:
    """Who has the player's rhythm too."""
    others = _others(found.parts, me, names)
    return sentence(f"{name(found.first, found.last)}: you have the same rhythm as {others}")


def _others(parts: Sequence[str], me: str, names: PartNames) -> str:
    return parts_listed([part for part in parts if part != me], names)


def entrance_told(found: Entrance, names: PartNames, name: BarNaming) -> str:
    """What the player waits for; the cue's meter is named if it differs."""
    on = f", beat {figures_listed(found.beat)}" if found.beat > 1 else ""
    empty = f"{found.bars} empty bars, " if found.bars > 1 else ""
    theirs = ", ".join(
        f"{counted(count.beats, 'beat')} for {parts_listed(count.parts, names)}"
        for count in found.theirs
    )
    rest = empty + counted(found.beats, "beat") + (f" ({theirs})" if theirs else "")
    told = [f"{name(found.bar, found.bar)}{on}: you enter after {rest}"]
    if found.cue:
        before = counted(found.cue.before, "beat")
        meter = f", in {found.cue.meter}" if found.theirs and found.cue.meter else ""
        told.append(
            f"Listen to {names.get(found.cue.part, found.cue.part)}: "
            f"{_contour(found.cue.notes)}, the last {before} before you{meter}"
        )
    if found.along:
        told.append(f"With you: {parts_listed(found.along, names)}")
    return sentences(*told)


def _contour(notes: Sequence[Sound]) -> str:
    pitches = [note.pitch for note in notes if note.pitch is not None]
    ways = {(b > a) - (b < a) for a, b in pairwise(pitches)}
    way = ways.pop() if len(ways) == 1 else None
    how = {1: " going up", -1: " going down", 0: " on one pitch", None: ""}
    return counted(len(notes), "note") + how[way]


_PASSES = {
    "cascade": "is handed on",
    "imitation": "is imitated",
    "canon": "runs in canon",
    "taken up": "is taken up",
}


def handed_on_told(found: HandedOn, me: str, names: PartNames, name: BarNaming) -> str:
    """The way of a figure through the parts, and where the player enters after whom."""
    way = ", then ".join(parts_listed(entry.parts, names, me) for entry in found.entries[:5])
    more = f" and so on, {len(found.entries)} entries" if len(found.entries) > 5 else ""
    text = (
        f"{name(found.first, found.last)}: a line of {found.notes} notes "
        f"{_PASSES[found.kind]}: {way}{more}"
    )
    mine = [entry for entry in found.entries if me in entry.parts and entry.cue]
    entries = [
        f"in {name(entry.bar, entry.bar)}, {counted(entry.after, 'beat')} after "
        f"{parts_listed(entry.cue, names)}{_height(entry)}"
        for entry in mine[:2]
    ]
    return sentences(text, f"You enter {listed(entries)}") if entries else sentence(text)


def _height(entry: Statement) -> str:
    if entry.semitones is None:
        return ", answered in the key"
    return f", {interval(entry.semitones)}" if entry.semitones else ", at the same pitch"


def interlock_told(found: Interlock, me: str, names: PartNames, name: BarNaming) -> str:
    """With whom the player makes an even stream, and which of its pulses are theirs."""
    at = next(index for index, side in enumerate(found.sides) if me in side.parts)
    others = [part for side in found.sides if me not in side.parts for part in side.parts]
    whom = parts_listed(others, names)
    where, stream = name(found.first, found.last), values(found.sides[at].value)
    if found.on_the_beat is not None:
        beats = ("beats", "after-beats")
        here, there = beats if at == found.on_the_beat else beats[::-1]
        return sentence(f"{where}: even {stream}, you have the {here}, {whom} the {there}")
    bars_of: dict[tuple[int, ...], list[int]] = {}
    for pattern in found.patterns:
        bars_of.setdefault(pattern.places[at], []).extend(pattern.bars)
    yours = [
        f"{', '.join(str(place + 1) for place in places)} in {bar_spans(numbers, name)}"
        for places, numbers in bars_of.items()
        if places
    ]
    more = "; then it changes again" if len(yours) > 3 else ""
    return sentences(
        f"{where}: with {whom} you make even {stream}",
        f"Yours are {'; '.join(yours[:3])}{more}",
    )


_TIMES_AS_LONG = {
    Fraction(1, 4): "a quarter as long",
    Fraction(1, 3): "a third as long",
    Fraction(1, 2): "half as long",
    Fraction(2, 3): "two thirds as long",
    Fraction(3, 4): "three quarters as long",
    Fraction(1): "as long as before",
    Fraction(5, 4): "a quarter longer",
    Fraction(4, 3): "a third longer",
    Fraction(3, 2): "half as long again",
    Fraction(2): "twice as long",
    Fraction(3): "three times as long",
    Fraction(4): "four times as long",
}


def meter_change_told(change: MeterChange, bpm: Fraction | None = None) -> str:
    """What stays and what changes, without a full stop; `bpm` is the felt beats a minute
    before the change."""
    at = f" at {float(bpm):g}" if bpm is not None else ""
    if change.keeps_beat and change.keeps_notes:
        return f"beat stays{at}, note values too; {_bars_change(change)}"
    if change.keeps_beat:
        return f"beat stays{at}; {_pulses_change(change)}"
    beat = f"the beat becomes {how_long(change.beat)}"
    if bpm is not None:
        beat += f" ({float(bpm):g} to {float(bpm / change.beat):.4g})"
    if change.keeps_notes:
        is_even = change.old.is_even and change.new.is_even
        beats = f"beats go from {_beats_of(change.old)} to {_beats_of(change.new)}"
        so = f", so {beat}" if is_even else ""
        return f"note values stay; {beats}{so}; {_bars_change(change)}"
    return (
        f"beat and note values change: {beat}, every note value becomes {how_long(change.quarter)}"
    )


def how_long(ratio: Fraction) -> str:
    """A proportion in words: `a third longer` for 4/3, `two thirds as long` for 2/3."""
    return _TIMES_AS_LONG.get(ratio, f"{ratio} times as long")


def _pulses_change(change: MeterChange) -> str:
    old, new = note_name(pulse_length(change.old)), note_name(pulse_length(change.new))
    was, now = change.old.divisions[0], change.new.divisions[0]
    if old == new and was != now:
        return (
            f"{_plural(old)} go from {was} to {now} a beat, "
            f"so {_one(old)} becomes {how_long(change.quarter)}"
        )
    return (
        f"it is now {_one(note_name(change.new.beat))} instead of "
        f"{_one(note_name(change.old.beat))}, so every note value becomes "
        f"{how_long(change.quarter)}"
    )


def _beats_of(meter: Meter) -> str:
    if meter.is_even:
        return _plural(note_name(meter.beat))
    unit = note_name(pulse_length(meter))
    return f"{' + '.join(map(str, meter.divisions))} {_plural(unit)}"


def _bars_change(change: MeterChange) -> str:
    was, now = len(change.old.beats), len(change.new.beats)
    count = f"{was} beats a bar become {now}" if was != now else f"still {now} beats a bar"
    return f"{count}, the bar {how_long(change.whole_bar)}"


def _one(name: str) -> str:
    return f"an {name}" if name[0] in "aeiou" or name.startswith("8") else f"a {name}"


def _plural(name: str) -> str:
    return f"{name[:-1]}ves" if name.endswith("half") else f"{name}s"
