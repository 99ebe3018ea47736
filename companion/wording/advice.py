"""Which findings a player should hear of, in what order, and how sure each is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from companion.findings.all_findings import Findings
from companion.findings.conflicts import Conflict
from companion.findings.entrances import entrances
from companion.findings.exposure import Exposure, exposure_of, soft_dynamic
from companion.findings.hardness import hardness, span_of
from companion.findings.heard_conflicts import HeardConflict
from companion.findings.lead import lead_of, meets_on_the_beat
from companion.findings.periods import Period
from companion.rhythm.meter import note_name
from companion.rhythm.tempo_relation import MeterChange, meter_changes
from companion.score.tempo_map import PrintedRates
from companion.score.texture import Texture
from companion.session.open_score import OpenScore
from companion.wording.coaching_sentences import (
    exposure_told,
    hardness_reasons,
    lead_told,
    others_pull_told,
)
from companion.wording.findings_sentences import (
    count_sentence,
    doubling_told,
    entrance_told,
    form_told,
    handed_on_told,
    interlock_told,
    meter_change_told,
    notated_told,
    place_told,
    polymeter_told,
    pull_between_hands_told,
    pull_told,
    return_told,
    shared_rhythm_told,
)
from companion.wording.period_sentences import is_told, period_told
from companion.wording.phrases import (
    BarNaming,
    PartNames,
    dotted_count_told,
    hardness_told,
    has_plain_name,
    parts_listed,
    sentence,
    sentences,
)
from companion.wording.score_sentences import bar_span_told, conflict_told


class Topic(StrEnum):
    """What a piece of advice is about; in the order in which a player can use them."""

    CONFLICT = "conflict"
    BARLINES = "barlines"
    FEEL = "change of feel"
    DOTTED = "dotted against triplet"
    GROUPING = "grouping"
    HEMIOLA = "hemiola"
    DISPLACEMENT = "displacement"
    INTERLOCK = "interlock"
    ENTRANCE = "entrance"
    FORM = "form"
    HANDED_ON = "handed on"
    RHYTHM = "same rhythm"
    DOUBLING = "doubling"


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing worth telling a player, with its bars and how sure it is."""

    topic: Topic
    first: int
    """Ordinal position of the first bar it is about."""
    last: int
    """Ordinal position of the last."""
    text: str
    """A few short sentences, the first naming its bars."""
    weight: float
    """How much it matters among its kind; more is more."""
    is_heuristic: bool = False
    """Whether it is a reading of the score that a musician may see otherwise."""
    because: tuple[str, ...] = ()
    """Plain reasons for the weight in numbers, where there are any."""
    exposure: int = 0
    """How much the player is heard alone: 0 to 5, see `Exposure.rank`."""
    alike: str = ""
    """The same for what is the same to play and to think; empty for what stands for itself."""
    count: str = ""
    """The sentence in the text that says how to count; empty if there is none."""
    against: str = ""
    """The names of the parts on the other side of a conflict."""
    place: str = ""
    """Where in each bar a conflict sits, such as `beat 2`."""
    times: int = 1
    """How often it was found, where alike are told as one."""
    is_mixed_meter: bool = False
    """Whether meters differ, between parts or from bar to bar: never left out in silence."""

    @property
    def marked_text(self) -> str:
        """The text, with ~ if it is a reading."""
        return f"{self.text} ~" if self.is_heuristic else self.text


RULE_OF_THUMB = "~ by rule of thumb; a musician may see it differently"
"""Stands below sentences that are heuristic."""
HARDNESS_WORDS = "Easy, moderate and hard are by rule of thumb too; --numbers shows the numbers."
"""Stands below conflicts told without the numbers."""
_FIRST = 1000.0
"""The weight of what comes before all else of its kind."""
_BETWEEN_HANDS = 50.0
"""Weight of a conflict between the hands of one player, which no other part can make harder."""
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
        *_pulls(open_score, findings, me, names, name),
        *_against_the_meter(findings, me, names, name),
        *_feel(open_score, findings, me, name),
        *_together(findings, me, names, name),
        *_alike(findings, me, names, name),
        *_entrances(findings, me, names, name),
    ]
    found = [each if each.alike else replace(each, alike=_after_bars(each)) for each in found]
    order = list(Topic)
    return tuple(sorted(found, key=lambda each: (order.index(each.topic), each.first)))


def _after_bars(advice: Advice) -> str:
    """What is said of the bars, and the beat: two sentences that differ in nothing else are
    told as one."""
    head, _, said = advice.text.partition(": ")
    return f"{head.partition(', beat ')[2]}: {said}"


