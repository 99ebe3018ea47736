"""What a coach adds to a conflict: who leads, what to listen for, how exposed and how hard."""

from __future__ import annotations

from companion.findings.conflicts import Conflict
from companion.findings.exposure import Exposure
from companion.findings.hardness import Hardness
from companion.findings.lead import Lead, Reason
from companion.wording.findings_sentences import alone_told, place_told
from companion.wording.phrases import (
    BarNaming,
    PartNames,
    against_told,
    counted,
    parts_listed,
    sentence,
)

_NUMBERS = {2: "two", 3: "three"}


def lead_told(
    lead: Lead,
    conflict: Conflict,
    me: str,
    meets: bool | None,
    names: PartNames,
) -> tuple[str, ...]:
    """Who keeps the pulse, and which note of theirs to listen for; nothing if no note says."""
    where = _starts(conflict)
    keep = parts_listed(lead.on_the_beat[:1], names)
    there = " there" if any(conflict.beats) else ""
    on_beat = "first beat" if conflict.span == "bar" else "beat"
    listen = f"{keep} plays on the {on_beat} only{there}: listen to it"
    if not lead.parts:
        even = ("Both sides are even: agree who leads",) if lead.reason is Reason.BOTH else ()
        return (*even, listen) if keep else even
    evenly = "mostly even" if lead.reason is Reason.MOSTLY else "even"
    theirs = next(side for side in conflict.sides if not {*lead.parts} & {*side.parts})
    who = parts_listed(lead.parts, names, me)
    is_several = me in lead.parts or len(lead.parts) > 1
    has, its, plays = ("have", "their", "play") if is_several else ("has", "its", "plays")
    its = "your" if me in lead.parts else its
    why = {
        Reason.GOES_ON: f"{who} had {its} even notes before",
        Reason.BEATS: f"{who} {plays} the beats",
    }.get(lead.reason, f"{who} {has} the {evenly} notes")
    if me in lead.parts:
        others = [part for part in theirs.parts if part != me]
        fit = "fits" if len(others) == 1 else "fit"
        return (f"{why}: keep the pulse, {parts_listed(others, names)} {fit} to you",)
    leader, *more = lead.parts
    whose = "them" if more else "it"
    if me not in theirs.parts:
        return (f"{why}, on your side: go with {whose}",)
    heard_as = {True: "; yours comes with it", False: "; yours come after it", None: ""}
    one = f"{parts_listed([leader], names)}'s note" if more else "its note"
    fit = f"{why} and can keep the pulse: fit yours to {whose}"
    if not lead.has_every_beat:
        return (fit,)
    return fit, f"Listen for {one} on {where}{heard_as[meets]}"


def others_pull_told(conflict: Conflict, names: PartNames, name: BarNaming) -> str:
    """Two meters that sound between others, to a player on neither side."""
    more, fewer = conflict.sides
    return sentence(
        f"{name(conflict.first, conflict.last)}: {against_told(conflict.numbers)} in the "
        f"{conflict.span} between {parts_listed(more.parts, names)} and "
        f"{parts_listed(fewer.parts, names)}; you are on neither side"
    )


def _starts(conflict: Conflict) -> str:
    """The beginnings of its spans: `beat 2`, `each beat`, `the first beat`."""
    if conflict.span != conflict.level:
        heads = {beats[0] for beats in conflict.beats if beats}
        return f"beat {heads.pop()}" if len(heads) == 1 else "the first of these beats"
    if conflict.level == "bar":
        return "the first beat" if conflict.first == conflict.last else "each first beat"
    named = place_told(conflict)
    if named != "the beat":
        return named
    return "each of these beats" if any(conflict.beats) else "each beat"


def exposure_told(exposure: Exposure, names: PartNames) -> str:
    """How the player is heard: `Exposed: alone against two, soft (pp), fast`; empty
    if not."""
    told = []
    if exposure.is_alone:
        count = len(exposure.against)
        told.append(f"alone against {_NUMBERS.get(count, str(count))}")
    elif not exposure.with_me:
        told.append("alone on your side")
    if exposure.soft:
        told.append(f"soft ({exposure.soft})")
    if exposure.is_fast:
        told.append("fast")
    with_you = parts_listed(exposure.same_rhythm, names)
    verb = "has" if len(exposure.same_rhythm) == 1 else "have"
    doubled = f"{with_you} {verb} your rhythm" if with_you else ""
    exposed = f"Exposed: {', '.join(told)}" if told else ""
    return "; ".join(filter(None, (exposed, doubled)))


def hardness_reasons(hard: Hardness, conflict: Conflict) -> tuple[str, ...]:
    """Why a conflict is hard, the weightiest reason first; none for what costs nothing."""
    if hard.mine is None:
        return ("you are on neither side",)
    if not hard.mine.strokes:
        return ("you rest here",)
    told = {
        "ratio": f"{against_told(conflict.numbers)} makes {hard.resultant} different strokes",
        "alone": alone_told(hard.mine.alone, hard.mine.strokes),
        "support": _support(hard),
        "length": f"it lasts {conflict.last - conflict.first + 1} bars",
    }
    if hard.seconds_per_span is not None and hard.smallest_gap is not None:
        beats = 60 / float(hard.seconds_per_span)
        tempo = f"at {beats:.3g} beats a minute " if conflict.level == "beat" else ""
        gap = 1000 * float(hard.smallest_gap)
        told["tempo"] = f"{tempo}neighbouring strokes are as close as {gap:.0f} ms"
    return tuple(told[name] for name in hard.because)


def _support(hard: Hardness) -> str:
    if not hard.with_me and not hard.on_both_sides:
        return f"you are alone on your side against {counted(hard.against, 'part')}"
    counts = (
        (hard.with_me, "with you"),
        (hard.against, "against you"),
        (hard.on_both_sides, "on both sides"),
    )
    (first, place), *more = [(count, place) for count, place in counts if count]
    return ", ".join([f"{counted(first, 'part')} {place}", *(f"{n} {p}" for n, p in more)])
