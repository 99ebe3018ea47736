"""From what is found in the score to what one player should hear of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from companion.findings import doublings, entrances, handed_on, interlock, returns
from companion.findings.all_findings import Findings
from companion.findings.conflicts import Conflict
from companion.findings.form import told as plan_told
from companion.findings.grouped_count import on, pulses
from companion.findings.grouping import Grouping
from companion.findings.hardness import hardness
from companion.findings.heard_conflicts import HeardConflict
from companion.findings.hemiola import ACROSS_BARS, THREE_IN_TWO, TWO_IN_THREE, Hemiola
from companion.findings.meter_change_feel import Feel, changes_of_feel, feel_told
from companion.findings.polymeter import Polymeter
from companion.rhythm.counting import count_aloud
from companion.rhythm.meter import note_name
from companion.score.tempo_map import TempoMap, tempo_map
from companion.score.texture import meter_runs
from companion.session.open_score import OpenScore
from companion.wording.phrases import BarNaming, PartNames, parts_listed, sentence, values
from companion.wording.score_sentences import bar_span_told

_BETWEEN_HANDS = 50.0
"""Weight of a conflict between the hands of one player, which no other part can make harder."""


def pulls(
    open_score: OpenScore, findings: Findings, me: str, names: PartNames, name: BarNaming
) -> Iterator[Advice]:
    """Every pull that concerns the player of one part."""
    tempos = tempo_map(open_score.clock)
    for conflict, sound in findings.conflicts:
        mine = [side for side in conflict.sides if me in side.parts]
        if len(mine) == 2:
            text = _between_hands(conflict, name)
            yield Advice(Topic.CONFLICT, conflict.first, conflict.last, text, _BETWEEN_HANDS)
        elif mine:
            start = open_score.clock.bars[conflict.first - 1].start
            is_stated = bool(tempos.stated) and tempos.stated[0].at <= start
            seconds = (
                _span(open_score, conflict) * 60 / tempos.rate_at(start) if is_stated else None
            )
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


def _span(open_score: OpenScore, conflict: Conflict) -> Fraction:
    """Clock time of the span both sides divide, in the conflict's first bar."""
    bar = open_score.clock.bars[conflict.first - 1]
    if conflict.level == "bar":
        return bar.length
    meters = [open_score.clock.meter_at(part, bar) for part in range(len(open_score.score.parts))]
    beats = max((len(meter.beats) for meter in meters if meter), default=1)
    return bar.length / beats


def _conflict(
    conflict: Conflict, sound: HeardConflict, me: str, names: PartNames, name: BarNaming
) -> str:
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


def _between_hands(conflict: Conflict, name: BarNaming) -> str:
    more, fewer = conflict.sides
    return sentence(
        f"{name(conflict.first, conflict.last)}: {conflict.against} in the {conflict.level} "
        f"between your own staves, "
        f"{more.division} against {fewer.division}; count {_count(conflict)}"
    )


def _grouping(group: Grouping, me: str, names: PartNames, name: BarNaming) -> str:
    ours, against = group.ratio
    who = parts_listed(group.parts, names, me)
    verb = "repeat" if me in group.parts or len(group.parts) > 1 else "repeats"
    groups, bars = group.meets_after
    return sentence(
        f"{name(group.first, group.last)}: {who} {verb} a figure of {ours} "
        f"{values(group.pulse)} across a {group.level} of {against}; "
        f"it meets the barline again after {groups} times, {bars} bar{'s' if bars > 1 else ''}"
    )


def _hemiola(hemiola: Hemiola, me: str, names: PartNames, name: BarNaming) -> str:
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


def _barlines(travelling: Polymeter, me: str, names: PartNames, name: BarNaming) -> str:
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


# One thing worth telling a player, with its bars and how sure it is.


class Topic(StrEnum):
    """What a piece of advice is about; in the order in which a player can use them."""

    FORM = "form"
    CONFLICT = "conflict"
    GROUPING = "grouping"
    HEMIOLA = "hemiola"
    BARLINES = "barlines"
    FEEL = "change of feel"
    INTERLOCK = "interlock"
    ENTRANCE = "entrance"
    HANDED_ON = "handed on"
    RHYTHM = "same rhythm"
    DOUBLING = "doubling"


@dataclass(frozen=True, slots=True)
class Advice:
    """A sentence for one player."""

    topic: Topic
    """What it is about."""
    first: int
    """Ordinal position of the first bar it is about."""
    last: int
    """Ordinal position of the last."""
    text: str
    """One sentence, naming its bars."""
    weight: float
    """How much it matters among its kind; more is more."""
    is_heuristic: bool = False
    """Whether it is a reading of the score that a musician may see otherwise."""
    because: tuple[str, ...] = ()
    """Plain reasons for the weight, where there are any."""


_FIRST = 1000.0
"""The weight of what comes before all else of its kind."""
FEW_NOTES = 8
"""A doubling shorter than this is not worth a sentence."""
MANY_STRIKES = 16
"""A rhythm shared for fewer strikes than this is not worth one."""