def _pulls(
    open_score: OpenScore, findings: Findings, me: str, names: PartNames, name: BarNaming
) -> Iterator[Advice]:
    for conflict, heard in findings.conflicts:
        first, last = conflict.first, conflict.last
        mine = [side for side in conflict.sides if me in side.parts]
        is_mixed = conflict.basis not in ("rhythm", "dotted")
        if conflict.is_notated:
            text = notated_told(conflict, names, name)
            yield Advice(Topic.BARLINES, first, last, text, 1.0, is_mixed_meter=True)
        elif mine and conflict.is_dotted:
            text = sentences(
                f"{name(first, last)}: {conflict_told(open_score, conflict)}",
                dotted_count_told(is_short_first=conflict.is_short_first),
            )
            yield Advice(Topic.DOTTED, first, last, text, float(last - first + 1))
        elif len(mine) == 2:
            text = pull_between_hands_told(conflict, name)
            yield Advice(Topic.CONFLICT, first, last, text, _BETWEEN_HANDS, is_mixed_meter=is_mixed)
        elif mine:
            yield _pull(open_score, findings, (conflict, heard), me, names, name)
        elif is_mixed:
            text = others_pull_told(conflict, names, name)
            yield Advice(Topic.BARLINES, first, last, text, 1.0, is_mixed_meter=True)


def _pull(
    open_score: OpenScore,
    findings: Findings,
    found: tuple[Conflict, HeardConflict],
    me: str,
    names: PartNames,
    name: BarNaming,
) -> Advice:
    """A conflict between the player and others, with what a coach adds."""
    (conflict, heard), texture = found, findings.texture
    rate = findings.rates.at(open_score.clock.bars[conflict.first - 1].start)
    span = span_of(open_score.clock, conflict)
    hard = hardness(conflict, heard, me, span * 60 / rate if rate else None)
    lead = lead_of(conflict, heard.at, texture)
    exposure = _exposure(open_score, texture, found, me, hard.smallest_gap)
    side = next(side for side in conflict.sides if me in side.parts)
    word, meets = hardness_told(hard.score), meets_on_the_beat(texture, me, heard.at)
    return Advice(
        Topic.CONFLICT,
        conflict.first,
        conflict.last,
        sentences(
            pull_told(conflict, heard, me, names, name).rstrip("."),
            *lead_told(lead, conflict, me, meets, names),
            *filter(None, [exposure_told(exposure, names)]),
            f"{word} to play",
        ),
        float(hard.score),
        because=(
            f"Hardness {hard.score} of 100, by rule of thumb",
            *hardness_reasons(hard, conflict),
            f"{float(heard.filled):.0%} of the resultant is struck",
        ),
        exposure=exposure.rank,
        alike=repr((conflict.numbers, side.name, lead.reason, me in lead.parts, word, meets)),
        count=count_sentence(conflict, is_mine_more=side == conflict.sides[0]),
        against=parts_listed(exposure.against, names),
        place=place_told(conflict),
        is_mixed_meter=conflict.basis not in ("rhythm", "dotted"),
    )


def _exposure(
    open_score: OpenScore,
    texture: Texture,
    found: tuple[Conflict, HeardConflict],
    me: str,
    gap: Fraction | None,
) -> Exposure:
    conflict, heard = found
    stream = texture.of(me)
    struck = [at for one, length in heard.at for at in stream.strikes_between(one, one + length)]
    bar = open_score.clock.bars[conflict.first - 1]
    since = struck[0] * texture.grain if struck else bar.start
    soft = soft_dynamic(open_score.clock, _index(open_score, me), bar.number, since)
    return exposure_of(conflict, heard.at, texture, me, soft, gap)


def _against_the_meter(
    findings: Findings, me: str, names: PartNames, name: BarNaming
) -> Iterator[Advice]:
    for period in findings.periods:
        if not is_told(period) or _is_interlock(period, findings):
            continue
        text = period_told(period, me, names, name)
        length = 1.0 if period.kind == "hemiola" else float(period.last - period.first + 1)
        weight = length * (2 if period.is_of(me) else 1)
        topic = Topic(period.kind)
        yield Advice(topic, period.first, period.last, text, weight, is_heuristic=True)
    for found in findings.polymeters:
        if any(me in side for side in found.sides):
            text = polymeter_told(found, me, names, name)
            yield Advice(Topic.BARLINES, found.first, found.last, text, 1.0, is_mixed_meter=True)


