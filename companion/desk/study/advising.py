"""From what is found in the score to what one player should hear of it."""

from __future__ import annotations

from collections.abc import Iterator

from companion.desk.stand import Stand
from companion.desk.study.advice import Advice, Topic
from companion.desk.study.findings import Findings
from companion.desk.study.pulls import pulls
from companion.desk.telling import span_told
from companion.rhythm import doublings, entrances, form, handed_on, interlock
from companion.rhythm.feel import Feel, changes_of_feel, feel_told
from companion.rhythm.large_plan import told as plan_told
from companion.rhythm.meter import note_name
from companion.rhythm.meter_runs import meter_runs
from companion.rhythm.saying import Bars, Names
from companion.score.tempo_map import TempoMap, tempo_map

_FIRST = 1000.0
"""The weight of what comes before all else of its kind."""
FEW_NOTES = 8
"""A doubling shorter than this is not worth a sentence."""
MANY_STRIKES = 16
"""A rhythm shared for fewer strikes than this is not worth one."""


def advise(stand: Stand, findings: Findings, part: int) -> tuple[Advice, ...]:
    """Everything there is to tell the player of one part, in order of use."""
    me = stand.score.parts[part].id
    names: Names = {each.id: each.name for each in stand.score.parts}

    def name(first: int, last: int) -> str:
        return span_told(stand, first, last)

    found = [
        *_form(findings, me, name),
        *pulls(stand, findings, me, names, name),
        *_feel(stand, findings, me, name),
        *_together(findings, me, names, name),
        *_alike(findings, me, names, name),
        *_entrances(findings, me, names, name),
    ]
    order = list(Topic)
    return tuple(sorted(found, key=lambda each: (order.index(each.topic), each.first)))


def _form(findings: Findings, me: str, name: Bars) -> Iterator[Advice]:
    for sections in findings.plans:
        if len(sections) > 1:
            first, last = sections[0].first, sections[-1].last
            text = plan_told(sections, name)
            yield Advice(Topic.FORM, first, last, text, _FIRST, is_heuristic=True)
    for again in findings.returns:
        length = float(again.last - again.first + 1)
        text = form.told(again, me, name)
        yield Advice(Topic.FORM, again.first, again.last, text, length, is_heuristic=True)


def _feel(stand: Stand, findings: Findings, me: str, name: Bars) -> Iterator[Advice]:
    """Changes of meter within movements; a new movement keeps nothing of the last."""
    runs = meter_runs(findings.texture.of(me))
    steps = [(bar.number, run.meter, run.quarter) for run in runs for bar in run.bars]
    tempos = tempo_map(stand.clock)
    bars = stand.clock.bars
    for change in changes_of_feel(steps):
        bar = bars[change.bar - 1]
        if bar.movement == bars[change.bar - 2].movement:
            what = _change(stand, change, tempos, _index(stand, me))
            text = f"{name(change.bar, change.bar)}: {change.old} to {change.new}: {what}."
            weight = 2.0 if not change.keeps_notes else 1.0
            yield Advice(Topic.FEEL, change.bar, change.bar, _capital(text), weight)


def _change(stand: Stand, change: Feel, tempos: TempoMap, part: int) -> str:
    """What stays; or, where the page sets another tempo there, that nothing needs to."""
    if not stand.clock.barlines_coincide:
        return feel_told(change)
    bar = stand.clock.bars[change.bar - 1]
    before = tempos.rate_before(bar.start)
    if before is None:
        return feel_told(change)
    place = stand.clock.places[part][change.bar - 2]
    bpm = before / (change.old.beat * place.pace)
    marked = next((told.mark for told in tempos.stated if told.at == bar.start), None)
    if before == tempos.rate_at(bar.start) or marked is None or marked.per_minute is None:
        return feel_told(change, bpm)
    return (
        f"a new tempo is marked, {note_name(marked.beat)} = {float(marked.per_minute):g}, "
        f"after {note_name(change.old.beat)} = {float(bpm):.4g}"
    )


def _together(findings: Findings, me: str, names: Names, name: Bars) -> Iterator[Advice]:
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


def _alike(findings: Findings, me: str, names: Names, name: Bars) -> Iterator[Advice]:
    for shared in findings.shared_rhythms:
        if me in shared.parts and shared.strikes >= MANY_STRIKES:
            text = doublings.told(shared, me, names, name)
            yield Advice(Topic.RHYTHM, shared.first, shared.last, text, float(shared.strikes))
    for double in findings.doublings:
        if me in double.parts and double.notes >= FEW_NOTES:
            text = doublings.told(double, me, names, name)
            yield Advice(Topic.DOUBLING, double.first, double.last, text, float(double.notes))


def _entrances(findings: Findings, me: str, names: Names, name: Bars) -> Iterator[Advice]:
    for entrance in entrances.entrances(findings.texture, me):
        text = entrances.told(entrance, names, name)
        yield Advice(Topic.ENTRANCE, entrance.bar, entrance.bar, text, float(entrance.bars))


def _index(stand: Stand, part: str) -> int:
    return [each.id for each in stand.score.parts].index(part)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
