"""What pulls against the meter in time, told: hemiola, grouping, displacement."""

from __future__ import annotations

from fractions import Fraction

from companion.findings.displacement import Displacement
from companion.findings.grouping import Grouping
from companion.findings.hemiola import ACROSS_BARS, THREE_IN_TWO, TWO_IN_THREE, Hemiola
from companion.findings.periods import Period
from companion.rhythm.meter import Meter
from companion.wording.phrases import (
    BarNaming,
    PartNames,
    counted,
    figures_listed,
    has_plain_name,
    listed,
    parts_listed,
    sentence,
    sentences,
    values,
)


def period_told(period: Period, me: str, names: PartNames, name: BarNaming) -> str:
    """Who does what against the meter, against whom, and how to count it; its bars first."""
    found = period.source
    if isinstance(found, Hemiola):
        return hemiola_told(found, me, names, name)
    if isinstance(found, Grouping):
        return grouping_told(found, me, names, name)
    return displacement_told(found, me, names, name)


def is_told(period: Period) -> bool:
    """Whether a player can be told of it in plain words: a figure of notes that have no name,
    such as 1/10 of a quarter, is an oddity of the file."""
    found = period.source
    return not isinstance(found, Grouping) or found.is_equal_notes or has_plain_name(found.pulse)


def period_named(period: Period) -> tuple[str, str]:
    """A short sign and what it is about, for a map: `by 3`, ` over 4`; `hem`, `iola`."""
    found = period.source
    if isinstance(found, Hemiola):
        return "hem", "iola"
    if isinstance(found, Grouping):
        return f"by {found.ratio[0]}", f" over {found.ratio[1]}"
    return "off", f" the {found.level}"


_SIGNS = {
    "accent": "accents",
    "after-beats": "after-beats",
    "beam": "beams",
    "held": "notes held over",
    "low": "low notes",
    "pitch": "pitches",
    "rhythm": "rhythm",
    "slur": "slurs",
    "tied": "ties over the barline",
}


def signs_told(evidence: tuple[str, ...]) -> str:
    """What shows it: `accents and ties over the barline`."""
    return listed([_SIGNS[sign] for sign in evidence])


def grouping_told(group: Grouping, me: str, names: PartNames, name: BarNaming) -> str:
    """Who repeats a figure across the meter, and when it meets the barline again."""
    who = parts_listed(group.parts, names, me)
    is_many = me in group.parts or len(group.parts) > 1
    groups, bars = group.meets_after
    meets = [f"It meets the barline again after {groups} times, {counted(bars, 'bar')}"]
    if bars > group.last - group.first + 1:
        meets = []
    if group.is_equal_notes and group.meter.is_even:
        share = group.ratio[0] * group.pulse / group.meter.beat
        notes, beats = share.denominator, share.numerator
        verb = "play" if is_many else "plays"
        return sentences(
            f"{name(group.first, group.last)}: {who} {verb} {counted(notes, 'equal note')} in the "
            f"time of {counted(beats, 'beat')}, on and on",
            *meets,
        )
    ours, against = group.ratio
    verb = "repeat" if is_many else "repeats"
    return sentences(
        f"{name(group.first, group.last)}: {who} {verb} a figure of {ours} "
        f"{values(group.pulse)} across a {group.level} of {against}",
        *meets,
    )


_HEMIOLA = {
    ACROSS_BARS: "two bars of three felt as three of two",
    THREE_IN_TWO: "three beats in the time of two",
    TWO_IN_THREE: "two beats in the time of three",
}
_FEELS = {THREE_IN_TWO: "three", TWO_IN_THREE: "two"}


def hemiola_told(hemiola: Hemiola, me: str, names: PartNames, name: BarNaming) -> str:
    """Who plays a hemiola, against whom, and how to count it."""
    who = parts_listed(hemiola.parts, names, me)
    bars = name(hemiola.first, hemiola.last)
    if hemiola.alternates:
        what = f"a pattern of two bars, one as written, one in {_FEELS[hemiola.kind]}"
    else:
        what = f"hemiola, {_HEMIOLA[hemiola.kind]}"
    text = f"{bars}: {what}: {who}"
    if hemiola.answering:
        text += f", answered by {parts_listed(hemiola.answering, names, me)}"
        if hemiola.alternates:
            text += f" in the bars in {_FEELS[hemiola.kind]}"
    rest = tuple(part for part in hemiola.against if part not in hemiola.answering)
    if rest:
        text += f", against {parts_listed(rest, names, me)}"
    elif hemiola.is_change_of_feel and len(hemiola.parts) > 1:
        text += "; nobody keeps the written meter"
    if me not in hemiola.parts or hemiola.alternates:
        return sentence(text)
    return sentences(text, _count_of(hemiola.kind, hemiola.meter))


def _count_of(kind: str, meter: Meter) -> str:
    if kind == ACROSS_BARS:
        return "Count 1 2 | 1 2 | 1 2 over two bars"
    if kind == THREE_IN_TWO:
        return f"Count 1 & 2 & 3 & in each bar, in {values(meter.beat / 3)}"
    return f"Count 1 2 3 4 5 6 in each bar, in {values(meter.beat / 2)}, weight on 1 and 4"


def displacement_told(found: Displacement, me: str, names: PartNames, name: BarNaming) -> str:
    """Who goes beside the meter, by how much, by what it shows, and against whom."""
    who = parts_listed(found.parts, names, me)
    goes = "go" if me in found.parts or len(found.parts) > 1 else "goes"
    text = f"{name(found.first, found.last)}: {who} {goes} {_beside(found)}"
    if found.against:
        text += f", against {parts_listed(found.against, names, me)}"
    told = [text, f"It shows in {signs_told(found.evidence)}"]
    if me in found.parts:
        told.append("Feel the written beat in your body; it is between your notes")
    return sentences(*told)


def _beside(found: Displacement) -> str:
    by = found.late / found.meter.beat
    if found.level == "beat":
        return f"beside the beat, {_share(by)} after it"
    if found.level == "half bar":
        return f"beside the half bar, {_beats(by)} after it"
    return f"beside the {found.level}, {_after_beats(by, found.meter)}"


def _share(part: Fraction) -> str:
    return "half a beat" if part == Fraction(1, 2) else f"{figures_listed(part)} of a beat"


def _after_beats(by: Fraction, meter: Meter) -> str:
    """How far from the written place the weight falls, from the nearer one."""
    before = len(meter.beats) - by
    if before < by:
        return f"{_beats(before)} before it"
    return f"{_beats(by)} after it"


def _beats(number: Fraction) -> str:
    return _share(number) if number < 1 else counted(number, "beat")