def _is_interlock(period: Period, findings: Findings) -> bool:
    """Whether after-beats are told with the beats they fill."""
    return period.evidence == ("after-beats",) and any(
        lock.on_the_beat is not None and lock.first <= period.last and period.first <= lock.last
        for lock in findings.interlocks
    )


def _form(findings: Findings, me: str, name: BarNaming) -> Iterator[Advice]:
    for sections in findings.forms:
        if len(sections) > 1:
            first, last = sections[0].first, sections[-1].last
            text = form_told(sections, name)
            yield Advice(Topic.FORM, first, last, text, _FIRST, is_heuristic=True)
    for again in findings.returns:
        length = float(again.last - again.first + 1)
        text = return_told(again, me, name)
        yield Advice(Topic.FORM, again.first, again.last, text, length, is_heuristic=True)


def _feel(open_score: OpenScore, findings: Findings, me: str, name: BarNaming) -> Iterator[Advice]:
    """Changes of meter within movements; a new movement keeps nothing of the last."""
    texture = findings.texture
    # Where barlines travel apart, a bar is told by the score's that sounds when it begins.
    steps = [
        (texture.bar_at(bar.start).number, run.meter, run.quarter)
        for run in texture.of(me).runs
        for bar in run.bars
    ]
    bars = open_score.clock.bars
    for change in meter_changes(steps):
        bar = bars[change.bar - 1]
        if bar.movement == bars[max(0, change.bar - 2)].movement:
            what = _change(open_score, change, findings.rates, _index(open_score, me))
            text = f"{name(change.bar, change.bar)}: {change.old} to {change.new}: {what}"
            weight = 2.0 if not change.keeps_notes else 1.0
            text = sentence(text)
            yield Advice(Topic.FEEL, change.bar, change.bar, text, weight, is_mixed_meter=True)


def _change(open_score: OpenScore, change: MeterChange, rates: PrintedRates, part: int) -> str:
    """What stays; or, if the page sets another tempo there, that nothing needs to."""
    if not open_score.clock.barlines_coincide:
        return meter_change_told(change)
    bar = open_score.clock.bars[change.bar - 1]
    before = rates.before(bar.start)
    if before is None:
        return meter_change_told(change)
    place = open_score.clock.places[part][change.bar - 2]
    bpm = before / (change.old.beat * place.pace)
    marked = rates.marks.get(bar.start)
    if before == rates.at(bar.start) or marked is None or marked.per_minute is None:
        return meter_change_told(change, bpm)
    return (
        f"a new tempo is marked, {note_name(marked.beat)} = {float(marked.per_minute):g}, "
        f"after {note_name(change.old.beat)} = {float(bpm):.4g}"
    )


def _together(findings: Findings, me: str, names: PartNames, name: BarNaming) -> Iterator[Advice]:
    for lock in findings.interlocks:
        mine = [side for side in lock.sides if me in side.parts]
        if mine and has_plain_name(mine[0].value):
            text = interlock_told(lock, me, names, name)
            # Beats and after-beats are an accompaniment every player knows: told last.
            weight = (lock.last - lock.first + 1.0) * (_FIRST if lock.on_the_beat is None else 1)
            yield Advice(Topic.INTERLOCK, lock.first, lock.last, text, weight)
    for line in findings.handed_on:
        if any(me in entry.parts for entry in line.entries):
            text = handed_on_told(line, me, names, name)
            weight = float(line.notes * len(line.entries))
            yield Advice(Topic.HANDED_ON, line.first, line.last, text, weight, is_heuristic=True)


def _alike(findings: Findings, me: str, names: PartNames, name: BarNaming) -> Iterator[Advice]:
    for shared in findings.shared_rhythms:
        if me in shared.parts and shared.strikes >= MANY_STRIKES:
            text = shared_rhythm_told(shared, me, names, name)
            yield Advice(Topic.RHYTHM, shared.first, shared.last, text, float(shared.strikes))
    for double in findings.doublings:
        if me in double.parts and double.notes >= FEW_NOTES:
            text = doubling_told(double, me, names, name)
            yield Advice(Topic.DOUBLING, double.first, double.last, text, float(double.notes))


def _entrances(findings: Findings, me: str, names: PartNames, name: BarNaming) -> Iterator[Advice]:
    for entrance in entrances(findings.texture, me):
        text = entrance_told(entrance, names, name)
        yield Advice(Topic.ENTRANCE, entrance.bar, entrance.bar, text, float(entrance.bars))


def _index(open_score: OpenScore, part: str) -> int:
    return [each.id for each in open_score.score.parts].index(part)