def advise(open_score: OpenScore, findings: Findings, part: int) -> tuple[Advice, ...]:
    """Everything there is to tell the player of one part, in order of use."""
    me = open_score.score.parts[part].id
    names: PartNames = {each.id: each.name for each in open_score.score.parts}

    def name(first: int, last: int) -> str:
        return bar_span_told(open_score, first, last)

    found = [
        *_form(findings, me, name),
        *pulls(open_score, findings, me, names, name),
        *_feel(open_score, findings, me, name),
        *_together(findings, me, names, name),
        *_alike(findings, me, names, name),
        *_entrances(findings, me, names, name),
    ]
    order = list(Topic)
    return tuple(sorted(found, key=lambda each: (order.index(each.topic), each.first)))


def _form(findings: Findings, me: str, name: BarNaming) -> Iterator[Advice]:
    for sections in findings.plans:
        if len(sections) > 1:
            first, last = sections[0].first, sections[-1].last
            text = plan_told(sections, name)
            yield Advice(Topic.FORM, first, last, text, _FIRST, is_heuristic=True)
    for again in findings.returns:
        length = float(again.last - again.first + 1)
        text = returns.told(again, me, name)
        yield Advice(Topic.FORM, again.first, again.last, text, length, is_heuristic=True)


def _feel(open_score: OpenScore, findings: Findings, me: str, name: BarNaming) -> Iterator[Advice]:
    """Changes of meter within movements; a new movement keeps nothing of the last."""
    runs = meter_runs(findings.texture.of(me))
    steps = [(bar.number, run.meter, run.quarter) for run in runs for bar in run.bars]
    tempos = tempo_map(open_score.clock)
    bars = open_score.clock.bars
    for change in changes_of_feel(steps):
        bar = bars[change.bar - 1]
        if bar.movement == bars[change.bar - 2].movement:
            what = _change(open_score, change, tempos, _index(open_score, me))
            text = f"{name(change.bar, change.bar)}: {change.old} to {change.new}: {what}."
            weight = 2.0 if not change.keeps_notes else 1.0
            yield Advice(Topic.FEEL, change.bar, change.bar, _capital(text), weight)


def _change(open_score: OpenScore, change: Feel, tempos: TempoMap, part: int) -> str:
    """What stays; or, where the page sets another tempo there, that nothing needs to."""
    if not open_score.clock.barlines_coincide:
        return feel_told(change)
    bar = open_score.clock.bars[change.bar - 1]
    before = tempos.rate_before(bar.start)
    if before is None:
        return feel_told(change)
    place = open_score.clock.places[part][change.bar - 2]
    bpm = before / (change.old.beat * place.pace)
    marked = next((told.mark for told in tempos.stated if told.at == bar.start), None)
    if before == tempos.rate_at(bar.start) or marked is None or marked.per_minute is None:
        return feel_told(change, bpm)
    return (
        f"a new tempo is marked, {note_name(marked.beat)} = {float(marked.per_minute):g}, "
        f"after {note_name(change.old.beat)} = {float(bpm):.4g}"
    )


def _together(findings: Findings, me: str, names: PartNames, name: BarNaming) -> Iterator[Advice]:
    for lock in findings.interlocks:
        if any(me in hand.parts for hand in lock.hands):
            text = interlock.told(lock, me, names, name)
            # Beats and after-beats are an accompaniment every player knows: told last.
            weight = (lock.last - lock.first + 1.0) * (_FIRST if lock.on_the_beat is None else 1)
            yield Advice(Topic.INTERLOCK, lock.first, lock.last, text, weight)
    for line in findings.handed_on:
        if any(me in entry.parts for entry in line.entries):
            text = handed_on.told(line, me, names, name)
            weight = float(line.notes * len(line.entries))
            yield Advice(Topic.HANDED_ON, line.first, line.last, text, weight, is_heuristic=True)


def _alike(findings: Findings, me: str, names: PartNames, name: BarNaming) -> Iterator[Advice]:
    for shared in findings.shared_rhythms:
        if me in shared.parts and shared.strikes >= MANY_STRIKES:
            text = doublings.told(shared, me, names, name)
            yield Advice(Topic.RHYTHM, shared.first, shared.last, text, float(shared.strikes))
    for double in findings.doublings:
        if me in double.parts and double.notes >= FEW_NOTES:
            text = doublings.told(double, me, names, name)
            yield Advice(Topic.DOUBLING, double.first, double.last, text, float(double.notes))


def _entrances(findings: Findings, me: str, names: PartNames, name: BarNaming) -> Iterator[Advice]:
    for entrance in entrances.entrances(findings.texture, me):
        text = entrances.told(entrance, names, name)
        yield Advice(Topic.ENTRANCE, entrance.bar, entrance.bar, text, float(entrance.bars))


def _index(open_score: OpenScore, part: str) -> int:
    return [each.id for each in open_score.score.parts].index(part)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
