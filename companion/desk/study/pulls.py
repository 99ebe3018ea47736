"""What pulls against one player: conflicts, groupings, hemiolas, travelling barlines."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from companion.desk.stand import Stand
from companion.desk.study.advice import Advice, Topic
from companion.desk.study.findings import Findings
from companion.rhythm.conflicts import Conflict
from companion.rhythm.counting import count_aloud
from companion.rhythm.grouped_count import on, pulses
from companion.rhythm.grouping import Grouping
from companion.rhythm.hardness import hardness
from companion.rhythm.hemiola import ACROSS_BARS, THREE_IN_TWO, TWO_IN_THREE, Hemiola
from companion.rhythm.polymeter import Polymeter
from companion.rhythm.saying import Bars, Names, parts_listed, sentence, values
from companion.rhythm.sounding import Sounding
from companion.score.tempo_map import tempo_map

_BETWEEN_HANDS = 50.0
"""Weight of a conflict between the hands of one player, which no other part can make harder."""


def pulls(stand: Stand, findings: Findings, me: str, names: Names, name: Bars) -> Iterator[Advice]:
    """Every pull that concerns the player of one part."""
    tempos = tempo_map(stand.clock)
    for conflict, sound in findings.conflicts:
        mine = [side for side in conflict.sides if me in side.parts]
        if len(mine) == 2:
            text = _between_hands(conflict, name)
            yield Advice(Topic.CONFLICT, conflict.first, conflict.last, text, _BETWEEN_HANDS)
        elif mine:
            start = stand.clock.bars[conflict.first - 1].start
            is_stated = bool(tempos.stated) and tempos.stated[0].at <= start
            seconds = _span(stand, conflict) * 60 / tempos.rate_at(start) if is_stated else None
            hard = hardness(conflict, sound, me, seconds)
            text = _conflict(conflict, sound, me, names, name)
            yield Advice(
                Topic.CONFLICT,
                conflict.first,
                conflict.last,
                text,
                float(hard.score),
                because=(
                    f"Hardness {hard.score} of 100, by rule of thumb",
                    *hard.because,
                    f"{float(sound.filled):.0%} of the resultant is struck",
                ),
            )
    for group in findings.groupings:
        text = _grouping(group, me, names, name)
        weight = float(group.last - group.first + 1) * (2 if me in group.parts else 1)
        yield Advice(Topic.GROUPING, group.first, group.last, text, weight, is_heuristic=True)
    for hemiola in findings.hemiolas:
        text = _hemiola(hemiola, me, names, name)
        weight = 2.0 if me in hemiola.parts else 1.0
        yield Advice(Topic.HEMIOLA, hemiola.first, hemiola.last, text, weight, is_heuristic=True)
    for travelling in findings.polymeters:
        if any(me in side for side in travelling.sides):
            text = _barlines(travelling, me, names, name)
            yield Advice(Topic.BARLINES, travelling.first, travelling.last, text, 1.0)


def _span(stand: Stand, conflict: Conflict) -> Fraction:
    """Clock time of the span both sides divide, in the conflict's first bar."""
    bar = stand.clock.bars[conflict.first - 1]
    if conflict.level == "bar":
        return bar.length
    meters = [stand.clock.meter_at(part, bar) for part in range(len(stand.score.parts))]
    beats = max((len(meter.beats) for meter in meters if meter), default=1)
    return bar.length / beats


def _conflict(conflict: Conflict, sound: Sounding, me: str, names: Names, name: Bars) -> str:
    more, fewer = conflict.sides
    mine, theirs = (more, fewer) if me in more.parts else (fewer, more)
    us, them = parts_listed(mine.parts, names, me), parts_listed(theirs.parts, names)
    text = (
        f"{name(conflict.first, conflict.last)}: {conflict.against} in the {conflict.level}; "
        f"{us} divide it into {mine.name}, {them} into {theirs.name}; count {_count(conflict)}"
    )
    if not sound.pulling:
        text += "; it is written so, but the notes never rub"
    alone = sound.of(me)
    if alone is not None and alone.alone:
        verb = "falls" if alone.alone == 1 else "fall"
        text += f"; {alone.alone} of your {alone.strokes} notes {verb} alone"
    return sentence(text)


def _count(conflict: Conflict) -> str:
    """The count of the ratio, and how often it comes in the span."""
    more, fewer = conflict.sides
    if more.groups:
        return f"{pulses(more)}: {more.name} on {on(more)}, {fewer.name} on {on(fewer)}"
    times = conflict.sides[0].division // conflict.ratio[0]
    often = {1: "", 2: f", twice a {conflict.level}"}
    return count_aloud(*conflict.ratio) + often.get(times, f", {times} times a {conflict.level}")


def _between_hands(conflict: Conflict, name: Bars) -> str:
    more, fewer = conflict.sides
    return sentence(
        f"{name(conflict.first, conflict.last)}: {conflict.against} in the {conflict.level} "
        f"between your own staves, "
        f"{more.division} against {fewer.division}; count {_count(conflict)}"
    )


def _grouping(group: Grouping, me: str, names: Names, name: Bars) -> str:
    ours, against = group.ratio
    who = parts_listed(group.parts, names, me)
    verb = "repeat" if me in group.parts or len(group.parts) > 1 else "repeats"
    groups, bars = group.meets_after
    return sentence(
        f"{name(group.first, group.last)}: {who} {verb} a figure of {ours} "
        f"{values(group.pulse)} across a {group.level} of {against}; "
        f"it meets the barline again after {groups} times, {bars} bar{'s' if bars > 1 else ''}"
    )


def _hemiola(hemiola: Hemiola, me: str, names: Names, name: Bars) -> str:
    who = parts_listed(hemiola.parts, names, me)
    text = f"{name(hemiola.first, hemiola.last)}: hemiola, {_HEMIOLA[hemiola.kind]}: {who}"
    if hemiola.is_change_of_feel:
        return sentence(f"{text}, all together: the feel changes")
    if hemiola.answering:
        text += f", answered by {parts_listed(hemiola.answering, names, me)}"
    rest = tuple(part for part in hemiola.against if part not in hemiola.answering)
    return sentence(f"{text}, against {parts_listed(rest, names, me)}" if rest else text)


_HEMIOLA = {
    ACROSS_BARS: "two bars of three felt as three of two",
    THREE_IN_TWO: "three beats in the place of two",
    TWO_IN_THREE: "two beats in the place of three",
}


def _barlines(travelling: Polymeter, me: str, names: Names, name: Bars) -> str:
    mine = 0 if me in travelling.sides[0] else 1
    theirs = 1 - mine
    others = parts_listed(travelling.sides[theirs], names)
    ours, their = travelling.meters[mine], travelling.meters[theirs]
    where = name(travelling.first, travelling.last)
    text = f"{where}: your bars are {ours}, those of {others} {their}"
    times = travelling.meets_after
    if any(times):
        bars = (times[mine], times[theirs])
        text += f"; your barlines meet after {bars[0]} of your bars and {bars[1]} of theirs"
    else:
        text += "; the barlines never meet"
    return sentence(text)
